package engine

import (
	"io/fs"
	"path/filepath"
	"time"

	"rungwise/engine/casefile"
)

// CheckOptions says how thoroughly a house is checked.
type CheckOptions struct {
	Fix      bool     // make the sure mends in the files of the house
	Athletes int      // drawn to judge it by what it does, 0 = it is not judged
	Stored   Athletes // to judge it with
}

// mostMends bounds the rounds of mending: a mend may uncover the next fault.
const mostMends = 8

// Whole checks a house, after mending where that is asked, and judges one without
// faults by what it does. mended is how many places were mended.
func (k *Checker) Whole(house fs.FS, name string, today time.Time, o CheckOptions) (c Checked, mended int, err error) {
	c = k.Check(house, name, today)
	for range mostMends {
		if !o.Fix {
			break
		}
		n, err := c.mend()
		if err != nil {
			return c, mended, err
		}
		if n == 0 {
			break
		}
		mended += n
		c = k.Check(house, name, today)
	}
	if o.Athletes > 0 && c.List.Errors() == 0 {
		if c.Judged, err = k.Judge(c, house, name, today, o.Stored, o.Athletes); err != nil {
			return c, mended, err
		}
		c.List = append(c.List, c.Judged.List...).Sorted()
	}
	return c, mended, nil
}

// mend makes the sure mends of a check in its files.
func (c Checked) mend() (int, error) {
	total := 0
	done := map[string]bool{}
	for _, d := range c.List {
		if d.Fix == nil || done[d.Fix.Path] {
			continue
		}
		done[d.Fix.Path] = true
		before, err := casefile.Read(filepath.FromSlash(d.Fix.Path))
		if err != nil {
			return total, err
		}
		data, n := c.Mend(d.Fix.Path, before.Bytes)
		if err := casefile.Replace(before, data); err != nil {
			return total, err
		}
		total += n
	}
	return total, nil
}
