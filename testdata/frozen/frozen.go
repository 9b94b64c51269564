// Package frozen carries the trade as it stood on a day, for tests whose expected
// bytes or counts hang on what is in it. The shipped rules may grow without them:
// what those must hold is said by `rungwise rules test`, the worked cases, and
// the tests of properties.
//
// `go test ./testdata/frozen -update` takes the shipped files over; the golden
// files are then reviewed with it.
package frozen

import (
	"embed"
	"io/fs"
)

//go:embed rules checklists
var files embed.FS

// Rules returns the frozen rule base.
func Rules() fs.FS { return sub("rules") }

// Checklists returns the frozen checklists.
func Checklists() fs.FS { return sub("checklists") }

func sub(dir string) fs.FS {
	fsys, err := fs.Sub(files, dir)
	if err != nil {
		panic(err) // the name is valid
	}
	return fsys
}
