package talk_test

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"os"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"
	"unicode/utf16"

	"github.com/stretchr/testify/require"

	"wend/cmd/wend/engine"
	"wend/cmd/wend/window/talk"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/eval"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// page is a carrier that keeps what it was given, as a page would read it.
type page struct {
	mu     sync.Mutex
	texts  []map[string]any
	binary [][]byte
}

func (p *page) Text(message any) {
	data, err := json.Marshal(message)
	if err != nil {
		panic(err)
	}
	var m map[string]any
	if err := json.Unmarshal(data, &m); err != nil {
		panic(err)
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.texts = append(p.texts, m)
}

func (p *page) Binary(message []byte) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.binary = append(p.binary, message)
}

func (p *page) last(kind string) map[string]any {
	p.mu.Lock()
	defer p.mu.Unlock()
	for i := len(p.texts) - 1; i >= 0; i-- {
		if p.texts[i]["type"] == kind {
			return p.texts[i]
		}
	}
	return nil
}

func nothing(_, name string) (*source.File, error) {
	return nil, &diag.Fault{Code: "file-missing", Args: diag.Args{"name": name}}
}

func newSession(p *page) *talk.Session {
	return talk.New(engine.Settings{Profile: machine.DeskToy(), Read: nothing}, p)
}

func session(t *testing.T) (*talk.Session, *page, func(request map[string]any)) {
	p := &page{}
	s := newSession(p)
	return s, p, func(request map[string]any) {
		data, err := json.Marshal(request)
		require.NoError(t, err)
		s.Answer(context.Background(), data)
	}
}

type bytesOf struct{ kind, id, sheet, n uint32 }

func head(t *testing.T, b []byte) bytesOf {
	require.GreaterOrEqual(t, len(b), 16)
	u := func(i int) uint32 { return binary.LittleEndian.Uint32(b[4*i:]) }
	return bytesOf{u(0), u(1), u(2), u(3)}
}

func TestAProgramIsCheckedThenDrawnWithTheStatementAndTimeOfEachPiece(t *testing.T) {
	_, p, ask := session(t)
	text := "figure side(n) {\n  ahead n\n}\nbegin 20, 20\nloop 2 {\n  side 10\n  turn 90\n}\n"
	ask(map[string]any{"type": "program", "id": 7, "path": "a.wend", "text": text})
	require.Equal(t, "checked", p.texts[0]["type"])
	drawn := p.last("drawn")
	require.EqualValues(t, 7, drawn["id"])
	require.Empty(t, drawn["messages"])
	require.Len(t, drawn["sheets"], 1)
	require.Len(t, p.binary, 2)
	require.Equal(t, bytesOf{0, 7, 0, 2}, head(t, p.binary[0]))
	require.Equal(t, bytesOf{4, 7, 0, 2}, head(t, p.binary[1]))
	line := p.line(t, 0)
	require.Equal(t, []geom.Point{{X: 20, Y: 20}, {X: 30, Y: 20}, {X: 30, Y: 30}}, line.points)
	seconds := line.seconds
	sheet := drawn["sheets"].([]any)[0].(map[string]any)
	require.InDelta(t, sheet["seconds"], seconds[1], 2e-4)
	require.Less(t, seconds[0], seconds[1])
	// One statement drew both, come to by two ways.
	for i, pass := range []string{"pass 1 of the loop, line 5", "pass 2 of the loop, line 5"} {
		statement := drawn["statements"].([]any)[line.statements[i]].(map[string]any)
		require.Equal(t, "ahead n", text[int(statement["from"].(float64)):int(statement["to"].(float64))])
		require.Equal(t, []any{pass, "in side, line 6"}, statement["trail"])
	}
	require.Contains(t, sheet["words"], "One line of 20.0 mm")
	ask(map[string]any{"type": "ask", "id": 8, "what": "trail", "sheet": 0, "piece": 1})
	require.Equal(t, []any{"pass 2 of the loop, line 5", "in side, line 6"}, p.last("answer")["body"])
	ask(map[string]any{"type": "ask", "id": 9, "what": "trail", "sheet": 3, "piece": 1})
	require.EqualValues(t, 9, p.last("failed")["id"])
}

func TestPlacesCountAsBrowsersDo(t *testing.T) {
	_, p, ask := session(t)
	text := "note \"𝔸é\"\nahed 50\n"
	ask(map[string]any{"type": "program", "id": 1, "path": "a.wend", "text": text})
	m := p.last("checked")["messages"].([]any)[0].(map[string]any)
	wide := utf16.Encode([]rune(text))
	require.Equal(t, "ahed", string(utf16.Decode(wide[int(m["from"].(float64)):int(m["to"].(float64))])))
	require.EqualValues(t, 2, m["line"])
	require.Empty(t, p.binary)
	require.Empty(t, p.last("drawn")["sheets"])
}

func TestAnEditOfAMessageMendsTheText(t *testing.T) {
	_, p, ask := session(t)
	ask(map[string]any{"type": "program", "id": 1, "path": "a.wend", "text": "ahed 50\n"})
	m := p.last("drawn")["messages"].([]any)[0].(map[string]any)
	edit := m["edits"].([]any)[0].(map[string]any)["changes"].([]any)[0].(map[string]any)
	text := "ahed 50\n"
	text = text[:int(edit["from"].(float64))] + edit["insert"].(string) + text[int(edit["to"].(float64)):]
	require.Equal(t, "ahead 50\n", text)
}

func TestALineThatLeavesThePageIsShownWithThePlace(t *testing.T) {
	_, p, ask := session(t)
	ask(map[string]any{"type": "program", "id": 1, "path": "a.wend", "text": "ahead 500\n"})
	m := p.last("drawn")["messages"].([]any)[0].(map[string]any)
	require.Equal(t, "error", m["severity"])
	require.NotNil(t, m["place"])
	require.Len(t, p.line(t, 0).points, 2)
}

func TestMeasuresColoursAndSeedsAreKnownBeforeDrawing(t *testing.T) {
	_, p, ask := session(t)
	ask(map[string]any{"type": "program", "id": 1, "path": "a.wend", "text": "seed 12\nturn 30\nahead 2cm\n"})
	c := p.last("checked")
	require.Equal(t, []any{[]any{5.0, 7.0}}, c["seeds"])
	measures := c["measures"].([]any)
	require.Equal(t, map[string]any{"from": 13.0, "to": 15.0, "value": 30.0, "unit": "deg", "kind": "angle"}, measures[1])
	require.Equal(t, "length", measures[2].(map[string]any)["kind"])
	require.Contains(t, c["colours"], []any{8.0, 12.0, "word"})
}

func TestAnEditorsQuestionsAreAnswered(t *testing.T) {
	_, p, ask := session(t)
	text := "let size = 4\nahead   size\n"
	question := func(what string, at int, name string) map[string]any {
		ask(map[string]any{"type": "ask", "id": 3, "path": "a.wend", "text": text, "what": what, "at": at, "name": name})
		return p.texts[len(p.texts)-1]
	}
	require.NotEmpty(t, question("complete", 15, "")["items"])
	require.Equal(t, "ahead", question("hover", 14, "")["title"])
	require.Equal(t, []any{[]any{4.0, 8.0}}, question("definition", 22, "")["spans"])
	require.Len(t, question("references", 22, "")["spans"], 2)
	require.Len(t, question("rename", 22, "wide")["changes"], 2)
	require.Equal(t, "failed", question("rename", 22, "loop")["type"])
	require.Equal(t, []any{map[string]any{"from": 19.0, "to": 21.0, "insert": ""}}, question("format", 0, "")["changes"])
	require.NotEmpty(t, question("signature", 20, "")["forms"])
	require.Len(t, question("outline", 0, "")["symbols"], 1)
	require.Equal(t, "failed", question("spell", 0, "")["type"])
}

func TestStepsComeInTheOrderInWhichTheyRun(t *testing.T) {
	_, p, ask := session(t)
	text := "let n = 3\nloop i in 1..n {\n  ahead i\n}\n"
	ask(map[string]any{"type": "steps", "id": 1, "path": "a.wend", "text": text, "from": 2, "count": 2})
	s := p.last("steps")
	require.EqualValues(t, 5, s["of"])
	steps := s["steps"].([]any)
	require.Len(t, steps, 2)
	first := steps[0].(map[string]any)
	require.Equal(t, "ahead i", text[int(first["from"].(float64)):int(first["to"].(float64))])
	require.Contains(t, first["values"], []any{"i", "1"})
	require.EqualValues(t, 1, steps[1].(map[string]any)["piece"])
	ask(map[string]any{"type": "steps", "id": 2, "path": "a.wend", "text": text, "from": 4, "count": 9})
	require.Len(t, p.last("steps")["steps"], 1)
}

func TestASheetWithoutLineIsNotCounted(t *testing.T) {
	_, p, ask := session(t)
	text := "ahead 5\nerase\nerase\nahead 6\n"
	ask(map[string]any{"type": "program", "id": 1, "path": "a.wend", "text": text})
	require.Len(t, p.last("drawn")["sheets"], 2)
	require.EqualValues(t, 1, head(t, p.binary[1]).sheet)
	require.Len(t, p.line(t, 1).points, 2)
	p.binary = nil
	ask(map[string]any{"type": "export", "id": 3, "kind": "svg", "path": "a.wend", "text": text, "sheet": 1})
	require.Contains(t, string(p.binary[0]), "a.sheet-2.svg")
	ask(map[string]any{"type": "as-drawn", "id": 4, "sheet": 1})
	require.EqualValues(t, 1, head(t, p.binary[1]).sheet)
}

func TestVariationsDrawEachSeed(t *testing.T) {
	_, p, ask := session(t)
	ask(map[string]any{"type": "variations", "id": 1, "path": "a.wend", "text": "loop 30 {\n  ahead random(1, 3)\n  turn random(40, 80)\n}\n", "seeds": []int{1, 2, 3}})
	require.Len(t, p.binary, 3)
	require.Equal(t, bytesOf{3, 1, 2, 30}, head(t, p.binary[1]))
	require.NotEqual(t, p.binary[0][16:], p.binary[1][16:])
}

func TestWhatWasDrawnIsKeptAsFilesAndAsDrawn(t *testing.T) {
	_, p, ask := session(t)
	text, err := os.ReadFile("../../../../examples/rosette.wend")
	require.NoError(t, err)
	program := map[string]any{"type": "program", "id": 1, "path": "pictures/rosette.wend", "text": string(text)}
	ask(program)
	require.NotEmpty(t, p.line(t, 0).points)
	ask(map[string]any{"type": "as-drawn", "id": 2, "enlarged": 10})
	require.EqualValues(t, 1, head(t, p.binary[len(p.binary)-1]).kind)
	for kind, begin := range map[string]string{"png": "\x89PNG", "svg": "<?xml", "gcode": "(wend", "gif": "GIF89a"} {
		ask(map[string]any{"type": "export", "id": 3, "kind": kind, "path": program["path"], "text": program["text"]})
		b := p.binary[len(p.binary)-1]
		h := head(t, b)
		require.EqualValues(t, 2, h.kind, "%v", p.last("failed"))
		require.Equal(t, "rosette."+kind, string(b[16+h.n:]))
		require.True(t, strings.HasPrefix(string(b[16:]), begin), "%s: %q", kind, b[16:40])
	}
	ask(map[string]any{"type": "export", "id": 3, "kind": "exe", "path": "a.wend", "text": "ahead 3"})
	require.NotNil(t, p.last("failed"))
}

func TestEachWordOfTheCardHasALineThatDrawsOrSaysSomething(t *testing.T) {
	_, p, ask := session(t)
	ask(map[string]any{"type": "words"})
	groups := p.last("words")["groups"].([]any)
	require.Greater(t, len(groups), 5)
	pictures, words := 0, 0
	for _, g := range groups {
		for _, w := range g.(map[string]any)["words"].([]any) {
			words++
			w := w.(map[string]any)
			require.NotEmpty(t, w["line"])
			require.NotEmpty(t, w["says"])
			if len(w["picture"].([]any)) > 1 {
				pictures++
			}
		}
	}
	require.Greater(t, pictures*2, words)
	// Who looks for an everyday word finds what wend has, or why there is nothing.
	also := map[string][]any{}
	for _, g := range groups {
		for _, w := range g.(map[string]any)["words"].([]any) {
			word := w.(map[string]any)
			also[word["name"].(string)] = word["also"].([]any)
		}
	}
	require.Contains(t, also["ahead"], "line")
	require.Contains(t, also["curves.circle"], "ring")
	require.Contains(t, also["branch"], "lift")
	none := p.last("words")["none"].(map[string]any)
	require.Contains(t, none["pen"], "never lifts")
	require.Contains(t, none["thickness"], "one width")
}

func TestALineThatIsTooLongIsRefusedWithTheReasonAndAWayOut(t *testing.T) {
	p := &page{}
	s := talk.New(engine.Settings{Profile: machine.DeskToy(), Read: nothing, Limits: eval.Limits{Points: 5000}}, p)
	s.Answer(context.Background(), []byte(`{"type":"program","id":1,"path":"a.wend","text":"begin page.center\nloop 6000 { ahead 1; turn 3 }"}`))
	m := p.last("drawn")["messages"].([]any)[0].(map[string]any)
	require.Contains(t, m["text"], "the line has more than "+diag.Grouped(5000)+" points")
	require.Equal(t, "draw less, or raise the limit with `wend build --limits high` outside the window", m["hint"])
}

// What a session holds does not grow with what was typed.
func TestAThousandEditsLeaveNothingBehind(t *testing.T) {
	p := &nobody{}
	s := talk.New(engine.Settings{Profile: machine.DeskToy(), Read: nothing}, p)
	edit := func(i int) {
		text := fmt.Sprintf("begin page.center\nlet size = %d\nloop i in 1..400 {\n  reach page.center + polar(size * i / 400, 9 * i)\n}\n", 20+i%20)
		request, err := json.Marshal(map[string]any{"type": "program", "id": i, "path": "a.wend", "text": text})
		require.NoError(t, err)
		s.Answer(context.Background(), request)
		request, err = json.Marshal(map[string]any{"type": "ask", "id": i, "path": "a.wend", "text": text, "what": "complete", "at": 30})
		require.NoError(t, err)
		s.Answer(context.Background(), request)
	}
	held := func() int64 {
		var m runtime.MemStats
		runtime.GC()
		runtime.GC()
		runtime.ReadMemStats(&m)
		return int64(m.HeapAlloc)
	}
	edit(0)
	before := held()
	for i := 1; i <= 1000; i++ {
		edit(i)
	}
	grown := held() - before
	runtime.KeepAlive(s)
	t.Logf("%d kB more are held after 1,000 edits", grown>>10)
	require.Less(t, grown, int64(1<<20))
}

func TestAnEvaluationThatIsCancelledSaysNothingMore(t *testing.T) {
	s, p, _ := session(t)
	ctx, cancel := context.WithCancel(context.Background())
	over := make(chan struct{})
	go func() {
		s.Answer(ctx, []byte(`{"type":"program","id":1,"path":"a.wend","text":"loop while true { turn 1 }"}`))
		close(over)
	}()
	require.Eventually(t, func() bool { return p.last("checked") != nil }, 10*time.Second, time.Millisecond)
	cancel()
	<-over
	require.Nil(t, p.last("drawn"))
	require.Nil(t, p.last("failed"))
}

func TestRubbishIsRefusedInWords(t *testing.T) {
	s, p, _ := session(t)
	for _, message := range []string{"", "{", "[]", `{"type":"program","id":-1}`, `{"type":"nothing"}`, `{"type":"export"}`, `{"type":"steps","from":-9,"count":-9}`, `{"type":"ask","what":"hover","at":-7}`} {
		before := len(p.texts)
		s.Answer(context.Background(), []byte(message))
		require.Greater(t, len(p.texts), before, message)
	}
}

func FuzzRequests(f *testing.F) {
	f.Add([]byte(`{"type":"ask","what":"complete","text":"ah","at":2}`))
	f.Add([]byte(`{"type":"program","text":"ahead 5"}`))
	f.Add([]byte(`{"type":"steps","text":"ahead 5","from":0,"count":5}`))
	f.Fuzz(func(t *testing.T, message []byte) {
		p := &page{}
		ctx, cancel := context.WithTimeout(context.Background(), time.Second)
		defer cancel()
		talk.New(engine.Settings{Profile: machine.DeskToy(), Read: nothing}, p).Answer(ctx, message)
		for _, m := range p.texts {
			if text, _ := m["text"].(string); m["type"] == "failed" && strings.Contains(text, "goroutine") {
				t.Fatal(text)
			}
		}
	})
}

// Of a long drawing each statement has the way by which it was come to first,
// without the passes; also one that a path was made of before.
func TestTheStatementsOfALongDrawingHaveOneWayEach(t *testing.T) {
	_, p, ask := session(t)
	text := "figure side(n) {\n  ahead n\n}\nlet leaf = path { side 2 }\nbegin 50, 50\nloop 2500 {\n  side 1\n  turn 91\n}\ndraw leaf\narc 5, 90\n"
	ask(map[string]any{"type": "program", "id": 1, "path": "a.wend", "text": text})
	drawn := p.last("drawn")
	require.Empty(t, drawn["messages"])
	ways := map[string]any{}
	for _, one := range drawn["statements"].([]any) {
		statement := one.(map[string]any)
		ways[text[int(statement["from"].(float64)):int(statement["to"].(float64))]] = statement["trail"]
	}
	require.Equal(t, map[string]any{"ahead n": []any{"in side, line 7"}, "draw leaf": []any{}, "arc 5, 90": []any{}}, ways)
	line := p.line(t, 0)
	require.EqualValues(t, 0, line.statements[2499])
	require.EqualValues(t, 1, line.statements[2500])
	require.EqualValues(t, 2, line.statements[2501])
}
