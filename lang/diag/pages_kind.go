package diag

// kindPages are the codes about kinds of values, units and arguments (raised by lang/check).
var kindPages = []Page{}
