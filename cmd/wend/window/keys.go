package window

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"slices"
	"sync"
)

// secretBytes is how long keys and secrets are: 128 bits.
const secretBytes = 16

func newSecret() string {
	b := make([]byte, secretBytes)
	rand.Read(b) //nolint:errcheck // it never fails
	return hex.EncodeToString(b)
}

// most is how many secrets of one sort are good at a time; the oldest goes first.
const most = 64

// secrets are some that are good, by their hashes: to look one up takes no time
// that says anything about the others.
type secrets struct {
	mu  sync.Mutex
	all [][sha256.Size]byte
}

// add makes a new one.
func (s *secrets) add() string {
	secret := newSecret()
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.all) == most {
		s.all = slices.Delete(s.all, 0, 1)
	}
	s.all = append(s.all, sha256.Sum256([]byte(secret)))
	return secret
}

// has reports whether a secret is good.
func (s *secrets) has(secret string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Contains(s.all, sha256.Sum256([]byte(secret)))
}

// use reports whether a secret is good, and ends it.
func (s *secrets) use(secret string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	i := slices.Index(s.all, sha256.Sum256([]byte(secret)))
	if i < 0 {
		return false
	}
	s.all = slices.Delete(s.all, i, i+1)
	return true
}
