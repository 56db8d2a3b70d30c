package check_test

import (
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/diag"
	"wend/lang/parse"
	"wend/lang/source"
	"wend/lang/types"
)

var update = flag.Bool("update", false, "rewrite golden files")

// checkedPages are the pages of the codes that this package raises: those that
// stand in its source.
func checkedPages(t testing.TB) []diag.Page {
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	var text strings.Builder
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := os.ReadFile(name)
		require.NoError(t, err)
		text.Write(file)
	}
	var raised []diag.Page
	for _, page := range diag.Pages() {
		if strings.Contains(text.String(), strconv.Quote(string(page.Code))) {
			raised = append(raised, page)
		}
	}
	require.Greater(t, len(raised), 30)
	return raised
}

func TestEveryPagesBadProgramGivesItsCodeAndTheGoodOneNone(t *testing.T) {
	for _, page := range checkedPages(t) {
		if page.Subject != diag.Program {
			continue
		}
		t.Run(string(page.Code), func(t *testing.T) {
			_, list := checkText(t, page.Bad)
			require.Equal(t, []string{string(page.Code)}, codes(list), shown(list))
			_, list = checkText(t, page.Good)
			require.Empty(t, list, shown(list))
		})
	}
}

// chunk is a program with the diagnostics that its comments ask for:
// `### code "regexp"` stands on the line where the diagnostic points.
type chunk struct {
	name string
	text string
}

func chunks(t testing.TB) []chunk {
	files, err := filepath.Glob("testdata/faults/*.wend")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	var all []chunk
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		for i, part := range strings.Split(string(text), "\n---\n") {
			first, _, _ := strings.Cut(strings.TrimSpace(part), "\n")
			all = append(all, chunk{filepath.Base(file) + "/" + strconv.Itoa(i+1) + " " + strings.Trim(first, "# "), part})
		}
	}
	return all
}

var expectation = regexp.MustCompile(`### ([a-z-]+) ("(?:[^"\\]|\\.)*")`)

func TestFaultyProgramsGiveExactlyTheDiagnosticsTheirCommentsAskFor(t *testing.T) {
	for _, c := range chunks(t) {
		t.Run(c.name, func(t *testing.T) {
			type wanted struct {
				code    string
				pattern *regexp.Regexp
				met     bool
			}
			want := map[int][]*wanted{}
			for i, line := range strings.Split(c.text, "\n") {
				for _, m := range expectation.FindAllStringSubmatch(line, -1) {
					pattern := strings.ReplaceAll(m[2][1:len(m[2])-1], `\"`, `"`)
					want[i+1] = append(want[i+1], &wanted{m[1], regexp.MustCompile(pattern), false})
				}
			}
			_, list := checkText(t, c.text)
			for _, d := range list {
				line := d.Span.From().Line
				found := false
				for _, w := range want[line] {
					if !w.met && w.code == string(d.Code) && w.pattern.MatchString(d.Message+"\n"+d.Hint) {
						w.met, found = true, true
						break
					}
				}
				if !found {
					t.Errorf("line %d: not asked for: %s %q, hint %q", line, d.Code, d.Message, d.Hint)
				}
			}
			for line, list := range want {
				for _, w := range list {
					if !w.met {
						t.Errorf("line %d: missing %s %q", line, w.code, w.pattern)
					}
				}
			}
		})
	}
}

func TestACertainEditMendsItsFaultAndAddsNone(t *testing.T) {
	programs := chunks(t)
	for _, page := range checkedPages(t) {
		if page.Subject == diag.Program {
			programs = append(programs, chunk{"page " + string(page.Code), page.Bad})
		}
	}
	tried := 0
	for _, c := range programs {
		_, before := checkText(t, c.text)
		for i, d := range before {
			for _, edit := range d.Edits {
				require.True(t, edit.Span.Start <= edit.Span.End && edit.Span.End <= len(c.text), c.name)
				if !edit.Certain {
					continue
				}
				tried++
				mended := c.text[:edit.Span.Start] + edit.Text + c.text[edit.Span.End:]
				_, after := checkText(t, mended)
				rest := append(append(diag.List{}, before[:i]...), before[i+1:]...)
				require.Equal(t, errorsOf(rest), errorsOf(after), "%s\n%s\n%s", c.name, mended, shown(after))
			}
		}
	}
	require.Greater(t, tried, 10)
}

func errorsOf(list diag.List) []string {
	out := []string{}
	for _, d := range list {
		if d.Severity == diag.Error {
			out = append(out, string(d.Code)+" "+d.Message)
		}
	}
	return out
}

func TestFactsOfWholePrograms(t *testing.T) {
	files, err := filepath.Glob("testdata/facts/*.wend")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			program, list := checkFiles(t, []string{filepath.Base(file)}, map[string]string{filepath.Base(file): string(text)}, nil)
			require.Empty(t, list, shown(list))
			var b strings.Builder
			require.NoError(t, check.Dump(&b, program))
			golden := strings.TrimSuffix(file, ".wend") + ".golden"
			if *update {
				require.NoError(t, os.WriteFile(golden, []byte(b.String()), 0o644))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			require.Equal(t, string(want), b.String())
		})
	}
}

func TestUsedFilesAreCheckedTogetherAndOnceEach(t *testing.T) {
	program, list := checkFiles(t, []string{"main.wend", "a.wend", "b.wend", "common.wend"}, map[string]string{
		"main.wend":   "use \"a.wend\" as a\nuse \"b.wend\" as b\na.side 3\nb.side 4\nnote a.size\ndraw a.size.side2()\nfigure side2(n) { ahead n }\n",
		"a.wend":      "use \"common.wend\" as common\nlet size = 3\nfigure side(n) { ahead common.twice(n) }\n",
		"b.wend":      "use \"common.wend\" as all\nfigure side(n) { ahead all.twice(n) }\n",
		"common.wend": "fn twice(n) = 2 * n\n",
	}, nil)
	require.Empty(t, list, shown(list))
	var names []string
	for _, m := range program.Modules {
		names = append(names, m.Name)
	}
	require.Equal(t, []string{"common", "a", "b", ""}, names)
	require.Same(t, program.Main, program.Modules[3])
	require.Equal(t, types.Number, program.Modules[0].Members["twice"].Result)
}

func TestFaultsOfUsedFiles(t *testing.T) {
	for _, c := range []struct {
		name  string
		files map[string]string
		want  []string
		hint  string
	}{
		{"a file that uses itself", map[string]string{"main.wend": "use \"main.wend\" as me\nnote me.x\n"}, []string{"use-cycle"}, "main.wend → main.wend"},
		{"a circle of files", map[string]string{
			"main.wend": "use \"a.wend\" as a\na.f 3\n", "a.wend": "use \"b.wend\" as b\nfigure f(n) { b.g n }\n", "b.wend": "use \"a.wend\" as a\nfigure g(n) { a.f n }\n",
		}, []string{"use-cycle"}, "a.wend → b.wend → a.wend"},
		{"a file that is missing", map[string]string{"main.wend": "use \"none.wend\" as none\nnone.f 3\nnote none.x\n"}, []string{"file-missing"}, ""},
		{"statements in a used file", map[string]string{
			"main.wend": "use \"a.wend\" as a\nnote a.x\n", "a.wend": "let x = 3\nahead 20\nloop 3 { turn 20 }\n",
		}, []string{"statement-in-used-file", "statement-in-used-file"}, ""},
		{"a used file that reads the stylus", map[string]string{
			"main.wend": "use \"a.wend\" as a\nnote a.x\n", "a.wend": "let x = here.x\n",
		}, []string{"stylus-in-function"}, ""},
		{"a missing file that nothing uses", map[string]string{"main.wend": "use \"none.wend\" as none\n"}, []string{"file-missing"}, ""},
		{"a file that nothing uses", map[string]string{"main.wend": "use \"a.wend\" as a\n", "a.wend": "let x = 3\n"}, []string{"unused-use"}, ""},
		{"a variable of another file", map[string]string{"main.wend": "use \"a.wend\" as a\na.x = 4\n", "a.wend": "let x = 3\n"}, []string{"assign-module"}, ""},
		{"a misspelt member", map[string]string{"main.wend": "use \"a.wend\" as a\nnote a.sise\n", "a.wend": "let size = 3\n"}, []string{"unknown-member"}, "`size`"},
		{"two uses of one name", map[string]string{"main.wend": "use \"a.wend\" as a\nuse \"a.wend\" as a\nnote a.x\n", "a.wend": "let x = 3\n"}, []string{"defined-twice"}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, list := checkFiles(t, []string{"main.wend"}, c.files, nil)
			require.Equal(t, c.want, codes(list), shown(list))
			require.Contains(t, list[0].Hint, c.hint)
			for _, d := range list {
				require.True(t, d.Span.Known())
			}
		})
	}
}

func TestFilesCannotBeUsedWithoutALoader(t *testing.T) {
	file, _ := parse.File(source.New("x", "use \"a.wend\" as a\nnote a.x\n"))
	_, list := check.Check(file, check.Options{Library: library()})
	require.Equal(t, []string{"use-unavailable"}, codes(list))
}

func TestThemesAreLoadedOnlyWhenNamed(t *testing.T) {
	asked := 0
	run := func(text string) *check.Program {
		file, _ := parse.File(source.New("x", text))
		program, list := check.Check(file, check.Options{Library: library(), Module: func(string) *ast.File {
			asked++
			theme, _ := parse.File(source.New("<curves>", curves))
			return theme
		}})
		require.Empty(t, list, shown(list))
		return program
	}
	run("ahead 20\n")
	require.Zero(t, asked)
	program := run("draw curves.rose(5)\nnote curves.golden()\n")
	require.Equal(t, 1, asked)
	require.Len(t, program.Modules, 2)
	require.Equal(t, "curves", program.Modules[0].Name)
}

func TestSettingsReplaceTopLevelValues(t *testing.T) {
	set := func(name, value string) map[string]*ast.Let {
		file, list := parse.File(source.New("<set>", "let "+name+" = "+value+"\n"))
		require.Empty(t, list)
		return map[string]*ast.Let{name: file.Body[0].(*ast.Let)}
	}
	texts := map[string]string{"main.wend": "let size = \"a\"\nlet other = 3\nnote size + 1\nnote other\n"}
	program, list := checkFiles(t, []string{"main.wend"}, texts, set("size", "20"))
	require.Empty(t, list, shown(list))
	require.Equal(t, types.Number, program.Main.Members["size"].Kinds)
	require.Equal(t, 20.0, program.Main.File.Body[0].(*ast.Let).Value.(*ast.NumberLit).Value)

	_, list = checkFiles(t, []string{"main.wend"}, texts, set("sise", "20"))
	require.Equal(t, []string{"unknown-setting", "text-plus"}, codes(list), shown(list))
	require.Equal(t, "did you mean `size`?", list[0].Hint)
	require.Equal(t, "sise", list[0].Span.Text())
	_, list = checkFiles(t, []string{"main.wend"}, texts, set("petals", "20"))
	require.Equal(t, "those that can be set: `size` and `other`", list[0].Hint)

	// A unit that comes from outside is pointed to there.
	_, list = checkFiles(t, []string{"main.wend"}, map[string]string{"main.wend": "let size = 3\nahead size\n"}, set("size", "20deg"))
	require.Equal(t, []string{"unit-wrong"}, codes(list), shown(list))
	require.Equal(t, "<set>", list[0].Related[0].Span.File.Name)
}

func TestOneStatementGivesOneError(t *testing.T) {
	_, list := checkText(t, "ahead nothing + other * \"x\" , 3\nturn 1 + \"a\"\n")
	require.Equal(t, []string{"unknown-name", "text-plus"}, codes(list), shown(list))
}

func TestWhatCouldNotBeReadCausesNoFurtherErrors(t *testing.T) {
	for _, text := range []string{
		"let size = 3 *\nlet other = 4\nahead size\n",
		"let let = 3\nfigure f(x, by = 2) { ahead x }\nf 1, 2\nf 1, by: 3\n",
		"let p = path { ahead 3 }\np.3\n",
		"fn f(x = ) = x + 1\nnote f()\n",
	} {
		file, faults := parse.File(source.New("x", text))
		require.NotEmpty(t, faults, text)
		_, list := check.Check(file, check.Options{Library: library(), Reported: faults})
		require.Empty(t, list, "%s\n%s", text, shown(list))
	}
}

func FuzzCheckNeverPanics(f *testing.F) {
	for _, c := range chunks(f) {
		f.Add(c.text)
	}
	for _, page := range checkedPages(f) {
		f.Add(page.Bad)
		f.Add(page.Good)
	}
	f.Fuzz(func(t *testing.T, text string) {
		program, list := checkText(t, text)
		for _, d := range list {
			if d.Span.Known() && (d.Span.Start < 0 || d.Span.Start > d.Span.End || d.Span.End > len(d.Span.File.Text)) {
				t.Errorf("%s: the span %d–%d is outside the text", d.Code, d.Span.Start, d.Span.End)
			}
		}
		if program.Main == nil || program.Modules[len(program.Modules)-1] != program.Main {
			t.Error("the main file is not last")
		}
	})
}

func TestALateBeginPointsAtWhatKeepsItFromItsErase(t *testing.T) {
	for text, want := range map[string]string{
		"ahead 10\nerase\nnote 1\nbegin 50, 50":        "note 1",
		"ahead 10\nerase\nturn 90\nbegin 50, 50":       "turn 90",
		"ahead 10\nbegin 50, 50":                       "ahead",
		"ahead 10\nloop 2 {\n  erase\n}\nbegin 50, 50": "ahead",
	} {
		_, list := checkText(t, text)
		require.Equal(t, []string{"begin-late"}, codes(list), shown(list))
		require.Equal(t, want, list[0].Related[0].Span.Text(), text)
	}
}
