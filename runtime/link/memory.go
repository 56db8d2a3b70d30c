package link

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"time"

	"wend/lang/diag"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// Files is where a machine's position and journal are kept.
type Files interface {
	// Read gives a file's content; the error is fs.ErrNotExist where there is
	// none.
	Read(name string) ([]byte, error)
	// Replace writes a file anew. When it returns without an error, the content
	// is on the disk for good; otherwise the old one is still there.
	Replace(name string, content []byte) error
	Remove(name string) error
	// Lock keeps other processes from a name until it is released. The error is
	// ErrLocked where another one has it.
	Lock(name string) (release func(), err error)
}

// ErrLocked says that another process uses a machine.
var ErrLocked = errors.New("another process uses it")

// Memory keeps what is known of one machine between sessions.
type Memory struct {
	files   Files
	name    string // of the machine
	profile string // its fingerprint
	release func()
}

// Place is a position as it is remembered: whole steps of the motors from the
// corner of the area, and where each axis stands in its slack.
type Place struct {
	Steps machine.Steps `json:"steps"`
	Gap   machine.Gap   `json:"gap"`
}

// remembered is the file of a position.
type remembered struct {
	Version int    `json:"version"`
	Profile string `json:"profile"` // fingerprint of the profile it was counted by
	Place
	Moving    bool      `json:"moving"`  // the motors may have turned since
	Drawing   bool      `json:"drawing"` // by a drawing, of which the journal knows
	Lost      bool      `json:"lost"`
	Confirmed bool      `json:"confirmed"` // an operator looked, after all motion
	Time      time.Time `json:"time"`
	// Shift is what to add to the board's own coordinates for machine mm; zero
	// where the board was not told the place.
	Shift [2]float64 `json:"shift_mm"`
}

const memoryVersion = 2

// OpenMemory locks a machine's memory. The name stands for the machine; the
// profile tells by what a position was counted. Faults are *diag.Fault.
func OpenMemory(files Files, name string, p *machine.Profile) (*Memory, error) {
	m := &Memory{files: files, name: fileName(name), profile: Fingerprint(p)}
	release, err := files.Lock(m.name + ".lock")
	switch {
	case errors.Is(err, ErrLocked):
		return nil, &diag.Fault{Code: "machine-in-use", Args: diag.Args{"name": name}}
	case err != nil:
		return nil, Unkept(err)
	}
	m.release = release
	return m, nil
}

// Close lets other processes have the machine.
func (m *Memory) Close() { m.release() }

func fileName(name string) string {
	var out strings.Builder
	for _, r := range strings.ToLower(name) {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			out.WriteRune(r)
		} else {
			out.WriteByte('-')
		}
	}
	sum := sha256.Sum256([]byte(name))
	return fmt.Sprintf("%.40s-%x", out.String(), sum[:4])
}

// Fingerprint stands for all of a profile that gives a position its meaning.
// Another speed or another port does not change where the stylus is.
func Fingerprint(p *machine.Profile) string {
	type axis struct {
		Steps    float64
		Reversed bool
		Slack    int
	}
	data, err := json.Marshal(struct {
		Area     machine.Area
		X, Y     axis
		Frame    machine.Frame
		StepsXPY [2]float64
	}{
		p.Area, axis{p.X.StepsPerMM(), p.X.Reversed, p.X.SlackSteps()}, axis{p.Y.StepsPerMM(), p.Y.Reversed, p.Y.SlackSteps()},
		p.Frame, [2]float64{p.Board.StepsPerMM.X, p.Board.StepsPerMM.Y},
	})
	if err != nil {
		panic(fmt.Sprintf("link: a profile that cannot be written: %v", err))
	}
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:12])
}

// Unkept is the fault of what must be remembered and could not be written down.
func Unkept(err error) error {
	var path *fs.PathError
	reason := err.Error()
	if errors.As(err, &path) {
		reason = path.Err.Error()
	}
	return &diag.Fault{Code: "position-not-kept", Args: diag.Args{"reason": reason}}
}

// Recall gives the remembered place. It is lost where there is none, where the
// motors turned when it was last written, or where the profile has changed; why
// says so in words.
func (m *Memory) Recall() (at Place, certainty Certainty, why string) {
	data, err := m.files.Read(m.name + ".position")
	if errors.Is(err, fs.ErrNotExist) {
		return Place{}, Lost, "nothing is remembered of this machine"
	}
	var r remembered
	if err == nil {
		err = json.Unmarshal(data, &r)
	}
	switch {
	case err != nil || r.Version != memoryVersion:
		return Place{}, Lost, "what is remembered of this machine cannot be read"
	case r.Profile != m.profile:
		return Place{}, Lost, "the profile has changed since the position was kept"
	case r.Lost:
		return Place{}, Lost, "the position was lost when the machine was used last"
	case r.Moving:
		return r.Place, Lost, "the session before ended while something moved"
	}
	return r.Place, Assumed, ""
}

// Declare remembers where an operator sees the stylus, in page mm, without a
// board: the next session assumes it.
func (m *Memory) Declare(p *machine.Profile, page geom.Point, now time.Time) error {
	if !p.Page().Grow(samePlaceMM).Contains(page) {
		return &diag.Fault{Code: "position-outside", Args: diag.Args{
			"x": short(page.X), "y": short(page.Y), "width": short(p.Page().Width()), "height": short(p.Page().Height()),
		}}
	}
	gap := machine.Gap{X: machine.UnknownGap, Y: machine.UnknownGap}
	if at, certainty, _ := m.Recall(); certainty != Lost {
		gap = at.Gap
	}
	return m.keep(Place{Steps: MotorsAt(p, page, gap), Gap: gap}, Confirmed, still, geom.Point{}, now)
}

// motion is why the motors may turn.
type motion int

const (
	still motion = iota
	byHand
	byDrawing
)

// Abandon forgets the drawing that was cut off. What is known of the position
// stays.
func (m *Memory) Abandon() error { return m.forgetJournal() }

// cutOff reports whether a drawing was under way when the position was last
// written.
func (m *Memory) cutOff() bool {
	data, err := m.files.Read(m.name + ".position")
	var r remembered
	return err == nil && json.Unmarshal(data, &r) == nil && r.Version == memoryVersion && r.Profile == m.profile && r.Drawing
}

// Written is when the position was written down.
func (m *Memory) Written() time.Time {
	data, err := m.files.Read(m.name + ".position")
	var r remembered
	if err != nil || json.Unmarshal(data, &r) != nil {
		return time.Time{}
	}
	return r.Time
}

// shift is what the board's own coordinates were short of when the position was
// written down.
func (m *Memory) shift() geom.Point {
	data, err := m.files.Read(m.name + ".position")
	var r remembered
	if err != nil || json.Unmarshal(data, &r) != nil || r.Version != memoryVersion || r.Profile != m.profile || r.Moving || r.Lost {
		return geom.Point{}
	}
	return geom.Point{X: r.Shift[0], Y: r.Shift[1]}
}

// keep writes a place, or that it is lost, or that the motors are about to turn.
func (m *Memory) keep(at Place, certainty Certainty, why motion, shift geom.Point, now time.Time) error {
	moving := why != still
	data, err := json.Marshal(remembered{
		Version: memoryVersion, Profile: m.profile, Place: at,
		Moving: moving, Drawing: why == byDrawing, Lost: certainty == Lost, Confirmed: certainty == Confirmed && !moving, Time: now.UTC(),
		Shift: [2]float64{shift.X, shift.Y},
	})
	if err == nil {
		err = m.files.Replace(m.name+".position", append(data, '\n'))
	}
	if err != nil {
		return Unkept(err)
	}
	return nil
}

// Record is what the journal knows of a drawing: what surely is drawn, and what
// may have been sent. It is on the disk before anything it speaks of is sent.
type Record struct {
	Version int    `json:"version"`
	Name    string `json:"name"` // of the program, for people
	Text    string `json:"text"` // fingerprint of the instructions
	Profile string `json:"profile"`
	Sheet   int    `json:"sheet"` // from 0
	Start   Place  `json:"start"` // where the motors stood before the first move
	Moves   int    `json:"moves"` // of the whole drawing
	// Drawn is how many moves surely are drawn; up to MaySend may have been sent.
	Drawn     int       `json:"drawn"`
	MaySend   int       `json:"may_have_sent"`
	DrainedBy time.Time `json:"drained_by"` // when the motors surely stand
	// DrainS is how long that was when it was written, in seconds.
	DrainS float64 `json:"drain_s"`
	// Stopped says that the motors stand at At: nothing is uncertain.
	Stopped bool  `json:"stopped"`
	At      Place `json:"at"`
	// Refused says that the board refused a line, of which nothing was mended yet:
	// the motors may be beside the line, on a shortcut past what is missing.
	Refused bool `json:"refused,omitempty"`
	// Back leads the motors to where the line was left, in machine mm, if they
	// are beside it, and OffMM is how far a stroke beside the line may be from
	// it, about OffAt (page mm).
	Back  []geom.Point `json:"back,omitempty"`
	OffMM float64      `json:"off_mm,omitempty"`
	OffAt geom.Point   `json:"off_at"`
	// Shift is what to add to the board's own coordinates for machine mm.
	Shift [2]float64 `json:"shift_mm"`
}

// Beside reports whether the motors may stand beside the line: on a shortcut past
// what the board refused, or on their way back from there.
func (r *Record) Beside() bool { return !r.Stopped && (r.Refused || len(r.Back) > 0) }

func (r *Record) shift() geom.Point { return geom.Point{X: r.Shift[0], Y: r.Shift[1]} }

// drains writes down when motion of some seconds is over: sent within the second
// to come, and drained a second after that; running up and down takes longer
// than the speeds say.
func (r *Record) drains(now time.Time, seconds float64) {
	r.DrainS = 2*seconds + 2*inFlightS + 1
	r.DrainedBy = now.Add(duration(r.DrainS)).UTC()
}

// Drains is how long to wait until the motors surely stand. A clock that was set
// back meanwhile does not make it longer than their motion can take.
func (r *Record) Drains(now time.Time) time.Duration {
	if r.Stopped {
		return 0
	}
	return min(r.DrainedBy.Sub(now), duration(r.DrainS))
}

// TextFingerprint stands for a text of instructions.
func TextFingerprint(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:12])
}

// Journal reads the record of the last drawing that did not come to its end,
// nil if there is none.
func (m *Memory) Journal() (*Record, error) {
	data, err := m.files.Read(m.name + ".journal")
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	var r Record
	if err == nil {
		err = json.Unmarshal(data, &r)
	}
	if err != nil || r.Version != memoryVersion {
		return nil, &diag.Fault{Code: "journal-unreadable"}
	}
	return &r, nil
}

func (m *Memory) record(r Record) error {
	r.Version = memoryVersion
	data, err := json.Marshal(r)
	if err == nil {
		err = m.files.Replace(m.name+".journal", append(data, '\n'))
	}
	if err != nil {
		return Unkept(err)
	}
	return nil
}

// forgetJournal ends the journal of a drawing that is done.
func (m *Memory) forgetJournal() error {
	if err := m.files.Remove(m.name + ".journal"); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return Unkept(err)
	}
	return nil
}

// Remember reads a machine's memory without locking it: for looking only.
func Remember(files Files, name string, p *machine.Profile) *Memory {
	return &Memory{files: files, name: fileName(name), profile: Fingerprint(p), release: func() {}}
}
