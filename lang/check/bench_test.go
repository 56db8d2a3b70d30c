package check_test

import (
	"fmt"
	"strings"
	"testing"

	"wend/lang/check"
	"wend/lang/diag"
	"wend/lang/parse"
	"wend/lang/source"
)

// ordinary is a program of n functions, figures and loops over them.
func ordinary(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "fn size%d(k) = %d + k * 2\n", i, i)
		fmt.Fprintf(&b, "figure vane%d(size, angle = 90) {\n  loop 2 {\n    ahead size\n    arc size / 2, angle\n    turn 225 - angle\n  }\n}\n", i)
		fmt.Fprintf(&b, "loop i in 1..3 {\n  let r = size%d(i)\n  vane%d r\n}\n", i, i)
	}
	return b.String()
}

// backward is a loop in which a kind creeps from the last variable to the first.
func backward(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "let v%d = 0\n", i)
	}
	b.WriteString("loop 3 {\n")
	for i := range n - 1 {
		fmt.Fprintf(&b, "  v%d = v%d\n", i, i+1)
	}
	fmt.Fprintf(&b, "  v%d = \"a\"\n}\nnote v0\n", n-1)
	return b.String()
}

// misspelt is a program of nothing but unknown names.
func misspelt(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "let name%d = 1\nnote nume%d\n", i, i)
	}
	return b.String()
}

func benchmarkCheck(b *testing.B, text string) {
	file, _ := parse.File(source.New("bench", text))
	words := library()
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		check.Check(file, check.Options{Library: words})
	}
}

func BenchmarkCheckOrdinary100(b *testing.B)   { benchmarkCheck(b, ordinary(100)) }
func BenchmarkCheckOrdinary1000(b *testing.B)  { benchmarkCheck(b, ordinary(1000)) }
func BenchmarkCheckBackward1000(b *testing.B)  { benchmarkCheck(b, backward(1000)) }
func BenchmarkCheckBackward10000(b *testing.B) { benchmarkCheck(b, backward(10000)) }
func BenchmarkCheckMisspelt1000(b *testing.B)  { benchmarkCheck(b, misspelt(1000)) }
func BenchmarkCheckMisspelt10000(b *testing.B) { benchmarkCheck(b, misspelt(10000)) }

func TestLongAndDeepProgramsAreChecked(t *testing.T) {
	for name, text := range map[string]string{
		"a long sum":         "note 1" + strings.Repeat(" + 1", 100_000) + "\n",
		"a long chain":       "note \"a\"" + strings.Repeat(".twice()", 20_000) + "\nfn twice(s) = s + s\n",
		"many else":          "let n = 1\nif n == 0 { ahead 1 }" + strings.Repeat(" else if n == 1 { ahead 2 }", 20_000) + "\n",
		"brackets":           "note " + strings.Repeat("(", 5_000) + "1" + strings.Repeat(")", 5_000) + "\n",
		"blocks":             strings.Repeat("branch {\n", 5_000) + "ahead 1\n" + strings.Repeat("}\n", 5_000),
		"a long call ladder": ladder(5_000),
	} {
		t.Run(name, func(t *testing.T) {
			_, list := checkText(t, text)
			for _, d := range list {
				// The depth of brackets is limited where the text is read.
				permit(t, d.Code != "unknown-name" && d.Code != "operator-kinds", d)
			}
		})
	}
}

// ladder is n functions, each of which calls the next.
func ladder(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "fn f%d(x) = f%d(x)\n", i, i+1)
	}
	fmt.Fprintf(&b, "fn f%d(x) = x\nahead f0(3)\n", n)
	return b.String()
}

func permit(t *testing.T, ok bool, d diag.Diagnostic) {
	t.Helper()
	if !ok {
		t.Errorf("%s: %s", d.Code, d.Message)
	}
}
