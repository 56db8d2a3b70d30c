package main

import _ "embed"

// notices are the licences of everything that is inside the command: Go's own,
// those of the modules of all systems it is built for, and of the letters. A
// test compares them with what is built, and with -update writes them anew.
//
//go:embed notices.txt
var notices string
