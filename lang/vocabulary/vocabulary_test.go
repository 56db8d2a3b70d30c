package vocabulary_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/vocabulary"
)

func table() *vocabulary.Table {
	return vocabulary.New([]vocabulary.Theme{
		{Title: "The stylus", Words: []vocabulary.Word{{Name: "arc", Sort: vocabulary.Statement, Doc: "Goes round. Then stops."}}},
		{Title: "Lists and texts", Words: []vocabulary.Word{{Name: "text", Sort: vocabulary.Function, Doc: "A path."}}},
		{Title: "Curves", Words: []vocabulary.Word{{Name: "curves.rose", Sort: vocabulary.Function}}},
		{Title: "Kinds", Words: []vocabulary.Word{{Name: "text", Sort: vocabulary.Kind, Doc: "Letters."}, {Name: "box", Sort: vocabulary.Kind}, {Name: ".length", Sort: vocabulary.Measure}}},
	})
}

func TestAWordIsFoundByWhatPeopleCallIt(t *testing.T) {
	for asked, want := range map[string]string{
		"arc": "arc", " Arc ": "arc", "arcs": "arc", "rose": "curves.rose", "curves.rose": "curves.rose", "Roses": "curves.rose",
		"length": ".length", ".length": ".length", "boxes": "box", "": "", "ros": "", "s": "",
	} {
		w, ok := table().Meant(asked)
		require.Equal(t, want != "", ok, asked)
		require.Equal(t, want, w.Name, asked)
	}
	w, _ := table().Lookup("text")
	require.Equal(t, "A path.", w.Doc, "a word of programs counts before a kind of its name")
	require.Equal(t, "Lists and texts", w.Theme)
}

func TestAnEverydayWordLeadsToWhatThereIs(t *testing.T) {
	table := vocabulary.New([]vocabulary.Theme{{Title: "All", Words: []vocabulary.Word{
		{Name: "ahead", Sort: vocabulary.Statement, Example: "ahead 1"}, {Name: "turn", Sort: vocabulary.Statement, Example: "turn 1"},
		{Name: "loop", Sort: vocabulary.Keyword, Example: "loop 1 { }"}, {Name: "draw", Sort: vocabulary.Keyword}, {Name: "branch", Sort: vocabulary.Keyword},
		{Name: "sneak", Sort: vocabulary.Statement}, {Name: "shift", Sort: vocabulary.Statement},
		{Name: "curves.polygon", Sort: vocabulary.Function, Example: "x"}, {Name: "curves.circle", Sort: vocabulary.Function, Example: "x"},
		{Name: "stylus", Sort: vocabulary.Term, Doc: "The tip."},
	}}})
	for word, want := range map[string]vocabulary.Everyday{
		"line":      {Write: "ahead 20", Leads: []string{"ahead"}},
		"Square":    {Write: "loop 4 { ahead 20; turn 90 }", Leads: []string{"curves.polygon", "loop", "ahead", "turn"}},
		"circle":    {Write: "draw curves.circle(20)", Leads: []string{"curves.circle"}},
		"repeat":    {Write: "loop 4 { … }", Leads: []string{"loop"}},
		"pencil":    {Leads: []string{"stylus"}},
		"thickness": {Says: "A line has no colour and one width, that of the stylus; leave this out."},
	} {
		e, ok := table.Everyday(word)
		require.True(t, ok, word)
		require.Equal(t, want, e, word)
	}
	lift, _ := table.Everyday("lift")
	require.Equal(t, []string{"sneak", "branch"}, lift.Leads)
	_, ok := table.Everyday("brunch")
	require.False(t, ok)
	to, none := table.Leading()
	require.Contains(t, to["ahead"], "line")
	require.Equal(t, "`stylus`: The tip.", none["pen"])
	require.NotContains(t, none, "line")
}

func TestAThemeIsFoundByItsTitleOrAWordOfIt(t *testing.T) {
	for asked, want := range map[string]string{"The stylus": "The stylus", "stylus": "The stylus", "TEXTS": "Lists and texts", "the": "", "and": "", "": ""} {
		theme, ok := table().Theme(asked)
		require.Equal(t, want != "", ok, asked)
		require.Equal(t, want, theme.Title, asked)
	}
}

func TestThePageBeginsWithItsFirstSentence(t *testing.T) {
	w, _ := table().Lookup("arc")
	require.Equal(t, "Goes round.", w.Short())
	w, _ = table().Lookup("text")
	require.Equal(t, "A path.", w.Short())
}

func TestTwoWordsOfOneNameAreAFaultOfTheTable(t *testing.T) {
	require.Panics(t, func() {
		vocabulary.New([]vocabulary.Theme{{Words: []vocabulary.Word{{Name: "a", Sort: vocabulary.Function}, {Name: "a", Sort: vocabulary.Function}}}})
	})
}
