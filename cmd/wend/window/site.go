package window

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"io/fs"
	"strings"
	"sync"

	"wend/cmd/wend/window/talk"
	"wend/examples"
)

// Site is the window as a site that any file server can offer, by the names of its
// files, but for the engine: engine.bin, which is package wasm packed by gzip, and
// wasm_exec.js, which comes with the compiler that made it. What somebody sees who comes
// for the first time is in first.bin. Nothing there reaches a machine.
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
	small := map[string]string{}
	for _, entry := range gallery() {
		text, _ := examples.Program(entry.Name)
		if l, is := lessonOf(entry.Name); is {
			text = l.Start
		} else if small[entry.Name], err = talk.SmallPicture(context.Background(), entry.Name); err != nil {
			return nil, err
		}
		file := "gallery/" + entry.Name + ".wend"
		site[file] = []byte(text)
		pieces = append(pieces, piece{entry, file})
	}
	// Apart, since only who looks through the gallery wants it.
	if site["small.json"], err = json.Marshal(small); err != nil {
		return nil, err
	}
	shown := pieces[0]
	site["first.bin"] = drawnAhead(shown.Name+".wend", string(site[shown.File]))
	site["gallery.json"], err = json.Marshal(struct {
		Pieces []piece `json:"pieces"`
		First  string  `json:"first"` // what a new program begins with
	}{pieces, FirstProgram})
	return site, err
}

// record keeps answers: of each a u32 that is 1 for a text and 0 for bytes, its length
// as u32, and itself. Both are of little end.
type record struct {
	mu  sync.Mutex
	all bytes.Buffer
}

// Text is that of talk.Carrier.
func (r *record) Text(message any) {
	if text, err := json.Marshal(message); err == nil {
		r.add(1, text)
	}
}

// Binary is that of talk.Carrier.
func (r *record) Binary(message []byte) { r.add(0, message) }

func (r *record) add(text uint32, message []byte) {
	head := binary.LittleEndian.AppendUint32(nil, text)
	r.mu.Lock()
	defer r.mu.Unlock()
	r.all.Write(binary.LittleEndian.AppendUint32(head, uint32(len(message))))
	r.all.Write(message)
}

// drawnAhead is what a page hears of a program that it begins with: that it is opened,
// and what the engine of the site, which is this one, would say of it. So the first
// picture need not wait for that engine to be fetched and compiled.
func drawnAhead(path, text string) []byte {
	var heard record
	heard.Text(openedMessage{Type: "opened", Path: path, Text: text, Program: beginRequest})
	request, err := json.Marshal(talk.Request{Type: "program", ID: beginRequest, Path: path, Text: text})
	if err == nil {
		talk.New(talk.OfSite(), &heard).Answer(context.Background(), request)
	}
	return heard.all.Bytes()
}
