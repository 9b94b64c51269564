package source

import (
	"fmt"
	"strings"

	"rungwise/engine/diag"
)

// pinpoint moves a fault of the YAML library, which knows the line and often the
// wrong one, to the character that most likely is at fault.
func (f *File) pinpoint(d *diag.Diagnostic, line int) {
	at := f.lines[line-1]
	text := f.line(line - 1)
	switch d.Code {
	case "Y204":
		if lost, has, above := f.lost(); lost > 0 {
			row := f.line(lost - 1)
			indent := len(row) - len(strings.TrimLeft(row, " "))
			d.Place = f.Place(f.lines[lost-1]+indent, f.lines[lost-1]+len(row))
			d.Under = fmt.Sprintf("%s, the line above has %d", spaces(has), above)
		}
	case "Y210":
		if i := secondColon(text); i >= 0 {
			d.Place = f.Place(at+i, at+i+1)
		}
	case "Y211":
		if i := neverClosed(text); i >= 0 {
			d.Place = f.Place(at+i, at+i+1)
		}
	}
}

func spaces(n int) string {
	if n == 1 {
		return "1 space"
	}
	return fmt.Sprintf("%d spaces", n)
}

// lost finds the first line that starts left of the line above and beside no
// line that it could belong with; 0 where there is none.
func (f *File) lost() (line, has, above int) {
	open := []int{0}
	before := 0
	for i := range f.lines {
		text := f.line(i)
		words := strings.TrimLeft(text, " ")
		if words == "" || words[0] == '#' {
			continue
		}
		indent := len(text) - len(words)
		for len(open) > 1 && open[len(open)-1] > indent {
			open = open[:len(open)-1]
		}
		if top := open[len(open)-1]; indent > top && indent < before {
			return i + 1, indent, before
		}
		open = append(open, indent)
		for strings.HasPrefix(words, "- ") {
			rest := strings.TrimLeft(words[2:], " ")
			indent += len(words) - len(rest)
			open = append(open, indent)
			words = rest
		}
		before = len(text) - len(strings.TrimLeft(text, " "))
		if top := open[len(open)-1]; top > before {
			before = top
		}
	}
	return 0, 0, 0
}

// secondColon is where a colon stands that YAML takes for a second name on one
// line, or -1.
func secondColon(text string) int {
	first := strings.Index(text, ": ")
	if first < 0 {
		return -1
	}
	if second := strings.Index(text[first+2:], ": "); second >= 0 {
		return first + 2 + second
	}
	if strings.HasSuffix(text, ":") && len(text)-1 > first {
		return len(text) - 1
	}
	return -1
}

// neverClosed is the first quote or bracket of a line that is not closed on it,
// or -1.
func neverClosed(text string) int {
	var open []int
	start := true // a quote here opens a text
	for i := 0; i < len(text); i++ {
		c := text[i]
		switch {
		case start && (c == '"' || c == '\''):
			end := Closes(text, i)
			if end < 0 {
				return i
			}
			i = end
		case c == '{' || c == '[':
			open = append(open, i)
		case (c == '}' || c == ']') && len(open) > 0:
			open = open[:len(open)-1]
		}
		if c != ' ' {
			start = strings.IndexByte("{[,:-", c) >= 0
		}
	}
	if len(open) > 0 {
		return open[0]
	}
	return -1
}

// Closes is where a quote that opens at i closes on its line, or -1.
func Closes(text string, i int) int {
	for j := i + 1; j < len(text) && text[j] != '\n'; j++ {
		switch {
		case text[i] == '"' && text[j] == '\\':
			j++
		case text[j] != text[i]:
		case text[i] == '\'' && strings.HasPrefix(text[j:], "''"):
			j++
		default:
			return j
		}
	}
	return -1
}
