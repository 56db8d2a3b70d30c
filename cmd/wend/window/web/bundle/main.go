// Command bundle writes the window's page: it joins the TypeScript of ../src
// with the libraries of ../node_modules into ../dist, which is committed and
// embedded in wend, so that Go alone runs it. The same sources and the same
// lock file give the same bytes.
//
//	npm ci && go -C bundle run . [-out FOLDER]
//
// It must be run in its own folder. It stands in a module of its own, so that
// the bundler is no dependency of wend.
package main

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/evanw/esbuild/pkg/api"
)

// entries are the files that a browser asks for: what draws the first picture, the
// rest of the page's program, and the part of it that runs in a worker when the
// engine is WebAssembly. What both of the first need stands in a file of its own.
var entries = []api.EntryPoint{
	{InputPath: "../src/boot.ts", OutputPath: "boot"},
	{InputPath: "../src/main.ts", OutputPath: "window"},
	{InputPath: "../src/engine-worker.ts", OutputPath: "worker"},
	{InputPath: "../src/window.css", OutputPath: "window"},
}

func main() {
	out := flag.String("out", "../dist", "the folder that the page is written to")
	flag.Parse()
	if err := write(*out); err != nil {
		fmt.Fprintln(os.Stderr, "bundle:", err)
		os.Exit(1)
	}
}

func write(out string) error {
	built := api.Build(api.BuildOptions{
		EntryPointsAdvanced: entries,
		Outdir:              out,
		Bundle:              true,
		Splitting:           true,
		ChunkNames:          "sheet",
		Format:              api.FormatESModule,
		Target:              api.ES2022,
		MinifyWhitespace:    true,
		MinifyIdentifiers:   true,
		MinifySyntax:        true,
		LegalComments:       api.LegalCommentsNone, // all licences stand in notices.txt
		Charset:             api.CharsetUTF8,
		Metafile:            true,
	})
	if len(built.Errors) > 0 {
		return fmt.Errorf("%s", strings.Join(api.FormatMessages(built.Errors, api.FormatMessagesOptions{}), ""))
	}
	if err := os.MkdirAll(out, 0o755); err != nil {
		return err
	}
	for _, f := range built.OutputFiles {
		if err := os.WriteFile(f.Path, f.Contents, 0o644); err != nil {
			return err
		}
	}
	page, err := os.ReadFile("../src/index.html")
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(out, "index.html"), page, 0o644); err != nil {
		return err
	}
	return writeNotices(filepath.Join(out, "notices.txt"), built.Metafile)
}

// writeNotices writes the licences of the packages of which something is in the
// bundle.
func writeNotices(file, metafile string) error {
	packages := map[string]bool{}
	for part := range strings.SplitSeq(metafile, `"`) {
		if _, path, ok := strings.Cut(part, "node_modules/"); ok {
			name, rest, _ := strings.Cut(path, "/")
			if strings.HasPrefix(name, "@") {
				second, _, _ := strings.Cut(rest, "/")
				name += "/" + second
			}
			packages[name] = true
		}
	}
	names := make([]string, 0, len(packages))
	for name := range packages {
		names = append(names, name)
	}
	slices.Sort(names)
	var all strings.Builder
	for _, name := range names {
		licence, err := os.ReadFile(filepath.Join("../node_modules", filepath.FromSlash(name), "LICENSE"))
		if err != nil {
			return fmt.Errorf("the licence of %s: %w", name, err)
		}
		fmt.Fprintf(&all, "== npm: %s\n\n%s\n\n", name, strings.TrimSpace(strings.ReplaceAll(string(licence), "\r", "")))
	}
	return os.WriteFile(file, []byte(all.String()), 0o644)
}
