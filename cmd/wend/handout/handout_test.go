package handout_test

import (
	"bytes"
	"context"
	"fmt"
	"html"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/cmd/wend/handout"
	"wend/cmd/wend/lesson"
	"wend/lang/words"
)

func printed(t *testing.T, l lesson.Lesson, teacher bool) string {
	t.Helper()
	var page bytes.Buffer
	require.NoError(t, handout.Lesson(context.Background(), &page, l, teacher))
	return page.String()
}

func TestALessonIsPrintedWithItsSketchesAtTrueSize(t *testing.T) {
	for _, l := range lesson.Lessons() {
		page := printed(t, l, true)
		sketches := 0
		for _, task := range l.Tasks {
			require.Contains(t, page, "<h2>"+task.ID()+"&ensp;", l.Title)
			if task.HasSketch() {
				sketches++
			}
			for _, row := range task.Mixed {
				require.Contains(t, page, html.EscapeString(row))
			}
			for _, hint := range task.Hints {
				require.NotContains(t, page, hint, "a page must not give the hints away")
			}
		}
		// The page of 140 by 100 mm, with a millimetre around it.
		require.Equal(t, sketches, strings.Count(page, `style="width:142mm;height:102mm" viewBox="-1000 -1000 142000 102000"`))
		require.Contains(t, page, "<h1>For the teacher</h1>")
		require.NotContains(t, printed(t, l, false), "For the teacher")
		standsAlone(t, page)
	}
}

// standsAlone holds a page to fetching nothing and to closing what it opens.
func standsAlone(t *testing.T, page string) {
	t.Helper()
	require.NotRegexp(t, `https?:|src=|href=|<script|@import|url\(`, page)
	var open []string
	for _, tag := range regexp.MustCompile(`<(/?)([a-z0-9]+)[^>]*?(/?)>`).FindAllStringSubmatch(page, -1) {
		switch {
		case tag[2] == "meta" || tag[3] == "/":
		case tag[1] == "":
			open = append(open, tag[2])
		default:
			require.NotEmpty(t, open, tag[0])
			require.Equal(t, open[len(open)-1], tag[2])
			open = open[:len(open)-1]
		}
	}
	require.Empty(t, open)
}

func TestTheCardHasEveryWordOfTheLessonsAndTheGlossary(t *testing.T) {
	var page bytes.Buffer
	require.NoError(t, handout.Card(context.Background(), &page))
	card := page.String()
	standsAlone(t, card)
	for _, l := range lesson.Lessons() {
		for _, word := range l.Words {
			found := regexp.MustCompile(`(^|[^a-z])` + regexp.QuoteMeta(word) + `([^a-z]|$)`).FindString(card)
			require.NotEmpty(t, found, "`%s` of lesson %d is not on the card", word, l.Number)
		}
	}
	for _, term := range words.Glossary() {
		require.Contains(t, card, fmt.Sprintf("<b>%s</b>", term.Word))
	}
	require.GreaterOrEqual(t, strings.Count(card, "<svg"), 20)
}
