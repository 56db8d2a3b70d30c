package engine_test

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Where a program that is mended would leave the page, each fault is told first, and
// then what keeps the line on the page; the edits do both.
func TestAFaultIsToldBeforeTheRoomThatIsLeft(t *testing.T) {
	for _, c := range []struct {
		program, after string
		hints          []string
	}{
		{"begin 100, 50\nahed 100\n", "begin 100, 50\nahead 40\n",
			[]string{"did you mean `ahead`? The line then leaves the page; 40 mm are left this way: `ahead 40`"}},
		{"go forward 300\n", "ahead 140\n",
			[]string{"write `ahead 300`; the line then leaves the page; 140 mm are left this way: `ahead 140`"}},
		{"begin 130, 50\nloop 4 {\n  ahed 20\n  trun 90\n}\n", "begin 130, 50\nloop 4 {\n  ahead 10\n  turn 90\n}\n",
			[]string{"did you mean `ahead`? The line then leaves the page; with 10 in place of 20 it stays there: `ahead 10`", "did you mean `turn`?"}},
		{"begin 130, 50\nloop 3 {\n  ahead 20\n  turn 10\n", "begin 130, 50\nloop 3 {\n  ahead 3\n  turn 10\n}",
			[]string{"put `}` where what `{` began is to end; the line then leaves the page; with 3 in place of 20 it stays there: `ahead 3`"}},
		{"begin page.center\nloop 3 {\n  ahed 50\n", "begin page.center\nloop 3 {\n  ahead 23\n}",
			[]string{"did you mean `ahead`? The line then leaves the page; with 23 in place of 50 it stays there: `ahead 23`", "put `}` where what `{` began is to end"}},
		{"turn -90\nahed 20\n", "begin page.center\nturn -90\nahead 20\n",
			[]string{"did you mean `ahead`? The line then leaves the page; from the middle of the page there is room on all sides: `begin page.center`"}},
	} {
		_, list := run(c.program)
		var hints []string
		for _, d := range list {
			hints = append(hints, d.Hint)
		}
		require.Equal(t, c.hints, hints, c.program)
		after, _ := carriedOut(c.program, list)
		require.Equal(t, c.after, after)
		_, list = run(after)
		require.Empty(t, list, after)
	}
}
