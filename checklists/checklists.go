// Package checklists carries the catalogue of what a coach can look at, ask and count, as YAML files built into
// the program. Invariant: it holds data and nothing else; every name a rule may read is declared in these files,
// or is one of the named limits of the rule base.
package checklists

import "embed"

// FS holds the catalogue files (*.yaml, at its root). Reading it never fails for a file that it lists.
//
//go:embed *.yaml
var FS embed.FS
