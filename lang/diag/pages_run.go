package diag

// runPages are the codes about what happens while a program runs, and travel out of the area (raised by runtime/eval and runtime/bounds).
var runPages = []Page{}
