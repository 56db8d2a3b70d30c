package window

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"wend/cmd/wend/lesson"
	"wend/cmd/wend/window/talk"
	"wend/examples"
)

// pageMessages are what a page asks of this process, by type.
var pageMessages = map[string]func(*socket, context.Context, *fromPage){
	"files":         (*socket).files,
	"done":          (*socket).done,
	"open":          (*socket).open,
	"save":          (*socket).save,
	"new":           (*socket).begin,
	"rename":        (*socket).rename,
	"history":       (*socket).history,
	"connect":       (*socket).connectMachine,
	"disconnect":    (*socket).disconnect,
	"answer-person": (*socket).answerPerson,
	"key":           (*socket).key,
	"send":          (*socket).send,
	"resume":        (*socket).resume,
	"walk":          (*socket).walk,
	"stands":        (*socket).stands,
	"wipe":          (*socket).wipe,
	"abandon":       (*socket).abandon,
}

func (k *socket) failed(m *fromPage, err error) {
	k.out.Text(talk.Failed{Type: "failed", ID: m.ID, Text: sentence(err)})
}

// sentence is an error as a sentence.
func sentence(err error) string {
	text := err.Error()
	if text == "" {
		return text
	}
	if text[0] != '`' {
		text = strings.ToUpper(text[:1]) + text[1:]
	}
	if !strings.HasSuffix(text, ".") {
		text += "."
	}
	return text
}

// gallery is the examples and the lessons.
var gallery = sync.OnceValue(func() []galleryEntry {
	var all []galleryEntry
	for _, name := range examples.Names() {
		text, _ := examples.Program(name)
		all = append(all, galleryEntry{Name: name, Title: firstSentence(text, name), Kind: "piece"})
	}
	for _, l := range lesson.Lessons() {
		entry := galleryEntry{Name: lessonPiece(l.Number), Title: fmt.Sprintf("%d. %s", l.Number, l.Title), Kind: "lesson"}
		for _, t := range l.Tasks {
			entry.Tasks = append(entry.Tasks, t.ID())
		}
		all = append(all, entry)
	}
	return all
})

// firstSentence is the first sentence of the comment that a program begins with.
func firstSentence(text, otherwise string) string {
	var words []string
	for line := range strings.Lines(text) {
		comment, ok := strings.CutPrefix(strings.TrimSpace(line), "#")
		if !ok {
			break
		}
		words = append(words, strings.TrimSpace(comment))
	}
	sentence, _, _ := strings.Cut(strings.Join(words, " "), ". ")
	if sentence = strings.TrimSuffix(sentence, "."); sentence == "" {
		return otherwise
	}
	return sentence
}

func (s *Server) listed() filesMessage {
	return filesMessage{
		Type: "files", Folder: filepath.Base(s.folder.name), Files: s.folder.list(), Gallery: gallery(), Done: s.folder.done(),
	}
}

func (k *socket) files(context.Context, *fromPage) { k.out.latest("files", k.server.listed()) }

// done keeps which tasks of the lessons are done, and tells all windows.
func (k *socket) done(_ context.Context, m *fromPage) {
	if err := k.server.folder.keepDone(m.Tasks); err != nil {
		k.failed(m, fmt.Errorf("what is done could not be kept: %w", err))
		return
	}
	k.server.tellFiles()
}

// open gives a program of the folder, a copy of a piece of the gallery, or the
// program of a lesson: the one that was begun, or a copy.
func (k *socket) open(_ context.Context, m *fromPage) {
	name := m.Path
	if m.Piece != "" {
		copied, err := k.server.folder.copyPiece(m.Piece)
		if err != nil {
			k.failed(m, err)
			return
		}
		name = copied
		k.server.tellFiles()
	}
	k.opened(m, name)
}

func (k *socket) opened(m *fromPage, name string) {
	opened, err := k.server.opens(name)
	if err != nil {
		k.failed(m, err)
		return
	}
	k.knows(name, opened.Version)
	k.out.Text(opened)
}

// opens gives a program of the folder.
func (s *Server) opens(name string) (openedMessage, error) {
	err := s.folder.sees(name)
	var text, version string
	if err == nil {
		text, version, err = s.folder.text(name)
	}
	return openedMessage{Type: "opened", Path: name, Text: text, Version: version, History: s.undo(name, version)}, err
}

// knows notes which version of a file the page has.
func (k *socket) knows(name, version string) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.known[name] = version
}

// lessonPiece is the name of a lesson in the gallery, and of its program.
func lessonPiece(number int) string { return fmt.Sprintf("lesson-%d", number) }

// lessonOf is the lesson whose beginning is in the gallery under a name.
func lessonOf(piece string) (lesson.Lesson, bool) {
	for _, l := range lesson.Lessons() {
		if piece == lessonPiece(l.Number) {
			return l, true
		}
	}
	return lesson.Lesson{}, false
}

// startLesson gives the program of a lesson in the folder: the one that was begun
// before, as it is, or a copy of the program to begin with.
func (f *folder) startLesson(piece string, l lesson.Lesson) (string, error) {
	name := piece + ".wend"
	if _, err := f.root.Lstat(name); err == nil {
		f.show(name)
		return name, nil
	}
	return name, f.begin(name, []byte(l.Start))
}

// copyPiece copies a piece of the gallery, with what it uses, under a name that is
// free. A lesson is gone on with.
func (f *folder) copyPiece(piece string) (string, error) {
	if l, is := lessonOf(piece); is {
		return f.startLesson(piece, l)
	}
	text, known := examples.Program(piece)
	beside := examples.Beside(piece)
	if !known {
		return "", fmt.Errorf("there is no piece `%s` in the gallery", piece)
	}
	for path, content := range beside {
		if there, _, err := f.read(path); err == nil && string(there) == content {
			f.show(path)
			continue
		}
		if err := f.begin(path, []byte(content)); err != nil {
			return "", err
		}
	}
	for i := 1; ; i++ {
		name := piece + ".wend"
		if i > 1 {
			name = fmt.Sprintf("%s-%d.wend", piece, i)
		}
		err := f.begin(name, []byte(text))
		if err == nil || i == 1000 {
			return name, err
		}
		if _, there := f.root.Lstat(name); there != nil {
			return "", err // it is not that the name is taken
		}
	}
}

// save keeps a text, and tells the other windows.
func (k *socket) save(_ context.Context, m *fromPage) {
	version, err := k.server.folder.save(m.Path, m.Text, m.Version)
	var changed *conflict
	switch {
	case errors.As(err, &changed):
		k.knows(m.Path, changed.version)
		k.out.Text(conflictMessage{Type: "conflict", Path: m.Path, Theirs: changed.theirs, Version: changed.version})
		return
	case err != nil:
		k.failed(m, err)
		return
	}
	k.knows(m.Path, version)
	k.out.Text(savedMessage{Type: "saved", Path: m.Path, Version: version})
	k.server.tellChanged()
}

// FirstProgram is what a program begins with that is not made from anything.
const FirstProgram = "# Six sides, and a turn after each.\nbegin page.center\nloop 6 {\n  ahead 25\n  turn 60\n}\n"

func (k *socket) begin(_ context.Context, m *fromPage) {
	name := m.Path
	if name != "" && !strings.Contains(filepath.Base(name), ".") {
		name += ".wend"
	}
	err := program(name)
	if err == nil {
		err = k.server.folder.begin(name, []byte(FirstProgram))
	}
	if err != nil {
		k.failed(m, err)
		return
	}
	k.opened(m, name)
	k.server.tellFiles()
}

func (k *socket) rename(_ context.Context, m *fromPage) {
	var to string
	err := errors.New("a new name is a text")
	if json.Unmarshal(m.To, &to) == nil {
		if to != "" && !strings.Contains(filepath.Base(to), ".") {
			to += ".wend"
		}
		err = k.server.folder.rename(m.Path, to)
	}
	if err != nil {
		k.failed(m, err)
		return
	}
	k.opened(m, to)
	k.server.tellFiles()
}

// folderChanged tells the pages what has changed in the folder.
func (s *Server) folderChanged() {
	s.drop(nil) // what it drew may use what has changed
	s.tellFiles()
	s.tellChanged()
	s.each((*socket).tellUsed)
}

// tellUsed tells the page that what its program reads has changed.
func (k *socket) tellUsed() {
	for _, name := range k.used.changed() {
		k.out.Text(usedMessage{Type: "used", Path: name})
	}
}

func (s *Server) each(do func(*socket)) {
	s.mu.Lock()
	var all []*socket
	for k := range s.sockets {
		if k.out != nil {
			all = append(all, k)
		}
	}
	s.mu.Unlock()
	for _, k := range all {
		do(k)
	}
}

func (s *Server) tellFiles() {
	now := s.listed()
	s.each(func(k *socket) { k.out.latest("files", now) })
}

// tellChanged sends each page the files that it has open in another version.
func (s *Server) tellChanged() {
	s.each(func(k *socket) {
		k.mu.Lock()
		open := make([]string, 0, len(k.known))
		for name := range k.known {
			open = append(open, name)
		}
		k.mu.Unlock()
		for _, name := range open {
			text, version, err := s.folder.text(name)
			if err != nil {
				continue // it is gone for now: saving it says so
			}
			k.mu.Lock()
			known := k.known[name]
			k.known[name] = version
			k.mu.Unlock()
			if known != version {
				k.out.Text(changedMessage{Type: "changed", Path: name, Text: text, Version: version})
			}
		}
	})
}

// undoBytes is how much of what can be undone is kept of a file.
const undoBytes = 4 << 20

// kept is what can be undone of a text.
type kept struct {
	Version string          `json:"version"`
	Entries json.RawMessage `json:"entries"`
}

// undoFile is where that is kept of a file; empty for nowhere.
func (s *Server) undoFile(name string) string {
	if s.options.State == "" {
		return ""
	}
	sum := sha256.Sum256([]byte(filepath.Join(s.folder.name, filepath.FromSlash(name))))
	return filepath.Join(s.options.State, "undo", hex.EncodeToString(sum[:16])+".json")
}

// history keeps what can be undone of a file for the next time.
func (k *socket) history(_ context.Context, m *fromPage) {
	file := k.server.undoFile(m.Path)
	if file == "" || k.server.folder.sees(m.Path) != nil || len(m.Entries) > undoBytes {
		return
	}
	k.mu.Lock()
	version := k.known[m.Path]
	k.mu.Unlock()
	data, err := json.Marshal(kept{version, m.Entries})
	if err != nil || version == "" || os.MkdirAll(filepath.Dir(file), 0o700) != nil {
		return
	}
	next := file + ".new"
	if os.WriteFile(next, data, 0o600) == nil {
		os.Rename(next, file) //nolint:errcheck // undo is a convenience
	}
}

// undo is what was kept for a version of a file, or null.
func (s *Server) undo(name, version string) json.RawMessage {
	file := s.undoFile(name)
	if file == "" {
		return nil
	}
	var k kept
	data, err := os.ReadFile(file)
	if err != nil || json.Unmarshal(data, &k) != nil || k.Version != version {
		return nil
	}
	return k.Entries
}
