package ruletest

import (
	"cmp"
	"slices"

	"rungwise/engine/diag"
)

// Mend returns a file's bytes with the sure mends of its diagnostics made, and
// how many there were. Of two that touch the same bytes the first is made; the
// other shows again when the file is checked anew.
func Mend(path string, b []byte, list diag.List) ([]byte, int) {
	var fixes []diag.Fix
	for _, d := range list {
		if d.Fix != nil && d.Fix.Path == path && d.Fix.Start <= d.Fix.End && d.Fix.End <= len(b) {
			fixes = append(fixes, *d.Fix)
		}
	}
	slices.SortStableFunc(fixes, func(x, y diag.Fix) int { return cmp.Or(cmp.Compare(x.Start, y.Start), cmp.Compare(x.End, y.End)) })
	var out []byte
	at, n := 0, 0
	for _, x := range fixes {
		if x.Start < at || n > 0 && x.Start == at && x.End == at {
			continue
		}
		out = append(append(out, b[at:x.Start]...), x.Text...)
		at = x.End
		n++
	}
	return append(out, b[at:]...), n
}
