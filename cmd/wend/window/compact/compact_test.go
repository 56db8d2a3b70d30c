package compact

import (
	"bytes"
	"debug/gosym"
	"encoding/binary"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	_ "wend/internal/repeatable"
)

// compiled is a small program as Go's linker writes it for a browser.
func compiled(t *testing.T) []byte {
	t.Helper()
	source := filepath.Join(t.TempDir(), "main.go")
	require.NoError(t, os.WriteFile(source, []byte("package main\n\nfunc main() { println(len(deep(4))) }\n\n//go:noinline\nfunc deep(n int) []int {\n\tif n == 0 {\n\t\treturn nil\n\t}\n\treturn append(deep(n-1), n)\n}\n"), 0o644))
	module := filepath.Join(t.TempDir(), "main.wasm")
	build := exec.Command("go", "build", "-trimpath", "-ldflags=-s -w", "-o", module, source)
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	said, err := build.CombinedOutput()
	require.NoError(t, err, string(said))
	content, err := os.ReadFile(module)
	require.NoError(t, err)
	return content
}

// sections are the contents of a module's sections, by their kind.
func sections(t *testing.T, module []byte) map[byte][]byte {
	t.Helper()
	all := map[byte][]byte{}
	for rest := module[len(preamble):]; len(rest) > 0; {
		size, n := binary.Uvarint(rest[1:])
		require.Positive(t, n)
		all[rest[0]] = append(all[rest[0]], rest[1+n:][:size]...)
		rest = rest[1+n+int(size):]
	}
	return all
}

func TestAProgramIsTheSameButForItsLines(t *testing.T) {
	module := compiled(t)
	small, err := Module(module)
	require.NoError(t, err)
	before, after := sections(t, module), sections(t, small)
	count := func(content []byte) uint64 { n, _ := binary.Uvarint(content); return n }
	require.Greater(t, count(before[dataSection]), uint64(1000))
	require.Less(t, count(after[dataSection]), uint64(100))
	was, err := image(before[dataSection])
	require.NoError(t, err)
	is, err := image(after[dataSection])
	require.NoError(t, err)
	delete(before, dataSection)
	delete(after, dataSection)
	require.Equal(t, before, after)

	// Go's own reader of such tables (debug/gosym) finds the same functions, and
	// lines before alone.
	tableOf := func(memory []byte) *gosym.Table {
		found, err := gosym.NewTable(nil, gosym.NewLineTable(memory[bytes.Index(memory, []byte(tableHead)):], 0))
		require.NoError(t, err)
		return found
	}
	old, now := tableOf(was), tableOf(is)
	require.Greater(t, len(old.Funcs), 500)
	require.Len(t, now.Funcs, len(old.Funcs))
	lines := 0
	for i := range old.Funcs {
		f, g := old.Funcs[i], now.Funcs[i]
		require.Equal(t, [3]any{f.Name, f.Entry, f.End}, [3]any{g.Name, g.Entry, g.End})
		if _, line, _ := old.PCToLine(f.Entry); line > 0 {
			lines++
		}
		_, line, _ := now.PCToLine(f.Entry)
		require.LessOrEqual(t, line, 0, f.Name)
	}
	require.Greater(t, lines, 500)

	// Nothing else in the memory has changed, and nothing was made up.
	start, length := bytes.Index(was, []byte(tableHead)), len(was)
	require.Equal(t, length, len(is))
	stop := start + int(binary.LittleEndian.Uint64(was[start+8+8*7:])) + 8*len(old.Funcs) + 200*len(old.Funcs)
	for i := range was {
		if is[i] != was[i] {
			require.Zero(t, is[i])
			require.Greater(t, i, start)
			require.Less(t, i, stop)
		}
	}
}

// Data in any pieces makes the same memory, whatever zeros are between and in them.
func TestAnyDataMakesTheSameMemory(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		memory := make([]byte, 1+r.IntN(20_000))
		for at := 0; at < len(memory); at += r.IntN(3 * shortestGap) {
			for range r.IntN(50) {
				if at < len(memory) {
					memory[at] = byte(r.IntN(256))
					at++
				}
			}
		}
		memory[len(memory)-1] = 7
		got, err := image(pieces(memory))
		require.NoError(t, err)
		require.Equal(t, memory, got)
	}
	got, err := image(pieces(make([]byte, 10)))
	require.NoError(t, err)
	require.Empty(t, got)
}

// A number as the specification writes it (WebAssembly Core Specification 2.0,
// section 5.2.2, in the last note: -2 in one, two and three bytes), and back.
func TestNumbersAreReadAsSpecified(t *testing.T) {
	for _, bytes := range [][]byte{{0x7e}, {0xfe, 0x7f}, {0xfe, 0xff, 0x7f}} {
		r := reader{bytes, false}
		require.EqualValues(t, -2, r.signed())
		require.False(t, r.failed)
	}
	for _, n := range []int64{0, 1, 63, 64, -64, -65, 127, 128, 8191, 8192, 1<<28 - 1, -1 << 28} {
		r := reader{appendSigned(nil, n), false}
		require.Equal(t, n, r.signed())
		require.Empty(t, r.rest)
	}
}

func TestWhatIsNoModuleIsRefused(t *testing.T) {
	data := func(content ...byte) []byte { return section([]byte(preamble), dataSection, content) }
	whole := data(1, 0, i32Const, 8, end, 2, 5, 6)
	got, err := Module(whole)
	require.NoError(t, err)
	require.Equal(t, whole, got)
	for n := range whole {
		if n != len(preamble) { // an empty module is one
			_, err := Module(whole[:n])
			require.Error(t, err, n)
		}
	}
	for name, module := range map[string][]byte{
		"nothing":             nil,
		"another memory":      data(1, 2, 1, i32Const, 8, end, 1, 5),
		"a place from a name": data(1, 0, 0x23, 0, end, 1, 5),
		"before the memory":   data(1, 0, i32Const, 0x7f, end, 1, 5),
		"far beyond":          data(1, 0, i32Const, 0xff, 0xff, 0xff, 0xff, 7, end, 1, 5),
		"bytes behind":        data(0, 0),
		"an endless number":   data(1, 0, i32Const, 0x80, 0x80, 0x80, 0x80, 0x80, 0x80, 1, end, 1, 5),
	} {
		_, err := Module(module)
		require.Error(t, err, name)
	}
}

// A table of functions that is damaged in any byte is left alone or taken for what
// it then says, and never leads out of the memory.
func TestADamagedTableDoesNoHarm(t *testing.T) {
	memory, err := image(sections(t, compiled(t))[dataSection])
	require.NoError(t, err)
	at := bytes.Index(memory, []byte(tableHead))
	r := rand.New(rand.NewPCG(3, 4))
	for range 100 {
		damaged := bytes.Clone(memory)
		for range 1 + r.IntN(3) {
			damaged[at+8+r.IntN(headBytes)] ^= 1 << r.IntN(8)
			list := at + int(binary.LittleEndian.Uint64(memory[at+8+8*7:]))
			damaged[list+r.IntN(len(memory)-list)] ^= 1 << r.IntN(8)
		}
		require.NotPanics(t, func() { stripLines(damaged) })
	}
	require.NotPanics(t, func() { stripLines(bytes.Clone(memory[:at+20])); stripLines(nil) })
}
