package diag

// filePages are the codes about files, folders and the command line (raised by cmd/wend).
var filePages = []Page{}
