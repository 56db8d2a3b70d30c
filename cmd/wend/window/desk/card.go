package desk

import (
	"context"
	"strings"

	"wend/cmd/wend/engine"
	"wend/lang/source"
	"wend/lang/vocabulary"
	"wend/stdlib"
)

// cardPoints is how many points the picture of a word has at most.
const cardPoints = 160

// card gives the word card. Its pictures are drawn once.
func (d *Desk) card(ctx context.Context, r Request) error {
	d.mu.Lock()
	words := d.words
	d.mu.Unlock()
	if words == nil {
		words = d.makeCard(ctx)
		if ctx.Err() != nil {
			return nil
		}
		d.mu.Lock()
		d.words = words
		d.mu.Unlock()
	}
	d.tell(words)
	return nil
}

func (d *Desk) makeCard(ctx context.Context) *Words {
	words := &Words{Type: "words"}
	for _, theme := range stdlib.Vocabulary().Themes() {
		group := Group{Title: theme.Title}
		for _, w := range theme.Words {
			if w.Example == "" || w.Sort == vocabulary.Term {
				continue
			}
			group.Words = append(group.Words, Word{Name: w.Name, Line: lineWith(w), Says: w.Short(), Picture: d.pictureOf(ctx, w.Example)})
		}
		if len(group.Words) > 0 {
			words.Groups = append(words.Groups, group)
		}
	}
	return words
}

// lineWith is the line of a word's example that has the word.
func lineWith(w vocabulary.Word) string {
	for line := range strings.Lines(w.Example) {
		if line = strings.TrimSpace(line); strings.Contains(line, w.Name) && !strings.HasPrefix(line, "#") {
			return line
		}
	}
	return w.Name
}

// pictureOf is the line that an example draws, small; none where it draws nothing
// or needs files that are not here.
func (d *Desk) pictureOf(ctx context.Context, example string) [][2]float32 {
	settings := engine.Settings{Profile: d.settings.Profile, Read: noFiles}
	program, _ := engine.Load(source.New("example", example), settings)
	if program == nil {
		return nil
	}
	line, list := program.Draw(ctx)
	if list.Failed() || line == nil {
		return nil
	}
	sheets := engine.WithLine(line)
	if len(sheets) == 0 {
		return nil
	}
	var picture [][2]float32
	for _, p := range small(line.Sheets[sheets[0]].Points, cardPoints) {
		picture = append(picture, [2]float32{float32(p.X), float32(p.Y)})
	}
	return picture
}
