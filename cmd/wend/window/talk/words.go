package talk

import (
	"context"
	"sync"

	"wend/cmd/wend/engine"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/lang/vocabulary"
	"wend/runtime/machine"
	"wend/stdlib"
)

// wordPoints is how many points the picture of a word has at most.
const wordPoints = 300

// card is the card of words: each that has a program which shows it, with what that
// draws on the built-in machine. It is made once.
var card = sync.OnceValue(func() Words {
	out := Words{Type: "words", Groups: []WordGroup{}}
	settings := engine.Settings{Profile: machine.DeskToy(), Read: exampleFile}
	leading, none := stdlib.Vocabulary().Leading()
	out.None = none
	for _, theme := range stdlib.Vocabulary().Themes() {
		group := WordGroup{Title: theme.Title}
		for _, w := range theme.Words {
			if w.Example != "" {
				word := shown(w, settings)
				word.Also = append(word.Also, leading[w.Name]...)
				group.Words = append(group.Words, word)
			}
		}
		if len(group.Words) > 0 {
			out.Groups = append(out.Groups, group)
		}
	}
	return out
})

// exampleFile is a file that the example of a word names.
func exampleFile(_, name string) (*source.File, error) {
	if text, ok := stdlib.ExampleFile(name); ok {
		return source.New(name, text), nil
	}
	return nil, &diag.Fault{Code: "file-missing", Args: diag.Args{"name": name}}
}

func shown(w vocabulary.Word, settings engine.Settings) Word {
	word := Word{Name: w.Name, Line: w.Example, Says: w.Short(), Picture: [][2]float32{}, Also: []string{}}
	program, _ := engine.Load(source.New("<example>", w.Example), settings)
	if program == nil {
		return word
	}
	drawn, _ := program.Draw(context.Background())
	if drawn == nil {
		return word
	}
	sheets := engine.WithLine(drawn)
	if len(sheets) == 0 {
		return word
	}
	word.Picture = pairs(thinned(drawn.Sheets[sheets[0]].Points, wordPoints))
	return word
}

// words gives the card of words.
func (s *Session) words(ctx context.Context, _ *Request) error {
	out := card()
	if ctx.Err() == nil {
		s.to.Text(out)
	}
	return nil
}
