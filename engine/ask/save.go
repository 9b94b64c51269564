package ask

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"rungwise/engine/casefile"
	"rungwise/engine/prompt"
	"rungwise/engine/source"
)

// change is one answer on its way to disk.
type change struct {
	sets  []setting // in order; none: nothing is written
	words string
	stay  bool // the same question follows
}

// setting puts one line of YAML at the place that an id names.
type setting struct{ id, text string }

func writes(id, text, words string) change {
	return change{sets: []setting{{id, text}}, words: words}
}

// applied returns the text of a file with a change in it.
func (ch change) applied(file *source.File) ([]byte, error) {
	for _, s := range ch.sets {
		data, err := s.put(file)
		if err != nil {
			return nil, err
		}
		file = source.New(file.Path, data)
	}
	return file.Bytes, nil
}

// put sets the value. A section that the file does not have yet is begun on a
// line of its own, so that what follows in it stands line by line.
func (s setting) put(file *source.File) ([]byte, error) {
	path := strings.FieldsFunc(s.id, func(r rune) bool { return r == '.' || r == '/' })
	root, _ := file.YAML()
	begun := slices.ContainsFunc(root.Fields(), func(f source.Field) bool { return f.Key.Text() == path[0] })
	switch {
	case path[0] == "ladder":
		return s.putOnLadder(file, root, path[1:], begun)
	case len(path) > 1 && !begun:
		if out, err := begin(file, path[0]+":\n").Set(path, s.text); err == nil {
			return out, nil
		}
	}
	return file.Set(path, s.text)
}

// putOnLadder sets a value of the newest ladder or of one of its rungs, or adds
// a rung to it.
func (s setting) putOnLadder(file *source.File, root *source.Node, keys []string, begun bool) ([]byte, error) {
	path, ladder := []string{"ladder"}, root.Get("ladder")
	if all := ladder.Items(); ladder.Kind() == source.List && len(all) > 0 {
		newest := 0
		for i, l := range all {
			if l.Get("on").Text() >= all[newest].Get("on").Text() {
				newest = i
			}
		}
		path, ladder = append(path, strconv.Itoa(newest)), all[newest]
	}
	rungs := ladder.Get("rungs").Items()
	switch {
	case len(keys) == 2:
		at := slices.IndexFunc(rungs, func(r *source.Node) bool { return r.Get("throw").Text() == keys[0] })
		if at < 0 {
			return nil, prompt.Refuse("", "the rung is not in the file any more")
		}
		return file.Set(append(path, "rungs", strconv.Itoa(at), keys[1]), s.text)
	case keys[0] != "rungs":
		return file.Set(append(path, keys...), s.text)
	case !begun:
		return begin(file, "ladder:\n  rungs:\n    - "+s.text+"\n").Bytes, nil
	case len(rungs) == 0:
		return file.Set(append(path, "rungs"), "["+s.text+"]")
	}
	return file.Append(append(path, "rungs"), s.text)
}

// begin adds lines at the end of a file.
func begin(file *source.File, lines string) *source.File {
	out := slices.Clone(file.Bytes)
	if len(out) > 0 && out[len(out)-1] != '\n' {
		out = append(out, '\n')
	}
	return source.New(file.Path, append(out, lines...))
}

// mostTries bounds how often an answer is put into a file that somebody else
// keeps writing; mostCopies how many kept copies may lie beside a case.
const (
	mostTries  = 5
	mostCopies = 99
)

// save writes a change. Somebody else's writing in between is read again: if it
// left the place of this answer alone, the answer goes into the new text; else
// theirs stands, and ours is kept in a copy beside the file.
func (f *Flow) save(it item, ch change) error {
	if len(ch.sets) == 0 {
		return nil
	}
	before, _ := it.stands(f.c)
	for range mostTries {
		data, c, err := f.changed(ch)
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

// changed puts a change into the text and reads the result as any case.
func (f *Flow) changed(ch change) ([]byte, *casefile.Case, error) {
	data, err := ch.applied(f.file)
	if err != nil {
		return nil, nil, err
	}
	c, ds := casefile.Parse(source.New(f.file.Path, data), f.vocab)
	if c == nil {
		worst := ds.Sorted()[0]
		return nil, nil, prompt.Refuse(worst.Help, "%s", worst.Headline)
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
	if after, _ := it.stands(c); after != before {
		err = f.keep(ours, "was changed by somebody else at the same question: theirs stands")
	} else {
		f.told = "somebody else changed the file meanwhile; their changes are in, and so is this answer"
	}
	if taken := f.take(file, c); taken != nil {
		return taken
	}
	return err
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
