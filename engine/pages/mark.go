package pages

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"path/filepath"
	"regexp"
)

// A page of ours carries one line more than what it says: the mark, with a hash
// of what the page was made from and one of all its other lines.
var markPattern = regexp.MustCompile(`rungwise from [0-9a-f]{16} text ([0-9a-f]{16})`)

// frame is how the mark stands in a kind of file, and before which line; a
// comment stands at the end.
type frame struct{ open, end, before string }

func frameOf(name string) frame {
	switch filepath.Ext(name) {
	case ".ics":
		return frame{"X-RUNGWISE-MARK:", "\r\n", "BEGIN:VEVENT"}
	case ".json":
		return frame{`  "mark": "`, "\",\n", `  "rungwise"`}
	}
	return frame{"<!-- ", " -->\n", ""}
}

// stamp puts the mark into a page.
func stamp(name string, page []byte, from string) []byte {
	f := frameOf(name)
	if n := len(page); n > 0 && page[n-1] != '\n' {
		page = append(bytes.Clone(page), '\n')
	}
	mark := f.open + "rungwise from " + from + " text " + hash(page) + f.end
	at := len(page)
	if f.before != "" {
		if i := bytes.Index(page, []byte("\n"+f.before)); i >= 0 {
			at = i + 1
		}
	}
	return append(append(bytes.Clone(page[:at]), mark...), page[at:]...)
}

// marked reports whether a file is a page of ours, and whether it still says
// what we wrote.
func marked(name string, text []byte) (ours, intact bool) {
	f := frameOf(name)
	rest := make([]byte, 0, len(text))
	told := ""
	for line := range bytes.Lines(text) {
		if m := markPattern.FindSubmatch(line); m != nil && told == "" && bytes.HasPrefix(line, []byte(f.open)) {
			told = string(m[1])
			continue
		}
		rest = append(rest, line...)
	}
	return told != "", told != "" && told == hash(rest)
}

// hash is short: it tells pages apart and guards nothing.
func hash(parts ...[]byte) string {
	h := sha256.New()
	for _, p := range parts {
		fmt.Fprintf(h, "%d:", len(p))
		h.Write(p)
	}
	return fmt.Sprintf("%x", h.Sum(nil)[:8])
}

// From is the hash of what a page is made from.
func From(parts ...[]byte) string { return hash(parts...) }
