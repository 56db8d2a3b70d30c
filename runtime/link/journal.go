package link

import (
	"time"

	"wend/runtime/geom"
)

// journal is what a drawing writes down of itself before it sends it. A motion
// by hand has none: nil.
type journal struct {
	memory *Memory
	now    func() time.Time
	Record
}

// recordS is about how much motion, in seconds, one intent record covers.
const recordS = 1.0

// write has what it knows reach the disk.
func (j *journal) write() error { return j.memory.record(j.Record) }

// covers reports whether a move may be sent by what is written already.
func (j *journal) covers(index int) bool {
	return j == nil || index < 0 || index <= j.MaySend && len(j.Back) == 0
}

// reached notes what surely is drawn, and what stays to be seen beside it.
func (j *journal) reached(drawn int, offMM float64, offAt geom.Point) {
	j.Drawn, j.OffMM, j.OffAt = drawn, offMM, offAt
}

// intend writes down that moves up to one are about to be sent, or that the
// motors are led back, and how many seconds that takes.
func (j *journal) intend(last int, back []geom.Point, seconds float64) error {
	j.MaySend, j.Stopped, j.Back = last, false, back
	j.drains(j.now(), seconds)
	return j.write()
}

// stopped writes down that the motors stand, and how they come back to where the
// line was left.
func (j *journal) stopped(at Place, back []geom.Point) error {
	j.MaySend, j.Stopped, j.At, j.Back = j.Drawn, true, at, back
	return j.write()
}
