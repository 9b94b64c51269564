package rulebook

import (
	"bytes"
	"strings"

	"rungwise/engine/source"
)

// brackets sets the spaces inside bracketed values that stand on one line.
func brackets(b []byte, root *source.Node) []byte {
	var edits []edit
	done := 0
	walk(root, "", func(n *source.Node, _ string) {
		if n.Kind() != source.Map && n.Kind() != source.List || n.Start() < done || n.Start() >= len(b) || b[n.Start()] != '{' && b[n.Start()] != '[' {
			return
		}
		if end, set, ok := bracketed(b[n.Start():]); ok {
			edits = append(edits, edit{n.Start(), n.Start() + end, set})
			done = n.Start() + end
		}
	})
	return apply(b, edits)
}

// bracketed sets a bracketed value at the start of b; ok is false where it runs
// over the end of the line. More than one space after a comma is kept: somebody
// set columns.
func bracketed(b []byte) (end int, set string, ok bool) {
	var out []byte
	depth := 0
	fresh := true // a quote here opens a quoted text
	for i := 0; i < len(b) && b[i] != '\n'; i++ {
		switch c := b[i]; {
		case fresh && (c == '"' || c == '\''):
			n := quoted(b[i:])
			if n == 0 {
				return 0, "", false
			}
			out = append(out, b[i:i+n]...)
			i += n - 1
			fresh = false
			continue
		case c == '#' && i > 0 && b[i-1] == ' ':
			return 0, "", false
		case c == '{' || c == '[':
			depth++
			out = append(out, c)
			i = blank(b, i)
		case c == '}' || c == ']':
			depth--
			out = append(bytes.TrimRight(out, " "), c)
		case c == ',':
			out = append(bytes.TrimRight(out, " "), c)
			if i+1 < len(b) && b[i+1] != ' ' && b[i+1] != '\n' {
				out = append(out, ' ')
			}
		default:
			out = append(out, c)
		}
		if c := b[i]; c != ' ' {
			fresh = strings.IndexByte("{[,:", c) >= 0
		}
		if depth == 0 {
			return i + 1, string(out), true
		}
	}
	return 0, "", false
}

// blank is the last byte of a run of spaces that follows the byte at i.
func blank(b []byte, i int) int {
	for i+1 < len(b) && b[i+1] == ' ' {
		i++
	}
	return i
}

// quoted is the length of a quoted text at the start of b, or 0 where it does
// not end on the line.
func quoted(b []byte) int {
	for i := 1; i < len(b) && b[i] != '\n'; i++ {
		switch {
		case b[0] == '"' && b[i] == '\\':
			i++
		case b[i] == b[0] && b[0] == '\'' && i+1 < len(b) && b[i+1] == '\'':
			i++
		case b[i] == b[0]:
			return i + 1
		}
	}
	return 0
}

// lines sets line ends, blanks at the end of lines, blank lines and the space
// after the # of a comment. Lines inside a text of several lines stay.
func lines(b []byte, root *source.Node) []byte {
	inside := texts(b, root)
	all := strings.Split(strings.TrimLeft(string(b), "\ufeff"), "\n")
	var out []string
	for i, line := range all {
		if inside[i+1] {
			out = append(out, line)
			continue
		}
		line = comment(strings.TrimRight(line, " \t\r"))
		if line == "" && (len(out) == 0 || out[len(out)-1] == "" && !inside[i]) {
			continue
		}
		out = append(out, line)
	}
	for len(out) > 0 && out[len(out)-1] == "" && !inside[len(all)] {
		out = out[:len(out)-1]
	}
	text := strings.Join(out, "\n")
	if !strings.HasSuffix(text, "\n") {
		text += "\n"
	}
	return []byte(text)
}

// comment puts a space after the # of a line that is one.
func comment(line string) string {
	text := strings.TrimLeft(line, " ")
	if len(text) < 2 || text[0] != '#' || strings.IndexByte("# !\t", text[1]) >= 0 {
		return line
	}
	return line[:len(line)-len(text)] + "# " + text[1:]
}

// texts marks the lines, from 1, that belong to a text of several lines: all but
// the first of it.
func texts(b []byte, root *source.Node) map[int]bool {
	inside := map[int]bool{}
	lineOf := func(at int) int { return 1 + bytes.Count(b[:min(at, len(b))], []byte("\n")) }
	mark := func(n *source.Node) {
		if n.Kind() != source.Scalar {
			return
		}
		from, to := lineOf(n.Start()), lineOf(n.End())
		if n.End() > 0 && n.End() <= len(b) && b[n.End()-1] == '\n' {
			to--
		}
		if n.Start() < len(b) && (b[n.Start()] == '|' || b[n.Start()] == '>') && to == from {
			to = from + 1
		}
		for i := from + 1; i <= to; i++ {
			inside[i] = true
		}
	}
	walk(root, "", func(n *source.Node, _ string) {
		mark(n)
		for _, f := range n.Fields() {
			mark(f.Key)
		}
	})
	return inside
}
