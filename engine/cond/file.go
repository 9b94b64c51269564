package cond

import (
	"bytes"
	"slices"
	"strings"

	"rungwise/engine/diag"
	"rungwise/engine/fact"
	"rungwise/engine/source"
)

// CompileNode is Compile for a scalar of a file: each fault becomes a
// diagnostic at its own character, and YAML's traps are looked for too. The
// condition is nil when there was an error.
func CompileNode(n *source.Node, cat *fact.Catalogue, ds *diag.List) *Condition {
	switch {
	case n.Kind() == source.Nothing:
		if n != nil {
			n.Fault(ds, "R128", "the condition is empty", "", "write what must be seen after the colon")
		}
		return nil
	case n.Kind() != source.Scalar:
		n.Fault(ds, "R128", "a condition was expected here, this is "+n.Describe(), "", "write the condition on its own line after `when: |`")
		return nil
	case labelled(n):
		return nil // told when the file was read
	}
	c, faults := Compile(n.Text(), cat)
	cut, torn := cutByComment(n), slices.ContainsFunc(faults, Fault.torn)
	if cut {
		cutOff(n, torn, ds)
	}
	for _, f := range faults {
		if !cut || !f.torn() {
			ds.Add(f.diagnostic(n))
		}
	}
	return c
}

// torn reports whether the fault is one that a text has whose end is missing.
func (f Fault) torn() bool {
	return slices.Contains([]string{"R115", "R126", "R127", "R199"}, f.Code)
}

// labelled reports whether YAML took the start of the condition, such as
// `!screen.pop`, for a label.
func labelled(n *source.Node) bool {
	b := n.File().Bytes
	return n.Start() < len(b) && b[n.Start()] == '!'
}

// cutByComment reports whether YAML cut a condition at " #".
func cutByComment(n *source.Node) bool {
	return n.Comment() != "" && !n.Quoted() && !n.Block()
}

// cutOff reports the part of a condition that YAML threw away: a warning where
// what is left is whole by itself, because it may be a remark.
func cutOff(n *source.Node, torn bool, ds *diag.List) {
	end := n.End()
	at := end + max(0, bytes.IndexByte(n.File().Bytes[end:], '#'))
	d := diag.Diagnostic{Place: n.File().Place(at, at+len(n.Comment())), Code: "Y230",
		Headline: "everything after `#` was thrown away by YAML",
		Under:    `YAML takes " #" as the start of a comment`,
		Help:     "take the `#` out and write the rest of the condition"}
	if !torn {
		d.Level, d.Help = diag.Warning, "put a remark under `why:`; what belongs to the condition has to stand without `#`"
	}
	ds.Add(d)
}

// diagnostic turns a fault of the text into one of the file.
func (f Fault) diagnostic(n *source.Node) diag.Diagnostic {
	d := diag.Diagnostic{Place: n.PlaceAt(f.From, f.To), Level: f.Level, Code: f.Code,
		Headline: f.Headline, Under: f.Under, Why: f.Why, Help: f.Help}
	if f.Fix != nil {
		d.Fix = f.Fix.inFile(n)
	}
	return d
}

// inFile turns a mend of the text into one of the file, or nothing where it
// would run over a line end or change how YAML reads the value.
func (x Fix) inFile(n *source.Node) *diag.Fix {
	b, start, end := n.File().Bytes, n.Offset(x.From), n.Offset(x.To)
	written := x.Text
	switch first := b[n.Start()]; {
	case first == '"':
		written = strings.ReplaceAll(strings.ReplaceAll(written, `\`, `\\`), `"`, `\"`)
	case first == '\'':
		written = strings.ReplaceAll(written, "'", "''")
	case !n.Block() && x.From == 0 && strings.IndexAny(written, "\"'![{&*|>%@`#-?:,") == 0:
		return nil
	}
	if end < start || bytes.IndexByte(b[start:end], '\n') >= 0 {
		return nil
	}
	return &diag.Fix{Path: n.File().Path, Start: start, End: end, Text: written}
}
