package link_test

import (
	"context"
	"fmt"
	"io/fs"
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/stretchr/testify/require"

	"wend/lang/diag"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/machine"
	"wend/runtime/simulator"
)

// epoch is when virtual time begins.
var epoch = time.Date(2030, 1, 1, 12, 0, 0, 0, time.UTC)

// tester is a test, or one trial of a property.
type tester interface {
	require.TestingT
	Helper()
}

// bench is a simulated machine whose walls are the edges of the area, with a
// link's surroundings.
type bench struct {
	t       tester
	profile *machine.Profile
	sim     *simulator.Machine
	files   *memoryFiles
	port    *simulator.Port
	dead    bool // the sending process is no more
}

// process is the port as a process has it: one that is killed does nothing any
// more, in the middle of whatever it does.
type process struct {
	*simulator.Port
	b *bench
}

func (p process) Read(dst []byte) (int, error) {
	n, err := p.Port.Read(dst)
	if p.b.dead {
		panic(killed{})
	}
	return n, err
}

func (p process) Write(src []byte) (int, error) {
	if p.b.dead {
		panic(killed{})
	}
	return p.Port.Write(src)
}

// setupOf is the simulated machine that a profile describes.
func setupOf(p *machine.Profile, page geom.Point) simulator.Setup {
	return simulator.Setup{
		Board: simulator.Board{
			StepsPerMM:       [2]float64{p.Board.StepsPerMM.X, p.Board.StepsPerMM.Y},
			RateMMPerMin:     [2]float64{p.X.MaxSpeedMMS * 60, p.Y.MaxSpeedMMS * 60},
			AccelerationMMS2: [2]float64{p.X.MaxAccelerationMMS2, p.Y.MaxAccelerationMMS2},
			CornerMM:         p.Drawing.CornerDeviationMM,
			Baud:             p.Board.Baud, ReceiveBytes: p.Board.ReceiveBufferBytes, QueueMoves: p.Board.QueueMoves,
			LineBytes: p.Board.LineLimitBytes, StepRateHz: p.Board.StepRateLimitHz,
		},
		Mechanics: simulator.Mechanics{
			StepsPerMM: [2]float64{p.X.StepsPerMM(), p.Y.StepsPerMM()},
			SlackMM:    [2]float64{p.X.SlackMM, p.Y.SlackMM},
			WidthMM:    p.Area.WidthMM, HeightMM: p.Area.HeightMM, StartMM: p.ToMachine(page),
		},
	}
}

func newBench(t tester, change func(*machine.Profile, *simulator.Setup)) *bench {
	p := machine.DeskToy()
	setup := setupOf(p, p.Area.StartMM)
	if change != nil {
		change(p, &setup)
	}
	return &bench{t: t, profile: p, sim: simulator.New(setup), files: newMemoryFiles()}
}

func (b *bench) now() time.Time {
	return epoch.Add(time.Duration(b.sim.Now() * float64(time.Second)))
}

// connect opens port and memory.
func (b *bench) connect() (*link.Link, error) {
	port, err := b.sim.Open(10 * time.Millisecond)
	if err != nil {
		return nil, err
	}
	b.port = port
	memory, err := link.OpenMemory(b.files, "bench", b.profile)
	require.NoError(b.t, err)
	b.files.release = memory.Close
	return link.Connect(context.Background(), link.Setup{Wire: process{port, b}, Now: b.now, Profile: b.profile, Memory: memory})
}

// leave ends a session as the end of its process does.
func (b *bench) leave() {
	b.port.Close()
	if b.files.release != nil {
		b.files.release()
	}
}

// ready is a link that is armed, with the stylus where it really is.
func (b *bench) ready() *link.Link {
	b.t.Helper()
	l, err := b.connect()
	require.NoError(b.t, err)
	require.NoError(b.t, l.Declare(context.Background(), b.profile.ToPage(b.sim.Look().StylusMM)))
	require.NoError(b.t, l.Arm())
	return l
}

// stylus is where it truly is, page mm.
func (b *bench) stylus() geom.Point { return b.profile.ToPage(b.sim.Look().StylusMM) }

// script is an operator that wishes by the time of the clock.
type script struct {
	now    func() time.Time
	at     []timedWish
	limit  float64 // seconds after which a run that has not ended never will; 0: none
	stays  bool    // somebody decides when it holds
	after  func(*script)
	holds  []string
	faults []*diag.Fault
	mended []*diag.Fault
	shown  []link.Progress
}

type timedWish struct {
	seconds float64
	wish    link.Wish
}

func (s *script) Wish() link.Wish {
	if s.limit > 0 && s.now().Sub(epoch).Seconds() > s.limit {
		panic(fmt.Sprintf("a run does not end: %+v", s.shown[len(s.shown)-1]))
	}
	if len(s.at) > 0 && s.now().Sub(epoch).Seconds() >= s.at[0].seconds {
		wish := s.at[0].wish
		s.at = s.at[1:]
		return wish
	}
	return link.NoWish
}

func (s *script) Show(p link.Progress) { s.shown = append(s.shown, p) }

func (s *script) Holds(message string, why *diag.Fault, _ geom.Point) bool {
	s.holds = append(s.holds, message)
	if why != nil {
		s.faults = append(s.faults, why)
	}
	if s.after != nil {
		s.after(s)
	}
	return s.stays
}

func (s *script) Mended(why *diag.Fault) { s.mended = append(s.mended, why) }

// memoryFiles are files in memory; they can be full.
type memoryFiles struct {
	content map[string][]byte
	locked  map[string]bool
	fullIn  int // writes until the disk is full; negative: never
	release func()
	writes  int
}

func newMemoryFiles() *memoryFiles {
	return &memoryFiles{content: map[string][]byte{}, locked: map[string]bool{}, fullIn: -1}
}

func (m *memoryFiles) Read(name string) ([]byte, error) {
	if data, ok := m.content[name]; ok {
		return data, nil
	}
	return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
}

type diskFull struct{}

func (diskFull) Error() string { return "no space left on device" }

func (m *memoryFiles) Replace(name string, content []byte) error {
	m.writes++
	if m.fullIn == 0 {
		return &fs.PathError{Op: "write", Path: name, Err: diskFull{}}
	}
	if m.fullIn > 0 {
		m.fullIn--
	}
	m.content[name] = append([]byte(nil), content...)
	return nil
}

func (m *memoryFiles) Remove(name string) error {
	if _, ok := m.content[name]; !ok {
		return &fs.PathError{Op: "remove", Path: name, Err: fs.ErrNotExist}
	}
	delete(m.content, name)
	return nil
}

func (m *memoryFiles) Lock(name string) (func(), error) {
	if m.locked[name] {
		return nil, link.ErrLocked
	}
	m.locked[name] = true
	return func() { delete(m.locked, name) }, nil
}

// flower is a drawing of arcs and long straight lines around the middle of the
// page, beginning at its lower left, in machine mm.
func flower(p *machine.Profile, from geom.Point) string {
	var out strings.Builder
	out.WriteString("G21 G90 G94 G17\n")
	line := func(x, y float64) {
		out.WriteString("G1 X" + number(x) + " Y" + number(y) + " F3600 (line 3)\n")
	}
	line(from.X+30, from.Y+20)
	for k := range 240 {
		a := float64(k) / 240 * 2 * math.Pi
		r := 18 + 9*math.Sin(6*a)
		line(75+r*math.Cos(a), 55+r*math.Sin(a))
	}
	line(120, 80)
	line(20, 85)
	line(22, 86)
	line(100, 30)
	out.WriteString("M2\n")
	return out.String()
}

func number(v float64) string { return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64) }
