//go:build !unix

package main

import "syscall"

// dieOf leaves it to the exit code: there are no signals to die of.
func dieOf(syscall.Signal) {}
