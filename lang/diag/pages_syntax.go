package diag

// syntaxPages are the codes about how a program is written down (raised by lang/parse).
var syntaxPages = []Page{}
