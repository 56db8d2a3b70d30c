package live

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/cmd/wend/engine"
	_ "wend/internal/repeatable"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

var files = map[string]string{
	"flowers.wend": "figure rose(size) { loop 5 { arc size, 100; turn 44 } }\n",
	"placed.wend":  "begin 20, 20\nahead 10\n",
	"square.wend":  "# A square.\nlet side = 20\nloop 4 {\n  ahead side\n  turn 90\n}\n",
}

func settings() engine.Settings {
	return engine.Settings{Profile: machine.DeskToy(), Read: func(_, name string) (*source.File, error) {
		if text, ok := files[name]; ok {
			return source.New(name, text), nil
		}
		return nil, &diag.Fault{Code: "file-missing", Args: diag.Args{"name": name}}
	}}
}

func newSession(t require.TestingT) *Session {
	s, list := NewSession(context.Background(), settings())
	require.False(t, list.Failed(), "%v", list)
	return s
}

// enter takes an entry that must be acceptable.
func enter(t require.TestingT, s *Session, text string) *Change {
	change, list := s.Try(context.Background(), "", text)
	require.NotNil(t, change, "%s: %v", text, list)
	s.Accept(change)
	return change
}

// refused gives the code with which an entry is refused.
func refused(t require.TestingT, s *Session, text string) diag.Diagnostic {
	before := s.now
	change, list := s.Try(context.Background(), "", text)
	require.Nil(t, change, text)
	require.True(t, list.Failed())
	require.Equal(t, before.entries, s.now.entries)
	require.Same(t, before.drawn, s.now.drawn)
	return list[0]
}

func said(c *Change) string {
	var lines []string
	for _, s := range c.Said {
		lines = append(lines, s.Text)
	}
	return strings.Join(lines, " ")
}

// redrawn is what the saved program draws.
func redrawn(t require.TestingT, s *Session) *state {
	program, list := engine.Load(source.New("saved.wend", s.Program()), settings())
	require.NotNil(t, program, "%v\n%s", list, s.Program())
	drawn, _ := program.Draw(context.Background())
	require.NotNil(t, drawn)
	return &state{program: program, drawn: drawn}
}

func TestAnEntryGoesOnWhereTheLineEnds(t *testing.T) {
	s := newSession(t)
	enter(t, s, "ahead 40")
	enter(t, s, "turn 90")
	c := enter(t, s, "ahead 30")
	require.Equal(t, Mark{0, 1}, c.From)
	require.Equal(t, Mark{0, 2}, c.End())
	require.Equal(t, 30.0, c.Length(c.From, c.End()))
	require.Equal(t, 40.0, c.Here().X)
	require.Equal(t, 30.0, c.Here().Y)
	require.Equal(t, 90.0, c.drawn.Heading)
}

func TestAnEntryIsTakenAsAWholeOrNotAtAll(t *testing.T) {
	s := newSession(t)
	enter(t, s, "let size = 10")
	for text, code := range map[string]diag.Code{
		"ahead 10; ahed 20":         "unknown-word",
		"ahead (":                   "unclosed-bracket",
		"size = 20; ahead size / 0": "divide-by-zero",
		"ahead 500":                 "line-off-page",
		`use "none.wend" as none`:   "file-missing",
	} {
		d := refused(t, s, text)
		require.Equal(t, code, d.Code)
		require.Equal(t, "<entry 2>", d.Span.File.Name)
	}
	require.Equal(t, "10", said(enter(t, s, "note size")))
}

func TestAVariableThatIsLetAgainIsChanged(t *testing.T) {
	s := newSession(t)
	enter(t, s, "let size = 10")
	enter(t, s, "fn double() = size * 2")
	require.Equal(t, "20", said(enter(t, s, "note double()")))
	enter(t, s, "let size = size + 5")
	require.Equal(t, "30", said(enter(t, s, "note double()")))
	require.Contains(t, s.Program(), "\nsize = size + 5\n")
	enter(t, s, `let size = "large"`)
	require.Equal(t, "large", said(enter(t, s, "note size")))
}

func TestANewDefinitionCountsFromThereOn(t *testing.T) {
	s := newSession(t)
	enter(t, s, "figure side(d) { ahead d }")
	enter(t, s, "figure corner(d) { side d; turn 90 }")
	enter(t, s, "corner 20")
	enter(t, s, "figure side(d) { ahead d / 2 }")
	enter(t, s, "corner 20")
	here := s.now.Here()
	require.InDelta(t, 20, here.X, 1e-9)
	require.InDelta(t, 10, here.Y, 1e-9)
	require.Equal(t, `figure side_1(d) { ahead d }

figure corner_1(d) { side_1 d; turn 90 }

corner_1 20

figure corner(d) { side d; turn 90 }
figure side(d) { ahead d / 2 }

corner 20
`, s.Program())
	require.Equal(t, s.now.drawn.Sheets[0].Points, redrawn(t, s).drawn.Sheets[0].Points)
}

func TestADefinitionThatNothingNeededIsReplacedWithoutATrace(t *testing.T) {
	s := newSession(t)
	enter(t, s, "# A side.\nfigure side(d) { ahead d }")
	enter(t, s, "figure corner(d) { side d; turn 90 }")
	enter(t, s, "figure side(d) { ahead d / 2 }")
	enter(t, s, "corner 20")
	require.Equal(t, "figure corner(d) { side d; turn 90 }\n\nfigure side(d) { ahead d / 2 }\n\ncorner 20\n", s.Program())
}

func TestAFunctionValueKeepsWhatItWasMadeWith(t *testing.T) {
	s := newSession(t)
	enter(t, s, "fn scale_up(x) = x * 2")
	enter(t, s, "let f = fn(x) = scale_up(x) + 1")
	enter(t, s, "fn scale_up(x) = x * 10")
	require.Equal(t, "5 20", said(enter(t, s, "note f(2); note scale_up(2)")))
}

func TestAVariableCanBecomeAFigureAndBack(t *testing.T) {
	s := newSession(t)
	enter(t, s, "let leaf = 12")
	enter(t, s, "ahead leaf")
	enter(t, s, "figure leaf(d) { ahead d }")
	enter(t, s, "leaf 3")
	enter(t, s, "let leaf = 1")
	enter(t, s, "ahead leaf")
	require.InDelta(t, 16, s.now.Here().X, 1e-9)
	require.Equal(t, s.now.drawn.Sheets[0].Points, redrawn(t, s).drawn.Sheets[0].Points)
}

func TestANewDefinitionThatDoesNotFitEarlierOnesSaysSo(t *testing.T) {
	s := newSession(t)
	enter(t, s, "figure side(d) { ahead d }")
	enter(t, s, "figure corner(d) { side d; turn 90 }")
	d := refused(t, s, "figure side(a, b) { ahead a + b }")
	require.NotEmpty(t, d.Related)
	require.Contains(t, d.Related[len(d.Related)-1].Text, "give both anew in one entry")
	enter(t, s, "figure side(a, b) { ahead a + b }\nfigure corner(d) { side d, d; turn 90 }")
	enter(t, s, "corner 5")
	require.InDelta(t, 10, s.now.Here().X, 1e-9)
}

func TestAWordOfTheLibraryStaysWhatEarlierEntriesUse(t *testing.T) {
	s := newSession(t)
	enter(t, s, "note max(1, 2)")
	require.Equal(t, diag.Code("live-word-used"), refused(t, s, "fn max(a, b) = a").Code)
	enter(t, s, "let max = 4")
	require.Equal(t, "4", said(enter(t, s, "note max")))

	s = newSession(t)
	enter(t, s, "figure f() { ahead max(1, 2) }")
	enter(t, s, "fn max(a, b) = 30")
	enter(t, s, "f")
	require.InDelta(t, 30, s.now.Here().X, 1e-9)
}

func TestAnErrorInAnEarlierFigureIsBlamedOnTheCall(t *testing.T) {
	s := newSession(t)
	enter(t, s, "figure far(d) { ahead d }")
	d := refused(t, s, "far 900")
	require.Equal(t, "<entry 1>", d.Span.File.Name)
	require.Equal(t, "<entry 2>", d.Trail[0].Span.File.Name)
}

func TestWarningsOfThePromptLeaveOutWhatIsNotUsedYet(t *testing.T) {
	s := newSession(t)
	require.Empty(t, enter(t, s, "let later = 3").Warnings)
	require.Empty(t, enter(t, s, `use "flowers.wend" as flowers`).Warnings)
	enter(t, s, "begin page.center")
	enter(t, s, "flowers.rose 10")
}

func TestForgettingTakesBackTheLatestEntryUnlessItIsScratched(t *testing.T) {
	s := newSession(t)
	enter(t, s, "ahead 10")
	enter(t, s, "let a = 3")
	enter(t, s, "figure a() { ahead 5 }")
	text, err := s.Forget(1, Mark{0, 1})
	require.NoError(t, err)
	require.Equal(t, []string{"figure a() { ahead 5 }"}, text)
	require.Equal(t, "3", said(enter(t, s, "note a")))
	_, err = s.Forget(1, Mark{0, 1})
	require.NoError(t, err)
	_, err = s.Forget(1, Mark{0, 1})
	require.NoError(t, err)
	_, err = s.Forget(1, Mark{0, 1})
	require.ErrorContains(t, err, "scratched already")
	_, err = s.Forget(1, Mark{})
	require.NoError(t, err)
	_, err = s.Forget(1, Mark{})
	require.ErrorContains(t, err, "no entry")
}

func TestAFileThatIsUsedIsReadOnce(t *testing.T) {
	reads := 0
	with := settings()
	inner := with.Read
	with.Read = func(program, name string) (*source.File, error) { reads++; return inner(program, name) }
	s, list := NewSession(context.Background(), with)
	require.False(t, list.Failed())
	enter(t, s, `use "flowers.wend" as flowers`)
	enter(t, s, "begin page.center")
	enter(t, s, "flowers.rose 5")
	require.Equal(t, 1, reads)
}

func TestALineThatBeginsElsewhereIsSavedWithItsBeginning(t *testing.T) {
	s := newSession(t)
	enter(t, s, "let a = 5")
	enter(t, s, "ahead a")
	start := s.now.Here()
	start.X, start.Y = 30, 40
	require.False(t, s.StartAt(context.Background(), start).Failed())
	require.Equal(t, start, s.now.At(Mark{}))
	require.Equal(t, s.now.drawn.Sheets[0].Points, redrawn(t, s).drawn.Sheets[0].Points)

	start.X = 138
	require.True(t, s.StartAt(context.Background(), start).Failed())
	require.Equal(t, 30.0, s.now.At(Mark{}).X)
}

func TestASeedFromOutsideIsSavedWithTheLine(t *testing.T) {
	seed := uint64(7)
	with := settings()
	with.Seed = &seed
	s, _ := NewSession(context.Background(), with)
	enter(t, s, "ahead random(10, 90)")
	require.Equal(t, "seed 7\nahead random(10, 90)\n", s.Program())
	require.Equal(t, s.now.drawn.Sheets[0].Points, redrawn(t, s).drawn.Sheets[0].Points)
	enter(t, s, "seed 3")
	require.Equal(t, "# This line is drawn with --seed 7.\n\nahead random(10, 90)\nseed 3\n", s.Program())
}

// What is saved draws the same line, whatever was entered, redefined and
// forgotten, and every accepted entry leaves the line before it alone.
func TestTheSavedProgramDrawsTheSameLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := newSession(t)
		enter(t, s, "begin page.center")
		names := []string{"one", "two", "three"}
		for range rapid.IntRange(1, 12).Draw(t, "entries") {
			name := rapid.SampledFrom(names).Draw(t, "name")
			other := rapid.SampledFrom(names).Draw(t, "other")
			n := rapid.IntRange(-6, 6).Draw(t, "n")
			text := rapid.SampledFrom([]string{
				fmt.Sprintf("let %s = %d", name, n),
				fmt.Sprintf("figure %s(d) { ahead d + %d; turn 50 }", name, n),
				fmt.Sprintf("figure %s(d) { %s d; turn 20 }", name, other),
				fmt.Sprintf("fn %s(d) = d * 2 + %d", name, n),
				fmt.Sprintf("fn %s(d) = %s(d) + %d", name, other, n),
				fmt.Sprintf("ahead %s", name), fmt.Sprintf("ahead %s(3)", name), fmt.Sprintf("%s 4", name),
				fmt.Sprintf("ahead random(0, 4); turn %d", 10*n),
				"forget",
			}).Draw(t, "text")
			if text == "forget" {
				s.Forget(1, Mark{}) //nolint:errcheck // there may be nothing to forget
				continue
			}
			if change, _ := s.Try(context.Background(), "", text); change != nil {
				require.True(t, continues(s.now.drawn, change.drawn))
				s.Accept(change)
			}
			require.Equal(t, s.now.drawn.Sheets[0].Points, redrawn(t, s).drawn.Sheets[0].Points, s.Program())
		}
	})
}

func BenchmarkEntryAfterAThousandSegments(b *testing.B) {
	s := newSession(b)
	enter(b, s, "begin page.center")
	enter(b, s, "loop 1000 { ahead 10; turn 91 }")
	b.ReportAllocs()
	for b.Loop() {
		change, list := s.Try(context.Background(), "", "ahead 1")
		require.NotNil(b, change, "%v", list)
	}
}

// What an entry costs beside working it out: the sheet in the letters of an 80 by
// 24 window.
func BenchmarkPictureOfAThousandSegments(b *testing.B) {
	bench := newBench(b)
	bench.Plain, bench.Size = false, func() (int, int) { return 80, 24 }
	enter(b, bench.session, "begin page.center")
	enter(b, bench.session, "loop 1000 { ahead 10; turn 91 }")
	b.ReportAllocs()
	for b.Loop() {
		require.NotEmpty(b, bench.picture(&bench.session.now, 0))
	}
}

// The first entries that place something: `begin`, then two figures elsewhere.
func BenchmarkTwoPlacedFiguresAfterBegin(b *testing.B) {
	s := newSession(b)
	enter(b, s, "begin page.center")
	b.ReportAllocs()
	for b.Loop() {
		change, list := s.Try(context.Background(), "", "draw curves.circle(20) at (40, 40); draw curves.circle(20) at (90, 60)")
		require.NotNil(b, change, "%v", list)
	}
}

// A key on which the prompt completes a word.
func BenchmarkCompletionAfterAThousandEntries(b *testing.B) {
	bench := newBench(b)
	enter(b, bench.session, "begin page.center")
	var text strings.Builder
	for i := range 1000 {
		fmt.Fprintf(&text, "let size%d = %d\n", i, i)
	}
	enter(b, bench.session, text.String())
	b.ReportAllocs()
	for b.Loop() {
		_, words, _ := bench.Complete("ahead size99", 12)
		require.Len(b, words, 11)
	}
}

// A line that was stopped exactly at a corner goes on from there with a piece of
// no length: where it is stopped again is found all the same.
func TestAStopIsFoundOnALineThatBeginsWithAPieceOfNoLength(t *testing.T) {
	corner := geom.Point{X: 10}
	line := []geom.Point{corner, corner, {X: 10, Y: 20}, {X: 30, Y: 20}}
	for _, lost := range []bool{false, true} {
		vertex, on, mm := along(line, geom.Point{X: 15, Y: 20}, 25, lost)
		require.Equal(t, 2, vertex)
		require.InDelta(t, 15, on.X, 1e-9)
		require.InDelta(t, 5, mm, 1e-9)
	}
}
