package ruletest

import (
	"bufio"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"sync"
)

// format is the version of what is kept; another one is not read.
const format = "1"

// Store keeps outcomes between runs, in files that may be deleted at any time: a
// line that does not read is left out, and computed again. A nil Store keeps
// nothing.
type Store struct {
	dir   string
	mu    sync.Mutex
	files map[string]*shelf
}

// shelf is one file of lines.
type shelf struct {
	path  string
	kept  map[string]json.RawMessage
	fresh int
}

type line struct {
	Case  string          `json:"case"`
	Value json.RawMessage `json:"value"`
}

type blamed struct {
	By       []Step `json:"by"`
	Together bool   `json:"together"`
}

// Open returns a store in a folder, which is made when something is kept.
func Open(dir string) *Store { return &Store{dir: dir, files: map[string]*shelf{}} }

// shelf returns the file of a key, read once. The caller holds the lock.
func (s *Store) shelf(key string) *shelf {
	if x := s.files[key]; x != nil {
		return x
	}
	sum := sha256.Sum256([]byte(format + "\x00" + key))
	x := &shelf{path: filepath.Join(s.dir, hex.EncodeToString(sum[:])[:24]+".jsonl"), kept: map[string]json.RawMessage{}}
	s.files[key] = x
	f, err := os.Open(x.path)
	if err != nil {
		return x
	}
	defer f.Close()
	lines := bufio.NewScanner(f)
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		var l line
		if json.Unmarshal(lines.Bytes(), &l) == nil && l.Case != "" && len(l.Value) > 0 {
			x.kept[l.Case] = l.Value
		}
	}
	return x
}

func (s *Store) get(key, hash string, into any) bool {
	if s == nil {
		return false
	}
	s.mu.Lock()
	value, ok := s.shelf(key).kept[hash]
	s.mu.Unlock()
	return ok && json.Unmarshal(value, into) == nil
}

func (s *Store) put(key, hash string, value any) {
	if s == nil {
		return
	}
	data, err := json.Marshal(value)
	if err != nil {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	x := s.shelf(key)
	x.kept[hash] = data
	x.fresh++
}

func (s *Store) outcome(key, hash string) (o Outcome, ok bool) {
	ok = s.get(key, hash, &o)
	return o, ok
}

func (s *Store) keep(key, hash string, o Outcome) { s.put(key, hash, o) }

func (s *Store) blame(pair, hash string) (b blamed, ok bool) {
	ok = s.get("by "+pair, hash, &b)
	return b, ok
}

func (s *Store) keepBlame(pair, hash string, b blamed) { s.put("by "+pair, hash, b) }

// Save writes what is new, each file in one step. Losing it costs time and
// nothing else, so a caller may ignore the error.
func (s *Store) Save() error {
	if s == nil {
		return nil
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, x := range s.files {
		if x.fresh == 0 {
			continue
		}
		if err := x.write(); err != nil {
			return err
		}
		x.fresh = 0
	}
	return nil
}

func (x *shelf) write() error {
	if err := os.MkdirAll(filepath.Dir(x.path), 0o700); err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(x.path), "new-*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	hashes := make([]string, 0, len(x.kept))
	for h := range x.kept {
		hashes = append(hashes, h)
	}
	slices.Sort(hashes)
	out := bufio.NewWriter(f)
	e := json.NewEncoder(out)
	for _, h := range hashes {
		if err := e.Encode(line{h, x.kept[h]}); err != nil {
			f.Close()
			return err
		}
	}
	if err := out.Flush(); err != nil {
		f.Close()
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	return os.Rename(f.Name(), x.path)
}
