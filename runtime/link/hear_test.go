package link

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
)

// What boards of that family say: interoperability, from memory, no source.
func TestLinesFromABoardAreTakenApart(t *testing.T) {
	for _, c := range []struct {
		line string
		want heard
	}{
		{"", heard{kind: heardBlank}},
		{"ok\r", heard{kind: heardOK}},
		{"error:20", heard{kind: heardError, number: 20}},
		{"ALARM:3", heard{kind: heardAlarm, number: 3}},
		{"Bench board [simulated]", heard{kind: heardGreeting, text: "Bench board [simulated]"}},
		{"$100=80.000", heard{kind: heardSetting, number: 100, value: 80}},
		{"$100=80.000 (first axis)", heard{kind: heardSetting, number: 100, value: 80}},
		{"$N1=G21", heard{kind: heardStartUp, number: 1, text: "G21"}},
		{">G21:ok", heard{kind: heardStartUpRan, text: "G21:ok"}},
		{"[GC:G0 G54]", heard{kind: heardMessage, text: "GC:G0 G54"}},
		{"<Run|MPos:1.5,-2,0|Bf:14,127|FS:600,0>", heard{kind: heardReport, report: report{
			state: "Run", machine: true, at: geom.Point{X: 1.5, Y: -2}, freePlaces: 14, freeBytes: 127, speedMMMin: 600, hasPosition: true, feedPart: 100,
		}}},
		{"<Hold:1|WPos:1,2,0|WCO:3,4,0|Ov:90,100,100>", heard{kind: heardReport, report: report{
			state: "Hold:1", at: geom.Point{X: 1, Y: 2}, offset: geom.Point{X: 3, Y: 4}, hasOffset: true, freePlaces: -1, freeBytes: -1, hasPosition: true, feedPart: 90,
		}}},
	} {
		require.Equal(t, c.want, interpret(c.line), c.line)
	}
}

// Half of something is nothing: on this wire nothing tells a changed byte.
func TestWhatIsNotWholeIsUnknown(t *testing.T) {
	for _, line := range []string{
		"o", "k", "okok", "0k", "ok!", "error:", "error:x", "error:-1", "ALARM:", "ALARM:9999",
		"<Run|MPos:1.5,-2,0", "Run|MPos:1,2,0>", "<Rum|MPos:1,2,0>", "<Run>", "<Run|FS:1,0>", "<Run|MPos:1>",
		"<Run|MPos:1.5,-2e1,0>", "<Run|MPos:1,NaN,0>", "<Run|MPos:0x1,2,0>", "<Run|MPos:1,2,0|MPos:1,2,0>", "<Run|MPos:1,2,0|Qf:3>",
		"<Run|MPos:9999999,2,0>", "<Run|MPos:1,2,0|Bf:a,2>", "<Run|MPos:1,2,0|FS:-1,0>", "$=5", "$1x=5", "$100=", "$100=Inf", "$N2=G1", "hello", "[",
	} {
		require.Equal(t, heardUnknown, interpret(line).kind, line)
	}
}

func FuzzInterpretNeverFails(f *testing.F) {
	for _, line := range []string{"ok", "error:1", "<Idle|MPos:0.000,0.000,0.000|Bf:15,128|FS:0,0|WCO:-5.000,-5.000,0.000>", "$$", "$N0=", "[G92:1,2,3]", ">", "<>", "Motion [x]"} {
		f.Add(line)
	}
	f.Fuzz(func(t *testing.T, line string) {
		h := interpret(line)
		if h.kind == heardReport {
			require.True(t, h.report.at.Finite() && h.report.offset.Finite())
			require.True(t, h.report.hasPosition)
		}
		if h.kind == heardOK {
			require.Equal(t, "ok", strings.Trim(line, " \r"))
		}
	})
}

// The table of modes, whole: everything that is not in it is refused.
func TestModesFollowTheTable(t *testing.T) {
	table := map[Mode]map[happening]Mode{
		Dry:       {connects: Connected},
		Connected: {disconnects: Dry, arms: Armed, alarms: Connected},
		Armed:     {idles: Connected, starts: Moving, stops: Connected, alarms: Connected, disconnects: Dry},
		Moving:    {finishes: Armed, holds: Held, stops: Connected, alarms: Connected},
		Held:      {resumes: Moving, stops: Connected, alarms: Connected},
	}
	for _, m := range []Mode{Dry, Connected, Armed, Moving, Held} {
		for h := connects; h <= alarms; h++ {
			to, err := m.next(h)
			if want, ok := table[m][h]; ok {
				require.NoError(t, err)
				require.Equal(t, want, to, "%s, %d", m, h)
			} else {
				require.Error(t, err, "%s, %d", m, h)
				require.Equal(t, m, to)
			}
		}
	}
}

// The time of a chain against closed forms: from rest to rest L/v + v/a where
// the speed is reached, 2√(L/a) where it is not (elementary kinematics).
func TestTheModelOfTheBoardFollowsKinematics(t *testing.T) {
	m := model{acceleration: geom.Point{X: 400, Y: 400}, cornerMM: 0.05}
	seconds := func(speed float64, points ...geom.Point) float64 {
		var chain []stretch
		before := geom.Point{}
		for i := 1; i < len(points); i++ {
			s := m.stretch(points[i-1], points[i], speed, before)
			before = s.direction
			chain = append(chain, s)
		}
		got, _ := m.seconds(chain, 0, nil)
		return got
	}
	require.InDelta(t, 100.0/60+60.0/400, seconds(60, geom.Point{}, geom.Point{X: 100}), 1e-12)
	require.InDelta(t, 2*0.05, seconds(60, geom.Point{}, geom.Point{X: 1}), 1e-12)
	// Cut into pieces, it takes no longer.
	require.InDelta(t, 100.0/60+60.0/400, seconds(60, geom.Point{}, geom.Point{X: 15}, geom.Point{X: 16}, geom.Point{X: 100}), 1e-12)
	// Straight back, it stands at the turn.
	require.InDelta(t, 2*seconds(60, geom.Point{}, geom.Point{X: 50}), seconds(60, geom.Point{}, geom.Point{X: 50}, geom.Point{}), 1e-12)
}
