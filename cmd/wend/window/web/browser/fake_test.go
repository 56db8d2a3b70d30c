package browser

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"net/http"
	"net/http/httptest"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/coder/websocket"
)

// fake serves the page and speaks the messages of the window with an engine of
// its own, which knows four statements: ahead, turn, reach and loop. It shares
// nothing with wend's engine but the description of the messages, so that a
// fault which both of wend's sides agree on is seen.
type fake struct {
	t      *testing.T
	server *httptest.Server
	rest   chan struct{} // closed when the rest of the page may come; nil for at once

	mu      sync.Mutex
	files   map[string]string
	version map[string]int
	undo    map[string]json.RawMessage
	heard   []map[string]any
	conn    *websocket.Conn
}

type object = map[string]any

func serve(t *testing.T) *fake {
	t.Helper()
	f := &fake{t: t, files: map[string]string{}, version: map[string]int{}, undo: map[string]json.RawMessage{}}
	page, err := os.ReadFile("../dist/index.html")
	if err != nil {
		t.Fatal(err)
	}
	page = bytes.ReplaceAll(page, []byte("{{secret}}"), []byte("a-secret"))
	mux := http.NewServeMux()
	mux.HandleFunc("/{$}", func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Security-Policy", "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; worker-src 'self'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'")
		w.Write(page)
	})
	mux.HandleFunc("/socket", f.talk)
	files := http.FileServer(http.Dir("../dist"))
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/window.js" && f.rest != nil {
			select {
			case <-f.rest:
			case <-r.Context().Done():
			}
		}
		files.ServeHTTP(w, r)
	})
	f.server = httptest.NewServer(mux)
	t.Cleanup(f.server.Close)
	return f
}

func (f *fake) put(path, text string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.files[path] = text
	f.version[path]++
}

func (f *fake) text(path string) string {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.files[path]
}

// asked is the last request of a kind.
func (f *fake) asked(kind string) object {
	f.mu.Lock()
	defer f.mu.Unlock()
	for i := len(f.heard) - 1; i >= 0; i-- {
		if f.heard[i]["type"] == kind {
			return f.heard[i]
		}
	}
	return nil
}

func (f *fake) say(m object) {
	f.mu.Lock()
	conn := f.conn
	f.mu.Unlock()
	text, _ := json.Marshal(m)
	if err := conn.Write(context.Background(), websocket.MessageText, text); err != nil {
		f.t.Log(err)
	}
}

func (f *fake) talk(w http.ResponseWriter, r *http.Request) {
	conn, err := websocket.Accept(w, r, nil)
	if err != nil {
		return
	}
	defer conn.CloseNow()
	conn.SetReadLimit(1 << 24)
	for {
		_, text, err := conn.Read(r.Context())
		if err != nil {
			return
		}
		var m object
		if json.Unmarshal(text, &m) != nil {
			return
		}
		if m["type"] == "hello" {
			if m["secret"] != "a-secret" {
				conn.Close(websocket.StatusPolicyViolation, "not from this page")
				return
			}
			f.mu.Lock()
			f.conn = conn
			f.mu.Unlock()
			if begin, is := m["begin"].(object); is {
				f.begin(conn, begin)
			}
			continue
		}
		f.mu.Lock()
		f.heard = append(f.heard, m)
		f.mu.Unlock()
		f.answer(conn, m)
	}
}

// begin opens and draws what a page begins with.
func (f *fake) begin(conn *websocket.Conn, begin object) {
	path, _ := begin["path"].(string)
	f.mu.Lock()
	text, known := f.files[path]
	for _, name := range slices.Sorted(maps.Keys(f.files)) {
		if !known {
			path, text, known = name, f.files[name], true
		}
	}
	version := f.version[path]
	f.mu.Unlock()
	if known {
		f.say(object{"type": "opened", "path": path, "text": text, "version": version, "program": 1})
		f.program(conn, object{"id": 1.0}, text)
	}
	f.answer(conn, object{"type": "files"})
}

func (f *fake) answer(conn *websocket.Conn, m object) {
	path, _ := m["path"].(string)
	text, _ := m["text"].(string)
	switch m["type"] {
	case "files":
		f.mu.Lock()
		var files []object
		for name := range f.files {
			files = append(files, object{"path": name, "kind": "program", "modified": ""})
		}
		f.mu.Unlock()
		f.say(object{"type": "files", "folder": "drawings", "files": files, "gallery": []object{
			{"name": "square", "title": "A square", "kind": "piece"},
			{"name": "first-line", "title": "The first line", "kind": "lesson"},
		}})
	case "open":
		if piece, ok := m["piece"].(string); ok {
			path = piece + ".wend"
			f.put(path, "loop 4 {\n  ahead 40\n  turn 90\n}\n")
		}
		f.opened(path)
	case "new":
		f.put(path, "")
		f.opened(path)
	case "rename":
		to := m["to"].(string)
		f.put(to, f.text(path))
		f.opened(to)
	case "save":
		f.mu.Lock()
		theirs, version := f.files[path], f.version[path]
		same := fmt.Sprint(m["version"]) == fmt.Sprint(version)
		if same {
			f.files[path] = text
			f.version[path]++
			version++
		}
		f.mu.Unlock()
		if same {
			f.say(object{"type": "saved", "path": path, "version": version})
		} else {
			f.say(object{"type": "conflict", "path": path, "theirs": theirs, "version": version})
		}
	case "program":
		f.program(conn, m, text)
	case "steps":
		drawn := run(text)
		var steps []object
		from := int(m["from"].(float64))
		for i := from; i < min(len(drawn.steps), from+int(m["count"].(float64))); i++ {
			s := drawn.steps[i]
			steps = append(steps, object{"from": s.from, "to": s.to, "piece": s.piece, "sheet": 0, "values": [][2]string{{"pass", strconv.Itoa(s.pass)}}})
		}
		f.say(object{"type": "steps", "id": m["id"], "of": len(drawn.steps), "steps": steps})
	case "variations":
		for _, seed := range m["seeds"].([]any) {
			n := seed.(float64)
			points := []float32{10, 10, float32(20 + 8*n), 60, 100, float32(10 + 5*n)}
			f.bytes(conn, 3, m["id"], uint32(n), len(points)/2-1, pointBytes(points))
		}
	case "as-drawn":
		drawn := run(`reach 5, 5`)
		f.bytes(conn, 1, m["id"], 0, len(drawn.points)/2-1, pointBytes(drawn.points))
	case "words":
		f.say(object{"type": "words", "groups": []object{{"title": "Move", "words": []object{
			{"name": "ahead", "line": "ahead 30", "says": "Straight on.", "picture": [][2]float64{{0, 0}, {30, 0}}},
			{"name": "turn", "line": "turn 90", "says": "Turn on the spot.", "picture": [][2]float64{{0, 0}, {20, 0}, {20, 20}}},
		}}}})
	case "small":
		f.say(object{"type": "small", "id": m["id"], "path": "M100 100l80 0 0-80-80 0 0 80"})
	case "ask":
		switch m["what"] {
		case "complete":
			f.say(object{"type": "answer", "id": m["id"], "items": []object{{"label": "ahead", "insert": "ahead", "detail": "straight on", "sort": "1"}}})
		case "hover":
			f.say(object{"type": "answer", "id": m["id"], "title": "ahead d", "body": []string{"Straight on."}, "example": "ahead 30"})
		case "format":
			f.say(object{"type": "answer", "id": m["id"], "changes": []object{{"from": 0, "to": 0, "insert": "# neat\n"}}})
		default:
			f.say(object{"type": "answer", "id": m["id"]})
		}
	case "export":
		f.mu.Lock()
		defer f.mu.Unlock()
		content := []byte("<svg/>")
		out := new(bytes.Buffer)
		for _, v := range []uint32{2, uint32(m["id"].(float64)), 0, uint32(len(content))} {
			binary.Write(out, binary.LittleEndian, v)
		}
		out.Write(content)
		out.WriteString("square.svg")
		conn.Write(context.Background(), websocket.MessageBinary, out.Bytes())
	}
}

func (f *fake) opened(path string) {
	f.mu.Lock()
	text, version := f.files[path], f.version[path]
	f.mu.Unlock()
	f.say(object{"type": "opened", "path": path, "text": text, "version": version})
}

func (f *fake) program(conn *websocket.Conn, m object, text string) {
	drawn := run(text)
	f.say(object{"type": "checked", "id": m["id"], "messages": drawn.messages, "colours": drawn.colours, "measures": drawn.measures, "seeds": [][2]int{}})
	if len(drawn.messages) > 0 {
		f.say(object{"type": "drawn", "id": m["id"], "messages": drawn.messages, "sheets": nil, "statements": nil})
		return
	}
	f.line(conn, m["id"], drawn)
	n := len(drawn.piece)
	f.say(object{
		"type": "drawn", "id": m["id"], "messages": nil, "machine": "a machine", "said": nil,
		"page":       object{"width": 200, "height": 150, "margin": 5, "lineWidth": 0.5},
		"statements": drawn.statements,
		"sheets":     []object{{"lineMM": length(drawn.points), "seconds": length(drawn.points) / 20, "words": fmt.Sprintf("One line of %d pieces.", n)}},
	})
}

// line sends a line in two parts, then what is known of its pieces.
func (f *fake) line(conn *websocket.Conn, id any, drawn drawing) {
	n := len(drawn.piece)
	half := n / 2
	f.bytes(conn, 0, id, 0, half, append(binary.AppendUvarint(nil, 0), pointBytes(drawn.points[:2*half+2])...))
	f.bytes(conn, 0, id, 0, n-half, append(binary.AppendUvarint(nil, uint64(half)), pointBytes(drawn.points[2*half:])...))
	var pieces []byte
	for _, statement := range drawn.piece { // each is a run of its own
		pieces = binary.AppendUvarint(binary.AppendUvarint(pieces, 1), uint64(statement))
	}
	last := 0
	for _, seconds := range drawn.seconds {
		at := int(math.Round(float64(seconds) * (1 << 12)))
		pieces = binary.AppendUvarint(pieces, uint64(at-last))
		last = at
	}
	f.bytes(conn, 4, id, 0, n, pieces)
}

// pointBytes are points as differences of differences of 2^-14 mm.
func pointBytes(points []float32) []byte {
	var out []byte
	at := func(i int) int64 { return int64(math.Round(float64(points[i]) * (1 << 14))) }
	for i := range points {
		switch {
		case i < 2:
			out = binary.AppendVarint(out, at(i))
		case i < 4:
			out = binary.AppendVarint(out, at(i)-at(i-2))
		default:
			out = binary.AppendVarint(out, at(i)-2*at(i-2)+at(i-4))
		}
	}
	return out
}

func (f *fake) bytes(conn *websocket.Conn, kind uint32, id any, sheet uint32, n int, content []byte) {
	out := new(bytes.Buffer)
	for _, v := range []uint32{kind, uint32(id.(float64)), sheet, uint32(n)} {
		binary.Write(out, binary.LittleEndian, v)
	}
	out.Write(content)
	ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	if err := conn.Write(ctx, websocket.MessageBinary, out.Bytes()); err != nil {
		f.t.Log(err)
	}
}

// length is that of a line in mm.
func length(points []float32) float64 {
	sum := 0.0
	for i := 2; i < len(points); i += 2 {
		sum += math.Hypot(float64(points[i]-points[i-2]), float64(points[i+1]-points[i-1]))
	}
	return sum
}

type step struct{ from, to, piece, pass int }

type drawing struct {
	points     []float32
	piece      []uint32
	seconds    []float32
	statements []object
	steps      []step
	messages   []object
	colours    [][3]any
	measures   []object
}

var statement = regexp.MustCompile(`^(\s*)(\p{L}+|\})(?:[ ]+(-?\d+(?:\.\d+)?)(?:, (-?\d+(?:\.\d+)?))?)?( \{)?\s*$`)

// run draws a program of the four statements; loops do not nest.
func run(text string) drawing {
	d := drawing{points: []float32{0, 0}}
	x, y, heading := 0.0, 0.0, 0.0
	type line struct {
		from, to int
		word     string
		a, b     float64
	}
	var lines []line
	at := 0
	for i, l := range strings.Split(text, "\n") {
		from := at
		at += len([]rune(l)) + 1
		trimmed := strings.TrimSpace(l)
		if trimmed == "" || strings.HasPrefix(trimmed, "#") {
			continue
		}
		m := statement.FindStringSubmatchIndex(l)
		word := ""
		if m != nil {
			word = l[m[4]:m[5]]
		}
		start := from + len(l) - len(strings.TrimLeft(l, " "))
		if !strings.Contains(" ahead turn reach loop } ", " "+word+" ") || word == "" {
			d.messages = append(d.messages, object{"severity": "error", "code": "unknown-word", "title": "unknown word",
				"text": fmt.Sprintf("No word %q is known.", trimmed), "hint": "The words are ahead, turn, reach and loop.",
				"from": start, "to": from + len(l), "line": i + 1, "column": start - from + 1, "sheet": 0, "place": nil,
				"edits": []object{{"label": "write ahead 50", "changes": []object{{"from": start, "to": from + len(l), "insert": "ahead 50"}}}}})
			continue
		}
		one := line{from: start, to: from + len(l), word: word}
		if word != "}" {
			d.colours = append(d.colours, [3]any{start, start + len(word), "word"})
		}
		if m[6] >= 0 {
			one.a, _ = strconv.ParseFloat(l[m[6]:m[7]], 64)
			d.colours = append(d.colours, [3]any{from + m[6], from + m[7], "number"})
			kind := map[string]string{"ahead": "length", "turn": "angle"}[word]
			if kind == "" {
				kind = "other"
			}
			d.measures = append(d.measures, object{"from": from + m[6], "to": from + m[7], "value": one.a, "unit": "", "kind": kind, "statement": len(lines)})
		}
		if m[8] >= 0 {
			one.b, _ = strconv.ParseFloat(l[m[8]:m[9]], 64)
		}
		lines = append(lines, one)
	}
	if len(d.messages) > 0 {
		return d
	}
	for _, l := range lines {
		d.statements = append(d.statements, object{"id": len(d.statements), "from": l.from, "to": l.to, "trail": []string{}})
	}
	to := func(nx, ny float64, by int) {
		length := math.Hypot(nx-x, ny-y)
		x, y = nx, ny
		d.points = append(d.points, float32(x), float32(y))
		d.piece = append(d.piece, uint32(by))
		last := float32(0)
		if len(d.seconds) > 0 {
			last = d.seconds[len(d.seconds)-1]
		}
		d.seconds = append(d.seconds, last+float32(length/20))
	}
	one := func(i, pass int) {
		l := lines[i]
		d.steps = append(d.steps, step{l.from, l.to, len(d.piece), pass})
		switch l.word {
		case "ahead":
			to(x+l.a*math.Cos(heading*math.Pi/180), y+l.a*math.Sin(heading*math.Pi/180), i)
		case "turn":
			heading += l.a
		case "reach":
			to(l.a, l.b, i)
		}
	}
	for i := 0; i < len(lines); i++ {
		if lines[i].word != "loop" {
			one(i, 1)
			continue
		}
		end := i + 1
		for end < len(lines) && lines[end].word != "}" {
			end++
		}
		for pass := 1; pass <= int(lines[i].a); pass++ {
			for k := i + 1; k < end; k++ {
				one(k, pass)
			}
		}
		i = end
	}
	return d
}
