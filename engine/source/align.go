package source

import (
	"bytes"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// offsets maps each rune of the text to its byte in the file; one more entry
// gives the end. The text and the source are walked side by side, skipping
// what YAML folds away.
func (n *Node) offsets() []int {
	a := n.aligner()
	text := []rune(n.node.Value)
	a.properties(n.node.Anchor)
	switch {
	case a.block:
		a.header(text)
	case a.quote != 0, n.node.Kind == yaml.AliasNode:
		a.at++
	}
	return a.align(text)
}

// aligner starts at the value.
func (n *Node) aligner() *aligner {
	a := &aligner{src: n.file.Bytes, at: n.start}
	switch style := n.node.Style; {
	case style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0:
		a.block, a.literal = true, style&yaml.LiteralStyle != 0
	case style&yaml.SingleQuotedStyle != 0:
		a.quote = '\''
	case style&yaml.DoubleQuotedStyle != 0:
		a.quote = '"'
	}
	return a
}

// aligner walks the bytes of a scalar while its text is read.
type aligner struct {
	src     []byte
	at      int
	quote   byte // the quote the scalar stands in, or 0
	block   bool // literal or folded
	literal bool // line ends stand for themselves
	indent  int  // of a block: the spaces at the start of each line that are not text
}

// properties steps over a name or a label before the value, which no value starts
// with.
func (a *aligner) properties(anchor string) {
	for {
		switch a.peek() {
		case '&':
			a.at = min(a.at+1+len(anchor), len(a.src))
		case '!':
			for a.at < len(a.src) && strings.IndexByte(" \t\r\n", a.src[a.at]) < 0 {
				a.at++
			}
		default:
			return
		}
		for a.skip(" \t\r\n"); a.peek() == '#'; a.skip(" \t\r\n") {
			a.line()
		}
	}
}

// header steps over the first line of a block and finds its indentation: that of
// the first line that is not blank, less what its text keeps of it.
func (a *aligner) header(text []rune) {
	a.line()
	for at := a.at; at < len(a.src); {
		line := a.src[at:]
		if i := bytes.IndexByte(line, '\n'); i >= 0 {
			line = line[:i]
		}
		if len(bytes.Trim(line, " \r")) > 0 {
			a.indent = len(line) - len(bytes.TrimLeft(line, " "))
			break
		}
		at += len(line) + 1
	}
	for line := range strings.SplitSeq(string(text), "\n") {
		if words := strings.TrimLeft(line, " "); words != "" {
			a.indent -= len(line) - len(words)
			break
		}
	}
	a.margin()
}

// line steps over the rest of a line and its end.
func (a *aligner) line() {
	if i := bytes.IndexByte(a.src[min(a.at, len(a.src)):], '\n'); i >= 0 {
		a.at += i + 1
		return
	}
	a.at = len(a.src)
}

// margin steps over the indentation of a line of a block.
func (a *aligner) margin() {
	for i := 0; i < a.indent && a.peek() == ' '; i++ {
		a.at++
	}
}

func (a *aligner) align(text []rune) []int {
	out := make([]int, 0, len(text)+1)
	for i, r := range text {
		a.joined()
		out = append(out, min(a.at, len(a.src)))
		last := i+1 == len(text) || text[i+1] != '\n'
		switch {
		case a.block && a.broken() && (r == '\n' || r == ' '):
			a.breaks(r == '\n' && (a.literal || !last))
		case !a.block && a.quote != '"' && r == '\n', a.quote == '"' && r == '\n' && a.peek() != '\\':
			if last {
				a.skip(" \t\r\n")
			} else {
				a.line()
				a.skip(" \t")
			}
		case r == ' ' && !a.block && a.blankToLineEnd():
			a.skip(" \t\r\n")
		default:
			a.at = min(a.at+a.width(), len(a.src))
		}
	}
	a.joined()
	return append(out, min(a.at, len(a.src)))
}

// joined steps over a line end that a backslash takes away.
func (a *aligner) joined() {
	for a.quote == '"' && a.peek() == '\\' {
		rest := a.src[a.at+1:]
		if !bytes.HasPrefix(rest, []byte("\n")) && !bytes.HasPrefix(rest, []byte("\r\n")) {
			return
		}
		a.line()
		a.skip(" \t")
	}
}

// broken reports whether a line of a block ends here.
func (a *aligner) broken() bool {
	return a.peek() == '\n' || a.peek() == '\r' && a.at+1 < len(a.src) && a.src[a.at+1] == '\n'
}

// breaks steps over one line end of a block, or over all up to the next text.
func (a *aligner) breaks(one bool) {
	for {
		a.line()
		before := a.at
		a.margin()
		if one || !a.broken() {
			return
		}
		if a.at >= len(a.src) {
			a.at = before
			return
		}
	}
}

func (a *aligner) peek() byte {
	if a.at < len(a.src) {
		return a.src[a.at]
	}
	return 0
}

func (a *aligner) skip(set string) {
	for a.at < len(a.src) && strings.IndexByte(set, a.src[a.at]) >= 0 {
		a.at++
	}
}

// blankToLineEnd reports whether only blanks are left on the line.
func (a *aligner) blankToLineEnd() bool {
	for i := a.at; i < len(a.src); i++ {
		switch a.src[i] {
		case ' ', '\t', '\r':
		case '\n':
			return true
		default:
			return false
		}
	}
	return false
}

// width returns how many bytes the character here takes in the source, escapes
// included.
func (a *aligner) width() int {
	c := a.peek()
	switch {
	case a.quote == '\'' && c == '\'':
		return 2
	case a.quote == '"' && c == '\\':
		return a.escape()
	}
	if a.at < len(a.src) {
		_, size := utf8.DecodeRune(a.src[a.at:])
		return size
	}
	return 0
}

// escape returns the length of a double-quoted escape.
func (a *aligner) escape() int {
	if a.at+1 >= len(a.src) {
		return 1
	}
	switch a.src[a.at+1] {
	case 'x':
		return 4
	case 'u':
		return 6
	case 'U':
		return 10
	}
	return 2
}
