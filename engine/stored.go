package engine

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/kept"
	"rungwise/engine/source"
)

// stored is the text of a case in a folder, and of its log.
type stored struct{ file, log *source.File }

// readStored reads a case file and its log; without a log that is empty.
func readStored(path string) (d stored, err error) {
	if d.file, err = casefile.Read(path); err != nil {
		return d, err
	}
	logPath, err := casefile.LogOf(path)
	if err != nil {
		return d, fmt.Errorf("%s: %w", path, err)
	}
	if _, err := os.Stat(logPath); errors.Is(err, fs.ErrNotExist) {
		d.log = source.New(logPath, nil)
		return d, nil
	}
	d.log, err = casefile.Read(logPath)
	return d, err
}

func (d stored) hash() string { return kept.Key(string(d.file.Bytes), string(d.log.Bytes)) }

// read reads a case with its log. With errors in the list it is nil.
func (e *Engine) read(d stored) (*casefile.Case, diag.List) {
	c, ds := e.Case(d.file)
	if c != nil {
		e.ParseLog(c, d.log)
	}
	return c, ds
}

// firstFault is the first error of a list.
func firstFault(ds diag.List) error {
	for _, d := range ds.Sorted() {
		if d.Level == diag.Error {
			return errors.New(d.Headline)
		}
	}
	return errors.New("it cannot be read")
}

// stamp is what all results of one run depend on.
func (e *Engine) stamp(program string) string {
	return strings.Join([]string{program, e.base.Version, e.base.Hash, e.base.House, e.base.HouseHash, e.today.Format(time.DateOnly)}, "\x00")
}

// keptOf opens what is kept of a folder of cases, by what it was read for.
func keptOf(cache, what, dir string) *kept.Store {
	if cache == "" {
		return nil
	}
	if abs, err := filepath.Abs(dir); err == nil {
		dir = abs
	}
	return kept.Open(filepath.Join(cache, what), dir)
}

// ForgetKept removes all that is kept below a cache folder.
func ForgetKept(cache string) error {
	return errors.Join(os.RemoveAll(filepath.Join(cache, "roster")), os.RemoveAll(filepath.Join(cache, "diff")))
}

// each does something for n things with some workers, and tells how many are
// done.
func each(n, workers int, progress func(done, total int), do func(i int)) {
	var mu sync.Mutex
	var wg sync.WaitGroup
	next, done := 0, 0
	take := func() (int, bool) {
		mu.Lock()
		defer mu.Unlock()
		next++
		return next - 1, next <= n
	}
	for range max(1, workers) {
		wg.Go(func() {
			for i, ok := take(); ok; i, ok = take() {
				do(i)
				mu.Lock()
				if done++; progress != nil {
					progress(done, n)
				}
				mu.Unlock()
			}
		})
	}
	wg.Wait()
}
