package link_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/machine"
)

// The stretch is that of the stylus, not of the motors: slack is not in it.
func TestThePassesOfALineNearAPlaceAreListedInItsOrder(t *testing.T) {
	p := machine.DeskToy()
	p.X.SlackMM, p.Y.SlackMM = 0, 0
	for _, c := range []struct {
		name   string
		path   string // after (20, 20)
		at     geom.Point
		along  []float64
		off    []float64
		within float64
	}{
		{"once", "X40", pt(30, 20.4), []float64{10}, []float64{0.4}, 1},
		{"at its end", "X40", pt(40.5, 20), []float64{20}, []float64{0.5}, 1},
		{"nowhere near", "X40", pt(30, 22), nil, nil, 1},
		{"two rows", "X40|Y20.6|X20", pt(30, 20.2), []float64{10, 30.6}, []float64{0.2, 0.4}, 1},
		{"gone over again", "X40|X20", pt(30, 20), []float64{10, 30}, []float64{0, 0}, 1},
		{"gone over again at the turn", "X40|X20", pt(39.9, 20), []float64{19.9}, []float64{0}, 1},
		{"a crossing", "X40|Y30|X30|Y10", pt(30, 20), []float64{10, 50}, []float64{0, 0}, 1},
		{"pieces of one straight way", "X25|X30|X35", pt(30, 20.1), []float64{10}, []float64{0.1}, 1},
		{"a corner from inside", "X40|Y40", pt(39.5, 20.5), []float64{19.5, 20.5}, []float64{0.5, 0.5}, 1},
	} {
		text := "G21 G90 G94\n"
		for _, word := range strings.Split(c.path, "|") {
			text += "G1 " + word + " F600\n"
		}
		text += "M2\n"
		record := &link.Record{
			Text: link.TextFingerprint(text), Profile: link.Fingerprint(p),
			Start: link.Place{Steps: p.NearestStep(pt(20, 20))},
		}
		s, err := link.StretchOf(p, record, text)
		require.NoError(t, err, c.name)
		// All of it may be drawn: long moves are sent in pieces.
		for ; err == nil; record.MaySend++ {
			var more *link.Stretch
			if more, err = link.StretchOf(p, record, text); err == nil {
				s = more
			}
		}
		origin := p.ToPage(pt(0, 0)) // the paths are in machine mm
		passes := s.Near(c.at.Add(origin), c.within)
		require.Len(t, passes, len(c.along), "%s: %+v", c.name, passes)
		for i, pass := range passes {
			require.InDelta(t, c.along[i], pass.AlongMM, 0.02, c.name)
			require.InDelta(t, c.off[i], pass.OffMM, 0.02, c.name)
		}
	}
	_, err := link.StretchOf(p, &link.Record{Name: "other"}, "M2\n")
	require.Equal(t, "resume-differs", code(t, err))
}
