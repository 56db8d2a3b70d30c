package main

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"

	"wend/cmd/wend/handout"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/gcode"
	"wend/runtime/preview"
)

// staleName is the name of an output without the base: of a further sheet, or a
// picture of what leaves the page.
var staleName = sync.OnceValue(func() *regexp.Regexp {
	kinds := []string{regexp.QuoteMeta("off-page.png")}
	for _, a := range artefacts {
		kinds = append(kinds, regexp.QuoteMeta(a.kind))
	}
	return regexp.MustCompile(`^(?:\.sheet-(\d+))?\.(` + strings.Join(kinds, "|") + `)$`)
})

// removeStale removes what an earlier run left beside the outputs of this one,
// and what these replace: further sheets, which could still be sent, and
// pictures of what left the page. Only files that name the same program, or
// file, as theirs are touched. It gives the names of those that are gone.
func removeStale(base, program string, sheets int, written []output) (gone []string, list diag.List) {
	entries, err := os.ReadDir(filepath.Dir(base))
	if err != nil || len(written) == 0 {
		return nil, nil
	}
	for _, e := range entries {
		rest, ok := cutBase(e.Name(), filepath.Base(base))
		m := staleName().FindStringSubmatch(rest)
		if !ok || m == nil || !e.Type().IsRegular() {
			continue
		}
		name := filepath.Join(filepath.Dir(base), e.Name())
		sheet, _ := strconv.Atoi(m[1])
		isWritten := slices.ContainsFunc(written, func(o output) bool { return o.name == name })
		if isWritten || m[2] != "off-page.png" && (sheets == 0 || sheet <= sheets) || !names(name, program) {
			continue
		}
		if err := os.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
			list = append(list, aboutFile(name, "output-stale", diag.Args{"reason": reason(err)}).At(source.Span{}))
			continue
		}
		gone = append(gone, name)
	}
	return gone, list
}

func cutBase(name, base string) (string, bool) {
	if len(name) <= len(base) || name[:len(base)] != base {
		return "", false
	}
	return name[len(base):], true
}

// names reports whether a file says that it is the output of a program.
func names(name, program string) bool {
	head, err := headOf(name)
	return err == nil && (gcode.Names(string(head), program) || preview.Names(head, program))
}

// foreign gives the first output in whose place a file stands that wend did not
// write, empty if there is none. One that cannot be read may be anyone's, and
// one that is empty is nobody's.
func foreign(outputs []output) string {
	for _, o := range outputs {
		if info, err := os.Stat(o.name); err != nil || !info.Mode().IsRegular() || info.Size() == 0 {
			continue
		}
		if head, err := headOf(o.name); err != nil || !gcode.Written(string(head)) && !preview.Written(head) && !handout.Written(head) {
			return o.name
		}
	}
	return ""
}

func headOf(name string) ([]byte, error) {
	file, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return io.ReadAll(io.LimitReader(file, 1<<16))
}
