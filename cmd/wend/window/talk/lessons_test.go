package talk_test

import (
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
	"github.com/stretchr/testify/require"

	"wend/cmd/wend/lesson"
)

// The answers that the lessons are tested with give a page the same words as the
// terminal: what solves a task there solves it here, and what does not is told with
// the same difference, hint, line and place.
func TestAPageIsToldOfEveryAnswerWhatTheTerminalIsTold(t *testing.T) {
	_, p, ask := session(t)
	ask(map[string]any{"type": "words"})
	words, err := json.Marshal(p.last("words"))
	require.NoError(t, err)
	for _, l := range lesson.Lessons() {
		archive, err := txtar.ParseFile(fmt.Sprintf("../../lesson/testdata/answers/%02d.txtar", l.Number))
		require.NoError(t, err)
		require.NotEmpty(t, archive.Files)
		said, err := readSaid("../../lesson/testdata/said.txt")
		require.NoError(t, err)
		for _, f := range archive.Files {
			id, name, _ := strings.Cut(f.Name, "/")
			ask(map[string]any{"type": "lesson-check", "id": 4, "lesson": l.Number, "path": "mine.wend", "text": string(f.Data), "done": []string{}})
			answer := p.last("lesson-checked")
			require.NotNil(t, answer, "%s: %v", f.Name, p.last("failed"))
			var task map[string]any
			for _, one := range answer["tasks"].([]any) {
				if one := one.(map[string]any); one["task"] == id {
					task = one
				}
			}
			if strings.HasPrefix(name, "model") {
				require.Equal(t, true, task["solved"], f.Name)
				require.Equal(t, "solved", task["state"])
				require.Equal(t, "", task["says"])
				require.NotEqual(t, id, answer["next"])
				continue
			}
			require.Equal(t, false, task["solved"], f.Name)
			held := said[f.Name]
			require.NotEmpty(t, held.says, f.Name)
			require.True(t, strings.EqualFold(held.says+".", strings.Split(task["says"].(string), " Look at line")[0]), "%s: %s", f.Name, task["says"])
			if word, explained := strings.CutPrefix(held.hint, "`wend explain "); explained {
				word, _, _ = strings.Cut(word, "`")
				require.Contains(t, task["hint"], "Alt+W has all words: `"+word+"`", f.Name)
				require.Contains(t, string(words), `"name":"`+word+`"`, "it is on the card")
			} else {
				require.Equal(t, held.hint, task["hint"], f.Name)
			}
			if held.line != "" {
				require.Contains(t, task["says"], "Look at line "+held.line+" of your program.", f.Name)
				require.Equal(t, held.line, fmt.Sprint(task["line"]), f.Name)
			}
		}
	}
}

type told struct{ says, hint, line string }

// readSaid reads what the terminal says of the answers, by their names.
func readSaid(name string) (map[string]told, error) {
	text, err := os.ReadFile(name)
	if err != nil {
		return nil, err
	}
	all := map[string]told{}
	of := ""
	for line := range strings.Lines(string(text)) {
		line = strings.TrimRight(line, "\n")
		one := all[of]
		switch hint, isHint := strings.CutPrefix(line, "  hint: "); {
		case isHint:
			one.hint = hint
		case strings.HasPrefix(line, "  "):
			one.says = line[2:]
		default:
			var place string
			of, place, _ = strings.Cut(line, " (line ")
			one = told{line: strings.TrimSuffix(place, ")")}
		}
		all[of] = one
	}
	return all, nil
}

func TestALessonComesWithAllThatIsShownOfIt(t *testing.T) {
	_, p, ask := session(t)
	for _, l := range lesson.Lessons() {
		ask(map[string]any{"type": "lesson", "id": 2, "lesson": l.Number})
		m := p.last("lesson")
		require.Equal(t, l.Title, m["title"])
		require.Equal(t, l.Start, m["start"])
		guesses := 0
		for i, b := range m["page"].([]any) {
			b := b.(map[string]any)
			if b["sort"] == "guess" {
				guesses++
				require.Greater(t, i, 2, "there is something to read before")
				continue
			}
			require.NotEmpty(t, b["text"])
		}
		require.Equal(t, 1, guesses, "lesson %d", l.Number)
		for i, one := range m["tasks"].([]any) {
			task := one.(map[string]any)
			require.Len(t, task["hints"], 3)
			sketch, given := task["sketch"].(map[string]any)
			require.Equal(t, l.Tasks[i].HasSketch(), given)
			if given {
				require.Greater(t, len(sketch["line"].([]any)), 1)
				require.NotEmpty(t, sketch["dimensions"])
				require.NotEmpty(t, task["measures"])
			}
		}
	}
	for _, none := range []int{0, -1, 13} {
		for _, kind := range []string{"lesson", "lesson-check"} {
			p.texts = nil
			ask(map[string]any{"type": kind, "id": 3, "lesson": none})
			require.Contains(t, p.last("failed")["text"], "they go from 1 to 12", kind)
		}
	}
}

// Where the line leaves the sketch is a place on the sheet; a program with an error
// is told so, and nothing of the sketch.
func TestADifferenceHasItsPlace(t *testing.T) {
	_, p, ask := session(t)
	check := func(text string, done ...string) map[string]any {
		ask(map[string]any{"type": "lesson-check", "id": 4, "lesson": 1, "path": "mine.wend", "text": text, "done": done})
		return p.last("lesson-checked")
	}
	m := check("begin 30, 40\nahead 50\n")
	first := m["tasks"].([]any)[0].(map[string]any)
	require.Equal(t, "1.1", m["next"])
	require.Equal(t, "Piece 1 of your line is 50 mm long; in the sketch it is 80 mm. Look at line 2 of your program.", first["says"])
	at := first["at"].([]any)
	require.InDelta(t, 80, at[0], 35, "on the piece")
	require.InDelta(t, 40, at[1], 1)

	m = check("begin 30, 40\nahead 80\n", "1.2")
	require.Equal(t, "1.3", m["next"])
	require.Equal(t, "solved before, not by this program", m["tasks"].([]any)[1].(map[string]any)["state"])

	m = check("begin 30, 40\nahed 80\n")
	first = m["tasks"].([]any)[0].(map[string]any)
	require.Equal(t, "The program has an error, which comes first.", first["says"])
	require.Nil(t, first["at"])
}
