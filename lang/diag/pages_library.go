package diag

// libraryPages are the codes about values that a library function cannot work with (raised by stdlib).
var libraryPages = []Page{}
