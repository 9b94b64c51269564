// Package rules carries the rule base: what the trade knows, as YAML.
//
// The package holds data only. Nothing here is read, checked or changed; the
// files are handed on byte for byte as they were when the program was built,
// so that a plan can name the rule base it came from by its hash.
package rules

import "embed"

// FS holds the rule base. At the top lie factors, throws, gates, cautions,
// limits, sources and wording, one file each; signs, drills and cases lie in
// folders of those names, one file a phase or theme. Every file is one YAML
// mapping whose top-level keys name the lists in it.
//
//go:embed *.yaml signs/*.yaml drills/*.yaml cases/*.yaml
var FS embed.FS
