package desk

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"math"
	"strings"
	"sync"
	"testing"
	"time"
	"unicode/utf16"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/cmd/wend/engine"
	"wend/lang/source"
	"wend/runtime/machine"
)

// page hears what a desk says.
type page struct {
	mu    sync.Mutex
	texts []map[string]any
	bytes [][]byte
	came  chan struct{}
}

func newPage(t *testing.T) (*Desk, *page) {
	p := &page{came: make(chan struct{}, 1000)}
	return New(engine.Settings{Profile: machine.DeskToy()}, func(message []byte, binary bool) {
		p.mu.Lock()
		defer p.mu.Unlock()
		if binary {
			p.bytes = append(p.bytes, message)
		} else {
			var m map[string]any
			if err := json.Unmarshal(message, &m); err != nil {
				t.Error(err)
			}
			p.texts = append(p.texts, m)
		}
		p.came <- struct{}{}
	}), p
}

// of waits for a message of a type.
func (p *page) of(t *testing.T, kind string) map[string]any {
	t.Helper()
	deadline := time.After(20 * time.Second)
	for {
		p.mu.Lock()
		for i, m := range p.texts {
			if m["type"] == kind {
				p.texts = append(p.texts[:i:i], p.texts[i+1:]...)
				p.mu.Unlock()
				return m
			}
		}
		said := p.texts
		p.mu.Unlock()
		select {
		case <-p.came:
		case <-deadline:
			t.Fatalf("no %s came, but %v", kind, said)
		}
	}
}

func (p *page) file(t *testing.T) []byte {
	t.Helper()
	deadline := time.After(20 * time.Second)
	for {
		p.mu.Lock()
		if n := len(p.bytes); n > 0 {
			m := p.bytes[n-1]
			p.bytes = p.bytes[:n-1]
			p.mu.Unlock()
			return m
		}
		p.mu.Unlock()
		select {
		case <-p.came:
		case <-deadline:
			t.Fatal("no bytes came")
		}
	}
}

const square = "begin page.center\nloop 4 {\n  ahead 20\n  turn 90\n}\n"

func TestAProgramIsCheckedAndDrawn(t *testing.T) {
	d, p := newPage(t)
	d.Take(context.Background(), Request{Type: "program", ID: 7, Path: "square.wend", Text: square})
	checked := p.of(t, "checked")
	require.Empty(t, checked["messages"])
	require.NotEmpty(t, checked["colours"])
	measures := checked["measures"].([]any)
	require.Len(t, measures, 2)
	require.Equal(t, "length", measures[0].(map[string]any)["kind"])
	require.Equal(t, "angle", measures[1].(map[string]any)["kind"])
	drawn := p.of(t, "drawn")
	sheet := drawn["sheets"].([]any)[0].(map[string]any)
	require.Equal(t, 4.0, sheet["segments"])
	require.Contains(t, sheet["words"], "One line of 80.0 mm in 4 pieces")

	line := p.file(t)
	word := func(i int) uint32 { return binary.LittleEndian.Uint32(line[4*i:]) }
	float := func(i int) float64 { return float64(math.Float32frombits(word(i))) }
	require.Equal(t, []uint32{lineBytes, 7, 0, 4}, []uint32{word(0), word(1), word(2), word(3)})
	require.Len(t, line, 16+8*5+4*4+4*4)
	require.Equal(t, []float64{70, 50, 90, 50}, []float64{float(4), float(5), float(6), float(7)})
	statement := drawn["statements"].([]any)[word(14)].(map[string]any)
	require.Equal(t, "ahead 20", square[int(statement["from"].(float64)):int(statement["to"].(float64))])
	last := 0.0
	for i := range 4 {
		require.Greater(t, float(18+i), last)
		last = float(18 + i)
	}
	require.InDelta(t, sheet["seconds"], last, 1e-3)
}

func TestAFaultIsSaidAtItsPlaceWithItsEdit(t *testing.T) {
	d, p := newPage(t)
	text := "# \U0001F33F fern\nahed 20\n"
	d.Take(context.Background(), Request{Type: "program", ID: 1, Path: "a.wend", Text: text})
	m := p.of(t, "checked")["messages"].([]any)[0].(map[string]any)
	units := utf16.Encode([]rune(text))
	require.Equal(t, "ahed", string(utf16.Decode(units[int(m["from"].(float64)):int(m["to"].(float64))])))
	edit := m["edits"].([]any)[0].(map[string]any)["changes"].([]any)[0].(map[string]any)
	require.Equal(t, "ahead", edit["insert"])
	require.Empty(t, p.of(t, "drawn")["sheets"])
}

func TestALineThatLeavesThePageIsShownWithItsMessage(t *testing.T) {
	d, p := newPage(t)
	d.Take(context.Background(), Request{Type: "program", ID: 1, Path: "a.wend", Text: "ahead 500\n"})
	drawn := p.of(t, "drawn")
	require.NotEmpty(t, drawn["sheets"])
	require.Equal(t, "line-off-page", drawn["messages"].([]any)[0].(map[string]any)["code"])
}

func TestTheNewestTextWins(t *testing.T) {
	d, p := newPage(t)
	d.Take(context.Background(), Request{Type: "program", ID: 1, Path: "a.wend", Text: "loop while true {\n  turn 1\n}\n"})
	p.of(t, "checked")
	d.Take(context.Background(), Request{Type: "program", ID: 2, Path: "a.wend", Text: square})
	require.Equal(t, 2.0, p.of(t, "drawn")["id"])
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, m := range p.texts {
		require.NotEqual(t, "drawn", m["type"], "the older one never comes")
	}
}

func TestQuestionsAreAnswered(t *testing.T) {
	d, p := newPage(t)
	ask := func(what string, at int, name string) map[string]any {
		d.Take(context.Background(), Request{Type: "ask", ID: 3, Path: "a.wend", Text: square, What: what, At: at, Name: name})
		return p.of(t, "answer")
	}
	require.Equal(t, "loop", ask("hover", strings.Index(square, "loop")+1, "")["title"])
	require.NotEmpty(t, ask("complete", strings.Index(square, "ahead")+2, "")["items"])
	require.Contains(t, ask("signature", strings.Index(square, "20"), "")["title"], "ahead")

	figure := "figure leaf(size) {\n  ahead size\n}\nleaf 10\n"
	d.Take(context.Background(), Request{Type: "ask", ID: 4, Path: "a.wend", Text: figure, What: "rename", At: 8, Name: "vane"})
	require.Len(t, p.of(t, "answer")["changes"], 2)
	d.Take(context.Background(), Request{Type: "ask", ID: 5, Path: "a.wend", Text: "ahead   5", What: "format"})
	require.Equal(t, "ahead 5\n", p.of(t, "answer")["changes"].([]any)[0].(map[string]any)["insert"])
	d.Take(context.Background(), Request{Type: "ask", ID: 6, Text: square, What: "nonsense"})
	require.Contains(t, p.of(t, "failed")["text"], "nonsense")
	d.Hear(context.Background(), []byte("{"))
	require.Contains(t, p.of(t, "failed")["text"], "cannot be read")
	d.Hear(context.Background(), []byte(`{"type":"sing"}`))
	require.Contains(t, p.of(t, "failed")["text"], "sing")
}

func TestStepsTellTheVariables(t *testing.T) {
	d, p := newPage(t)
	text := "let side = 12\nloop k in 1..2 {\n  ahead side\n}\n"
	d.Take(context.Background(), Request{Type: "steps", ID: 1, Path: "a.wend", Text: text, From: 1, Count: 2})
	steps := p.of(t, "steps")
	require.GreaterOrEqual(t, steps["of"], 4.0)
	require.Len(t, steps["steps"], 2)
	values := steps["steps"].([]any)[1].(map[string]any)["values"].([]any)
	require.Contains(t, values, []any{"side", "12"})
}

func TestVariationsAndFiles(t *testing.T) {
	d, p := newPage(t)
	text := "seed 1\nbegin page.center\nahead random(5, 20)\n"
	d.Take(context.Background(), Request{Type: "variations", ID: 2, Path: "a.wend", Text: text, Seeds: []uint64{3}})
	require.Equal(t, uint32(3), binary.LittleEndian.Uint32(p.file(t)[8:]))
	d.Take(context.Background(), Request{Type: "export", ID: 3, Path: "sub/a.wend", Text: text, Kind: "svg"})
	file := p.file(t)
	size := binary.LittleEndian.Uint32(file[12:])
	require.Contains(t, string(file[16:16+size]), "<svg")
	require.Equal(t, "a.svg", string(file[16+size:]))
	d.Take(context.Background(), Request{Type: "export", ID: 3, Path: "a.wend", Text: text, Kind: "exe"})
	require.Contains(t, p.of(t, "failed")["text"], "exe")
	d.Take(context.Background(), Request{Type: "program", ID: 4, Path: "a.wend", Text: text})
	p.of(t, "drawn")
	p.file(t)
	d.Take(context.Background(), Request{Type: "as-drawn", ID: 5, Enlarged: 10})
	require.Equal(t, asDrawnBytes, binary.LittleEndian.Uint32(p.file(t)))
}

func TestTheWordCardHasAPictureAndALineOfMostWords(t *testing.T) {
	d, p := newPage(t)
	d.Take(context.Background(), Request{Type: "words"})
	pictured, all := 0, 0
	for _, g := range p.of(t, "words")["groups"].([]any) {
		for _, w := range g.(map[string]any)["words"].([]any) {
			word := w.(map[string]any)
			require.NotEmpty(t, word["line"])
			if all++; word["picture"] != nil {
				pictured++
			}
		}
	}
	require.Greater(t, pictured*10, all*6)
}

// Places are counted as the standard library's UTF-16 counts them.
func TestPlacesCountAsUTF16Does(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOf(rapid.RuneFrom([]rune("aé€\U0001F33F\n"))).Draw(t, "text")
		u := unitsOf(source.New("a", text))
		for i := range text {
			want := len(utf16.Encode([]rune(text[:i])))
			if u.of(i) != want || u.offset(want) != i {
				t.Fatalf("offset %d of %q: %d, %d", i, text, u.of(i), u.offset(want))
			}
		}
	})
}
