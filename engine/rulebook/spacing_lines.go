package rulebook

import (
	"bytes"
	"strings"

	"rungwise/engine/source"
)

// brackets sets the spaces inside bracketed values that stand on one line.
func brackets(f *source.File, root *source.Node) []byte {
	var edits []edit
	text := string(f.Bytes)
	walk(root, "", func(n *source.Node, _ string) {
		if n.Kind() != source.Map && n.Kind() != source.List || n.Start() >= len(text) || text[n.Start()] != '{' && text[n.Start()] != '[' {
			return
		}
		if end, set, ok := bracketed(text[n.Start():]); ok {
			edits = append(edits, edit{n.Start(), n.Start() + end, set})
		}
	})
	return apply(f.Bytes, edits)
}

// bracketed sets a bracketed value at the start of a text; ok is false where it
// runs over the end of the line. More than one space after a comma is kept:
// somebody set columns.
func bracketed(text string) (end int, set string, ok bool) {
	var out []byte
	depth := 0
	fresh := true // a quote here opens a quoted text
	for i := 0; i < len(text) && text[i] != '\n'; i++ {
		switch c := text[i]; {
		case fresh && (c == '"' || c == '\''):
			end := source.Closes(text, i)
			if end < 0 {
				return 0, "", false
			}
			out = append(out, text[i:end+1]...)
			i = end
		case c == '#' && i > 0 && text[i-1] == ' ':
			return 0, "", false
		case c == '{' || c == '[':
			depth++
			out = append(out, c)
		case c == ' ' && len(out) > 0 && strings.IndexByte("{[", out[len(out)-1]) >= 0:
		case c == '}' || c == ']':
			depth--
			out = append(bytes.TrimRight(out, " "), c)
		case c == ',':
			out = append(bytes.TrimRight(out, " "), c)
			if i+1 < len(text) && text[i+1] != ' ' && text[i+1] != '\n' {
				out = append(out, ' ')
			}
		default:
			out = append(out, c)
		}
		if c := text[i]; c != ' ' {
			fresh = strings.IndexByte("{[,:", c) >= 0
		}
		if depth == 0 {
			return i + 1, string(out), true
		}
	}
	return 0, "", false
}

// lines sets line ends, blanks at the end of lines, blank lines and the space
// after the # of a comment. Lines inside a text of several lines stay.
func lines(f *source.File, root *source.Node) []byte {
	inside := texts(f, root)
	all := strings.Split(strings.TrimLeft(string(f.Bytes), "\ufeff"), "\n")
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
func texts(f *source.File, root *source.Node) map[int]bool {
	inside := map[int]bool{}
	mark := func(n *source.Node) {
		if n.Kind() != source.Scalar {
			return
		}
		from, to := f.Place(n.Start(), 0).Line, f.Place(max(n.End()-1, n.Start()), 0).Line
		if from == to && n.Block() {
			to++
		}
		for i := from + 1; i <= to; i++ {
			inside[i] = true
		}
	}
	walk(root, "", func(n *source.Node, _ string) {
		mark(n)
		for _, g := range n.Fields() {
			mark(g.Key)
		}
	})
	return inside
}
