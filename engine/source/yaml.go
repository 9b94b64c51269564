package source

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"

	"rungwise/engine/diag"
)

// mostDepth is how deep maps and lists may stand in each other.
const mostDepth = 16

// Kind is the shape of a YAML value.
type Kind uint8

// The shapes. Nothing is a key with no value.
const (
	Nothing Kind = iota
	Scalar
	Map
	List
)

// Node is one YAML value and its place. A nil Node reads as Nothing, so that
// readers need not ask before they look.
type Node struct {
	file   *File
	node   *yaml.Node
	start  int
	kind   Kind
	fields []Field
	items  []*Node
}

// Field is one key of a map with its value.
type Field struct{ Key, Value *Node }

// YAML reads the file as one YAML document. Every fault that can be found is
// in the list; the node is nil when the text is not YAML at all or is empty.
func (f *File) YAML() (*Node, diag.List) {
	var ds diag.List
	if !utf8.Valid(f.Bytes) {
		ds.Add(diag.Diagnostic{Place: f.Place(firstInvalid(f.Bytes), 0), Code: "Y205",
			Headline: "the file holds bytes that are not UTF-8 text",
			Help:     "save the file as UTF-8 in your editor"})
		return nil, ds
	}
	dec := yaml.NewDecoder(bytes.NewReader(f.Bytes))
	var doc yaml.Node
	if err := decode(dec, &doc); err != nil {
		if !errors.Is(err, io.EOF) {
			ds.Add(f.syntaxFault(err))
		}
		return nil, ds
	}
	var next yaml.Node
	if err := decode(dec, &next); err == nil {
		ds.Add(diag.Diagnostic{Place: f.Place(f.offset(next.Line, 1), 0), Code: "Y206",
			Headline: "a second document starts here and would be ignored",
			Help:     "keep one document per file: take out the line `---`"})
	}
	if len(doc.Content) == 0 {
		return nil, ds
	}
	n := f.wrap(doc.Content[0], 0, &ds)
	if n.kind == Nothing {
		return nil, ds
	}
	return n, ds
}

// decode turns a panic of the YAML library, which a few odd files cause, into
// an error like any other.
func decode(dec *yaml.Decoder, into *yaml.Node) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("yaml: %v", r)
		}
	}()
	return dec.Decode(into)
}

func (f *File) wrap(y *yaml.Node, depth int, ds *diag.List) *Node {
	column := y.Column
	if f.bom() && y.Line == 1 {
		column++ // the reader does not count the mark, the bytes do
	}
	n := &Node{file: f, node: y, start: f.offset(y.Line, column)}
	if depth > mostDepth {
		n.Fault(ds, "Y207", "values stand too deep in each other here", "", "")
		return n
	}
	n.checkTag(ds)
	switch y.Kind {
	case yaml.ScalarNode:
		n.kind = Scalar
		if y.Tag == "!!null" {
			n.kind = Nothing
		}
	case yaml.SequenceNode:
		n.kind = List
		for _, item := range y.Content {
			n.items = append(n.items, f.wrap(item, depth+1, ds))
		}
	case yaml.MappingNode:
		n.kind = Map
		n.wrapFields(depth, ds)
	case yaml.AliasNode:
		n.kind = Scalar // so that nobody misses what stands here
		n.Fault(ds, "Y208", "`*` repeats an earlier value here, which is not supported", "", "write the value out, or put the text in quotes")
	}
	return n
}

func (n *Node) wrapFields(depth int, ds *diag.List) {
	first := map[string]*Node{}
	for i := 0; i+1 < len(n.node.Content); i += 2 {
		key, value := n.file.wrap(n.node.Content[i], depth+1, ds), n.file.wrap(n.node.Content[i+1], depth+1, ds)
		if key.kind != Scalar {
			key.Fault(ds, "Y209", "a name was expected here", "", "write `name: value`")
			continue
		}
		if before := first[key.Text()]; before != nil {
			key.Fault(ds, "Y203", fmt.Sprintf("`%s` stands twice", key.Text()), fmt.Sprintf("also on line %d", before.node.Line), "keep one of the two")
			continue
		}
		first[key.Text()] = key
		n.fields = append(n.fields, Field{key, value})
	}
}

// checkTag refuses YAML labels such as `!pain`, which swallow the text that
// follows.
func (n *Node) checkTag(ds *diag.List) {
	if n.node.Style&yaml.TaggedStyle == 0 && (n.node.Tag == "" || strings.HasPrefix(n.node.Tag, "!!")) {
		return
	}
	n.Fault(ds, "Y202", fmt.Sprintf("YAML read `%s` as a label, so this value is not what it seems", n.node.Tag),
		"an exclamation mark at the start has a special meaning in YAML", "write `not ...` instead of `!...`, or put the text in quotes")
}

var syntaxLine = regexp.MustCompile(`line (\d+)`)

// syntaxFault puts a fault of the YAML library into plain words.
func (f *File) syntaxFault(err error) diag.Diagnostic {
	line := 1
	if m := syntaxLine.FindStringSubmatch(err.Error()); m != nil {
		line, _ = strconv.Atoi(m[1])
	}
	line = min(max(line, 1), len(f.lines))
	text := f.line(line - 1)
	indent := len(text) - len(strings.TrimLeft(text, " \t"))
	d := diag.Diagnostic{Place: f.Place(f.lines[line-1]+indent, f.lines[line-1]+len(text)), Code: "Y200",
		Headline: "this line, or the one above it, does not read as YAML",
		Help:     "check the spaces at the start of this line and the one above, colons, and quotes that are not closed"}
	for _, w := range syntaxWords {
		if strings.Contains(err.Error(), w.sign) {
			d.Code, d.Headline, d.Help = w.code, w.headline, w.help
			break
		}
	}
	if tab := strings.IndexByte(text[:indent], '\t'); tab >= 0 {
		d.Place = f.Place(f.lines[line-1]+tab, f.lines[line-1]+tab+1)
		d.Code, d.Headline, d.Help = "Y201", "a tab stands at the start of this line", "use spaces, not tabs"
		return d
	}
	f.pinpoint(&d, line)
	return d
}

// syntaxWords maps what the YAML library says to what a coach can act on.
var syntaxWords = []struct{ sign, code, headline, help string }{
	{"mapping values are not allowed", "Y210", "a colon stands where it cannot", "put the text in quotes, or check the indentation of this line and the one above"},
	{"did not find expected key", "Y204", "this line does not start where its neighbours do", "give it as many spaces as the lines it belongs with"},
	{"did not find expected '-' indicator", "Y204", "this line does not start where its neighbours do", "give it as many spaces as the lines it belongs with"},
	{"found unexpected end of stream", "Y211", "a quote or bracket that opens here is never closed", "close it"},
	{"did not find expected ',' or", "Y211", "a bracket that opens here is never closed, or a comma is missing", "close it, or add the comma"},
	{"found character that cannot start any", "Y212", "a value cannot start with this character", "put the text in quotes"},
	{"unknown anchor", "Y208", "`*` at the start of a value has a special meaning in YAML", "put the text in quotes"},
	{"unknown escape character", "Y213", "a backslash inside double quotes has a special meaning in YAML", "use single quotes"},
	{"control characters are not allowed", "Y214", "the file holds a character that cannot be shown", "take it out"},
}

func firstInvalid(b []byte) int {
	for i := 0; i < len(b); {
		r, size := utf8.DecodeRune(b[i:])
		if r == utf8.RuneError && size == 1 {
			return i
		}
		i += size
	}
	return len(b)
}
