package types

import "sync"

// Builtin is a word of the library as a program sees it: how it is called, what
// it may do, what it is for. The Go function behind it, if it has one, is kept
// beside it by the library (see value.Native); words with an Op are carried out
// by the evaluator itself.
type Builtin struct {
	Name  string
	Theme string // the part of the reference it stands in: "stylus", "path", "number", …
	// Forms are the ways to call it, told apart by the number, names and kinds
	// of arguments. A word that is read, not called (`pi`, `here`, `page`), has
	// one form without parameters and Value set.
	Forms []Form
	Value bool
	Op    Op
	May   Effect
	// Fields are the names of the fields of the records that it makes, whose
	// values may be of any kind; AnyField stands for names that nobody knows
	// before the program runs.
	Fields []string

	Doc     string // what it does, in one or two sentences, with units
	Example string // a whole program that a test runs; drawn by `wend explain`
}

// AnyField is every name a field can have.
const AnyField = "*"

// Form is one way to call a builtin.
type Form struct {
	Params []Param
	Result Kind
	// SameKind says that the result has the kind of the first argument.
	SameKind bool
	// Items are the kinds of the items of a result that is a list; Unknown says
	// that they can be anything, or with SameKind that they are those of the
	// first argument.
	Items Kind
	Unit  Unit // of the result of a word that is read; calls give plain numbers
}

// ParamAt is the parameter that takes the argument at a place.
func (f *Form) ParamAt(i int) *Param { return &f.Params[min(i, len(f.Params)-1)] }

// Param is a parameter of a builtin.
type Param struct {
	Name     string
	Kinds    Kind
	Unit     Unit
	Optional bool // if left out, the function is given Nothing
	Rest     bool // last parameter only: takes all further arguments
}

// Effect says what a word does beside giving a value, and where it may stand.
type Effect uint8

// The effects; 0 is a pure function that may stand anywhere.
const (
	Draws     Effect = 1 << iota // moves or turns the stylus: not in fn bodies
	Stylus                       // reads the stylus or the page: where drawing is allowed
	TopLevel                     // only outside fn, figure and path bodies
	NoBranch                     // and not within branch { } either
	Outermost                    // only outside every block, once (begin)
	Chance                       // draws on the random sequence: not in a curve's formula
)

// Op is a word that the evaluator carries out itself.
type Op uint8

// The words of the stylus and the run.
const (
	NoOp Op = iota
	Ahead
	Turn
	Face
	Reach
	Shift
	Arc
	Bezier
	Spline
	Sneak
	Follow
	Begin
	Note
	Pause
	Erase
	Seed
	Here
	Heading
	Page
)

// Field is a measure read after a dot: `p.length`.
type Field struct {
	Of     Kind
	Name   string
	Result Kind
	Unit   Unit
	Doc    string // what it is, as the rest of "…: how many items it has"
}

// Fields are all measures of the language.
var Fields = []Field{
	{Path, "length", Number, Length, "how long the line is, in mm"},
	{Path, "start", Point, Plain, "where the line begins"},
	{Path, "end", Point, Plain, "where the line ends"},
	{Path, "closed", Bool, Plain, "whether the line ends where it begins"},
	{Path, "bounds", Box, Plain, "the smallest upright box around the line"},
	{List, "length", Number, Plain, "how many items there are"},
	{List, "bounds", Box, Plain, "of a list of paths, the smallest upright box around all of them"},
	{Text, "length", Number, Plain, "how many characters there are, as a reader counts them"},
	{Box, "left", Number, Length, "the x of the left edge, in mm"},
	{Box, "right", Number, Length, "the x of the right edge, in mm"},
	{Box, "top", Number, Length, "the y of the upper edge, in mm"},
	{Box, "bottom", Number, Length, "the y of the lower edge, in mm"},
	{Box, "width", Number, Length, "from the left edge to the right one, in mm"},
	{Box, "height", Number, Length, "from the lower edge to the upper one, in mm"},
	{Box, "center", Point, Plain, "the middle"},
	{Point, "x", Number, Length, "how far to the right, in mm"},
	{Point, "y", Number, Length, "how far up, in mm"},
	{Image, "width", Number, Plain, "how many picture points wide it is"},
	{Image, "height", Number, Plain, "how many picture points high it is"},
}

// Library is the set of words that every program knows.
type Library struct {
	Builtins []*Builtin
	// Modules are the names of the themes that are written in wend itself
	// (`curves`), always there under their own name.
	Modules []string
	// Renamed are words that were once called otherwise: the old name with the
	// present one.
	Renamed map[string]string

	once   sync.Once
	byName map[string]*Builtin
}

// Lookup finds a builtin by name, or nil.
func (l *Library) Lookup(name string) *Builtin {
	l.once.Do(func() {
		l.byName = make(map[string]*Builtin, len(l.Builtins))
		for _, b := range l.Builtins {
			l.byName[b.Name] = b
		}
	})
	return l.byName[name]
}
