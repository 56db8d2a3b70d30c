package window

import "encoding/json"

// What a page says to this process beyond what it asks of the engine (see
// talk/messages.go). A path is relative to the folder, with slashes.

// fromPage is any of these messages:
//
//	hello       with the secret of the page, and what it begins with, first of all
//	files       what is in the folder
//	open        a program of the folder, a copy of a piece of the gallery, or a lesson
//	done        tasks of the lessons that are done
//	save        a text, if the file is still of the version that is named
//	new         begin a program
//	rename      give a program another name
//	history     what can be undone, to be kept for the next time
//	connect     a machine at a port, or take over one whose window has gone
//	send        draw a sheet of a text on it
//	resume      go on with the drawing that was cut off, of this text
//	walk, stands, wipe, disconnect
//	key         hold, go on, stop, or leave a question
//	abandon     stop, and drop what is left; also of a drawing that was cut off
//	answer-person  what is typed where the machine asks
type fromPage struct {
	Type    string          `json:"type"`
	ID      uint32          `json:"id"`
	Secret  string          `json:"secret"`
	Path    string          `json:"path"`
	To      json.RawMessage `json:"to"` // of rename a path, of walk a place
	Piece   string          `json:"piece"`
	Text    string          `json:"text"`
	Version string          `json:"version"`
	Entries json.RawMessage `json:"entries"`
	Port    string          `json:"port"`
	Key     string          `json:"key"`
	Sheet   int             `json:"sheet"`
	At      json.RawMessage `json:"at"` // of stands a place
	Tasks   []string        `json:"tasks"`
	Begin   *fromBegin      `json:"begin"` // of hello; null for nothing
}

// fromBegin is what a page begins with: a piece of the gallery; the program at a path;
// or, where there are none or they are not named, the first one. It is opened, and
// drawn as request 1.
type fromBegin struct {
	Piece string `json:"piece"`
	Path  string `json:"path"`
}

// fileEntry is a file of the folder.
type fileEntry struct {
	Path     string `json:"path"`
	Kind     string `json:"kind"`     // program, picture, photo, data, other
	Modified string `json:"modified"` // RFC 3339
}

// galleryEntry is an example or a lesson.
type galleryEntry struct {
	Name  string `json:"name"`
	Title string `json:"title"`
	Kind  string `json:"kind"` // piece, lesson
	// Tasks are those of a lesson: 3.1, 3.2 and so on.
	Tasks []string `json:"tasks,omitempty"`
}

type filesMessage struct {
	Type    string         `json:"type"`
	Folder  string         `json:"folder"`
	Files   []fileEntry    `json:"files"`
	Gallery []galleryEntry `json:"gallery"`
	// Done are the tasks of the lessons that are done in this folder: 3.2.
	Done []string `json:"done"`
}

// openedMessage is a file as it is now. History is what the page gave to be kept
// for this very text, or null. Program is the number of the request as which it is
// being drawn already; 0 for none.
type openedMessage struct {
	Type    string          `json:"type"`
	Path    string          `json:"path"`
	Text    string          `json:"text"`
	Version string          `json:"version"`
	History json.RawMessage `json:"history"`
	Program uint32          `json:"program,omitempty"`
}

type savedMessage struct {
	Type    string `json:"type"`
	Path    string `json:"path"`
	Version string `json:"version"`
}

// conflictMessage says that the file was changed by somebody else since. Nothing
// was written.
type conflictMessage struct {
	Type    string `json:"type"`
	Path    string `json:"path"`
	Theirs  string `json:"theirs"`
	Version string `json:"version"`
}

// usedMessage says that a file which the page's program reads has changed.
type usedMessage struct {
	Type string `json:"type"`
	Path string `json:"path"`
}

// changedMessage is an open file that was changed elsewhere.
type changedMessage struct {
	Type    string `json:"type"`
	Path    string `json:"path"`
	Text    string `json:"text"`
	Version string `json:"version"`
}

// machineMessage is how a machine stands.
type machineMessage struct {
	Type      string      `json:"type"`
	State     string      `json:"state"` // none, connected, asking, armed, moving, held, stopped
	Name      string      `json:"name"`
	Certainty string      `json:"certainty"` // confirmed, assumed, lost
	At        *[2]float64 `json:"at"`        // page mm
	// Of the pieces of the line that is being drawn: so many are drawn, so many wait
	// in the machine behind them, of so many.
	Drawn   int     `json:"drawn"`
	Queued  int     `json:"queued"`
	Of      int     `json:"of"`
	Seconds float64 `json:"seconds"` // to its end
	// HeldByOther: another window has the machine.
	HeldByOther bool `json:"held_by_other"`
	// Port is what connecting opens unless another is named.
	Port string `json:"port"`
	// Unfinished is the drawing that was cut off on this machine, or null.
	Unfinished *unfinishedMessage `json:"unfinished"`
}

// unfinishedMessage is a drawing that was cut off: what people call it, and its
// path, empty where it is not of this folder or one of a list.
type unfinishedMessage struct {
	Name string `json:"name"`
	Path string `json:"path"`
}

// leftMessage is how far a drawing that was cut off came, in page mm: what surely is
// drawn, and the stretch on which the stylus may stand, or the outline in which it
// does. All are empty when that is over.
type leftMessage struct {
	Type     string       `json:"type"`
	Drawn    [][2]float64 `json:"drawn"`
	Possible [][2]float64 `json:"possible"`
	Within   [][2]float64 `json:"within"`
}

// sayMessage is what the conversation about the machine says.
type sayMessage struct {
	Type string  `json:"type"`
	Text string  `json:"text"`
	Kind string  `json:"kind"` // caution, note, question
	Word *string `json:"word"` // that a question wants typed
}
