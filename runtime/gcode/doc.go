// Package gcode writes and reads instruction files: RS-274/NGC as published in
// NISTIR 6556 (Kramer, Proctor, Messina: The NIST RS274NGC Interpreter,
// Version 3, 2000).
//
// The writer puts a sheet of instructions into the few words a motion board
// needs. The reader understands anyone's file as far as a machine of two axes
// can follow it: modes, units, arcs, relative coordinates, line numbers. They
// share no code, so that reading a file back tests the writer (Verification). Check
// holds any file against the area of a machine.
//
// Nothing here opens a port or a file.
package gcode
