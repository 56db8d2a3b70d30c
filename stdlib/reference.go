package stdlib

import (
	"slices"
	"strings"

	"wend/lang/types"
)

// Section is one part of the reference of the library.
type Section struct {
	Title   string
	Intro   string
	Entries []Entry
}

// Entry is what there is to say about one word.
type Entry struct {
	Name    string   // as programs write it: `arc`, `curves.rose`
	Forms   []string // the ways to use it: `arc radius, angle`, `fit(line, width:, height:)`
	Doc     string
	Example string // a whole program
}

// Reference is the whole library for people to read: the builtin words by
// theme, then the themes written in wend.
func Reference() []Section {
	var sections []Section
	for _, t := range themes() {
		section := Section{Title: t.title, Intro: t.intro}
		for _, w := range t.words {
			entry := Entry{Name: w.Name, Doc: w.Doc, Example: w.Example}
			for _, form := range w.Forms {
				// Forms that differ in kinds alone are written alike.
				if written := signature(w.Builtin, form); !slices.Contains(entry.Forms, written) {
					entry.Forms = append(entry.Forms, written)
				}
			}
			section.Entries = append(section.Entries, entry)
		}
		sections = append(sections, section)
	}
	for _, name := range Modules() {
		sections = append(sections, moduleSection(name, Module(name).Text))
	}
	return sections
}

// signature is how a word is written: with brackets if it gives a value,
// without if it is a statement. Optional parameters end in a colon, as they are
// named in a call.
func signature(b *types.Builtin, form types.Form) string {
	names := make([]string, len(form.Params))
	for i, p := range form.Params {
		switch {
		case p.Rest:
			names[i] = "…"
		case p.Optional:
			names[i] = p.Name + ":"
		default:
			names[i] = p.Name
		}
	}
	list := strings.Join(names, ", ")
	switch {
	case b.Value:
		return b.Name
	case form.Result == types.Nothing:
		return strings.TrimSpace(b.Name + " " + list)
	}
	return b.Name + "(" + list + ")"
}

// moduleSection reads the reference of a theme written in wend out of its
// comments: the first comment holds the title and, after an empty line, the
// introduction; the comment right above a function or figure documents it.
// Lines of a comment that are set in by four more spaces are the example.
func moduleSection(name, text string) Section {
	var section Section
	var comment []string
	for line := range strings.Lines(text) {
		line = strings.TrimRight(line, "\r\n")
		if about, ok := strings.CutPrefix(line, "#"); ok {
			comment = append(comment, strings.TrimPrefix(about, " "))
			continue
		}
		doc, example := readComment(comment)
		comment = nil
		switch {
		case section.Title == "":
			section.Title, section.Intro, _ = strings.Cut(doc, " ")
		case doc != "":
			if header, ok := header(line); ok {
				word, _, _ := strings.Cut(header, "(")
				section.Entries = append(section.Entries, Entry{
					Name: name + "." + word, Forms: []string{name + "." + header}, Doc: doc, Example: example,
				})
			}
		}
	}
	return section
}

// readComment splits the lines of a comment into prose and example.
func readComment(lines []string) (doc, example string) {
	var prose []string
	var program strings.Builder
	for _, line := range lines {
		if code, ok := strings.CutPrefix(line, "    "); ok {
			program.WriteString(code + "\n")
		} else if line = strings.TrimSpace(line); line != "" {
			prose = append(prose, line)
		}
	}
	return strings.Join(prose, " "), program.String()
}

// header is the name and parameters of the function or figure that a line
// defines: `rose(k, radius)`.
func header(line string) (string, bool) {
	for _, keyword := range []string{"fn ", "figure "} {
		if rest, ok := strings.CutPrefix(line, keyword); ok {
			end := strings.Index(rest, ")")
			return rest[:end+1], end >= 0
		}
	}
	return "", false
}
