// Package cases carries the worked cases of the invented Saltmarsh Throwing
// Club. The first, SM-04, is what `rungwise demo` shows; all are tests.
package cases

import (
	"embed"
	"time"
)

// FS holds one case file an athlete.
//
//go:embed *.yaml
var FS embed.FS

// Day is the day on which the cases are read: what is dated in them lies before
// it, and not long before.
func Day() time.Time { return time.Date(2026, 11, 10, 0, 0, 0, 0, time.UTC) }
