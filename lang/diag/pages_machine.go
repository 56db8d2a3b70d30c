package diag

// machinePages are the codes about machine profiles and what they allow (raised by runtime/machine and runtime/lower).
var machinePages = []Page{}
