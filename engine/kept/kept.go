// Package kept keeps results between runs of the program.
//
// Its invariant: it is a help and nothing more. What it holds may be deleted at
// any time, a part of it that cannot be read counts as not there, and a result is
// found only under everything that it follows from. It holds what was found of
// athletes, so only the user may read it.
package kept

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"sync"
)

// Store is one file of results. A nil Store keeps nothing.
type Store struct {
	path  string
	mu    sync.Mutex
	old   map[string]json.RawMessage // from before
	used  map[string]json.RawMessage // asked for or put in this run
	fresh bool                       // one of them is new
}

// line is one result in the file.
type line struct {
	Key   string          `json:"key"`
	Value json.RawMessage `json:"value"`
}

// Open reads the results about a thing, such as a folder of cases, that are kept
// in a folder; "" keeps nothing.
func Open(dir, about string) *Store {
	if dir == "" {
		return nil
	}
	s := &Store{path: filepath.Join(dir, Key(about)[:20]+".jsonl"), old: map[string]json.RawMessage{}, used: map[string]json.RawMessage{}}
	f, err := os.Open(s.path)
	if err != nil {
		return s
	}
	defer f.Close()
	lines := bufio.NewScanner(f)
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		var l line
		if json.Unmarshal(lines.Bytes(), &l) == nil && l.Key != "" {
			s.old[l.Key] = l.Value
		}
	}
	return s
}

// Key is the name of a result: the hash of all that it follows from.
func Key(parts ...string) string {
	h := sha256.New()
	for _, p := range parts {
		fmt.Fprintf(h, "%d:%s", len(p), p)
	}
	return fmt.Sprintf("%x", h.Sum(nil))
}

// Get reads a result, and reports whether there is one.
func (s *Store) Get(key string, into any) bool {
	if s == nil {
		return false
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	value, ok := s.used[key]
	if !ok {
		value, ok = s.old[key]
	}
	if !ok || json.Unmarshal(value, into) != nil {
		return false
	}
	s.used[key] = value
	return true
}

// Put keeps a result for the next run.
func (s *Store) Put(key string, value any) {
	if s == nil {
		return
	}
	data, err := json.Marshal(value)
	if err != nil {
		return // computed again next time
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.used[key], s.fresh = data, true
}

// Close writes back what was used, if that is not what was there. That it cannot
// be written costs time at the next run and nothing else, so it is not told.
func (s *Store) Close() {
	if s == nil || !s.fresh && len(s.used) == len(s.old) {
		return
	}
	var b bytes.Buffer
	out := json.NewEncoder(&b)
	for key, value := range s.used { // the order in this file means nothing
		if out.Encode(line{key, value}) != nil {
			return
		}
	}
	dir := filepath.Dir(s.path)
	if os.MkdirAll(dir, 0o700) != nil {
		return
	}
	f, err := os.CreateTemp(dir, ".new-*") // only the user may read what it makes
	if err != nil {
		return
	}
	_, err = f.Write(b.Bytes())
	if f.Close() != nil || err != nil || os.Rename(f.Name(), s.path) != nil {
		os.Remove(f.Name())
	}
}
