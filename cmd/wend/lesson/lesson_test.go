package lesson_test

import (
	"context"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"

	"wend/cmd/wend/engine"
	"wend/cmd/wend/lesson"
	"wend/lang/diag/render"
	"wend/lang/format"
	"wend/lang/parse"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

var update = flag.Bool("update", false, "rewrite golden files")

func try(t *testing.T, name, text string) *lesson.Attempt {
	t.Helper()
	return lesson.Try(context.Background(), source.New(name, text), engine.Settings{Profile: machine.DeskToy()})
}

func check(t *testing.T, a *lesson.Attempt, task lesson.Task) lesson.Verdict {
	t.Helper()
	v, err := a.Check(context.Background(), task)
	require.NoError(t, err)
	return v
}

// The answers of each lesson stand in one archive: `3.2/model.wend`, which solves the
// task, another way to solve it as `3.2/model-2.wend`, and at least three typical
// wrong answers, each named after the reason why it is wrong: `3.2/turn.wend`. What
// is said of them is kept word for word.
func TestModelAnswersPassAndTypicalMistakesDoNot(t *testing.T) {
	var said strings.Builder
	for _, l := range lesson.Lessons() {
		archive, err := txtar.ParseFile(fmt.Sprintf("testdata/answers/%02d.txtar", l.Number))
		require.NoError(t, err)
		for _, task := range l.Tasks {
			models, wrong := 0, 0
			for _, f := range archive.Files {
				name, mine := strings.CutPrefix(f.Name, task.ID()+"/")
				if !mine {
					continue
				}
				t.Run(f.Name, func(t *testing.T) {
					a := try(t, f.Name, string(f.Data))
					v := check(t, a, task)
					expected := regexp.MustCompile(`-\d+$`).ReplaceAllString(strings.TrimSuffix(name, ".wend"), "")
					if expected == "model" {
						models++
						var words strings.Builder
						render.Text(&words, a.Diagnostics, render.Style{})
						require.True(t, v.Solved, "%s\n%s", v.Says, words.String())
						return
					}
					wrong++
					require.False(t, v.Solved)
					require.Equal(t, expected, string(v.Reason), v.Says)
					require.NotEmpty(t, v.Hint)
					place := ""
					if v.Line > 0 {
						place = fmt.Sprintf(" (line %d)", v.Line)
					}
					fmt.Fprintf(&said, "%s%s\n  %s\n  hint: %s\n", f.Name, place, v.Says, v.Hint)
				})
			}
			require.NotZero(t, models, "%s has no model answer", task.ID())
			require.GreaterOrEqual(t, wrong, 3, "%s has too few wrong answers", task.ID())
		}
	}
	golden(t, "testdata/said.txt", said.String())
}

// Rows that are mixed up are those of the model answer, but for one that is too many
// where the task says so, or the beginning of it where the task says to go on. As they
// are given they solve nothing.
func TestMixedRowsAreThoseOfTheModel(t *testing.T) {
	lessons := 0
	for _, l := range lesson.Lessons() {
		archive, err := txtar.ParseFile(fmt.Sprintf("testdata/answers/%02d.txtar", l.Number))
		require.NoError(t, err)
		some := false
		for _, task := range l.Tasks {
			if len(task.Mixed) == 0 {
				continue
			}
			some = true
			left := map[string]int{}
			for _, row := range task.Mixed {
				left[row]++
			}
			missing := 0
			for _, f := range archive.Files {
				if f.Name != task.ID()+"/model.wend" {
					continue
				}
				for row := range strings.Lines(string(f.Data)) {
					if row = strings.TrimSpace(row); row == "" {
						continue
					}
					if left[row]--; left[row] < 0 {
						missing++
						left[row] = 0
					}
				}
			}
			tooMany := 0
			for _, n := range left {
				tooMany += n
			}
			require.Equal(t, strings.Contains(task.Ask, "one row is too many"), tooMany == 1, task.ID())
			require.LessOrEqual(t, tooMany, 1, task.ID())
			require.Equal(t, strings.Contains(task.Ask, "go on until"), missing > 0, task.ID())
			require.Contains(t, task.Ask, "mixed up", task.ID())
			require.False(t, check(t, try(t, "<mixed>", strings.Join(task.Mixed, "\n")+"\n"), task).Solved, task.ID())
		}
		if some {
			lessons++
		}
	}
	require.GreaterOrEqual(t, lessons, 6)
}

// A teacher finds each lesson again in the plan of a year: its note names the ideas in
// the words of a published curriculum, with the document, or else says that a word is
// common practice. The words asked for here are those of the national curriculum in
// England, computing programmes of study, key stage 2, subject content (2013; from
// memory).
func TestNotesForTheTeacherNameTheIdeasAsPlansDo(t *testing.T) {
	var all strings.Builder
	for _, l := range lesson.Lessons() {
		words := regexp.MustCompile("(?m)^Words of teaching plans: (.*)$").FindStringSubmatch(l.Teacher)
		require.NotNil(t, words, l.Title)
		for part := range strings.SplitSeq(words[1], "; ") {
			require.Regexp(t, `from memory\)|common practice, no source\)`, part, l.Title)
		}
		all.WriteString(words[1] + "\n")
		for _, begins := range []string{"Aims: ", "Time: ", "Pitfalls: ", "Answers: "} {
			require.Contains(t, l.Teacher, begins, l.Title)
		}
	}
	for _, word := range []string{"sequence", "selection", "repetition", "variables", "decomposing", "debug", "logical reasoning", "detect and correct errors", "physical system"} {
		require.Contains(t, all.String(), word)
	}
}

func golden(t *testing.T, name, text string) {
	t.Helper()
	if *update {
		require.NoError(t, os.WriteFile(name, []byte(text), 0o666))
	}
	held, err := os.ReadFile(name)
	require.NoError(t, err)
	require.Equal(t, string(held), text)
}

// What draws next to nothing, and what a lesson begins with, solve nothing.
func TestALineOfAMillimetrePassesNoLesson(t *testing.T) {
	nearly := []*lesson.Attempt{try(t, "<one>", "ahead 1\n"), try(t, "<none>", "note 1\n"), try(t, "<wrong>", "ahed 1\n")}
	for _, l := range lesson.Lessons() {
		start := try(t, "start.wend", l.Start)
		require.False(t, start.Diagnostics.Failed(), l.Title)
		for _, task := range l.Tasks {
			for _, a := range append(nearly, start) {
				require.False(t, check(t, a, task).Solved, task.ID())
			}
		}
	}
}

// Each dimension of a sketch lies on the wanted line and measures it.
func TestDimensionsMeasureTheLine(t *testing.T) {
	for _, l := range lesson.Lessons() {
		for _, task := range l.Tasks {
			if !task.HasSketch() {
				require.Empty(t, task.Measures, task.ID())
				continue
			}
			sketch, err := task.Sketch(context.Background())
			require.NoError(t, err)
			require.NotEmpty(t, task.Measures, task.ID())
			off := func(p geom.Point) float64 {
				least := math.Inf(1)
				for i := 1; i < len(sketch.Line); i++ {
					least = min(least, geom.SegmentDistance(sketch.Line[i-1], sketch.Line[i], p))
				}
				return least
			}
			for i, m := range task.Measures {
				switch m.Sort {
				case "length", "rise":
					require.Less(t, off(m.At), 0.1, "%s %v", task.ID(), m)
					require.Less(t, off(m.To), 0.1, "%s %v", task.ID(), m)
				case "turn":
					require.Less(t, off(m.At.Sub(geom.Polar(3, m.Heading))), 0.1, "%s %v: the line comes in another way", task.ID(), m)
					require.Less(t, off(m.At.Add(geom.Polar(3, m.Heading+m.Degrees))), 0.1, "%s %v: the line goes on another way", task.ID(), m)
				case "radius":
					require.Less(t, off(m.At.Add(geom.Polar(m.Radius, m.Heading))), 0.1, "%s %v", task.ID(), m)
				}
				for _, line := range sketch.Dimensions[i].Lines {
					for _, p := range line {
						require.True(t, machine.DeskToy().Page().Grow(1).Contains(p), "%s %v leaves the sheet at %v", task.ID(), m, p)
					}
				}
			}
		}
	}
}

// The programs of the lessons are laid out the one way.
func TestProgramsAreLaidOutTheOneWay(t *testing.T) {
	found, err := filepath.Glob("../../../examples/lessons/*/*.wend")
	require.NoError(t, err)
	require.NotEmpty(t, found)
	for _, name := range found {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		tree, list := parse.File(source.New(name, string(text)))
		require.False(t, list.Failed(), name)
		require.Equal(t, format.Source(tree), string(text), name)
	}
}

// What somebody wrote into the file by hand keeps nothing that is solved out of it.
func TestWhatIsSolvedIsAddedToWhatIsDone(t *testing.T) {
	const title = "# The tasks of `wend lesson` that are done here.\n"
	for _, c := range []struct{ before, solved, after string }{
		{"", "1.1", title + "1.1\n"},
		{"9.1\n10.1\n", "1.1", title + "1.1\n9.1\n10.1\n"},
		{"3.1\n3.1\n", "3.2", title + "3.1\n3.2\n"},
		{"3.1\n", "3.1", ""},
		{"3.1\nmine\n", "3.2", title + "mine\n3.1\n3.2\n"},
	} {
		require.Equal(t, c.after, lesson.AddDone(lesson.ReadDone(c.before), []string{c.solved}), c.before)
	}
}

// The words of a sketch's dimensions stand clear of all its lines, of one another and of the
// signs of where the line begins and ends, on the sheet: with the letters of the Go font
// as large as they are shown at most, and each line looked at every tenth of a mm.
func TestNothingLiesOverTheNumbersOfASketch(t *testing.T) {
	const em, sign = 4.0, 2.8
	letters, err := opentype.Parse(goregular.TTF)
	require.NoError(t, err)
	face, err := opentype.NewFace(letters, &opentype.FaceOptions{Size: em, DPI: 72 * 64}) // 64 units a mm, and 64 to each
	require.NoError(t, err)
	seen := 0
	for _, l := range lesson.Lessons() {
		for _, task := range l.Tasks {
			if !task.HasSketch() {
				continue
			}
			sketch, err := task.Sketch(context.Background())
			require.NoError(t, err)
			lines := [][]geom.Point{sketch.Line}
			boxes := map[string]geom.Box{}
			for i, d := range sketch.Dimensions {
				lines = append(lines, d.Lines...)
				ink, _ := font.BoundString(face, d.Words)
				half := geom.Point{X: float64(ink.Max.X-ink.Min.X) / (64 * 64) / 2, Y: 0.36 * em}
				name := fmt.Sprintf("%s, words %d: %s", task.ID(), i+1, d.Words)
				boxes[name] = geom.Box{Min: d.At.Sub(half), Max: d.At.Add(half)}
			}
			for name, box := range boxes {
				seen++
				if sheet := machine.DeskToy().Page().Grow(1); !sheet.Contains(box.Min) || !sheet.Contains(box.Max) {
					t.Errorf("%s leave the sheet", name)
				}
				for other, b := range boxes {
					if name != other && box.Meets(b) {
						t.Errorf("%s meet %s", name, other)
					}
				}
				if box.Grow(sign).Contains(sketch.Line[0]) || box.Grow(sign).Contains(sketch.Line[len(sketch.Line)-1]) {
					t.Errorf("%s lie on a sign", name)
				}
				if p, over := within(box, lines); over {
					t.Errorf("%s have a line over them at %v", name, p)
				}
			}
		}
	}
	require.Greater(t, seen, 60)
}

// within looks along lines for a place in a box.
func within(box geom.Box, lines [][]geom.Point) (geom.Point, bool) {
	for _, line := range lines {
		for i := 1; i < len(line); i++ {
			parts := math.Ceil(line[i-1].Distance(line[i]) * 10)
			for s := range int(parts) + 1 {
				if p := line[i-1].Mix(line[i], float64(s)/parts); box.Contains(p) {
					return p, true
				}
			}
		}
	}
	return geom.Point{}, false
}
