package desk

// Request is a message of the page. Which fields count depends on its type.
type Request struct {
	Type     string   `json:"type"`
	ID       uint32   `json:"id"`
	Path     string   `json:"path"`
	Text     string   `json:"text"`
	Seeds    []uint64 `json:"seeds"`
	What     string   `json:"what"`
	At       int      `json:"at"`
	Name     string   `json:"name"`
	Sheet    int      `json:"sheet"`
	Piece    int      `json:"piece"`
	From     int      `json:"from"`
	Count    int      `json:"count"`
	Enlarged float64  `json:"enlarged"`
	Kind     string   `json:"kind"`
}

// Change replaces a part of the text that was asked about.
type Change struct {
	From   int    `json:"from"`
	To     int    `json:"to"`
	Insert string `json:"insert"`
}

// Edit mends what a message is about.
type Edit struct {
	Label   string   `json:"label"`
	Changes []Change `json:"changes"`
}

// Message is one thing to say about a program. From and To are -1 where it is
// about no part of the text.
type Message struct {
	Severity string `json:"severity"` // error, warning, note
	Code     string `json:"code"`
	Title    string `json:"title"` // what its code is about
	Text     string `json:"text"`
	Hint     string `json:"hint"`
	From     int    `json:"from"`
	To       int    `json:"to"`
	Line     int    `json:"line"`
	Column   int    `json:"column"`
	Edits    []Edit `json:"edits"`
}

// Colour is a part of the text with what it means.
type Colour [3]any // from, to, meaning

// Measure is a number of the text that measures something on the sheet.
type Measure struct {
	From      int     `json:"from"`
	To        int     `json:"to"`
	Value     float64 `json:"value"` // as written, before its unit
	Unit      string  `json:"unit"`  // as written
	Kind      string  `json:"kind"`  // length, angle, other
	Statement int     `json:"statement"`
}

// Checked is what is known of a text before it is drawn.
type Checked struct {
	Type     string    `json:"type"`
	ID       uint32    `json:"id"`
	Messages []Message `json:"messages"`
	Colours  []Colour  `json:"colours"`
	Measures []Measure `json:"measures"`
	Seeds    [][2]int  `json:"seeds"` // the numbers of its seeds
}

// Sheet is one sheet of a drawing; mm and seconds.
type Sheet struct {
	Segments  int        `json:"segments"`
	LineMM    float64    `json:"lineMM"`
	VisibleMM float64    `json:"visibleMM"`
	Seconds   float64    `json:"seconds"`
	Bounds    [4]float64 `json:"bounds"` // left, bottom, right, top
	Start     [2]float64 `json:"start"`
	End       [2]float64 `json:"end"`
	Words     string     `json:"words"`
}

// PageSize is the page and what lies around it, in mm.
type PageSize struct {
	Width     float64 `json:"width"`
	Height    float64 `json:"height"`
	Margin    float64 `json:"margin"`
	LineWidth float64 `json:"lineWidth"`
}

// Statement is a statement that drew something; from and to are -1 where it
// stands in another text.
type Statement struct {
	ID   int `json:"id"`
	From int `json:"from"`
	To   int `json:"to"`
}

// Drawn is what a program draws. Without sheets it does not.
type Drawn struct {
	Type       string      `json:"type"`
	ID         uint32      `json:"id"`
	Messages   []Message   `json:"messages"`
	Sheets     []Sheet     `json:"sheets"`
	Page       PageSize    `json:"page"`
	Machine    string      `json:"machine"`
	Statements []Statement `json:"statements"`
	Said       []string    `json:"said"`
}

// Progress is how much of a long work is done.
type Progress struct {
	Type string `json:"type"`
	ID   uint32 `json:"id"`
	Done int    `json:"done"`
	Of   int    `json:"of"`
}

// Item is one way to go on.
type Item struct {
	Label  string `json:"label"`
	Insert string `json:"insert"`
	Detail string `json:"detail"`
	Sort   string `json:"sort"`
}

// Answer is what was asked for: the fields that answer it are there.
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
}

// Step is where a program stands before a statement.
type Step struct {
	From   int         `json:"from"`
	To     int         `json:"to"`
	Piece  int         `json:"piece"` // the next one
	Sheet  int         `json:"sheet"`
	Values [][2]string `json:"values"`
}

// Steps are some of the steps of a program.
type Steps struct {
	Type  string `json:"type"`
	ID    uint32 `json:"id"`
	Of    int    `json:"of"`
	Steps []Step `json:"steps"`
}

// Word is a word of the word card.
type Word struct {
	Name    string       `json:"name"`
	Line    string       `json:"line"`
	Says    string       `json:"says"`
	Picture [][2]float32 `json:"picture"` // mm
}

// Group is some words that belong together.
type Group struct {
	Title string `json:"title"`
	Words []Word `json:"words"`
}

// Words is the word card.
type Words struct {
	Type   string  `json:"type"`
	Groups []Group `json:"groups"`
}

// Failed is what a request without an answer is told.
type Failed struct {
	Type string `json:"type"`
	ID   uint32 `json:"id"`
	Text string `json:"text"`
	Hint string `json:"hint"`
}
