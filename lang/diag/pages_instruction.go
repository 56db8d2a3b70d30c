package diag

// instructionPages are the codes about instruction files (raised by runtime/gcode).
var instructionPages = []Page{}
