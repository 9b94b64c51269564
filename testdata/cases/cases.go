// Package cases carries the worked cases of the invented Saltmarsh Throwing
// Club. The first, SM-04, is what `rungwise demo` shows; all are tests.
package cases

import "embed"

// FS holds one case file an athlete.
//
//go:embed *.yaml
var FS embed.FS
