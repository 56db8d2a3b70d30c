package talk

// The messages between a page and the engine are JSON objects with a "type". A
// place in a text is an offset in UTF-16 code units, as browsers count. Lengths
// are mm from the lower left of the page, y upward; times seconds, angles degrees.

// Request is what a page asks of the engine.
type Request struct {
	// Type is program (check and draw a text; the newest one counts), variations
	// (draw it with some seeds), ask (what an editor asks about a place), steps
	// (statements in the order in which they run), as-drawn (what the simulated
	// machine makes of what was drawn last), export (a file), words (the card
	// of words), small (the small picture of a piece of the gallery), lesson (one of
	// the lessons), or lesson-check (hold a text against the tasks of a lesson).
	Type string `json:"type"`
	// ID is given back with every answer.
	ID   uint32 `json:"id"`
	Path string `json:"path"`
	Text string `json:"text"`

	Seeds []uint32 `json:"seeds"` // of variations
	// What an editor asks: complete, hover, signature, definition, references,
	// rename (to Name), format, outline. Name is also that of a piece.
	What  string `json:"what"`
	At    int    `json:"at"`
	Name  string `json:"name"`
	Piece int    `json:"piece"`
	// From and Count choose from the steps, from 0.
	From  int `json:"from"`
	Count int `json:"count"`
	// Enlarged is how many times as far as it is the line that is drawn is off the
	// ideal one; 1 for the line itself.
	Enlarged float64 `json:"enlarged"`
	// Kind of the file: png, svg, gif or gcode.
	Kind  string `json:"kind"`
	Sheet int    `json:"sheet"` // of as-drawn, of the file and of the trail, from 0

	Lesson int      `json:"lesson"` // its number
	Done   []string `json:"done"`   // of lesson-check, the tasks that were done before
}

// Change replaces a part of the text.
type Change struct {
	From   int    `json:"from"`
	To     int    `json:"to"`
	Insert string `json:"insert"`
}

// Edit is a change that mends a fault.
type Edit struct {
	Label   string   `json:"label"`
	Changes []Change `json:"changes"`
}

// Message is something to say about the text.
type Message struct {
	Severity string `json:"severity"` // error, warning
	Code     string `json:"code"`
	Title    string `json:"title"` // the code in words
	Text     string `json:"text"`
	Hint     string `json:"hint"`
	From     int    `json:"from"`
	To       int    `json:"to"`
	Line     int    `json:"line"`
	Column   int    `json:"column"`
	Edits    []Edit `json:"edits"`
	// Sheet and Place say where the line leaves the page, if it is about that.
	Sheet int         `json:"sheet"`
	Place *[2]float64 `json:"place"`
}

// Measure is a number of the text with what it measures. Which statement it
// belongs to follows from its place.
type Measure struct {
	From  int     `json:"from"`
	To    int     `json:"to"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit"` // as written, or mm or deg where that is meant
	Kind  string  `json:"kind"` // length, angle, other
}

// Checked says what reading and checking a text found, before it is drawn.
type Checked struct {
	Type     string    `json:"type"`
	ID       uint32    `json:"id"`
	Messages []Message `json:"messages"`
	// Colours are from, to, and keyword, word, number, text, comment, figure,
	// variable, parameter or operator.
	Colours  [][3]any  `json:"colours"`
	Measures []Measure `json:"measures"`
	Seeds    [][2]int  `json:"seeds"` // the numbers behind `seed`
}

// Sheet is one sheet of what was drawn. Its line came before, in binary.
type Sheet struct {
	LineMM  float64 `json:"lineMM"`
	Seconds float64 `json:"seconds"`
	Words   string  `json:"words"` // the drawing, told
}

// Page is the sheet of paper.
type Page struct {
	Width     float64 `json:"width"`
	Height    float64 `json:"height"`
	Margin    float64 `json:"margin"`
	LineWidth float64 `json:"lineWidth"`
}

// Statement drew some pieces of line: its place in the text, and the way by which
// the program came to it. A statement that was come to by several ways may stand
// here several times.
type Statement struct {
	ID    int      `json:"id"`
	From  int      `json:"from"`
	To    int      `json:"to"`
	Trail []string `json:"trail"` // outermost first
}

// Drawn says what running a text gave. A text that does not run to its end has
// messages alone.
type Drawn struct {
	Type       string      `json:"type"`
	ID         uint32      `json:"id"`
	Messages   []Message   `json:"messages"`
	Sheets     []Sheet     `json:"sheets"`
	Page       Page        `json:"page"`
	Machine    string      `json:"machine"`
	Statements []Statement `json:"statements"`
	Said       []string    `json:"said"`
}

// Progress tells of a word's long work.
type Progress struct {
	Type string `json:"type"`
	ID   uint32 `json:"id"`
	Done int    `json:"done"`
	Of   int    `json:"of"`
}

// Item is one way to go on with a word.
type Item struct {
	Label  string `json:"label"`
	Insert string `json:"insert"`
	Detail string `json:"detail"`
	Sort   string `json:"sort"`
}

// Symbol is a definition of the text.
type Symbol struct {
	Name   string `json:"name"`
	Detail string `json:"detail"`
	Sort   string `json:"sort"`
	From   int    `json:"from"`
	To     int    `json:"to"`
}

// Form is one way to write a call, with the parameter that is being given as a
// part of its label.
type Form struct {
	Label  string  `json:"label"`
	Active *[2]int `json:"active"`
}

// Answer is what an editor asked for.
type Answer struct {
	Type    string   `json:"type"`
	ID      uint32   `json:"id"`
	Items   []Item   `json:"items,omitempty"`
	From    int      `json:"from"`
	To      int      `json:"to"`
	Title   string   `json:"title,omitempty"`
	Body    []string `json:"body,omitempty"`
	Example string   `json:"example,omitempty"`
	Changes []Change `json:"changes,omitempty"`
	Spans   [][2]int `json:"spans,omitempty"`
	Symbols []Symbol `json:"symbols,omitempty"`
	Forms   []Form   `json:"forms,omitempty"`
}

// Step is one statement when it is about to run.
type Step struct {
	From  int `json:"from"`
	To    int `json:"to"`
	Piece int `json:"piece"` // of the line's pieces, the next one
	Sheet int `json:"sheet"`
	// Values are the variables that it sees, as the program prints them.
	Values [][2]string `json:"values"`
}

// Steps are some of the steps.
type Steps struct {
	Type  string `json:"type"`
	ID    uint32 `json:"id"`
	Of    int    `json:"of"` // all steps, as far as they were counted
	Steps []Step `json:"steps"`
}

// Word is a word of the card.
type Word struct {
	Name    string       `json:"name"`
	Line    string       `json:"line"` // a program that shows it
	Says    string       `json:"says"`
	Picture [][2]float32 `json:"picture"` // what that draws
	Also    []string     `json:"also"`    // everyday words that lead to it
}

// WordGroup is some words that belong together.
type WordGroup struct {
	Title string `json:"title"`
	Words []Word `json:"words"`
}

// Small is the small picture of a piece of the gallery: the data of an SVG path, in
// half mm from the upper left of the page.
type Small struct {
	Type string `json:"type"`
	ID   uint32 `json:"id"`
	Path string `json:"path"`
}

// Words is the card of words.
type Words struct {
	Type   string      `json:"type"`
	Groups []WordGroup `json:"groups"`
	// None is said of everyday words that lead to no word of the card.
	None map[string]string `json:"none"`
}

// Block is a piece of the page of a lesson.
type Block struct {
	Sort string `json:"sort"` // heading, text, item, or guess, where that is asked for
	Text string `json:"text"` // what is of a program stands between backquotes
}

// Lesson is a lesson: its page, what is guessed before its program draws, and its
// tasks.
type Lesson struct {
	Type   string       `json:"type"`
	ID     uint32       `json:"id"`
	Number int          `json:"number"`
	Title  string       `json:"title"`
	Page   []Block      `json:"page"`
	Start  string       `json:"start"` // the program to begin with
	Guess  Guess        `json:"guess"`
	Tasks  []LessonTask `json:"tasks"`
}

// Guess is what is guessed: the answers in the order in which they are shown.
type Guess struct {
	Ask     string        `json:"ask"` // empty where the page asks
	Answers []GuessAnswer `json:"answers"`
	Told    string        `json:"told"` // afterwards
}

// GuessAnswer is one of them, with a line or in words alone.
type GuessAnswer struct {
	Text    string       `json:"text"`
	Right   bool         `json:"right"`
	Picture [][2]float32 `json:"picture"`
}

// LessonTask is a task of a lesson.
type LessonTask struct {
	Task  string   `json:"task"` // 3.2
	Title string   `json:"title"`
	Asks  string   `json:"asks"`
	Mixed []string `json:"mixed"` // rows of an answer out of their order
	Hints []string `json:"hints"` // the first says least
	// Sketch is the wanted drawing; null for one of the learner's own. Measures are
	// its dimensions in words.
	Sketch   *Sketch `json:"sketch"`
	Measures string  `json:"measures"`
}

// Sketch is a wanted drawing with its dimensions.
type Sketch struct {
	Line       [][2]float32 `json:"line"`
	Dimensions []Dimension  `json:"dimensions"`
}

// Dimension is a measure of a sketch, as lines and words.
type Dimension struct {
	Lines [][][2]float32 `json:"lines"`
	Words string         `json:"words"`
	At    [2]float32     `json:"at"` // the middle of the words
}

// LessonChecked says how a text stands to the tasks of a lesson.
type LessonChecked struct {
	Type  string        `json:"type"`
	ID    uint32        `json:"id"`
	Tasks []CheckedTask `json:"tasks"`
	// Next is the task that the learner is at; empty if all are done.
	Next string `json:"next"`
}

// CheckedTask is how a text stands to one task.
type CheckedTask struct {
	Task   string `json:"task"`
	Solved bool   `json:"solved"`
	State  string `json:"state"` // in words
	// Of one that is not solved: what differs first with both measures, a hint, the
	// line of the text (0 for none), and the place on the last sheet (null for none).
	Says string      `json:"says"`
	Hint string      `json:"hint"`
	Line int         `json:"line"`
	At   *[2]float64 `json:"at"`
}

// Failed says why a request has no other answer.
type Failed struct {
	Type string `json:"type"`
	ID   uint32 `json:"id"`
	Text string `json:"text"`
	Hint string `json:"hint"`
}
