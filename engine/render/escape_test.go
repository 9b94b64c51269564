package render

import (
	"bytes"
	"html"
	"regexp"
	"strings"
	"testing"

	"rungwise/engine/diag"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/extension"
)

var hostile = []string{
	"<script>alert(1)</script>", "![x](http://evil.example/p.png)", "[a](javascript:alert(1))", "http://evil.example www.evil.example a@evil.example",
	"# heading", "- item", "+ item", "1. item", "12) item", "> quote", "===", "---", "***", ": term", "| a | b |", "a `code` ``` b", "~~~", "~gone~ ~~gone~~",
	"_under_ a_b_c __x__", "*a* **b**", "&lt;b&gt; &#60; &amp", "\\", "a\\", "\\*", "<!-- x -->", "<a@b.c>", "[^1]: note", "line\nend\r\n\r\n# new", "\tindented",
	"\x1b[31mred\x1b[0m", "\u202eevil\u2066", "\x00", "\xff\xfe", "", " ", "{{.}} {%x%}", "``", "-", "1.", "http:/x mailto:a", "w.w www. https://x.y", "^a^ ==b== $c$",
}

var tag = regexp.MustCompile(`<[^>]*>`)

// shows is what a reader of the rendered Markdown sees, or the tags that should
// not be there.
func shows(t testing.TB, md, want string) string {
	t.Helper()
	var b bytes.Buffer
	if err := goldmark.New(goldmark.WithExtensions(extension.GFM, extension.DefinitionList, extension.Footnote)).Convert([]byte(md), &b); err != nil {
		t.Fatal(err)
	}
	if found := tag.FindAllString(b.String(), -1); strings.Join(found, "") != want {
		t.Errorf("%q gives the tags %v, not %s", md, found, want)
	}
	return html.UnescapeString(tag.ReplaceAllString(b.String(), ""))
}

// checkEscape puts a value into a sentence, a line of its own, an item, bold and
// a cell, and wants to see it again as it stands.
func checkEscape(t testing.TB, s string) {
	t.Helper()
	want := strings.TrimSpace(plain(s))
	e := esc(s)
	if strings.IndexFunc(e, diag.Steers) >= 0 {
		t.Errorf("%q keeps a control character: %q", s, e)
	}
	if want == "" {
		return
	}
	if got := strings.TrimSpace(shows(t, e+"\n", "<p></p>")); got != want {
		t.Errorf("alone: %q became %q by way of %q", want, got, e)
	}
	if got := strings.TrimSpace(shows(t, "a "+e+" b\n", "<p></p>")); got != "a "+want+" b" {
		t.Errorf("in a sentence: %q became %q by way of %q", want, got, e)
	}
	if got := strings.TrimSpace(shows(t, "- "+e+"\n", "<ul><li></li></ul>")); got != want {
		t.Errorf("as an item: %q became %q by way of %q", want, got, e)
	}
	if got := strings.TrimSpace(shows(t, "- "+bold(e)+" b\n", "<ul><li><strong></strong></li></ul>")); got != want+" b" {
		t.Errorf("bold: %q became %q by way of %q", want, got, e)
	}
	if got := strings.TrimSpace(shows(t, "## "+e+"\n", "<h2></h2>")); got != want {
		t.Errorf("as a heading: %q became %q by way of %q", want, got, e)
	}
	cells := strings.Fields(shows(t, tableText([]string{"h"}, [][]string{{e}})+"\n",
		"<table><thead><tr><th></th></tr></thead><tbody><tr><td></td></tr></tbody></table>"))
	if got := strings.Join(cells, " "); got != "h "+want {
		t.Errorf("in a cell: %q became %q by way of %q", want, got, e)
	}
}

func TestEscapeShowsValuesAsTheyStand(t *testing.T) {
	for _, s := range hostile {
		checkEscape(t, s)
	}
	for s, want := range map[string]string{"could_not_see": "could_not_see", "3x5 at 60 %": "3x5 at 60 %", "SM-04 (left)": "SM-04 (left)", "97.5": "97.5"} {
		if got := esc(s); got != want {
			t.Errorf("%q needs no escape, and became %q", s, got)
		}
	}
}

func FuzzEscape(f *testing.F) {
	for _, s := range hostile {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) { checkEscape(t, s) })
}
