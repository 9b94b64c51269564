package casefile

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"rungwise/engine/source"
)

// ErrEntry tells that an entry cannot be written as it is.
var ErrEntry = errors.New("this cannot be logged")

// AppendEntry writes one entry at the end of a log and returns it with its
// number. It is on disk when the call returns; no line before it is touched,
// and a last line that a crash cut short is ended first. Two writers get two
// numbers.
func AppendEntry(path string, e Entry) (Entry, error) {
	e.Format = LogFormat
	err := locked(path, func() error {
		old, err := Read(path)
		if _, there := os.Stat(path); errors.Is(there, fs.ErrNotExist) {
			old, err = source.New(path, nil), nil
		}
		if err != nil {
			return err
		}
		e.ID = nextID(old.Bytes)
		if says := e.faults(Vocabulary{}); len(says) > 0 {
			return fmt.Errorf("%w: %s", ErrEntry, strings.Join(says, "; "))
		}
		line, err := json.Marshal(e)
		if err != nil {
			return fmt.Errorf("%w: %s", ErrEntry, "a number in it is no number")
		}
		if len(old.Bytes)+len(line) >= source.MostBytes {
			return fmt.Errorf("%s: the log is full; move it away and begin a new one", path)
		}
		if n := len(old.Bytes); n > 0 && old.Bytes[n-1] != '\n' {
			line = append([]byte("\n"), line...)
		}
		return grow(path, append(line, '\n'))
	})
	return e, err
}

// nextID is one more than every number in use; lines that cannot be read may
// hold one each.
func nextID(log []byte) int {
	next := 1
	for n, text := range bytes.Split(log, []byte("\n")) {
		if len(bytes.TrimSpace(text)) > 0 {
			next = following(next, text, n)
		}
	}
	return next
}

// following is the number for the entry after a line, the n-th from 0.
func following(next int, text []byte, n int) int {
	var e struct {
		ID int `json:"id"`
	}
	_ = json.Unmarshal(text, &e) // a line that cannot be read has no number to avoid but its own
	return max(next, e.ID+1, n+2)
}

// grow adds bytes to the end of a file and flushes them to disk, or leaves the
// file as it was: what a full disk took of them is cut off again. It is called
// under the lock.
func grow(path string, lines []byte) error {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_APPEND, private)
	if err != nil {
		return fmt.Errorf("%s: %s", path, plainly(err))
	}
	defer f.Close()
	before, err := f.Stat()
	if err != nil {
		return fmt.Errorf("%s: %s", path, plainly(err))
	}
	if _, err = f.Write(lines); err == nil {
		err = f.Sync()
	}
	if err != nil {
		if cut := f.Truncate(before.Size()); cut != nil {
			return fmt.Errorf("%s: %s, and part of a line may be left at its end", path, plainly(err))
		}
		return fmt.Errorf("%s: %s; nothing was logged", path, plainly(err))
	}
	return f.Close()
}
