package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// builtFor are the systems for which releases are built.
var builtFor = []string{"linux/amd64", "linux/arm64", "darwin/arm64", "darwin/amd64", "windows/amd64"}

// inside are the modules in the command on any system: name and version, and
// the folder that each lies in.
func inside(t *testing.T) map[string]string {
	t.Helper()
	modules := map[string]string{}
	for _, target := range builtFor {
		system, processor, _ := strings.Cut(target, "/")
		list := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if .Version}}{{.Path}} {{.Version}}\t{{.Dir}}{{end}}{{end}}", "wend/cmd/wend")
		list.Env = append(os.Environ(), "GOOS="+system, "GOARCH="+processor, "CGO_ENABLED=0")
		out, err := list.Output()
		require.NoError(t, err)
		for line := range strings.Lines(string(out)) {
			if name, folder, ok := strings.Cut(strings.TrimSpace(line), "\t"); ok {
				modules[name] = folder
			}
		}
	}
	return modules
}

// pageNotices are the licences of what is bundled in the window's page; the
// bundler writes them.
const pageNotices = "window/web/dist/notices.txt"

var licenceFile = regexp.MustCompile(`(?i)^(licen[cs]e|copying|notice|patents)([.-].*)?$`)

func TestTheNoticesAreOfEverythingInside(t *testing.T) {
	modules := inside(t)
	var names []string
	for name := range modules {
		names = append(names, name)
	}
	slices.Sort(names)
	if *update {
		var all strings.Builder
		add := func(title string, files ...string) {
			all.WriteString("== " + title + "\n\n")
			for _, f := range files {
				text, err := os.ReadFile(f)
				require.NoError(t, err)
				all.WriteString(strings.TrimSpace(strings.ReplaceAll(string(text), "\r", "")) + "\n\n")
			}
		}
		root, err := exec.Command("go", "env", "GOROOT").Output()
		require.NoError(t, err)
		add("the Go standard library", filepath.Join(strings.TrimSpace(string(root)), "LICENSE"))
		for _, name := range names {
			var files []string
			for _, folder := range []string{modules[name], filepath.Join(modules[name], "licenses")} {
				entries, _ := os.ReadDir(folder)
				for _, e := range entries {
					if !e.IsDir() && (licenceFile.MatchString(e.Name()) || e.Name() == "ftl.txt") {
						files = append(files, filepath.Join(folder, e.Name()))
					}
				}
			}
			require.NotEmpty(t, files, name)
			add(name, files...)
			if strings.HasPrefix(name, "golang.org/x/image ") {
				add("the Go fonts, of the letters beside pictures", filepath.Join(modules[name], "font", "gofont", "ttfs", "README"))
			}
		}
		page, err := os.ReadFile(pageNotices)
		require.NoError(t, err)
		all.Write(page)
		faces, err := filepath.Glob("../../stdlib/fonts/*.letters")
		require.NoError(t, err)
		for _, face := range faces {
			all.WriteString("== the face " + strings.TrimSuffix(filepath.Base(face), ".letters") + "\n\nDrawn for wend, and part of it.\n\n")
		}
		require.NoError(t, os.WriteFile("notices.txt", []byte(strings.TrimSpace(all.String())+"\n"), 0o666))
		return
	}
	for _, name := range append(names, "the Go standard library", "the Go fonts, of the letters beside pictures") {
		require.Contains(t, notices, "== "+name+"\n", "run the test with -update")
	}
	faces, err := filepath.Glob("../../stdlib/fonts/*.letters")
	require.NoError(t, err)
	require.NotEmpty(t, faces)
	for _, face := range faces {
		require.Contains(t, notices, "== the face "+strings.TrimSuffix(filepath.Base(face), ".letters")+"\n")
	}
	page, err := os.ReadFile(pageNotices)
	require.NoError(t, err)
	require.Contains(t, notices, strings.TrimSpace(string(page)), "the libraries of the window's page: run the test with -update")
	for _, title := range regexp.MustCompile(`(?m)^== (\S+/\S+ v\S+)$`).FindAllStringSubmatch(notices, -1) {
		require.Contains(t, names, title[1], "it is not inside")
	}
}
