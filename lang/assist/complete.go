package assist

import (
	"cmp"
	"slices"
	"strings"
	"unicode"

	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/source"
	"wend/lang/types"
	"wend/lang/vocabulary"
)

// Completions are the ways to go on at a place.
type Completions struct {
	// Span is what is typed of a word so far, and what an item replaces.
	Span  source.Span
	Items []Item // the likeliest first
}

// Item is one way to go on.
type Item struct {
	Page
	Insert string // what is put in place of what is typed
	Likely bool   // its kind is what is wanted here
}

// rank is the smaller the likelier the item is: what is of the kind that is
// wanted before what is not, and the program's own names before those of the
// library.
func (i Item) rank() int {
	rank := 3
	if i.Likely {
		rank -= 2
	}
	if i.Example == "" || i.Sort == Measure { // every word of the table has one
		rank--
	}
	return rank
}

// expected is what can stand at a place.
type expected uint8

const (
	nothing    expected = iota // a new name, a text, a comment
	aStatement                 // a statement begins
	aValue                     // a value begins
	anArgument                 // a value, or the name of a parameter
	aMember                    // after a dot
	aLink                      // after a value: `and`, `at`, `by`, …
	aUnit                      // glued to a number
)

// Complete gives the ways to go on with the word before an offset. Names that the
// program defines, words of the library, parameters, fields and units each stand
// where they can; what fits the kind that is wanted stands first.
func (d *Document) Complete(at int) Completions {
	at = d.clamped(at)
	c := &completer{Document: d, at: at, result: Completions{Span: d.span(at, at)}}
	if d.silent(at) {
		return c.result
	}
	i := d.before(at)
	switch {
	case i < 0:
	case d.isWord(i) && d.tokens()[i].Span.End >= at:
		c.result.Span.Start = d.tokens()[i].Span.Start
		i--
	case d.kind(i) == ast.NumberToken:
		// A unit that is begun is no word yet.
		number := d.source().Text[d.tokens()[i].Span.Start:at]
		c.result.Span.Start = at - len(number) + len(strings.TrimRightFunc(number, unicode.IsLetter))
	}
	c.last = i
	c.typed = c.result.Span.Text()
	c.scope = d.scopeAt(at)
	c.wanted = types.Any
	c.offer(c.expected())
	slices.SortStableFunc(c.result.Items, func(a, b Item) int {
		return cmp.Or(cmp.Compare(a.rank(), b.rank()), cmp.Compare(a.Name, b.Name))
	})
	return c.result
}

// completer is the finding of completions at one place.
type completer struct {
	*Document
	at     int
	last   int // index of the token before what is typed
	typed  string
	scope  *scope
	call   *site
	wanted types.Kind
	docs   comments
	result Completions
}

// expected finds out what can stand at the place, and of which kinds a value is
// wanted.
func (c *completer) expected() expected {
	text := c.text(c.last)
	switch c.kind(c.last) {
	case ast.CommentToken, ast.EndToken, ast.BlockToken:
		return aStatement
	case ast.NumberToken:
		if c.tokens()[c.last].Span.End >= c.result.Span.Start {
			return aUnit // glued to it
		}
		return c.afterValue()
	case ast.TextToken, ast.CloseToken:
		return c.afterValue()
	case ast.NameToken:
		if c.startsCall() {
			return c.argument()
		}
		return c.afterValue()
	case ast.KeywordToken:
		if c.text(c.last-1) == "." {
			return c.afterValue() // a field of that name
		}
		return c.afterKeyword(text)
	case ast.SignToken:
		if text == "." {
			return aMember
		}
	}
	return c.argument()
}

// startsCall reports whether the last token ends the name of what a statement
// calls, so that its first argument follows.
func (c *completer) startsCall() bool {
	first := c.last
	for c.text(first-1) == "." && c.isWord(first-2) {
		first -= 2
	}
	k := c.kind(first - 1)
	return c.tokens()[c.last].Span.End < c.at && (k == ast.EndToken || k == ast.BlockToken || k == ast.CommentToken)
}

// argument finds the call around the place and what it wants there.
func (c *completer) argument() expected {
	c.call = c.callAt(c.at)
	if c.call == nil {
		return aValue
	}
	if c.call.nested {
		return aValue
	}
	forms := c.call.forms()
	wanted := types.Unknown
	for _, f := range forms {
		if i := c.call.active(f); i >= 0 {
			wanted |= f.Params[i].Kinds
		}
	}
	if wanted != types.Unknown {
		c.wanted = wanted
	}
	if c.text(c.last) == "(" || c.text(c.last) == "," || c.startsCall() {
		return anArgument
	}
	if c.kind(c.last) == ast.SignToken && c.text(c.last) != ":" {
		c.wanted = types.Any // behind an operator
	}
	return aValue
}

func (c *completer) afterKeyword(word string) expected {
	switch word {
	case "let", "fn", "figure", "as", "use", "curve", "break", "continue", "branch", "path":
		return nothing
	case "true", "false":
		return c.afterValue()
	case "draw":
		c.wanted = types.Path
	case "at":
		c.wanted = types.Point
	case "if", "while", "and", "or", "not":
		c.wanted = types.Bool
	case "by":
		c.wanted = types.Number
	case "in":
		c.wanted = types.List | types.Text
	case "loop":
		c.wanted = types.Number
		c.keyword("while")
	case "else":
		c.keyword("if")
		return nothing
	}
	return aValue
}

// afterValue offers what can follow a value.
func (c *completer) afterValue() expected {
	if c.last < 0 || c.tokens()[c.last].Span.End >= c.at {
		return nothing
	}
	first := c.statementStart(c.last)
	seen := func(word string) bool {
		for i := first; i <= c.last; i++ {
			if c.text(i) == word && (c.kind(i) == ast.KeywordToken || c.kind(i) == ast.SignToken) {
				return true
			}
		}
		return false
	}
	switch {
	case c.text(c.last) == "}" && seen("if"):
		c.keyword("else")
	case seen("use"):
		if !seen("as") {
			c.keyword("as")
		}
		return nothing
	case (seen("loop") || seen("curve")) && !seen("in") && !seen("while") && c.kind(c.last) == ast.NameToken:
		c.keyword("in")
	}
	if seen("draw") && !seen("at") {
		c.keyword("at")
	}
	if seen("..") && !seen("by") {
		c.keyword("by")
	}
	c.keyword("and")
	c.keyword("or")
	return aLink
}

// statementStart is the first token of the statement that a token is in.
func (d *Document) statementStart(i int) int {
	closed := 0
	for ; i > 0; i-- {
		switch d.kind(i) {
		case ast.CloseToken:
			closed++
		case ast.OpenToken, ast.CallToken:
			closed = max(0, closed-1)
		case ast.BlockToken:
			if closed == 0 {
				return i + 1
			}
			closed--
		case ast.EndToken:
			if closed == 0 {
				return i + 1
			}
		}
	}
	return i
}

// offer collects what can stand at the place.
func (c *completer) offer(e expected) {
	switch e {
	case aStatement:
		c.statements()
		c.names(true)
	case anArgument:
		c.parameters()
		c.values()
	case aValue:
		c.values()
	case aMember:
		c.members()
	case aUnit:
		for _, w := range c.Words.Words(vocabulary.Unit) {
			c.add(wordPage(w), w.Name, true)
		}
	}
}

// add takes in a word that goes on as what is typed.
func (c *completer) add(p Page, insert string, likely bool) {
	if !strings.HasPrefix(insert, c.typed) {
		return
	}
	for _, other := range c.result.Items {
		if other.Insert == insert {
			return
		}
	}
	c.result.Items = append(c.result.Items, Item{Page: p, Insert: insert, Likely: likely})
}

func (c *completer) keyword(word string) {
	if w, ok := c.Words.Lookup(word); ok {
		c.add(wordPage(w), word, true)
	}
}

// statements are the words that begin a statement where the place is.
func (c *completer) statements() {
	for _, word := range []string{"let", "loop", "if", "draw", "branch", "break", "continue", "return", "figure", "fn", "use"} {
		switch s := c.scope; {
		case (word == "figure" || word == "fn" || word == "use") && (s.where != inFile || s.depth > 0),
			(word == "break" || word == "continue") && s.loops == 0,
			word == "return" && s.where == inFile,
			(word == "draw" || word == "branch") && !s.where.mayDraw():
		default:
			c.keyword(word)
		}
	}
}

// values are what a value can begin with.
func (c *completer) values() {
	for _, word := range []string{"true", "false", "not"} {
		c.wordThatGives(word, types.Bool)
	}
	c.wordThatGives("fn", types.Function)
	c.wordThatGives("path", types.Path)
	c.wordThatGives("curve", types.Path)
	c.wordThatGives("if", types.Any)
	c.names(false)
}

func (c *completer) wordThatGives(word string, kind types.Kind) {
	if w, ok := c.Words.Lookup(word); ok {
		c.add(wordPage(w), word, c.fits(kind))
	}
}

// fits reports whether a value of some kinds is one that is wanted, where not
// just any is.
func (c *completer) fits(k types.Kind) bool {
	return c.wanted&types.Any != types.Any && k != types.Any && k.Has(c.wanted)
}

// names are all names that are known at the place, and the words of the library.
func (c *completer) names(statement bool) {
	for _, obj := range c.scope.names {
		page := c.page(obj)
		likely := c.fits(obj.Kinds)
		switch obj.Kind {
		case check.Figure:
			likely = statement && c.scope.where.mayDraw() || c.fits(types.Path)
		case check.Function:
			likely = c.fits(obj.Result)
		}
		if obj.Kind == check.ModuleRef || !statement {
			c.add(page, obj.Name, likely)
			continue
		}
		c.add(page, obj.Name, likely || obj.Kind == check.Variable)
	}
	for _, b := range c.Program.Library.Builtins {
		if c.scope.find(b.Name) != nil {
			continue
		}
		result := types.Unknown
		for _, f := range b.Forms {
			result |= f.Result
		}
		isStatement := result == types.Nothing
		switch {
		case !strings.HasPrefix(b.Name, c.typed), isStatement && !statement, isStatement && !c.scope.allowed(b):
			continue
		}
		if w, ok := c.Words.Lookup(b.Name); ok {
			c.add(wordPage(w), b.Name, isStatement || !statement && c.fits(result))
		}
	}
	for _, name := range c.Program.Library.Modules {
		if obj := c.target(c.scope, name); obj.Kind == check.ModuleRef {
			c.add(c.page(obj), name, c.fits(types.Path))
		}
	}
}

func (c *completer) page(obj *check.Object) Page {
	if c.docs == nil {
		var files []*ast.File
		for _, m := range c.Program.Modules {
			files = append(files, m.File)
		}
		c.docs = commentsOf(files...)
	}
	return c.pageIn(obj, c.docs)
}

// parameters are the names of those that the call was not given yet.
func (c *completer) parameters() {
	if c.call == nil {
		return
	}
	for _, f := range c.call.forms() {
		first := c.call.index
		if c.call.receiver {
			first++
		}
		for i, p := range f.Params {
			if i < first || p.Rest || slices.Contains(c.call.given, p.Name) {
				continue
			}
			value := valueOf(p.Kinds, p.Unit)
			c.add(Page{Name: p.Name, Sort: Parameter, Forms: []string{p.Name + ": VALUE"}, Value: value}, p.Name+": ", p.Optional)
		}
	}
}
