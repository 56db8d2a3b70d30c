// Package bench is a machine to calibrate without one: the simulated machine
// on an open port, with the gate before it. It moves and waits.
package bench

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"wend/runtime/calibrate"
	"wend/runtime/gate"
	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/runtime/simulator"
)

// Bench is a simulated machine that a calibration can move.
type Bench struct {
	machine *simulator.Machine
	port    *simulator.Port
	eraser  *simulator.Port
	send    string
	done    string
	gate    *gate.Gate
	profile machine.Profile
	heard   []byte
}

var (
	_ calibrate.Machine = (*Bench)(nil)
	_ calibrate.Eraser  = (*Bench)(nil)
)

// What the board answers; from memory, no source.
const (
	answerTaken  = "ok"
	answerError  = "error:"
	answerAlarm  = "ALARM:"
	reportBegins = "<"
	reportIdle   = "<Idle"
	greetingEnds = "more]"
)

// patience is how long the board may take over an answer, in virtual time: a
// whole queue of slow moves has to be drawn first.
const patience = 10 * time.Minute

// On opens the port of a simulated machine and waits for its greeting.
func On(setup simulator.Setup) (*Bench, error) {
	m := simulator.New(setup)
	port, err := m.Open(time.Second)
	if err != nil {
		return nil, err
	}
	eraser, err := m.Eraser().Open(0)
	if err != nil {
		return nil, err
	}
	b := &Bench{machine: m, port: port, eraser: eraser, send: setup.Eraser.Send, done: setup.Eraser.Done}
	if b.send == "" {
		b.send, b.done = "ERASE", "DONE"
	}
	return b, b.until(func(line string) bool { return strings.HasSuffix(line, greetingEnds) })
}

// Simulated is the machine itself, to look at.
func (b *Bench) Simulated() *simulator.Machine { return b.machine }

// until reads lines from the board until one is enough.
func (b *Bench) until(enough func(line string) bool) error {
	deadline := b.machine.Now() + patience.Seconds()
	chunk := make([]byte, 256)
	for {
		for {
			line, rest, whole := strings.Cut(string(b.heard), "\n")
			if !whole {
				break
			}
			b.heard = []byte(rest)
			line = strings.TrimSpace(line)
			if enough(line) {
				return nil
			}
			if strings.HasPrefix(line, answerError) || strings.HasPrefix(line, answerAlarm) {
				return fmt.Errorf("the simulated board says %s", line)
			}
		}
		n, err := b.port.Read(chunk)
		if err != nil {
			return err
		}
		b.heard = append(b.heard, chunk[:n]...)
		if b.machine.Now() > deadline {
			return errors.New("the simulated board does not answer")
		}
	}
}

// tell sends a line of the gate's and waits until the board has taken it.
func (b *Bench) tell(line gate.Line) error {
	if _, err := b.port.Write([]byte(line.String() + "\n")); err != nil {
		return err
	}
	return b.until(func(line string) bool { return line == answerTaken })
}

// Adopt sets the board to a profile.
func (b *Bench) Adopt(_ context.Context, p *machine.Profile) error {
	b.profile = *p
	mask := 0.0
	if p.X.Reversed {
		mask++
	}
	if p.Y.Reversed {
		mask += 2
	}
	for _, s := range []struct {
		number int
		value  float64
	}{
		{3, mask},
		{100, p.Board.StepsPerMM.X}, {101, p.Board.StepsPerMM.Y},
		{110, p.X.MaxSpeedMMS * 60}, {111, p.Y.MaxSpeedMMS * 60},
		{120, p.X.MaxAccelerationMMS2}, {121, p.Y.MaxAccelerationMMS2},
	} {
		line, err := gate.Setting(s.number, s.value)
		if err != nil {
			return err
		}
		if err := b.tell(line); err != nil {
			return err
		}
	}
	return nil
}

// Declare makes a new gate that guards a box, and states the place to the board.
func (b *Bench) Declare(_ context.Context, at geom.Point, guard geom.Box) error {
	limits := gate.LimitsOf(&b.profile)
	limits.Left, limits.Right, limits.Bottom, limits.Top = guard.Min.X, guard.Max.X, guard.Min.Y, guard.Max.Y
	g, err := gate.New(limits)
	if err != nil {
		return err
	}
	if err := g.Declare(at.X, at.Y); err != nil {
		return err
	}
	b.gate = g
	for _, line := range []gate.Line{g.Modes(), g.Place()} {
		if err := b.tell(line); err != nil {
			return err
		}
	}
	return nil
}

// Follow draws a path through the gate and waits until the motors stand.
func (b *Bench) Follow(ctx context.Context, path []geom.Point, speedMMS float64) error {
	for _, to := range path {
		if err := ctx.Err(); err != nil {
			return err
		}
		items, err := b.gate.To(to.X, to.Y, speedMMS)
		if err != nil {
			return err
		}
		for _, item := range items {
			if err := b.tell(item.Line); err != nil {
				return err
			}
		}
	}
	for standing := false; !standing; {
		if err := ctx.Err(); err != nil {
			return err
		}
		if _, err := b.port.Write([]byte{gate.Status.Value()}); err != nil {
			return err
		}
		err := b.until(func(line string) bool {
			standing = strings.HasPrefix(line, reportIdle)
			return strings.HasPrefix(line, reportBegins)
		})
		if err != nil {
			return err
		}
		if !standing {
			b.machine.Advance(0.05)
		}
	}
	return nil
}

// Wipe has the eraser turn once.
func (b *Bench) Wipe(ctx context.Context) (float64, error) {
	began := b.machine.Now()
	if _, err := b.eraser.Write([]byte(b.send)); err != nil {
		return 0, err
	}
	var heard []byte
	chunk := make([]byte, 64)
	for !strings.Contains(string(heard), b.done) {
		if err := ctx.Err(); err != nil {
			return 0, err
		}
		if b.machine.Now()-began > patience.Seconds() {
			return 0, errors.New("the simulated eraser does not say that it is done")
		}
		b.machine.Advance(0.1)
		n, err := b.eraser.Read(chunk)
		if err != nil {
			return 0, err
		}
		heard = append(heard, chunk[:n]...)
	}
	return b.machine.Now() - began, nil
}
