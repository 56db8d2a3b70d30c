package diag

// namePages are the codes about names, definitions and where words may stand (raised by lang/check).
var namePages = []Page{}
