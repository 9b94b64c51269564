package engine

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"rungwise/engine/diag"
	"rungwise/engine/report"
)

// cache keeps what files of one folder came to. It is a help and nothing more:
// it may be deleted at any time, a part of it that cannot be read counts as not
// there, and a result is found only under the same case, log, rules, day and
// program. It holds what the rows hold, so only the user may read it.
type cache struct {
	path string // "" = nothing is kept
	base string // what every key begins with
	mu   sync.Mutex
	old  map[string]line
	used map[string]line
	new  bool
}

// kept is one line of the file.
type kept struct {
	Key string `json:"key"`
	line
}

// rosterKey is what all results of one run depend on.
func (e *Engine) rosterKey(program string) string {
	return strings.Join([]string{report.RosterVersion, program, e.base.Version, e.base.Hash, e.base.House, e.base.HouseHash, e.today.Format(time.DateOnly)}, "\x00")
}

// cacheFile is where results of a folder are kept, below a folder that can be
// deleted whole.
func cacheFile(cacheDir, dir string) string {
	abs, err := filepath.Abs(dir)
	if err != nil {
		abs = dir
	}
	return filepath.Join(cacheDir, strings.ReplaceAll(report.RosterVersion, "/", "-"), digest([]byte(abs))[:20]+".jsonl")
}

func openCache(cacheDir, dir, base string) *cache {
	c := &cache{base: base, old: map[string]line{}, used: map[string]line{}}
	if cacheDir == "" {
		return c
	}
	c.path = cacheFile(cacheDir, dir)
	f, err := os.Open(c.path)
	if err != nil {
		return c
	}
	defer f.Close()
	lines := bufio.NewScanner(f)
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		var k kept
		if json.Unmarshal(lines.Bytes(), &k) == nil && (k.Row == nil) != (k.Bad == nil) {
			c.old[k.Key] = k.line
		}
	}
	return c
}

// key is what one file's result is kept under.
func (c *cache) key(name string, file, log []byte) string {
	if c.path == "" {
		return ""
	}
	parts := []string{c.base, name, digest(file), digest(log)}
	return digest([]byte(strings.Join(parts, "\x00")))
}

func digest(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

func (c *cache) get(key string) (line, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	l, ok := c.old[key]
	if ok {
		c.used[key] = l
	}
	return l, ok
}

func (c *cache) put(key string, l line) {
	if c.path == "" {
		return
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.used[key], c.new = l, true
}

// close writes what was used back, if anything of it is new. That it cannot be
// written costs time at the next run and nothing else, so it is not told.
func (c *cache) close() {
	if c.path == "" || !c.new && len(c.used) == len(c.old) {
		return
	}
	var b bytes.Buffer
	out := json.NewEncoder(&b)
	for key, l := range c.used { // the order in this file means nothing
		if out.Encode(kept{key, l}) != nil {
			return
		}
	}
	dir := filepath.Dir(c.path)
	if os.MkdirAll(dir, 0o700) != nil {
		return
	}
	f, err := os.CreateTemp(dir, ".new-*") // only the user may read what it makes
	if err != nil {
		return
	}
	_, err = f.Write(b.Bytes())
	if f.Close() != nil || err != nil || os.Rename(f.Name(), c.path) != nil {
		os.Remove(f.Name())
	}
}

// ForgetRoster removes what is kept of folders, below the cache folder.
func ForgetRoster(cacheDir string) error {
	return os.RemoveAll(filepath.Join(cacheDir, strings.ReplaceAll(report.RosterVersion, "/", "-")))
}

func firstFault(ds diag.List) string {
	for _, d := range ds.Sorted() {
		if d.Level == diag.Error {
			return d.Headline
		}
	}
	return "it cannot be read"
}
