//go:build unix

package main

import (
	"os"
	"os/signal"
	"syscall"
	"time"
)

// dieOf ends the process by a signal.
func dieOf(told syscall.Signal) {
	signal.Reset(told)
	if syscall.Kill(os.Getpid(), told) == nil {
		time.Sleep(time.Second) // it comes to one of the threads, in its time
	}
}
