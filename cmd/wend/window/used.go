package window

import (
	"hash/maphash"
	"path/filepath"
	"slices"
	"sync"

	"wend/lang/source"
)

// used is what the programs of one page have read beside themselves, and in which
// state: a page draws anew when that has changed.
type used struct {
	folder *folder

	mu   sync.Mutex
	read map[string]uint64 // 0 for a file that could not be read
}

var usedSeed = maphash.MakeSeed()

func stateOf(text string) uint64 { return maphash.String(usedSeed, text) | 1 }

// source is that of folder, and notes what was read.
func (u *used) source(from, name string) (*source.File, error) {
	file, err := u.folder.source(from, name)
	state := uint64(0)
	if err == nil {
		state = stateOf(file.Text)
	}
	u.mu.Lock()
	defer u.mu.Unlock()
	u.read[filepath.ToSlash(name)] = state
	return file, err
}

// forget is called before a program is read: what the one before it read may be of no
// use to it.
func (u *used) forget() {
	u.mu.Lock()
	defer u.mu.Unlock()
	clear(u.read)
}

// changed gives the files that are no longer as they were read last, in order, each
// once.
func (u *used) changed() []string {
	u.mu.Lock()
	defer u.mu.Unlock()
	var out []string
	for name, before := range u.read {
		now := uint64(0)
		if named(name) == nil {
			if data, _, err := u.folder.read(name); err == nil {
				now = stateOf(string(data))
			}
		}
		if now != before {
			u.read[name] = now
			out = append(out, name)
		}
	}
	slices.Sort(out)
	return out
}
