package window

import (
	"bytes"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"time"
	"unicode/utf8"

	"wend/cmd/wend/kind"
	"wend/cmd/wend/lesson"
	"wend/lang/diag"
	"wend/lang/source"
)

// folder is the files that the window may see: those of one folder and below, or
// one file and what it uses. Nothing leads out of it, no link either: every access
// goes through an [os.Root].
type folder struct {
	root *os.Root
	name string // as people see it
	// one says that only some files are there for the window: a program, what it
	// reads, and what was begun here.
	one bool

	// open makes a file and write fills it; tests let a folder be protected, and the
	// disk full.
	open  func(name string, flag int, mode fs.FileMode) (*os.File, error)
	write func(*os.File, []byte) error

	mu    sync.Mutex // one change at a time: two windows may save one file
	there map[string]bool
}

// errOutside is a path that the window does not see.
var errOutside = errors.New("this is not among the files of this window")

// openFolder opens a folder, or one file of it.
func openFolder(name, file string) (*folder, error) {
	root, err := os.OpenRoot(name)
	if err != nil {
		return nil, err
	}
	f := &folder{root: root, name: name, one: file != "", there: map[string]bool{file: true}, open: root.OpenFile, write: fill}
	return f, nil
}

func fill(file *os.File, data []byte) error {
	_, err := file.Write(data)
	return err
}

func (f *folder) close() { f.root.Close() } //nolint:errcheck // it was only read

// named checks a path that a page names. Whatever could mean another file on some
// system is none: backslashes, dots, streams, control characters, and names that
// begin with a dot.
func named(name string) error {
	switch {
	case name == "" || len(name) > 1024 || !utf8.ValidString(name) || path.Clean(name) != name || !filepath.IsLocal(filepath.FromSlash(name)):
		return errOutside
	case strings.ContainsFunc(name, func(r rune) bool { return r < ' ' || r == 0x7f || strings.ContainsRune(`\:*?"<>|`, r) }):
		return fmt.Errorf("a name of a file has none of the signs \\ : * ? \" < > | and no control characters")
	}
	for part := range strings.SplitSeq(name, "/") {
		if strings.HasPrefix(part, ".") || strings.HasSuffix(part, ".") || strings.HasSuffix(part, " ") {
			return errOutside
		}
	}
	return nil
}

// sees reports whether the window may see a file.
func (f *folder) sees(name string) error {
	if err := named(name); err != nil {
		return err
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.one && !f.there[name] {
		return errOutside
	}
	return nil
}

func (f *folder) show(name string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.there[name] = true
}

// read reads a file up to the limit of its kind.
func (f *folder) read(name string) ([]byte, kind.Kind, error) {
	// Before it is opened: to open a pipe waits for somebody who writes to it.
	info, err := f.root.Stat(filepath.FromSlash(name))
	switch {
	case err != nil:
		return nil, 0, inWords(name, err)
	case !info.Mode().IsRegular():
		return nil, 0, fmt.Errorf("`%s` is no file that could be read", name)
	}
	file, err := f.root.Open(filepath.FromSlash(name))
	if err != nil {
		return nil, 0, inWords(name, err)
	}
	defer file.Close()
	head := make([]byte, kind.HeadBytes)
	n, err := io.ReadFull(file, head)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return nil, 0, inWords(name, err)
	}
	of := kind.Of(name, head[:n])
	rest, err := io.ReadAll(io.LimitReader(file, of.Limit()+1-int64(n)))
	if err != nil {
		return nil, 0, inWords(name, err)
	}
	if int64(n)+int64(len(rest)) > of.Limit() {
		return nil, 0, fmt.Errorf("`%s` is larger than %d MB, and no file of its kind is read that is", name, of.Limit()>>20)
	}
	return append(head[:n], rest...), of, nil
}

// inWords says why a file could not be had.
func inWords(name string, err error) error {
	var pathError *fs.PathError
	var linkError *os.LinkError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("there is no file `%s`", name)
	case errors.Is(err, fs.ErrExist):
		return fmt.Errorf("there is a file `%s` already; nothing was changed", name)
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return fmt.Errorf("`%s` may not be read or changed here: it, or its folder, is protected", name)
	case errors.Is(err, syscall.ENOSPC):
		return fmt.Errorf("the disk is full, and `%s` is as it was: make room, then it can be kept", name)
	case errors.Is(err, syscall.ENAMETOOLONG):
		return errors.New("this name is too long for a file")
	case errors.Is(err, syscall.ENOTDIR):
		return fmt.Errorf("`%s` would lie in a folder that is a file", name)
	case errors.As(err, &pathError):
		err = pathError.Err
	case errors.As(err, &linkError):
		err = linkError.Err
	}
	// The library has no name for this one.
	if err.Error() == "path escapes from parent" {
		return errOutside
	}
	return fmt.Errorf("`%s`: %w", name, err)
}

// source gives the engine a file that a program names. It lies in the folder; what
// a program uses, the window may see from then on.
func (f *folder) source(_, name string) (*source.File, error) {
	name = filepath.ToSlash(name)
	if named(name) != nil {
		return nil, &diag.Fault{Code: "file-outside", Args: diag.Args{"name": name}, File: name}
	}
	data, _, err := f.read(name)
	if err == nil {
		f.show(name)
		return source.New(name, string(data)), nil
	}
	fault := &diag.Fault{Code: "file-unreadable", Args: diag.Args{"name": name, "reason": err.Error()}, File: name}
	_, inside := f.root.Stat(filepath.FromSlash(name))
	_, anywhere := os.Stat(filepath.Join(f.name, filepath.FromSlash(name)))
	switch {
	case errors.Is(inside, fs.ErrNotExist):
		fault.Code = "file-missing"
	case inside != nil && anywhere == nil:
		fault.Code = "file-outside"
		fault.Hint = "it is a link, or lies behind one, that leads elsewhere: put a copy of the file there instead"
	}
	return nil, fault
}

// text reads a program, with its version. What is just being saved is waited for: a
// page that is loaded anew asks at once for what it saved when it was left.
func (f *folder) text(name string) (text, version string, err error) {
	f.mu.Lock()
	data, of, err := f.read(name)
	f.mu.Unlock()
	if err != nil {
		return "", "", err
	}
	data = bytes.TrimPrefix(data, []byte("\uFEFF"))
	if of != kind.Program {
		return "", "", fmt.Errorf("`%s` is %s; programs are opened here, and they can draw it", name, of.Described())
	}
	if !utf8.Valid(data) {
		return "", "", fmt.Errorf("`%s` is no text in UTF-8", name)
	}
	return string(data), versionOf(data), nil
}

// versionOf is a version of a text: two texts of one version are the same.
func versionOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:16])
}

// conflict says that a file is of another version than the one that was to be
// replaced.
type conflict struct{ theirs, version string }

func (c *conflict) Error() string { return "the file was changed elsewhere" }

// save replaces a program of a version, or writes one that was not there, whole or
// not at all. A file that has changed since is left as it is: *conflict.
func (f *folder) save(name, text, version string) (string, error) {
	if err := f.sees(name); err != nil {
		return "", err
	}
	if err := program(name); err != nil {
		return "", err
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.replace(name, []byte(text), version)
}

// program reports whether a name is one of a program: nothing else is written here.
func program(name string) error {
	if !strings.EqualFold(path.Ext(name), ".wend") {
		return fmt.Errorf("`%s` is no name of a program: one ends in .wend", name)
	}
	return nil
}

func (f *folder) replace(name string, data []byte, version string) (string, error) {
	place, err := f.linked(filepath.FromSlash(name))
	if err != nil {
		return "", err
	}
	info, err := f.root.Stat(place)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if version != "" {
			return "", &conflict{}
		}
	case err != nil:
		return "", inWords(name, err)
	case !info.Mode().IsRegular():
		return "", fmt.Errorf("`%s` is no file that could be written", name)
	case info.Mode().Perm()&0o222 == 0:
		return "", fmt.Errorf("`%s` is write-protected; nothing was changed", name)
	default:
		now, _, err := f.read(name)
		if err != nil {
			return "", err
		}
		now = bytes.TrimPrefix(now, []byte("\uFEFF"))
		if at := versionOf(now); at != version && !bytes.Equal(now, data) {
			return "", &conflict{string(now), at}
		}
	}
	mode := fs.FileMode(0o666)
	if info != nil {
		mode = info.Mode().Perm()
	}
	b := make([]byte, 8)
	rand.Read(b) //nolint:errcheck // it never fails
	beside := filepath.Join(filepath.Dir(place), ".wend-"+hex.EncodeToString(b))
	file, err := f.open(beside, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
	if err != nil {
		return "", inWords(name, err)
	}
	err = f.write(file, data)
	if info != nil {
		err = errors.Join(err, file.Chmod(mode))
	}
	err = errors.Join(err, file.Sync(), file.Close())
	if err == nil {
		err = f.root.Rename(beside, place)
	}
	if err != nil {
		f.root.Remove(beside) //nolint:errcheck // what went wrong before counts
		return "", inWords(name, err)
	}
	return versionOf(data), nil
}

// linked follows links to the file that is meant, which is in the folder: a link
// stays one when what it names is replaced.
func (f *folder) linked(name string) (string, error) {
	for range 10 {
		to, err := f.root.Readlink(name)
		if err != nil {
			return name, nil
		}
		if name = filepath.Join(filepath.Dir(name), to); filepath.IsAbs(to) || !filepath.IsLocal(name) {
			return "", errOutside
		}
	}
	return "", errOutside
}

// begin writes a file that is not there yet.
func (f *folder) begin(name string, data []byte) error {
	if err := named(name); err != nil {
		return err
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	if _, err := f.root.Lstat(filepath.FromSlash(name)); err == nil {
		return inWords(name, fs.ErrExist)
	}
	if folder := path.Dir(name); folder != "." {
		if err := f.root.MkdirAll(filepath.FromSlash(folder), 0o777); err != nil {
			return inWords(folder, err)
		}
	}
	_, err := f.replace(name, data, "")
	if err == nil {
		f.there[name] = true
	}
	return err
}

// done are the tasks of the lessons that are done in the folder, where `wend lesson`
// keeps them too.
func (f *folder) done() []string {
	data, _, err := f.read(lesson.DoneFile)
	if err != nil {
		return []string{}
	}
	return append([]string{}, lesson.ReadDone(string(data))...)
}

// keepDone adds tasks to those that are done.
func (f *folder) keepDone(tasks []string) error {
	for _, task := range tasks {
		if !lesson.HasTask(task) {
			return fmt.Errorf("there is no task `%s`", diag.OneLine(task))
		}
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	data, _, err := f.read(lesson.DoneFile)
	version := ""
	if err == nil {
		version = versionOf(data)
	}
	text := lesson.AddDone(lesson.ReadDone(string(data)), tasks)
	if text == "" {
		return nil
	}
	_, err = f.replace(lesson.DoneFile, []byte(text), version)
	return err
}

// rename gives a program another name, which no file has yet.
func (f *folder) rename(from, to string) error {
	if err := f.sees(from); err != nil {
		return err
	}
	for _, err := range []error{named(to), program(from), program(to)} {
		if err != nil {
			return err
		}
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	// A link is meant itself, not what it leads to.
	before, err := f.root.Lstat(filepath.FromSlash(from))
	if err != nil {
		return inWords(from, err)
	}
	// Where case does not count, a name may be the same file in other letters.
	if there, err := f.root.Lstat(filepath.FromSlash(to)); err == nil && !os.SameFile(before, there) {
		return inWords(to, fs.ErrExist)
	}
	if err := f.root.Rename(filepath.FromSlash(from), filepath.FromSlash(to)); err != nil {
		return inWords(to, err)
	}
	delete(f.there, from)
	f.there[to] = true
	return nil
}

// Bounds of what is listed: a folder that somebody works in has far less.
const (
	mostFiles  = 2000
	mostLooked = 20_000
	deepest    = 6
)

// list is what is in the folder: programs, and what programs can use.
func (f *folder) list() []fileEntry {
	all := []fileEntry{}
	looked := 0
	//nolint:errcheck // what cannot be read is not listed
	fs.WalkDir(f.root.FS(), ".", func(name string, entry fs.DirEntry, err error) error {
		looked++
		switch {
		case looked > mostLooked || len(all) >= mostFiles:
			return fs.SkipAll
		case name == ".":
			return nil
		case err != nil || strings.HasPrefix(entry.Name(), ".") || entry.IsDir() && strings.Count(name, "/") >= deepest:
			if entry != nil && entry.IsDir() {
				return fs.SkipDir
			}
			return nil
		case entry.IsDir() || f.sees(name) != nil:
			return nil
		}
		of, known := kind.Named(name)
		sort := sorts[of]
		if !known || sort == "" {
			return nil
		}
		if info, err := f.root.Stat(filepath.FromSlash(name)); err == nil && info.Mode().IsRegular() {
			all = append(all, fileEntry{Path: name, Kind: sort, Modified: info.ModTime().UTC().Format(time.RFC3339)})
		}
		return nil
	})
	return all
}

// sorts are the kinds of files that are listed, as the page calls them.
var sorts = map[kind.Kind]string{kind.Program: "program", kind.Drawing: "picture", kind.Photo: "photo", kind.Data: "data", kind.Instructions: "other"}
