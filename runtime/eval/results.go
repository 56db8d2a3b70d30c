package eval

import (
	"container/list"
	"fmt"
	"hash/maphash"
	"io"
	"sync"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/value"
)

// Results keeps what costly words of the library gave, for later runs that ask
// the same: of a program that is run anew at every entry or save, most has not
// changed. A run is the same with it as without, to the counted work. It may be
// used by several runs at a time.
type Results struct {
	mu    sync.Mutex
	limit int // bytes
	held  int
	byKey map[resultKey]*list.Element
	used  *list.List // of *result, the latest first
}

// NewResults keeps so many bytes of results; those that were not asked for the
// longest go first.
func NewResults(limit int) *Results {
	return &Results{limit: limit, byKey: map[resultKey]*list.Element{}, used: list.New()}
}

// resultKey tells what was asked for: two hashes under seeds that are this process's
// own, so that no program can be made with two questions of one key. (A digest of
// package crypto/sha256 would bring all of Go's cryptography along, of which nothing
// else in the engine of a browser has need.)
type resultKey [2]uint64

var resultSeeds = [len(resultKey{})]maphash.Seed{maphash.MakeSeed(), maphash.MakeSeed()}

type result struct {
	key               resultKey
	value             value.Value
	operations, bytes int // that its making was charged
	size              int
}

func (r *Results) find(key resultKey) (known result, ok bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	at, ok := r.byKey[key]
	if !ok {
		return result{}, false
	}
	r.used.MoveToFront(at)
	known = *at.Value.(*result)
	known.value = known.value.Anew()
	return known, true
}

func (r *Results) add(known result) {
	known.value = known.value.Anew()
	known.size = known.value.Size(1)
	r.mu.Lock()
	defer r.mu.Unlock()
	if _, ok := r.byKey[known.key]; ok || known.size > r.limit {
		return
	}
	r.held += known.size
	r.byKey[known.key] = r.used.PushFront(&known)
	for r.held > r.limit {
		oldest := r.used.Back()
		gone := r.used.Remove(oldest).(*result)
		delete(r.byKey, gone.key)
		r.held -= gone.size
	}
}

// keyOf names a call by all that its result can hang on: the word, its
// arguments, and what the run says of itself. It is false if they cannot be
// written down.
func (m *machine) keyOf(native value.Native, args []value.Value) (key resultKey, ok bool) {
	var hashes [len(key)]maphash.Hash
	for i := range hashes {
		hashes[i].SetSeed(resultSeeds[i])
	}
	digest := io.MultiWriter(&hashes[0], &hashes[1])
	o := &m.options
	fmt.Fprintf(digest, "%s %d %x %x %x %d %q\n", native.Name, len(args), o.ToleranceMM, o.LineWidthMM,
		[4]float64{o.Page.Min.X, o.Page.Min.Y, o.Page.Max.X, o.Page.Max.Y}, m.seed, o.Machine)
	for _, arg := range args {
		if !arg.WriteContent(digest) {
			return key, false
		}
	}
	for i := range hashes {
		key[i] = hashes[i].Sum64()
	}
	return key, true
}

// costly calls a word whose result may be kept.
func (m *machine) costly(native value.Native, args []value.Value) (value.Value, error) {
	key, ok := m.keyOf(native, args)
	if !ok {
		return native.Func(host{m}, args)
	}
	if known, ok := m.options.Results.find(key); ok {
		return known.value, host{m}.Charge(known.operations, known.bytes)
	}
	watched := &watchedHost{host: host{m}}
	made, err := native.Func(watched, args)
	if err == nil && !watched.asked {
		m.options.Results.add(result{key: key, value: made, operations: watched.operations, bytes: watched.bytes})
	}
	return made, err
}

// watchedHost sees whether a word asks for more than its key says.
type watchedHost struct {
	host
	operations, bytes int
	asked             bool
}

func (h *watchedHost) Charge(operations, bytes int) error {
	h.operations, h.bytes = h.operations+operations, h.bytes+bytes
	return h.host.Charge(operations, bytes)
}

func (h *watchedHost) Call(fn value.Value, args ...value.Value) (value.Value, error) {
	h.asked = true
	return h.host.Call(fn, args...)
}

func (h *watchedHost) Read(name string) (*source.File, error) {
	h.asked = true
	return h.host.Read(name)
}

func (h *watchedHost) Warn(fault *diag.Fault) {
	h.asked = true
	h.host.Warn(fault)
}

func (h *watchedHost) Chance() *value.Chance {
	h.asked = true
	return h.host.Chance()
}

func (h *watchedHost) Seconds(line []geom.Point) (float64, error) {
	h.asked = h.asked || h.m.options.Machine == ""
	return h.host.Seconds(line)
}
