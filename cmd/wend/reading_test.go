package main

import (
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"wend/cmd/wend/lesson"
	"wend/lang/diag"
	everyday "wend/lang/words"
	"wend/stdlib"
)

// What a child meets is held to a reading age, by the Automated Readability Index
//
//	4.71 letters/words + 0.5 words/sentences - 21.43
//
// of Smith and Senter (Automated Readability Index, AMRL-TR-66-220, 1967; the
// formula as quoted is from memory). Its result is a school grade of the United States, so 3
// is an age of eight to nine. It counts letters, not syllables, and so needs no
// guess at how a word is spoken. It is meant for texts of about a hundred words: all
// pages together are held to a grade, and a page alone to a looser one.
const (
	gradeOfAll  = 3.0
	gradeOfPage = 9.0
	longWord    = 9 // letters; longer ones stand in the glossary
)

// childPages are the pages of the statements and keywords, and what is said
// about everyday words.
func childPages() map[string]string {
	pages := map[string]string{}
	for _, theme := range stdlib.Vocabulary().Themes()[:2] { // the language and the stylus
		for _, w := range theme.Words {
			pages[w.Name] = w.Doc
		}
	}
	for _, code := range []diag.Code{"everyday-word", "everyday-thing", "no-such-word", "order-word", "unknown-word", "unknown-name", "foreign-word"} {
		p, ok := diag.Lookup(code)
		if ok {
			pages[string(code)] = p.Message + ". " + p.Hint + ". " + p.Rule
		}
	}
	for _, word := range []string{"lift", "lower", "jump", "go home", "start", "end", "color", "speed"} {
		if m := everyday.Statement(word); m != nil && m.Why != "" {
			pages["the word "+word] = m.Why + "."
		}
	}
	for _, term := range everyday.Glossary() {
		pages["the term "+term.Word] = term.Means
	}
	return pages
}

var (
	quoted     = regexp.MustCompile("`[^`]*`|\\{[a-z]+\\}")
	inBrackets = regexp.MustCompile(`\([^)]*\)`)
	sentences  = regexp.MustCompile(`[.?](?:\s|$)`)
)

// prose is a page without what it quotes of programs, and its words.
func prose(page string) (text string, all []string) {
	text = inBrackets.ReplaceAllString(quoted.ReplaceAllString(page, "it"), "")
	all = strings.FieldsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) && r != '-' && r != '\'' })
	return text, all
}

// grade is the Automated Readability Index of pages.
func grade(pages ...string) float64 {
	letters, count, ends := 0, 0, 0
	for _, page := range pages {
		text, all := prose(page)
		for _, w := range all {
			letters += utf8.RuneCountInString(strings.ReplaceAll(w, "-", ""))
		}
		count += len(all)
		ends += max(1, len(sentences.FindAllString(text, -1)))
	}
	return 4.71*float64(letters)/float64(count) + 0.5*float64(count)/float64(ends) - 21.43
}

// The example has 3 sentences, 21 words and 75 letters, counted by hand.
func TestTheGradeIsThatOfTheFormula(t *testing.T) {
	text := "The stylus goes on. It draws one line, and the line has no end. Nothing is lifted here at any time."
	require.InDelta(t, 4.71*75.0/21+0.5*21.0/3-21.43, grade(text), 1e-9)
	require.Greater(t, grade("Instantaneous reinterpretation necessitates considerable sophistication."), 20.0)
}

func TestWhatAChildMeetsIsReadAtEight(t *testing.T) {
	var all []string
	for name, page := range childPages() {
		all = append(all, page)
		if g := grade(page); g > gradeOfPage {
			t.Errorf("%s: grade %.1f: %s", name, g, page)
		}
	}
	g := grade(all...)
	t.Logf("%d pages, grade %.1f", len(all), g)
	require.LessOrEqual(t, g, gradeOfAll)
}

func TestLongWordsOfThesePagesStandInTheGlossary(t *testing.T) {
	glossary := everyday.Glossary()
	require.LessOrEqual(t, len(glossary), 30)
	known := map[string]bool{}
	for _, term := range glossary {
		require.False(t, known[term.Word], term.Word)
		known[term.Word] = true
	}
	for name, page := range childPages() {
		_, all := prose(page)
		for _, w := range all {
			w = strings.ToLower(w)
			if utf8.RuneCountInString(w) > longWord && !known[w] && !known[strings.TrimSuffix(w, "s")] && !strings.Contains(w, "-") {
				t.Errorf("%s: `%s` is long, and not in the glossary", name, w)
			}
		}
	}
}

// What the lessons say is held to a reading age of ten, which is the school grade
// from 4 to 5: all pages of a lesson together to the lower, each text alone to
// a looser one, for the formula is rough on short texts.
const (
	gradeOfLesson = 4.0
	gradeOfText   = 9.0
)

// lessonTexts are what a learner reads of a lesson.
func lessonTexts(l lesson.Lesson) []string {
	page := regexp.MustCompile("(?m)^(#+ .*|New words: .*)$").ReplaceAllString(l.Page, "")
	texts := strings.Split(page, "\n\n")
	texts = append(texts, l.Guess.Ask, l.Guess.Told)
	for _, a := range l.Guess.Answers {
		texts = append(texts, a.Text+".")
	}
	for _, t := range l.Tasks {
		texts = append(texts, t.Ask)
		texts = append(texts, t.Hints[:]...)
	}
	return slices.DeleteFunc(texts, func(text string) bool { return len(strings.Fields(text)) < 3 })
}

func TestLessonsAreReadAtTen(t *testing.T) {
	for _, l := range lesson.Lessons() {
		texts := lessonTexts(l)
		for _, text := range texts {
			if g := grade(text); g > gradeOfText {
				t.Errorf("lesson %d: grade %.1f: %s", l.Number, g, text)
			}
		}
		g := grade(texts...)
		t.Logf("lesson %d: grade %.1f", l.Number, g)
		if g > gradeOfLesson {
			t.Errorf("lesson %d: grade %.1f", l.Number, g)
		}
	}
}

// Words of drawing and programming that the lessons use stand in the glossary of
// thirty, which the word card prints.
func TestLongWordsOfLessonsStandInTheGlossary(t *testing.T) {
	known := map[string]bool{}
	for _, term := range everyday.Glossary() {
		known[term.Word] = true
	}
	for _, l := range lesson.Lessons() {
		for _, text := range lessonTexts(l) {
			_, all := prose(text)
			for _, w := range all {
				w = strings.ToLower(w)
				if utf8.RuneCountInString(w) > longWord && !known[w] && !known[strings.TrimSuffix(w, "s")] && !strings.Contains(w, "-") {
					t.Errorf("lesson %d: `%s` is long, and not in the glossary", l.Number, w)
				}
			}
		}
	}
}
