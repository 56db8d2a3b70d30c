package live

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"math"
	"sort"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"wend/cmd/wend/engine"
	"wend/cmd/wend/operate"
	"wend/cmd/wend/tty"
	"wend/lang/diag"
	"wend/lang/diag/render"
	"wend/lang/source"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/machine"
	"wend/runtime/plan"
	"wend/runtime/preview"
	"wend/runtime/simulator"
)

// scripted is a person whose lines are known beforehand.
type scripted struct {
	lines  []string
	asked  []string
	pasted bool // not typed by hand
	// then gives more lines after the last one; it may be nil.
	then func() []string
}

func (s *scripted) ReadLine(prompts ...string) (string, error) {
	s.asked = append(s.asked, prompts[0])
	if len(s.lines) == 0 && s.then != nil {
		s.lines = s.then()
	}
	if len(s.lines) == 0 {
		return "", io.EOF
	}
	line := s.lines[0]
	s.lines = s.lines[1:]
	if line == "^C" {
		return "", tty.ErrCleared
	}
	return line, nil
}

func (s *scripted) Waiting() bool { return false }

func (s *scripted) Answer(prompts ...string) (string, error) { return s.ReadLine(prompts...) }

func (s *scripted) ByHand() bool { return !s.pasted }

func (s *scripted) Drop() {}

// bench is a prompt with everything around it: a person, a screen, files and a
// simulated machine in its own time.
type bench struct {
	*Prompt
	person    *scripted
	screen    bytes.Buffer
	written   map[string]string
	simulated *simulator.Machine
	wiped     int
	disturbs  bool
	interrupt chan struct{}
	stretch   *link.Stretch // of the last picture of where the stylus may stand
	// then is done when the machine's clock comes to a time, in seconds.
	thenAt float64
	then   func()
	// refuse is the line that moves, from 1, that the board refuses; whoever hears
	// of it stops at once.
	refuse, moved int
	heard         []byte
}

// at has something done when the machine's clock comes to a time.
func (b *bench) at(seconds float64, do func()) { b.thenAt, b.then = seconds, do }

// watched is a wire on which a bench does what it is to do at a time.
type watched struct {
	*simulator.Port
	b *bench
}

func (w watched) Read(dst []byte) (int, error) {
	if do := w.b.then; do != nil && w.b.simulated.Now() >= w.b.thenAt {
		w.b.then = nil
		do()
	}
	n, err := w.Port.Read(dst)
	if w.b.refuse > 0 {
		if w.b.heard = append(w.b.heard, dst[:n]...); bytes.Contains(w.b.heard, []byte("error:")) {
			w.b.refuse = 0
			w.b.stopsAtOnce()
		}
	}
	return n, err
}

func (w watched) Write(src []byte) (int, error) {
	if bytes.HasPrefix(src, []byte("G1X")) {
		if w.b.moved++; w.b.moved == w.b.refuse {
			changed := bytes.Replace(src, []byte("X"), []byte("Q"), 1)
			return w.Port.Write(changed)
		}
	}
	return w.Port.Write(src)
}

// stopsAtOnce is a person who presses Ctrl-C twice.
func (b *bench) stopsAtOnce() {
	b.interrupt <- struct{}{}
	b.at(b.simulated.Now()+0.02, func() { b.interrupt <- struct{}{} })
}

func newBench(t testing.TB, lines ...string) *bench {
	b := &bench{person: &scripted{lines: lines}, written: map[string]string{}, interrupt: make(chan struct{}, 1)}
	o := Options{
		Settings: settings(), Lines: b.person, Out: &b.screen, Plain: true, Interrupted: b.interrupt,
		Diagnose: func(list diag.List) { render.Text(&b.screen, list, render.Style{Plain: true}) }, //nolint:errcheck // a buffer
		Explain:  func(_ context.Context, word string) (string, error) { return "explained " + word, nil },
		Load: func(name string) (*source.File, error) {
			if text, ok := files[name]; ok {
				return source.New(name, text), nil
			}
			return nil, &diag.Fault{Code: "file-missing", Args: diag.Args{"name": name}}
		},
		Write: func(name string, data []byte, over bool) error {
			if _, there := b.written[name]; there && !over {
				return &diag.Fault{Code: "output-exists", Args: diag.Args{"name": name}}
			}
			b.written[name] = string(data)
			return nil
		},
		Picture: func(context.Context, *engine.Program, *plan.Plan, int) ([]byte, error) {
			return []byte("a picture"), nil
		},
		Stopped: func(_ context.Context, _ preview.Picture, stretch *link.Stretch) ([]byte, error) {
			b.stretch = stretch
			return []byte("a picture"), nil
		},
		Remove:   func(name string) { delete(b.written, name) },
		Pictured: func(name string) bool { return b.written[name] == "a picture" },
	}
	o.Connect = func(ctx context.Context, port string) (*operate.Connection, error) {
		if port != "sim" {
			return nil, &diag.Fault{Code: "port-missing", Args: diag.Args{"port": port}}
		}
		p := o.Settings.Profile
		b.simulated = simulator.New(engine.Simulated(p, p.Area.StartMM, machine.Gap{}))
		wire, err := b.simulated.Open(10 * time.Millisecond)
		if err != nil {
			return nil, err
		}
		now := func() time.Time {
			return time.Unix(0, 0).Add(time.Duration(b.simulated.Now() * float64(time.Second)))
		}
		at := link.Place{Steps: link.MotorsAt(p, p.Area.StartMM, machine.Gap{})}
		l, err := link.Connect(ctx, link.Setup{Wire: watched{wire, b}, Now: now, Profile: p, At: &at})
		if err != nil {
			return nil, err
		}
		return &operate.Connection{
			Machine: l, Name: "the simulated machine", CheckList: []string{"the check list"}, Calibrated: true, Close: wire.Close,
			Wipe: func(context.Context) error { b.wiped++; return nil }, Disturbs: b.disturbs,
		}, err
	}
	p, list := New(context.Background(), o)
	require.False(t, list.Failed(), "%v", list)
	b.Prompt = p
	return b
}

// runs lets the prompt run to the end of the person's lines.
func (b *bench) runs(t *testing.T) string {
	require.NoError(t, b.Run(context.Background()), b.screen.String())
	return b.screen.String()
}

// trace is the line that the simulated stylus drew, in page mm.
func (b *bench) trace() []geom.Point {
	trace := b.simulated.Trace()
	for i, at := range trace {
		trace[i] = b.Settings.Profile.ToPage(at)
	}
	return trace
}

func TestThePromptShowsWhereEachEntryLed(t *testing.T) {
	screen := newBench(t, "ahead 40", "turn 90", "ahead 12.34", "note 3 * 4").runs(t)
	require.Contains(t, screen, "at (40, 0), heading 0 degrees, right, line so far 40.0 mm\n")
	require.Contains(t, screen, "at (40, 12.3), heading 90 degrees, up, line so far 52.3 mm\n12\n")
	require.NotContains(t, screen, "\x1b")
}

func TestAnOpenBlockGoesOnOnTheNextLine(t *testing.T) {
	b := newBench(t, "loop 4 {", "  ahead 10", "turn 90 }", "loop 2 {", "^C", "ahead 7")
	b.runs(t)
	require.Equal(t, []string{"dry (0, 0) 0> ", "        in {> ", "        in {> ", "dry (0, 0) 0> ", "        in {> ", "dry (0, 0) 0> ", "dry (7, 0) 0> "}, b.person.asked)
}

func TestTheFirstErrorEndsAScript(t *testing.T) {
	b := newBench(t, "ahead 10", "ahed 10", "ahead 10")
	b.Script = true
	require.ErrorIs(t, b.Run(context.Background()), ErrFailed)
	require.Equal(t, []string{"ahead 10"}, b.person.lines)
	require.Contains(t, b.screen.String(), "did you mean `ahead`")
}

func TestAnOrderIsNamedWhereItIsNotObeyed(t *testing.T) {
	require.Contains(t, newBench(t, "where").runs(t), "the order to the prompt is `/where`")
	require.Contains(t, newBench(t, "clear").runs(t), "the order to the prompt is `/new sheet`")
	require.Contains(t, newBench(t, "/hepl").runs(t), "there is no order `/hepl`; did you mean `/help`?")
	require.Contains(t, newBench(t, "/clear").runs(t), "there is no order `/clear`; it is `/new sheet`")
}

func TestWordsForLookingGoingBackAndLeavingAreObeyedAlone(t *testing.T) {
	for _, word := range []string{"quit", "exit", "goodbye", "close", "/quit", "/exit", "Exit", "good bye", "salir"} {
		b := newBench(t, "ahead 5", word, "ahead 5")
		b.runs(t)
		if word != "good bye" {
			require.Equal(t, []string{"ahead 5"}, b.person.lines, word)
		}
	}
	screen := newBench(t, "ahead 5", "turn 90", "ahead 7", "undo", "undo 2", "undo", "help arc", "explain unknown-word", "words", "save flower").runs(t)
	require.Contains(t, screen, "forgot `ahead 7`")
	require.Contains(t, screen, "forgot 2 entries, from `ahead 5` to `turn 90`")
	require.Contains(t, screen, "there is no entry to forget")
	require.Contains(t, screen, "explained arc")
	require.Contains(t, screen, "explained unknown-word")
	require.Contains(t, screen, "The stylus: ahead turn")
	require.Contains(t, screen, "wrote flower.wend")
	// They stay free as names of a program, and what looks like one is one.
	screen = newBench(t, "figure exit(d) { ahead d }", "exit 3", "let save = 4", "exit save", "undo = 3", "help(3)").runs(t)
	require.Contains(t, screen, "at (7, 0)")
	require.NotContains(t, screen, "forgot")
	// Entries that come from a pipe are entries at the prompt.
	b := newBench(t, "quit", "ahead 5")
	b.Script = true
	require.NoError(t, b.Run(context.Background()))
	require.NotContains(t, b.screen.String(), "at (5, 0)")
}

func TestDrawAloneNamesTheOrder(t *testing.T) {
	require.Contains(t, newBench(t, "draw").runs(t), "the order to the prompt is `/draw`")
	require.NotContains(t, newBench(t, "draw rotate").runs(t), "the order to the prompt")
}

func TestForgettingGoesBackToAnyEntry(t *testing.T) {
	b := newBench(t, "ahead 1", "ahead 2", "turn 90", "ahead 4", "ahead 5", "/entries", "/forget to 2", "/forget 7", "/forget to 2", "/forget x", "/forget to 0", "/entries")
	screen := b.runs(t)
	require.Contains(t, screen, "   1  ahead 1\n   2  ahead 2\n   3  turn 90\n   4  ahead 4\n")
	require.Contains(t, screen, "forgot 3 entries, from `turn 90` to `ahead 5`\nat (3, 0), heading 0 degrees")
	require.Contains(t, screen, "there are 2 entries to forget, not 7")
	require.Contains(t, screen, "nothing comes after entry 2")
	require.Contains(t, screen, "it is written `/forget`")
	require.Contains(t, screen, "forgot 2 entries, from `ahead 1` to `ahead 2`\nat (0, 0)")
	require.Contains(t, screen, "there is no entry yet")
}

func TestOrdersWorkWithinAnOpenBracket(t *testing.T) {
	b := newBench(t, "loop 2 {", "", "/where", "ahead 3", "/words", "}", "let a = (12", "/ 3)", "note a")
	screen := b.runs(t)
	require.Contains(t, screen, "a `{` is still open: `}` ends the entry, Ctrl-C drops it")
	require.Contains(t, screen, "dry: no machine is connected")
	require.Contains(t, screen, "The stylus: ahead")
	require.Contains(t, screen, "at (6, 0)")
	require.Contains(t, screen, "\n4\n")
	// Left in between, the entry is dropped, and what comes next is an entry.
	b = newBench(t, "loop 2 {", "ahead 3", "^C", "ahead 4", "loop {", "/leave", "ahead 1")
	screen = b.runs(t)
	require.Contains(t, screen, "the open entry is dropped")
	require.Contains(t, screen, "at (4, 0)")
	require.Equal(t, []string{"ahead 1"}, b.person.lines)
}

func TestALineThatBeginsTooLateIsPointedToForget(t *testing.T) {
	for _, order := range []string{"/load placed.wend", "begin 20, 20"} {
		require.Contains(t, newBench(t, "ahead 5", order).runs(t), "hint: `/forget` takes entries back, one by one, until none has drawn", order)
		require.Contains(t, newBench(t, "begin 5, 5", order).runs(t), "; `/forget` takes entries back", order)
	}
	// It is a way out, and so is a new sheet.
	require.Contains(t, newBench(t, "ahead 5", "turn 90", "/forget", "/forget", "/load placed.wend").runs(t), "at (30, 20)")
	require.Contains(t, newBench(t, "ahead 5", "/new sheet", "/load placed.wend").runs(t), "at (30, 20)")
}

func TestNoOrderIsTakenForAStatement(t *testing.T) {
	for _, o := range ordersTable() {
		s := newSession(t)
		refused(t, s, "/"+o.form)
	}
	// Programs may use all of their words as names.
	b := newBench(t, "figure step(d) { ahead d }", "let save = 3", "step save", "/where")
	require.Contains(t, b.runs(t), "at (3, 0), heading 0 degrees, right, line so far 3.0 mm\ndry: no machine")
}

func TestHelpSpeaksOfOrdersOwnNamesAndTheLanguage(t *testing.T) {
	screen := newBench(t, "figure petal(size, open = 3) { ahead size + open }", "/help", "/help machine", "/help petal", "/help arc", "/help forget").runs(t)
	for _, o := range ordersTable() {
		require.Contains(t, screen, "/"+o.form+": "+o.does)
	}
	require.Contains(t, screen, "petal size, open:")
	require.Contains(t, screen, "explained arc")
}

func TestCtrlCEndsWhatIsWorkedOut(t *testing.T) {
	b := newBench(t, "ahead 5", "loop while true { turn 1 }", "ahead 5")
	started := make(chan struct{})
	go func() {
		<-started
		time.Sleep(300 * time.Millisecond) // it is being worked out by then
		b.interrupt <- struct{}{}
	}()
	b.Lines = &signalling{b.person, "loop while true { turn 1 }", started}
	screen := b.runs(t)
	require.Contains(t, screen, "stopped; nothing of the entry counts\n")
	require.Contains(t, screen, "at (10, 0)")
}

// signalling closes a channel when a line is handed out.
type signalling struct {
	*scripted
	at      string
	started chan struct{}
}

func (s *signalling) ReadLine(prompts ...string) (string, error) {
	line, err := s.scripted.ReadLine(prompts...)
	if line == s.at {
		close(s.started)
	}
	return line, err
}

func TestEntriesAreSavedAndLoaded(t *testing.T) {
	b := newBench(t, "begin 20, 20", "/load square.wend", "ahead 7", "/save one.wend", "ahead 1", "/save one.wend")
	b.written["two.wend"] = "mine"
	b.person.lines = append(b.person.lines, "/save two.wend", "/load none.wend")
	screen := b.runs(t)
	require.Equal(t, "begin 20, 20\n\n# A square.\nlet side = 20\nloop 4 {\n  ahead side\n  turn 90\n}\n\nahead 7\nahead 1\n", b.written["one.wend"])
	require.Equal(t, "mine", b.written["two.wend"])
	require.Contains(t, screen, "two.wend is there already; `/save over two.wend` writes over it")
	b = newBench(t, "ahead 3", "/save over two", "ahead 4", "/save")
	b.written["two.wend"] = "mine"
	b.runs(t)
	require.Equal(t, "ahead 3\nahead 4\n", b.written["two.wend"])
	require.Contains(t, screen, "there is no file `none.wend`")
}

func TestAPictureReplacesNoFileThatIsNone(t *testing.T) {
	b := newBench(t, "ahead 3", "/save s.wend", "/picture s.wend", "/picture over s.wend", "/picture mine", "/picture hers.png", "/picture hers.png",
		"/picture", "/picture over mine.png", "/picture over")
	b.written["mine.png"], b.written["live.png"] = "mine", "mine"
	screen := b.runs(t)
	require.Equal(t, "ahead 3\n", b.written["s.wend"])
	require.Equal(t, 2, strings.Count(screen, "a picture is a PNG, so the name of its file ends in .png, not in .wend"))
	require.Contains(t, screen, "mine.png is there already; `/picture over mine.png` writes over it\nwrote hers.png\nwrote hers.png\n"+
		"live.png is there already; `/picture over live.png` writes over it\nwrote mine.png\nwrote live.png\n")
	require.Equal(t, "a picture", b.written["mine.png"])
	// The usual picture of an earlier prompt is for writing again.
	b = newBench(t, "/picture")
	b.written["live.png"] = "a picture"
	require.Contains(t, b.runs(t), "wrote live.png")
}

func TestEachPromptHasAUsualPictureOfItsOwn(t *testing.T) {
	b := newBench(t, "/picture")
	b.Kept = "state/live-2.wend"
	require.Contains(t, b.runs(t), "wrote live-2.png\n")
	require.NotContains(t, b.written, "live.png")
}

func TestAFolderIsNoNameOfAFile(t *testing.T) {
	for _, folder := range []string{"/root/", "over drawings/", ".", "..", "drawings/.."} {
		for _, order := range []string{"/save ", "/picture "} {
			b := newBench(t, "ahead 3", order+folder)
			require.Contains(t, b.runs(t), strings.TrimPrefix(folder, "over ")+" is a folder; name a file\n", order+folder)
			require.Empty(t, b.written, order+folder)
		}
	}
}

func TestWhatWasLeftIsRestoredEntryByEntry(t *testing.T) {
	b := newBench(t, "/restore", "ahead 5", "/restore", "/where", "/forget 2", "/entries", "/forget 3", "/restore")
	b.Left = "kept.wend"
	files["kept.wend"] = "# A kite.\nfigure kite(size) {\n  ahead size * factor\n}\n\nlet factor = 2\n\nkite 4\nahead 7\nnote \"well\"\n"
	defer delete(files, "kept.wend")
	screen := b.runs(t)
	require.Contains(t, screen, "well\nrestored 4 entries; `/entries` shows what\nat (15, 0)")
	require.Equal(t, 1, strings.Count(screen, "it is restored already"))
	require.Contains(t, screen, "line so far 20.0 mm", "of the seven millimetres, five more and the kite")
	require.Contains(t, screen, "   1  # A kite. …\n   2  kite 4\n   3  ahead 7\n")
	require.Equal(t, files["kept.wend"], b.session.Program(), "what was taken back can be restored")
}

func TestAProgramIsCutIntoItsStatements(t *testing.T) {
	for text, want := range map[string][]string{
		"":                              nil,
		"# alone\n":                     nil,
		"a; b\nc\n":                     {"a; b\n", "c\n"},
		"# one\na\n\n# two\nb # end":    {"# one\na\n", "\n# two\nb # end"},
		"loop 2 {\n a\n}; b\nc\n# last": {"loop 2 {\n a\n}; b\n", "c\n# last"},
	} {
		parts, list := statementsOf(source.New("", text))
		require.Empty(t, list)
		require.Equal(t, want, parts, text)
	}
}

func TestWhatCannotBeRestoredIsSaidAndTheRestCounts(t *testing.T) {
	b := newBench(t, "/restore", "/entries")
	b.Left = "kept.wend"
	files["kept.wend"] = "ahead 7\nahead missing\nturn 4\n"
	defer delete(files, "kept.wend")
	screen := b.runs(t)
	require.Contains(t, screen, "restored 1 entry")
	require.Contains(t, screen, "`missing`")
	require.Contains(t, screen, "   1  ahead 7\n")
}

func TestWalkingBackGoesOverTheLine(t *testing.T) {
	b := newBench(t, "ahead 30", "turn 90", "ahead 20", "/walk back 5", "/walk back", "/walk back 1000", "/walk")
	screen := b.runs(t)
	require.Contains(t, screen, "at (30, 15)")
	require.Contains(t, screen, "written `/walk back`")
	require.Contains(t, b.session.Program(), "sneak 30, 15\n")
	require.Equal(t, geom.Point{}, b.session.now.Here())
}

func TestNothingMovesBeforeItIsConnectedConfirmedAndArmed(t *testing.T) {
	b := newBench(t, "ahead 10", "/draw", "/arm", "/connect nowhere", "/connect sim", "/draw", "/arm", "/confirm", "ahead 10", "/arm", "no")
	screen := b.runs(t)
	require.Equal(t, 2, strings.Count(screen, "no machine is connected"))
	require.Contains(t, screen, "there is no port nowhere")
	require.Contains(t, screen, "the machine is connected; `/arm` lets drawings start")
	require.Contains(t, screen, "the position is assumed; to draw, somebody must have looked\n    hint: look where the stylus stands: `/confirm` if it is there, else `/here X Y`\n")
	require.NotContains(t, screen, "wend machine here")
	require.Contains(t, screen, "the check list\nthe stylus stands at (0, 0), confirmed; not drawn yet: 20.0 mm\n")
	require.Contains(t, screen, "not armed\n")
	require.Len(t, b.trace(), 1)
	require.Contains(t, strings.Join(b.person.asked, "|"), "|connected, assumed (0, 0) 0> |")
}

func TestWhileTheMachineMayNotDrawEachEntrySaysThatItWaits(t *testing.T) {
	b := newBench(t, "ahead 5", "/connect sim", "ahead 10", "turn 90", "/confirm", "/arm", "arm", "draw", "ahead 2", "draw", "/disarm", "ahead 4")
	screen := b.runs(t)
	require.Equal(t, []string{
		"not drawn on the machine yet: 15.0 mm; `/arm` lets the machine draw it",
		"not drawn on the machine yet: 4.0 mm; `/arm` lets the machine draw it",
	}, lines(screen, "not drawn"))
	require.Contains(t, screen, "line so far 15.0 mm\nnot drawn on the machine yet")
}

func TestALostPositionIsPointedToTheOrdersThatFindIt(t *testing.T) {
	b := newBench(t, "/connect sim", "/confirm", "/arm", "loop 9 { ahead 100; ahead -100 }", "/confirm", "/arm")
	b.talk.Word = operate.Armed
	b.at(5, func() { b.simulated.PowerCycle() })
	screen := b.runs(t)
	require.Contains(t, screen, "hint: look where the stylus stands and say it: `/here X Y`")
	require.NotContains(t, screen, "wend machine here")
}

func TestAnEntryIsDrawnAfterItsEffectWasShownAndTheWordTyped(t *testing.T) {
	b := newBench(t, "/connect sim", "/confirm", "/arm", "arm", "ahead 40", "yes", "no", "/where", "/draw", "draw", "/draw", "/disarm", "/disconnect")
	screen := b.runs(t)
	require.Contains(t, screen, "to draw: 40.0 mm in 1 s, within x 0 to 40, y 0 to 0\nthat is not the word: `draw` does it, Enter alone leaves it\nnot started; `/draw` asks again\n")
	require.Contains(t, screen, "not drawn on the machine yet: 40.0 mm")
	require.Contains(t, screen, "drawn; armed (the simulated machine); the position is confirmed, (40, 0)\n")
	require.Contains(t, screen, "everything is drawn")
	end := b.trace()[len(b.trace())-1]
	require.InDelta(t, 40, end.X, 0.02)
}

func TestALiveDrawingIsWhatTheSavedProgramDraws(t *testing.T) {
	b := newBench(t,
		"/connect sim", "/confirm", "/arm",
		"figure vane(size) {", "ahead size; turn 135; arc size / sqrt(2), 90; turn 135", "}",
		"ahead 60", "turn 60", "ahead 30",
		"loop 5 { vane 18; turn 72 }",
		"figure vane(size) { arc size, 90; ahead -size }",
		"vane 8",
		"draw curve t in 0..360 = (10 * cos(3 * t), 9 * sin(2 * t)) at (40, 60)",
		"/save live.wend", "/disconnect")
	b.talk.Word = operate.Armed
	screen := b.runs(t)
	require.NotContains(t, screen, "error", screen)
	program, list := engine.Load(source.New("live.wend", b.written["live.wend"]), settings())
	require.NotNil(t, program, "%v", list)
	drawn, list := program.Draw(context.Background())
	require.False(t, list.Failed(), "%v", list)
	largest, mean := simulator.Deviation(drawn.Sheets[0].Points, b.trace())
	require.Less(t, largest, 0.05)
	require.Less(t, mean, 0.02)
	require.Empty(t, b.simulated.Look().Contacts)
}

func TestWhatIsScratchedIsNotTakenBack(t *testing.T) {
	b := newBench(t, "/connect sim", "/confirm", "/arm", "ahead 20", "/forget", "/disarm", "ahead 5", "/forget", "/forget")
	b.talk.Word = operate.Armed
	screen := b.runs(t)
	require.Equal(t, 2, strings.Count(screen, "is scratched already and cannot be taken back"))
	require.Contains(t, screen, "forgot `ahead 5`")
}

func TestALineThatBeginsElsewhereIsWalkedToAndWiped(t *testing.T) {
	b := newBench(t, "begin 30, 20", "ahead 20", "/connect sim", "/confirm", "/arm", "/new sheet", "ahead 5")
	b.talk.Word = operate.Armed
	screen := b.runs(t)
	require.Contains(t, screen, "the line begins at (30, 20): the stylus walks there first, then the sheet is wiped")
	require.Contains(t, screen, "to walk: 36.1 mm")
	require.Equal(t, 2, b.wiped)
	require.Contains(t, screen, "(55, 20)")
}

func TestASheetThatBeginsElsewhereIsWalkedToAndWiped(t *testing.T) {
	for _, entries := range [][]string{
		{"erase; begin 30, 20", "ahead 20"},
		{"erase", "begin 30, 20", "ahead 20"},
	} {
		b := newBench(t, append([]string{"/connect sim", "/confirm", "/arm", "ahead 10"}, entries...)...)
		b.talk.Word = operate.Armed
		screen := b.runs(t)
		require.Contains(t, screen, "the line begins at (30, 20): the stylus walks there first, then the sheet is wiped")
		require.Contains(t, screen, "to walk: 28.3 mm")
		require.Equal(t, len(entries)-1, b.wiped) // an erase alone wipes, too
		require.NotContains(t, screen, "will be seen")
		require.Contains(t, screen, "(50, 20)")
	}
}

func TestAfterWipingThePersonLooksWhereTheStylusIs(t *testing.T) {
	b := newBench(t, "/connect sim", "/confirm", "/arm", "arm", "ahead 10", "draw", "/new sheet", "no", "/draw", "wipe", "there", "ahead 5", "draw", "/new sheet", "wipe", "")
	b.disturbs = true
	screen := b.runs(t)
	require.Contains(t, screen, "the sheet is not wiped; `/draw` asks again")
	require.Contains(t, strings.Join(b.person.asked, "|"), "does the stylus stand at (10, 0) of the page? Type `there` if so, Enter alone if not: |armed, confirmed (10, 0) 0> |")
	require.Contains(t, screen, "the position is confirmed, (15, 0)")
	require.Equal(t, "connected, assumed (15, 0) 0> ", b.person.asked[len(b.person.asked)-1])
	require.Equal(t, 2, b.wiped)
}

func TestALineWithoutABeginningBeginsWhereTheStylusStands(t *testing.T) {
	b := newBench(t, "ahead 10", "/connect sim", "/here 30 40", "/arm", "/here 300 40")
	b.talk.Word = operate.Armed
	screen := b.runs(t)
	require.Contains(t, screen, "the line begins where the stylus stands, (30, 40)")
	require.Contains(t, screen, "drawn; armed (the simulated machine); the position is confirmed, (40, 40)")
}

func TestStoppedInTheMiddleTheRestIsDrawnLater(t *testing.T) {
	b := newBench(t, "/connect sim", "/confirm", "loop 3 { ahead 100; turn 120 }", "/arm", "/arm", "ahead 5", "/save a.wend")
	b.talk.Word = operate.Armed
	b.at(5, func() { b.interrupt <- struct{}{} })
	screen := b.runs(t)
	require.Contains(t, screen, "stopped at (")
	require.Contains(t, screen, "the position is confirmed")
	require.Contains(t, screen, "`/arm`, then `/draw`, go on with it")
	b.simulated.Advance(1)
	program, _ := engine.Load(source.New("a.wend", b.written["a.wend"]), settings())
	drawn, _ := program.Draw(context.Background())
	largest, _ := simulator.Deviation(drawn.Sheets[0].Points, b.trace())
	require.Less(t, largest, 0.05)
}

// Stopped without braking between rows that are 0.7 mm apart, and seen between two
// of them: which one is meant is asked, and the line goes on there, whole.
func TestAfterAHardStopThePromptAsksOnWhichRowTheStylusStands(t *testing.T) {
	for _, row := range []string{"1", "2"} {
		b := newBench(t)
		b.talk.Word = operate.Armed
		b.at(5, b.stopsAtOnce)
		left, looked := Mark{}, false
		b.person.lines = []string{"/connect sim", "/confirm", "loop 12 { ahead 20; turn 90; ahead 0.7; turn 90; ahead 20; turn -90; ahead 0.7; turn -90 }", "/arm"}
		b.person.then = func() []string {
			if looked {
				return nil
			}
			looked, left = true, b.drawn
			require.Contains(t, b.written, "live.stopped.png")
			require.NotNil(t, b.stretch)
			at, passes := geom.Point{}, 0
			for k := 0; passes < 2 && k < 200; k++ {
				at = geom.Point{X: 0.5 + float64(k%10)*2, Y: 0.7*float64(k/10) + 0.3}
				passes = len(b.stretch.Near(at, 0.5))
			}
			require.GreaterOrEqual(t, passes, 2)
			return []string{"/abandon", "/forget", fmt.Sprintf("/here %.2f %.2f", at.X, at.Y), "9", row, "/arm"}
		}
		screen := b.runs(t)
		require.NotEqual(t, Mark{}, left)
		for _, said := range []string{
			"live.stopped.png shows the stretch of the line on which the stylus may stand", "nobody knows where the stylus is now",
			"it is not known how much of the line is drawn", "scratched already and cannot be taken back",
			"the position is confirmed, (", "times near (", "that is none of the numbers", "off the line: it goes on at (", "drawn; armed",
		} {
			require.Contains(t, screen, said)
		}
		require.NotContains(t, screen, "the way there will be seen")
		require.NotContains(t, b.written, "live.stopped.png")
	}
}

// Who stops at once just as the board has refused a line sees in which outline the
// stylus may stand, beside the line too, and what was missing is drawn from there.
func TestAfterAHardStopBesideTheLineWhatIsMissingIsDrawn(t *testing.T) {
	b := newBench(t)
	b.talk.Word = operate.Armed
	b.refuse = 12
	looked := false
	b.person.lines = []string{"/connect sim", "/confirm", "loop 20 { ahead 4; turn 90; ahead 3; turn -90 }", "/arm"}
	b.person.then = func() []string {
		if looked {
			return nil
		}
		looked = true
		require.Contains(t, b.written, "live.stopped.png")
		require.NotNil(t, b.stretch.Within)
		at := b.Settings.Profile.ToPage(b.simulated.Look().StylusMM)
		return []string{"/abandon", "/forget", fmt.Sprintf("/here %.2f %.2f", at.X, at.Y), "/arm"}
	}
	screen := b.runs(t)
	for _, said := range []string{
		"shows the outline in which the stylus may stand, beside the line too: the board refused a line", "it is not known how much of the line is drawn",
		"scratched already", "the stylus goes back first to where the line surely is drawn", "the way there will be seen", "drawn; armed",
	} {
		require.Contains(t, screen, said)
	}
	// Half of the slack is not known after somebody looked.
	for _, corner := range b.session.now.drawn.Sheets[0].Points {
		trace, mm := b.trace(), math.Inf(1)
		for i := range trace[1:] {
			mm = min(mm, geom.SegmentDistance(trace[i], trace[i+1], corner))
		}
		require.LessOrEqual(t, mm, 0.3, "%v", corner)
	}
}

func TestTheRestOfAStoppedLineIsDroppedAndTheDrawingGoesOnFromThere(t *testing.T) {
	b := newBench(t, "/abandon", "figure bar(d) { ahead d }", "/connect sim", "/confirm",
		"begin 0, 0; ahead 10", "figure side(d) { ahead d; turn 120 }\nloop 3 { side 100 }", "ahead 7", "/arm", "/abandon", "/abandon", "side 5", "/arm", "/save a.wend")
	b.talk.Word = operate.Armed
	b.at(5, func() { b.interrupt <- struct{}{} })
	screen := b.runs(t)
	require.Contains(t, screen, "nothing waits to be drawn")
	require.Contains(t, screen, "`/abandon` drops it")
	require.Contains(t, screen, "dropped; the drawing goes on from here")
	b.simulated.Advance(1)
	program, list := engine.Load(source.New("a.wend", b.written["a.wend"]), settings())
	require.False(t, list.Failed(), "%v\n%s", list, b.written["a.wend"])
	drawn, _ := program.Draw(context.Background())
	largest, _ := simulator.Deviation(drawn.Sheets[0].Points, b.trace())
	require.Less(t, largest, 0.05, b.written["a.wend"])
	require.NotContains(t, b.written["a.wend"], "loop 3")
	require.NotContains(t, b.written["a.wend"], "ahead 7")
	require.Contains(t, b.written["a.wend"], "side 5")
}

// With the word typed once, an entry of the length that was allowed starts with
// its own Enter; a longer one, and what nobody typed there, does not.
func TestShortEntriesStartUnaskedOnceThatIsAllowed(t *testing.T) {
	b := newBench(t, "/unasked 20", "/connect sim", "/unasked 20", "/confirm", "/arm", "arm", "/unasked 20", "unasked", "/unasked",
		"ahead 20", "ahead 21", "no", "/where")
	screen := b.runs(t)
	require.Contains(t, screen, "no machine is connected")
	require.Contains(t, screen, "the machine is connected; `/arm` first")
	require.Contains(t, screen, "entries up to 20.0 mm start with their own Enter; `/unasked 0` ends that")
	require.Equal(t, 1, strings.Count(screen, "drawn; armed"))
	require.Contains(t, screen, "not drawn on the machine yet: 21.0 mm")

	// No slip of the keys allows a line of hours.
	page := b.Settings.Profile.Page()
	most := 10 * (page.Width() + page.Height())
	b = newBench(t, "/connect sim", "/confirm", "/arm", "arm", "/unasked 1e9", fmt.Sprintf("/unasked %g", most+1), fmt.Sprintf("/unasked %g", most), "unasked")
	screen = b.runs(t)
	require.Equal(t, 2, strings.Count(screen, "is too long to start without a question; on this page it may be up to "+gcode.Length(most)))
	require.Contains(t, screen, "entries up to "+gcode.Length(most)+" start with their own Enter")

	// Pasted: one more Enter; anything else is the next entry.
	b = newBench(t, "/connect sim", "/confirm", "/arm", "arm", "/unasked 20", "unasked", "ahead 5", "", "ahead 6", "turn 90; ahead 7", "no", "/where")
	b.person.pasted = true
	screen = b.runs(t)
	require.Equal(t, 1, strings.Count(screen, "drawn; armed"))
	require.Contains(t, screen, "not started; `/draw` asks again\narmed, confirmed (5, 0) 0> turn 90; ahead 7\n")
	require.Contains(t, screen, "not drawn on the machine yet: 13.0 mm")

	// It ends with the arming, and at a fault.
	for _, ends := range [][]string{{"/disarm", "/arm", "arm"}, {"/unasked 0"}} {
		b = newBench(t, append(append([]string{"/connect sim", "/confirm", "/arm", "arm", "/unasked 20", "unasked"}, ends...), "ahead 5", "no", "/where")...)
		require.Contains(t, b.runs(t), "not drawn on the machine yet: 5.0 mm", ends)
	}
}

func TestWhatIsTypedAtAQuestionAndAnswersNothingIsTheNextEntry(t *testing.T) {
	b := newBench(t, "/connect sim", "/confirm", "/arm", "arm", "ahead 5", "turn 90", "/where", "/draw", "draw")
	screen := b.runs(t)
	require.Contains(t, screen, "not started; `/draw` asks again\narmed, confirmed (0, 0) 0> turn 90\n")
	require.Contains(t, screen, "drawn; armed")
}

func TestAPauseHoldsTheMachineUntilThePersonAnswers(t *testing.T) {
	b := newBench(t, "/connect sim", "/confirm", "/arm", `ahead 10; pause "turn the page"; ahead 10`, "later", "resume", `pause "now"`, "ahead 1", "stop")
	b.talk.Word = operate.Armed
	screen := b.runs(t)
	require.Contains(t, screen, "held at (10, 0): turn the page\n")
	require.Contains(t, screen, "the position is confirmed, (20, 0)")
	require.Contains(t, screen, "held at (20, 0): now\nstopped at (20, 0), 0.0 mm drawn")
}

func TestAProgramIsSteppedThroughStatementByStatement(t *testing.T) {
	b := newBench(t, "/step square.wend", "", "", "values", "over", "look", "", "", "over", "", "", "", "", "")
	screen := b.runs(t)
	require.Contains(t, screen, "square.wend, line 2: let side = 20\nat (0, 0), heading 0 degrees, right\n")
	require.Contains(t, screen, "square.wend, line 4: ahead side\nat (0, 0), heading 0 degrees, right\nside = 20\n")
	require.Contains(t, screen, "square.wend, line 5: turn 90\nat (20, 0), heading 0 degrees, right\nhere the words are into, over, on, values and leave\n")
	require.Contains(t, screen, "at (0, 0), heading 0 degrees, right, line so far 80.0 mm")
	require.Equal(t, "at (0, 0)", "at "+place(b.session.now.Here()))
}

func TestAProgramThatBeginsElsewhereIsSteppedByItself(t *testing.T) {
	for _, first := range []string{"ahead 5", "begin 5, 5; ahead 5"} {
		b := newBench(t, first, "/step placed.wend", "", "values", "", "", "/step placed.wend", "", "leave", "ahead 1", "/step placed.wend")
		screen := b.runs(t)
		require.Contains(t, screen, "placed.wend cannot go on from your line: ")
		require.Contains(t, screen, ". It is stepped by itself; your entries stay as they are.\n")
		require.Contains(t, screen, "placed.wend, line 1: begin 20, 20\nat (0, 0), heading 0 degrees, right\n")
		require.Contains(t, screen, "placed.wend, line 2: ahead 10\nat (20, 20), heading 0 degrees, right\n")
		require.Equal(t, 1, strings.Count(screen, "\nat (30, 20), heading 0 degrees, right, line so far 10.0 mm\nthat was placed.wend by itself; your entries: at ("))
		require.Equal(t, 3, strings.Count(screen, "that was placed.wend by itself"))
		require.Len(t, b.session.now.entries, 3)
		require.NotContains(t, b.session.Program(), "20, 20")
	}
}

func TestAProgramThatIsWrongByItselfIsNotSteppedByItself(t *testing.T) {
	files["wrong.wend"] = "begin 3, 3\nahed 4\n"
	files["leaning.wend"] = "begin 3, 3\npetal 4\n"
	defer delete(files, "wrong.wend")
	defer delete(files, "leaning.wend")
	screen := newBench(t, "figure petal(d) { ahead d }", "petal 2", "/step wrong.wend", "/step leaning.wend").runs(t)
	require.Contains(t, screen, "did you mean `ahead`")
	require.Contains(t, screen, "leaning.wend, line 1, column 1: `begin` stands after something that draws already")
	require.NotContains(t, screen, "by itself")
}

func TestNothingIsSteppedByItselfWhileAMachineMayDraw(t *testing.T) {
	b := newBench(t, "ahead 5", "/connect sim", "/confirm", "/arm", "/step placed.wend", "/disarm", "/step placed.wend", "")
	b.talk.Word = operate.Armed
	screen := b.runs(t)
	require.Contains(t, screen, "hint: `/disarm` first: then it is stepped by itself, and the machine stands still\n")
	require.Equal(t, 1, strings.Count(screen, "placed.wend, line 1: begin 20, 20\n"))
	end := b.trace()[len(b.trace())-1]
	require.InDelta(t, 5, end.X, 0.02)
	require.InDelta(t, 0, end.Y, 0.02)
}

func TestTheArrowOfASteppedProgramStandsWhereItsWordsSay(t *testing.T) {
	b := newBench(t, "/step placed.wend", "", "", "")
	b.Plain, b.Size = false, func() (int, int) { return 30, 30 }
	pictures := strings.Split(b.runs(t), "┌")
	require.Len(t, pictures, 4)
	arrows := func(picture string) (column, row int) {
		for i, line := range strings.Split(picture, "\n") {
			if at := strings.IndexRune(line, '→'); at >= 0 {
				return len([]rune(line[:at])), i
			}
		}
		return -1, -1
	}
	column, row := arrows(pictures[1])
	require.Contains(t, pictures[1], "at (0, 0)")
	require.Equal(t, 1, column)
	begun, above := arrows(pictures[2])
	require.Contains(t, pictures[2], "at (20, 20)")
	require.Greater(t, begun, column)
	require.Less(t, above, row)
}

func TestOverPassesAWholeLoopAndOnGoesToThePause(t *testing.T) {
	files["paused.wend"] = "figure p() { ahead 5 }\nloop 3 {\n p\n}\nahead 2\nnote \"two\"\npause \"now\"\nahead 3\n"
	defer delete(files, "paused.wend")
	b := newBench(t, "note 1", "/step paused.wend", "over", "on", "leave")
	screen := b.runs(t)
	require.Equal(t, []string{"paused.wend, line 2: loop 3 {", "paused.wend, line 5: ahead 2", "paused.wend, line 7: pause \"now\""}, lines(screen, "paused.wend, line"))
	require.Contains(t, screen, "right\ntwo\npaused.wend, line 7")
	require.Equal(t, 1, strings.Count(screen, "\n1\n"))
	require.Contains(t, screen, "left; nothing of it counts")
	require.Equal(t, Mark{}, b.session.now.End())
}

func lines(text, prefix string) []string {
	var found []string
	for line := range strings.Lines(text) {
		if strings.HasPrefix(line, prefix) {
			found = append(found, strings.TrimSpace(line))
		}
	}
	return found
}

func TestSteppingMovesTheMachineAndKeepsWhatItDrew(t *testing.T) {
	b := newBench(t, "ahead 3", "/connect sim", "/confirm", "/arm", "arm", "draw", "/step square.wend", "step", "", "", "", "", "", "leave", "/program", "/save s.wend")
	screen := b.runs(t)
	require.Contains(t, screen, "kept as an entry of its own")
	require.Equal(t, "ahead 3\n\nreach 23, 0\nreach 23, 20\n", b.written["s.wend"])
	end := b.trace()[len(b.trace())-1]
	require.InDelta(t, 23, end.X, 0.02)
	require.InDelta(t, 20, end.Y, 0.02)
	require.Equal(t, b.session.now.End(), b.drawn)
}

// keyed are key presses that are known beforehand; after the last one nothing
// is pressed any more.
type keyed struct{ keys []operate.Key }

func (k *keyed) Key(ctx context.Context) (operate.Key, error) {
	if len(k.keys) == 0 {
		<-ctx.Done()
		return 0, ctx.Err()
	}
	key := k.keys[0]
	k.keys = k.keys[1:]
	return key, nil
}

func TestSteeringIsWrittenDownAsStatements(t *testing.T) {
	b := newBench(t, "ahead 20", "/steer", "/steer")
	b.Keys = &keyed{[]operate.Key{
		operate.KeyUp, operate.KeyUp, operate.KeyRight, operate.KeyDown, operate.KeyDown, operate.KeyDown, operate.KeyDown, '+', '+', '+', operate.KeyLeft, '-', operate.KeyRight, operate.KeyEnter,
		operate.KeyUp, operate.KeyEscape,
	}}
	screen := b.runs(t)
	require.Contains(t, screen, "the edge of the page is nearer than that")
	require.Contains(t, screen, "nothing was steered")
	require.Equal(t, "ahead 20\n\nshift 0, 2\nshift 1, 0\nshift 0, -2\nshift -10, 0\nshift 5, 0\n", b.session.Program())
}

func TestSteeringMovesTheMachineKeyByKey(t *testing.T) {
	b := newBench(t, "/connect sim", "/confirm", "/arm", "arm", "/steer", "no", "/steer", "steer", "/forget", "/save s.wend")
	b.Keys = &keyed{[]operate.Key{operate.KeyUp, operate.KeyUp, operate.KeyRight, operate.KeyEscape}}
	screen := b.runs(t)
	require.Contains(t, screen, "not started")
	require.Contains(t, screen, "scratched already")
	require.Equal(t, "shift 0, 2\nshift 1, 0\n", b.written["s.wend"])
	end := b.trace()[len(b.trace())-1]
	require.InDelta(t, 1, end.X, 0.02)
	require.InDelta(t, 2, end.Y, 0.02)
}

func TestAScriptTellsWhyItEnded(t *testing.T) {
	for line, want := range map[string]error{"/connect nowhere": ErrMachine, "/forget": ErrFailed, "/connect sim": nil} {
		b := newBench(t, line)
		b.Script = true
		require.ErrorIs(t, b.Run(context.Background()), want)
	}
	b := newBench(t, "/connect sim", "/confirm", "/arm", "loop 9 { ahead 100; ahead -100 }", "ahead 5")
	b.Script, b.talk.Alone, b.talk.Word = true, true, operate.Armed
	b.at(5, func() { b.interrupt <- struct{}{} })
	require.ErrorIs(t, b.Run(context.Background()), ErrStopped)
	require.Len(t, b.person.lines, 1)
}

func TestTheEndOfAContextStopsTheMachineAndThePrompt(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	b := newBench(t, "/connect sim", "/confirm", "/arm", "loop 9 { ahead 100; ahead -100 }")
	b.talk.Word = operate.Armed
	b.at(5, cancel)
	require.ErrorIs(t, b.Run(ctx), context.Canceled)
	require.Contains(t, b.screen.String(), "stopped at (")
	require.Nil(t, b.machine)
}

func TestHeadingsAreSaidInEightDirections(t *testing.T) {
	for heading, word := range map[float64]string{0: "right", 22: "right", 23: "up and right", 90: "up", 180: "left", 225: "down and left", 337.4: "down and right", 337.6: "right", 359.9: "right"} {
		require.Equal(t, word, directionOf(heading), "%g", heading)
	}
	require.Equal(t, "-0.3", diag.Tenths(-0.31))
	require.Equal(t, "0", diag.Tenths(-0.01))
	require.Equal(t, "0.333333333", number(1.0/3))
	require.Equal(t, "0", number(-1e-12))
}

func TestAnEntryIsFoldedForTheHistoryWhereThatMeansTheSame(t *testing.T) {
	for text, want := range map[string]string{
		"loop 4 {\n  ahead 10\n  turn 90\n}":             "loop 4 { ahead 10; turn 90 }",
		"if a > 1 {\n ahead 1\n} else {\n ahead 2\n}":    "if a > 1 { ahead 1 } else { ahead 2 }",
		"let xs = [\n 1,\n 2\n]":                         "let xs = [ 1, 2 ]",
		"ahead 3":                                        "ahead 3",
		"loop 4 { # sides\n ahead 10\n}":                 "loop 4 { # sides\n ahead 10\n}",
		"draw path {\n ahead 1\n}\n .rotate(3)":          "draw path { ahead 1 } .rotate(3)",
		"let xs = [\n 1\n, 2\n]":                         "let xs = [\n 1\n, 2\n]",
		"figure p(\n a,\n b\n) {\n ahead a\n ahead b\n}": "figure p( a, b ) { ahead a; ahead b }",
	} {
		require.Equal(t, want, folded(text))
	}
}

func TestCompletionKnowsTheLibraryTheEntriesAndTheOrders(t *testing.T) {
	b := newBench(t)
	enter(t, b.session, "figure petal(size) { ahead size }")
	enter(t, b.session, "fn petals(n) = n")
	enter(t, b.session, "let tree = {tall: 3}")
	for line, want := range map[string][]string{
		"shi":                  {"shift"},
		"peta":                 {"petal size", "petals(n)"},
		"curves.ro":            {"rose"},
		"/wa":                  {"walk"},
		"/help rotat":          {"rotate"},
		"/help ros":            {"rose"},
		"/words kin":           {"kinds of values"},
		"ahead 20m":            {"mm"},
		"draw petal(4).sca":    {"scale"},
		"draw text(\"A\", hei": {"height: "},
		"ahead tree.ta":        {"tall"},
		"/save pet":            nil,
		"loop 3 { sne":         {"sneak"},
		"qqq":                  nil,
		"":                     nil,
	} {
		head, words, tail := b.Complete(line+" }", len(line))
		require.Equal(t, want, words, line)
		if len(words) > 0 {
			require.Equal(t, " }", tail)
			require.True(t, strings.HasPrefix(line, head))
		}
	}
	b.Programs = func(begin string) []string { return []string{begin + "uare.wend"} }
	head, words, _ := b.Complete("/load my/sq", 11)
	require.Equal(t, "/load my/square.wend", head+words[0])
	_, words, _ = b.Complete("shift", 5)
	require.Equal(t, []string{"shift"}, words)
	require.Contains(t, b.screen.String(), "shift dx, dy")
	_, words, _ = b.Complete("arc 20, ", 8)
	require.Empty(t, words)
	require.Contains(t, b.screen.String(), "arc radius, angle   here: angle, a number, in degrees")

	b.open = "loop lap in 1..3 {\n  ahead 3\n"
	head, words, _ = b.Complete("  ahead la", 10)
	require.Equal(t, "  ahead lap", head+words[0], "an entry goes on over several lines")
}

func TestAStopIsFoundOnTheLineThatWasDrawn(t *testing.T) {
	there := []geom.Point{{}, {X: 10}, {}, {X: 10}}
	vertex, on, mm := along(there, geom.Point{X: 4, Y: 0.01}, 16, false)
	require.Equal(t, 1, vertex)
	require.InDelta(t, 4, on.X, 1e-9)
	require.InDelta(t, 6, mm, 1e-9)
	vertex, _, mm = along(there, geom.Point{}, 23, true)
	require.Equal(t, 2, vertex)
	require.InDelta(t, 3, mm, 1e-9)
}

func TestOrdersAreWordsOfTheirOwn(t *testing.T) {
	var words []string
	for _, o := range ordersTable() {
		require.Equal(t, o.word, strings.Fields(o.form)[0])
		words = append(words, o.word)
	}
	sort.Strings(words)
	for i := 1; i < len(words); i++ {
		require.NotEqual(t, words[i-1], words[i])
	}
}
