package preview

import (
	"context"
	"sync"

	"wend/runtime/geom"
)

// Inking is the ink of a line that is laid while the line is still drawn, for a
// PNG of it. The picture is the same with it and without: where the line turns out
// to need another picture than was thought, the ink is thrown away.
type Inking struct {
	line      *line
	w, h      int
	width     float64 // of the line, mm
	set       [layers]*plane
	chunks    int // that have their ink
	stretches chan []geom.Point
	quit      context.CancelFunc
	worker    sync.WaitGroup
}

// waiting is how many stretches may wait for their ink.
const waiting = 16

// Ink begins to lay the ink of a line of which the points of the picture are the
// first stretch. It is nil if nothing is to be gained: the ink is not known before
// the line ends, or the line is short. What is begun is to be stopped.
func (pic Picture) Ink(ctx context.Context, opts Options) *Inking {
	if opts.MarkAdded || len(pic.Points) <= chunk || (len(pic.Points)-1)%chunk != 0 {
		return nil // what a piece is for is told with the whole line
	}
	l, err := pic.arrange(opts.PixelsPerMM, opts.length(), opts)
	if err != nil {
		return nil // which is said when the picture is made
	}
	k := &Inking{line: newLine(&l.sheet, nil, pic.LineWidthMM, nil), w: l.w, h: l.h, width: pic.LineWidthMM, stretches: make(chan []geom.Point, waiting)}
	k.line.more = true
	ctx, k.quit = context.WithCancel(ctx)
	k.worker.Go(func() { k.work(ctx) })
	k.Add(pic.Points)
	return k
}

// Add gives the next stretch of the line, which begins where the one before ended.
// It is kept for a while.
func (k *Inking) Add(stretch []geom.Point) { k.stretches <- stretch }

func (k *Inking) work(ctx context.Context) {
	whole := true // all stretches so far came to whole chunks
	for stretch := range k.stretches {
		for from := 0; whole && from < len(stretch)-1 && ctx.Err() == nil; from += chunk {
			if whole = from+chunk < len(stretch); whole {
				k.line.points = stretch[from : from+chunk+1]
				k.line.pieces(&k.set, k.w, k.h, 0, chunk)
				k.chunks++
			}
		}
	}
}

// Stop ends the inking, if it has not ended. Nothing is given any more.
func (k *Inking) Stop() {
	if k.stretches != nil {
		k.quit()
		close(k.stretches)
		k.worker.Wait()
		k.stretches = nil
	}
}

// give ends the inking and gives the ink to the line, if it is the ink of such a line
// in such a picture.
func (k *Inking) give(l *line, width float64, w, h int) {
	k.Stop()
	if l.roleOf == nil && *l.sheet == *k.line.sheet && width == k.width && w == k.w && h == k.h {
		// The last chunk is drawn anew: as part of a longer line a point has no ink.
		l.there, l.inked = k.set, min(k.chunks, (len(l.points)-2)/chunk)
	}
}
