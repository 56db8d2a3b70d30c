package operate

import (
	"context"
	"io"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/diag"
	"wend/runtime/geom"
	"wend/runtime/link"
)

// somebody answers from a list, and remembers what was said.
type somebody struct {
	answers     []string
	said, asked []string
}

func (s *somebody) Say(text string)              { s.said = append(s.said, text) }
func (s *somebody) Diagnose(diag.List)           {}
func (s *somebody) Show(*Status)                 {}
func (s *somebody) Keys() Keys                   { return nil }
func (s *somebody) Interrupted() <-chan struct{} { return nil }
func (s *somebody) Ask(_ context.Context, question string) (string, error) {
	s.asked = append(s.asked, question)
	if len(s.answers) == 0 {
		return "", io.EOF
	}
	answer := s.answers[0]
	s.answers = s.answers[1:]
	if answer == "^C" {
		return "", ErrLeft
	}
	return answer, nil
}

// board is a machine that only remembers what it was told.
type board struct {
	Machine
	certainty link.Certainty
	mode      link.Mode
	slack     geom.Point
}

func (b *board) Mode() link.Mode { return b.mode }
func (b *board) Where() (link.Place, geom.Point, link.Certainty) {
	return link.Place{}, geom.Point{X: 20, Y: 15}, b.certainty
}
func (b *board) SlackUnknown() (geom.Point, bool) { return b.slack, b.slack != geom.Point{} }
func (b *board) TakeUp(context.Context, link.Operator) error {
	b.slack, b.certainty = geom.Point{}, link.Assumed
	return nil
}
func (b *board) WhyLost() string { return "a test" }
func (b *board) Disarm()         { b.mode = link.Connected }
func (b *board) Confirm() error  { b.certainty = link.Confirmed; return nil }
func (b *board) Doubt() error    { b.certainty = min(b.certainty, link.Assumed); return nil }
func (b *board) Arm() error      { return b.arm(link.Confirmed) }
func (b *board) ArmAssumed() error {
	return b.arm(link.Assumed)
}

func (b *board) arm(least link.Certainty) error {
	if b.certainty < least {
		return &diag.Fault{Code: "position-unconfirmed"}
	}
	b.mode = link.Armed
	return nil
}

func TestAWordThatDoesNotFitIsAskedForAgain(t *testing.T) {
	for _, try := range []struct {
		answers []string
		want    error
		asked   int
	}{
		{[]string{"there"}, nil, 1},
		{[]string{"yes", "ok", " There "}, nil, 3},
		{[]string{"yes", ""}, ErrDeclined, 2},
		{[]string{"no"}, ErrDeclined, 1},
		{[]string{"yes", "^C"}, ErrDeclined, 2},
		{[]string{"yes"}, ErrDeclined, 2}, // and then nobody is there any more
	} {
		s := &somebody{answers: try.answers}
		c := Conversation{Person: s}
		m := &Connection{Machine: &board{certainty: link.Assumed}}
		require.ErrorIs(t, c.Confirm(context.Background(), m), try.want, try.answers)
		require.Len(t, s.asked, try.asked, try.answers)
		require.Equal(t, "look: does the stylus stand at (20, 15) of the page? Type `there` if so, Enter alone if not: ", s.asked[0])
		_, _, certainty := m.Where()
		require.Equal(t, try.want == nil, certainty == link.Confirmed, try.answers)
	}
}

// Confirmed means that somebody looked: a script's word never makes it so.
func TestAScriptArmsWhatIsAssumedAndItStaysAssumed(t *testing.T) {
	for _, try := range []struct {
		word   Word
		counts bool
		is     link.Certainty
		code   diag.Code
	}{
		{Armed, false, link.Assumed, ""},
		{Armed, false, link.Confirmed, ""},
		{Armed, true, link.Lost, "position-lost"},
		{Sure, true, link.Assumed, ""},
		{Sure, false, link.Assumed, "position-unsure"},
		{Sure, false, link.Confirmed, ""},
		{Sure, true, link.Lost, "position-lost"},
	} {
		s := &somebody{}
		c := Conversation{Person: s, Alone: true, Word: try.word, Quiet: true}
		b := &board{certainty: try.is}
		m := &Connection{Machine: b, Counts: try.counts}
		err := c.Confirm(context.Background(), m)
		if try.code != "" {
			var fault *diag.Fault
			require.ErrorAs(t, err, &fault)
			require.Equal(t, try.code, fault.Code)
			continue
		}
		require.NoError(t, err)
		require.NoError(t, c.Arm(context.Background(), m, "to draw: something", "draw"))
		require.Equal(t, link.Armed, b.mode)
		require.Equal(t, try.is, b.certainty)
		require.Empty(t, s.asked)
		require.Equal(t, []string{unshown}, s.said, "a quiet script is cautioned in one line")
	}
}

func TestTheListOfCautionsIsShownWholeOnce(t *testing.T) {
	s := &somebody{}
	c := Conversation{Person: s}
	c.Cautions()
	require.Len(t, s.said, len(Cautions()))
	c.Cautions()
	require.Equal(t, reminder, s.said[len(s.said)-1])
	require.Len(t, s.said, len(Cautions())+1)

	// It was shown in an earlier conversation.
	s = &somebody{}
	c = Conversation{Person: s, Cautioned: func() bool { return true }}
	c.Cautions()
	require.Equal(t, []string{reminder}, s.said)
}

// After a wipe that failed nobody knows where the eraser left the stylus.
func TestAWipeThatFailsLeavesThePositionInDoubt(t *testing.T) {
	b := &board{certainty: link.Confirmed}
	m := &Connection{Machine: b, Disturbs: true, Wipe: func(context.Context) error { return &diag.Fault{Code: "eraser-silent"} }}
	c := Conversation{Person: &somebody{answers: []string{"wipe"}}}
	require.Error(t, c.Wipe(context.Background(), m, false))
	require.Equal(t, link.Assumed, b.certainty)

	// Whoever does not want it wiped has moved nothing.
	b.certainty = link.Confirmed
	c.Person = &somebody{answers: []string{"no"}}
	require.ErrorIs(t, c.Wipe(context.Background(), m, false), ErrDeclined)
	require.Equal(t, link.Confirmed, b.certainty)
}

func TestTheGuideHasTheCautions(t *testing.T) {
	guide, err := os.ReadFile("../../../README.md")
	require.NoError(t, err)
	for _, caution := range Cautions() {
		require.True(t, strings.Contains(string(guide), caution), caution)
	}
}

// A drawing that was cut off is gone on with, dropped or left; a script must have
// said which.
func TestWhatWasCutOffIsDroppedOnPurposeOnly(t *testing.T) {
	for _, try := range []struct {
		answers   []string
		resumable bool
		resume    bool
		dropped   bool
		err       error
	}{
		{[]string{"Resume"}, true, true, false, nil},
		{[]string{"what", "abandon"}, true, false, true, nil},
		{[]string{"resume", "abandon"}, false, false, true, nil}, // it is another drawing
		{[]string{""}, true, false, false, ErrDeclined},
		{[]string{"^C"}, true, false, false, ErrDeclined},
	} {
		who, dropped := &somebody{answers: try.answers}, false
		u := &Unfinished{Name: "fern.wend", Drawn: 3, Moves: 9, Resumable: try.resumable, Drop: func() error { dropped = true; return nil }}
		resume, err := (&Conversation{Person: who}).CutOff(context.Background(), u)
		require.Equal(t, try.err, err, try.answers)
		require.Equal(t, try.resume, resume, try.answers)
		require.Equal(t, try.dropped, dropped, try.answers)
		require.Equal(t, "fern.wend was cut off after 3 of 9 moves", who.said[0])
	}
	for _, c := range []Conversation{{Alone: true, Word: Armed}, {Word: Sure}, {Alone: true}} {
		c.Person = &somebody{}
		_, err := c.CutOff(context.Background(), &Unfinished{Name: "fern.wend"})
		var fault *diag.Fault
		require.ErrorAs(t, err, &fault)
		require.Equal(t, diag.Code("drawing-cut-off"), fault.Code)
	}
}
