package window

import (
	"encoding/json"
	"io/fs"
	"strings"

	"wend/examples"
)

// Site is the window as a site that any file server can offer, by the names of its
// files, but for the engine: engine.bin, which is package wasm packed by gzip, and
// wasm_exec.js, which comes with the compiler that made it. Nothing there reaches a machine.
func Site() (map[string][]byte, error) {
	static, err := fs.Sub(bundle, "web/dist")
	if err != nil {
		return nil, err
	}
	site := map[string][]byte{}
	err = fs.WalkDir(static, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		content, err := fs.ReadFile(static, name)
		// Without a secret the page has its engine in a worker.
		site[name] = []byte(strings.ReplaceAll(string(content), "{{secret}}", ""))
		return err
	})
	if err != nil {
		return nil, err
	}
	type piece struct {
		galleryEntry
		File string `json:"file"`
	}
	var pieces []piece
	for _, entry := range gallery() {
		text, _ := examples.Program(entry.Name)
		if l, is := lessonOf(entry.Name); is {
			text = l.Start
		}
		file := "gallery/" + entry.Name + ".wend"
		site[file] = []byte(text)
		pieces = append(pieces, piece{entry, file})
	}
	site["gallery.json"], err = json.Marshal(pieces)
	return site, err
}
