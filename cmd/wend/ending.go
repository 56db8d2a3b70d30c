package main

import (
	"context"
	"os"
	"os/signal"
	"sync/atomic"
	"syscall"
)

// ending is the signal that told the process to end.
type ending struct {
	told    atomic.Pointer[os.Signal]
	signals chan os.Signal
	heard   chan struct{} // closed once all of them were looked at
}

// untilStopped gives a context that ends at Ctrl-C, and when the process is told to
// end or its terminal is closed. One that was started so that it outlives its
// terminal (nohup) does.
func untilStopped() (context.Context, *ending) {
	ctx, stop := context.WithCancel(context.Background())
	end := &ending{signals: make(chan os.Signal, 1), heard: make(chan struct{})}
	signal.Notify(end.signals, append(hangup(), os.Interrupt, syscall.SIGTERM)...)
	go func() {
		defer close(end.heard)
		for sent := range end.signals {
			if sent != os.Interrupt {
				end.told.CompareAndSwap(nil, &sent)
			}
			stop()
		}
	}()
	return ctx, end
}

// hangup is the signal of a terminal that is closed, if it counts for this process.
func hangup() []os.Signal {
	if signal.Ignored(syscall.SIGHUP) {
		return nil
	}
	return []os.Signal{syscall.SIGHUP}
}

// asTold ends a process that was told to end, now that it has cleared up, as the
// signal itself would have ended it: whoever sent it sees that it did what it was
// told. It returns if there was none.
func (e *ending) asTold() {
	// Whoever else listens to signals may have been faster: Stop waits for those that
	// are under way.
	signal.Stop(e.signals)
	close(e.signals)
	<-e.heard
	if told := e.told.Load(); told != nil {
		dieOf((*told).(syscall.Signal))
	}
}
