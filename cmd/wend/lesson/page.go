package lesson

import "strings"

// Block is a piece of a page of a lesson: a heading, a paragraph, or a row of a list.
// What stands between backquotes in its text is of a program.
type Block struct {
	Sort string // heading, text, item
	Text string
}

// Blocks are the pieces of a page. Each stands in one line of its own.
func Blocks(markdown string) []Block {
	var all []Block
	for line := range strings.Lines(markdown) {
		line = strings.TrimSpace(line)
		heading, isHeading := strings.CutPrefix(line, "## ")
		item, isItem := strings.CutPrefix(line, "- ")
		switch {
		case line == "":
		case isHeading:
			all = append(all, Block{"heading", heading})
		case isItem:
			all = append(all, Block{"item", item})
		default:
			all = append(all, Block{"text", line})
		}
	}
	return all
}
