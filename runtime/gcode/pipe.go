package gcode

// pipe carries values from one goroutine to another, in batches that are filled
// anew once they were emptied.
type pipe[T any] struct {
	filled, emptied chan []T
	batch           []T
}

const (
	perBatch     = 1024
	mostWaitings = 4
)

func newPipe[T any]() *pipe[T] {
	return &pipe[T]{
		filled: make(chan []T, mostWaitings),
		// There are never more than those that wait and one in the hands of
		// either side.
		emptied: make(chan []T, mostWaitings+2),
		batch:   make([]T, 0, perBatch),
	}
}

func (p *pipe[T]) send(value T) {
	if p.batch = append(p.batch, value); len(p.batch) < perBatch {
		return
	}
	p.filled <- p.batch
	select {
	case batch := <-p.emptied:
		p.batch = batch[:0]
	default:
		p.batch = make([]T, 0, perBatch)
	}
}

// close sends what is left and ends the pipe.
func (p *pipe[T]) close() {
	p.filled <- p.batch
	close(p.filled)
}

// each receives all values, until the pipe is closed.
func (p *pipe[T]) each(receive func(value *T)) {
	for batch := range p.filled {
		for i := range batch {
			receive(&batch[i])
		}
		p.emptied <- batch
	}
}
