package bench_test

import (
	"context"
	"time"

	"github.com/stretchr/testify/require"

	"wend/cmd/wend/bench"
	"wend/lang/diag"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/machine"
	"wend/runtime/simulator"
)

// rig is a simulated machine on the bench, in its own time, with somebody who
// says yes to every setting.
type rig struct {
	*bench.Bench
	bench.Eraser
	m        *simulator.Machine
	settings int // how often somebody was asked
}

func on(t require.TestingT, setup simulator.Setup, p *machine.Profile) *rig {
	const wait = 10 * time.Millisecond
	r := &rig{m: simulator.New(setup)}
	now := func() time.Time { return time.Unix(0, 0).Add(time.Duration(r.m.Now() * float64(time.Second))) }
	port, err := r.m.Open(wait)
	require.NoError(t, err)
	l, err := link.Connect(context.Background(), link.Setup{Wire: port, Now: now, Profile: p})
	require.NoError(t, err)
	r.Bench = &bench.Bench{
		Link: l,
		Settle: func(ctx context.Context, l *link.Link) error {
			if different := l.Mismatches(); len(different) > 0 {
				r.settings++
				return l.Settle(ctx, different)
			}
			return nil
		},
		Watched: func(ctx context.Context, motion func(context.Context, link.Operator) error) error {
			return motion(ctx, nobody{})
		},
	}
	eraser, err := r.m.Eraser().Open(wait)
	require.NoError(t, err)
	says := p.Eraser
	says.TimeoutS = 600
	r.Eraser = bench.Eraser{Wire: eraser, Says: says, Now: now}
	return r
}

// nobody watches, and wants nothing.
type nobody struct{}

func (nobody) Wish() link.Wish                            { return link.NoWish }
func (nobody) Show(link.Progress)                         {}
func (nobody) Holds(string, *diag.Fault, geom.Point) bool { return false }
func (nobody) Mended(*diag.Fault)                         {}
