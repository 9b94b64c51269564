package ask

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"rungwise/engine/casefile"
	"rungwise/engine/source"
)

// mostTries bounds how often an answer is put into a file that somebody else
// keeps writing.
const mostTries = 5

// mostCopies bounds how many kept copies may lie beside a case.
const mostCopies = 99

// save writes a change. Somebody else's writing in between is read again: if it
// left the place of this answer alone, the answer goes into the new text; else
// theirs stands, and ours is kept in a copy beside the file.
func (f *Flow) save(it item, ch change) error {
	if ch.apply == nil {
		return nil
	}
	before, _ := it.stands(f.c)
	for range mostTries {
		data, c, err := f.changed(f.file, ch)
		if err != nil {
			return err
		}
		err = casefile.Replace(f.file, data)
		if err == nil {
			if err := f.record(it, c); err != nil {
				return err
			}
			return f.take(source.New(f.file.Path, data), c)
		}
		if !errors.Is(err, casefile.ErrChanged) {
			return err
		}
		if err := f.reread(it, before, data); err != nil {
			return err
		}
	}
	return fmt.Errorf("%s: somebody else keeps writing it; the answer is not saved, try again in a moment", f.file.Path)
}

// changed applies a change to a text and reads the result as any case.
func (f *Flow) changed(file *source.File, ch change) ([]byte, *casefile.Case, error) {
	data, err := ch.apply(file)
	if err != nil {
		return nil, nil, err
	}
	c, ds := casefile.Parse(source.New(file.Path, data), f.vocab)
	if c == nil {
		for _, d := range ds.Sorted() {
			return nil, nil, refuse(d.Help, "%s", d.Headline)
		}
	}
	return data, c, nil
}

// reread takes in what somebody else wrote. An error means that this answer
// cannot go into their text; ours is then in a copy.
func (f *Flow) reread(it item, before string, ours []byte) error {
	file, err := casefile.Read(f.file.Path)
	if err != nil {
		return f.keep(ours, "cannot be read any more")
	}
	c, ds := casefile.Parse(file, f.vocab)
	if c == nil {
		f.state = Broken
		return f.keep(ours, fmt.Sprintf("was changed by somebody else and has %d faults now", ds.Errors()))
	}
	after, _ := it.stands(c)
	if after != before {
		err := f.keep(ours, "was changed by somebody else at the same question: theirs stands")
		if taken := f.take(file, c); taken != nil {
			return taken
		}
		return err
	}
	if err := f.take(file, c); err != nil {
		return err
	}
	f.told = "somebody else changed the file meanwhile; their changes are in, and so is this answer"
	return nil
}

// keep writes our text beside the file under a free name, and tells where.
func (f *Flow) keep(ours []byte, why string) error {
	ext := filepath.Ext(f.file.Path)
	stem := strings.TrimSuffix(f.file.Path, ext)
	for n := 1; n <= mostCopies; n++ {
		path := fmt.Sprintf("%s.conflict-%d%s", stem, n, ext)
		err := casefile.Create(path, ours)
		if errors.Is(err, casefile.ErrExists) {
			continue
		}
		if err != nil {
			return fmt.Errorf("%s %s, and no copy could be kept: %w", f.file.Path, why, err)
		}
		return &Conflict{Path: f.file.Path, Copy: path, Why: why}
	}
	return fmt.Errorf("%s %s, and too many copies lie beside it already", f.file.Path, why)
}

// Conflict tells that somebody else's text stands and where ours was kept.
type Conflict struct{ Path, Copy, Why string }

// Error says what happened and where our text is.
func (c *Conflict) Error() string {
	return fmt.Sprintf("%s %s; yours is kept in %s", c.Path, c.Why, c.Copy)
}
