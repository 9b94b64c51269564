package render

import (
	"bytes"
	"math"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"rungwise/engine/diag"
	"rungwise/engine/report"
)

func writePage(t testing.TB, r *report.Report, kind string) *html.Node {
	t.Helper()
	text, err := HTML(r, Options{Words: houseWords(t), Page: kind})
	if err != nil {
		t.Fatal(err)
	}
	if again, _ := HTML(r, Options{Words: houseWords(t), Page: kind}); !bytes.Equal(text, again) {
		t.Error("two writings differ")
	}
	doc, err := html.Parse(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

func elements(doc *html.Node) []*html.Node {
	var out []*html.Node
	for n := range doc.Descendants() {
		if n.Type == html.ElementNode {
			out = append(out, n)
		}
	}
	return out
}

func attr(n *html.Node, key string) string {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val
		}
	}
	return ""
}

// The elements that our pages are made of.
var known = strings.Fields("html head meta title style body main nav section h1 h2 h3 p strong ul ol li table thead tbody tr th td " +
	"figure div article span dl dt dd a br svg desc g rect line circle path text")

// checkPage wants nothing but our own elements, nothing fetched and nothing that
// runs, headings in order and every id once.
func checkPage(t testing.TB, doc *html.Node) {
	t.Helper()
	level, ids := 0, map[string]bool{}
	for _, n := range elements(doc) {
		if !slices.Contains(known, n.Data) {
			t.Errorf("an element %s", n.Data)
		}
		for _, a := range n.Attr {
			switch {
			case strings.HasPrefix(a.Key, "on"), a.Key == "src", a.Key == "srcset", a.Key == "style", a.Key == "action":
				t.Errorf("%s has %s=%q", n.Data, a.Key, a.Val)
			case a.Key == "href" && !strings.HasPrefix(a.Val, "#"):
				t.Errorf("a reference to %q", a.Val)
			case a.Key == "id" && ids[a.Val]:
				t.Errorf("the id %q stands twice", a.Val)
			case a.Key == "id":
				ids[a.Val] = true
			}
		}
		if len(n.Data) == 2 && n.Data[0] == 'h' && n.Data[1] >= '1' && n.Data[1] <= '6' {
			at := int(n.Data[1] - '0')
			if at > level+1 || at == 1 && level != 0 {
				t.Errorf("a heading %s after one of level %d", n.Data, level)
			}
			level = at
		}
	}
	for _, n := range elements(doc) {
		if to := attr(n, "href"); to != "" && !ids[to[1:]] {
			t.Errorf("a link to %q leads nowhere", to)
		}
		for _, id := range strings.Fields(attr(n, "aria-labelledby")) {
			if !ids[id] {
				t.Errorf("no element is called %q", id)
			}
		}
	}
}

func TestPagesAreSelfContained(t *testing.T) {
	for name, r := range samples() {
		for _, kind := range []string{AthletePage, CoachPage} {
			doc := writePage(t, r, kind)
			checkPage(t, doc)
			head := map[string]string{}
			for _, n := range elements(doc) {
				switch n.Data {
				case "html":
					head["lang"] = attr(n, "lang")
				case "meta":
					head[attr(n, "http-equiv")+attr(n, "name")] = attr(n, "content")
				case "title":
					if n.Parent.Data == "head" {
						head["title"] = n.FirstChild.Data
					}
				}
			}
			if head["lang"] != "en" || !strings.Contains(head["title"], r.Case) || !strings.Contains(head["viewport"], "width=device-width") ||
				head["Content-Security-Policy"] != "default-src 'none'; style-src 'unsafe-inline'; img-src data:" {
				t.Errorf("%s, %s: the head says %v", name, kind, head)
			}
		}
	}
	css, err := files.ReadFile("page.css")
	if err != nil || regexp.MustCompile(`url\(|@import|https?:`).Match(css) {
		t.Errorf("the style sheet fetches something, or cannot be read: %v", err)
	}
}

func TestPageCells(t *testing.T) {
	doc := writePage(t, planRecord(), AthletePage)
	cells := 0
	for _, n := range elements(doc) {
		if n.Data == "td" {
			cells++
			if attr(n, "data-h") == "" {
				t.Errorf("a cell without its heading: %v", n.FirstChild)
			}
		}
	}
	if cells < 40 {
		t.Errorf("only %d cells", cells)
	}
	if charts := slices.Collect(func(yield func(*html.Node) bool) {
		for _, n := range elements(doc) {
			if n.Data == "svg" && !yield(n) {
				return
			}
		}
	}); len(charts) != 1 {
		t.Errorf("%d charts", len(charts))
	}
}

func TestQuietPagesPrintNoThrow(t *testing.T) {
	full := planRecord()
	full.Gate, full.Cautions = referRecord().Gate, nil
	for name, r := range map[string]*report.Report{"refer": referRecord(), "screen": screenRecord(), "overfull": full} {
		for _, kind := range []string{AthletePage, CoachPage} {
			doc := writePage(t, r, kind)
			for n := range doc.Descendants() {
				if n.Type == html.TextNode && n.Parent.Data != "style" {
					if found := advice.FindString(n.Data); found != "" {
						t.Errorf("%s, %s: %q in %q", name, kind, found, n.Data)
					}
				}
			}
		}
		if SVG(r, Options{}) != "" {
			t.Errorf("%s: a chart is drawn", name)
		}
	}
}

// choices are the fields whose values the record itself defines.
var choices = strings.Fields("Verdict Role Level Kind What Date Start Retest Words Stage Rungwise")

// flood puts a text into every free text of a record.
func flood(v reflect.Value, s string) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			flood(v.Elem(), s)
		}
	case reflect.Slice:
		for i := range v.Len() {
			flood(v.Index(i), s)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if !slices.Contains(choices, v.Type().Field(i).Name) {
				flood(v.Field(i), s)
			}
		}
	case reflect.String:
		v.SetString(s)
	}
}

// checkFlood wants a page made of our elements alone, on which the text stands
// as it is, and no face that steers a terminal.
func checkFlood(t testing.TB, s string) {
	t.Helper()
	r := planRecord()
	r.Rules.House = of("")
	flood(reflect.ValueOf(r), s)
	for _, kind := range []string{AthletePage, CoachPage} {
		doc := writePage(t, r, kind)
		checkPage(t, doc)
		seen := false
		for n := range doc.Descendants() {
			if n.Type != html.TextNode || n.Parent.Data == "style" {
				continue
			}
			seen = seen || strings.Contains(strings.ToLower(plain(n.Data)), strings.ToLower(plain(s)))
			if at := strings.IndexFunc(strings.ReplaceAll(n.Data, "\n", ""), diag.Steers); at >= 0 {
				t.Errorf("a control character on the page: %q", n.Data)
			}
		}
		if !seen {
			t.Errorf("%s: %q does not stand on the page", kind, plain(s))
		}
	}
	for face, write := range faces {
		text := write(r, Options{Words: houseWords(t)})
		if strings.IndexFunc(strings.ReplaceAll(text, "\n", ""), diag.Steers) >= 0 {
			t.Errorf("%s steers a terminal: %q", face, text)
		}
	}
}

func TestHostileTextIsInert(t *testing.T) {
	for _, s := range hostile {
		checkFlood(t, s)
	}
}

func FuzzPage(f *testing.F) {
	for _, s := range hostile {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) { checkFlood(t, s) })
}

// FuzzWording puts any text in place of a sentence: a house writes what it likes.
func FuzzWording(f *testing.F) {
	for _, s := range hostile {
		f.Add(s)
	}
	f.Add("{athlete} {rung} {{x}} {")
	f.Fuzz(func(t *testing.T, s string) {
		text, err := HTML(planRecord(), Options{Words: func(string) string { return s }})
		if err != nil {
			t.Fatal(err)
		}
		doc, err := html.Parse(bytes.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		checkPage(t, doc)
	})
}

// colours reads the named colours of one rule of the style sheet.
func colours(css string) map[string]string {
	out := map[string]string{}
	for _, m := range regexp.MustCompile(`--([a-z-]+): (#[0-9a-f]{6})`).FindAllStringSubmatch(css, -1) {
		out[m[1]] = m[2]
	}
	return out
}

// luminance and contrast are WCAG 2.1's relative luminance and contrast ratio.
func luminance(hex string) float64 {
	part := func(i int) float64 {
		v, _ := strconv.ParseUint(hex[i:i+2], 16, 8)
		c := float64(v) / 255
		if c <= .03928 {
			return c / 12.92
		}
		return math.Pow((c+.055)/1.055, 2.4)
	}
	return .2126*part(1) + .7152*part(3) + .0722*part(5)
}

func contrast(a, b string) float64 {
	x, y := luminance(a), luminance(b)
	return (max(x, y) + .05) / (min(x, y) + .05)
}

// At least 4.5 to 1: WCAG 2.1, success criterion 1.4.3.
func TestContrast(t *testing.T) {
	if got := contrast("#000000", "#ffffff"); math.Abs(got-21) > 1e-9 { // WCAG 2.1, definition of contrast ratio
		t.Fatalf("black on white is %v", got)
	}
	text, err := files.ReadFile("page.css")
	if err != nil {
		t.Fatal(err)
	}
	css := string(text)
	roots := regexp.MustCompile(`(?s):root \{(.*?)\}`).FindAllStringSubmatch(css, -1)
	if len(roots) != 3 {
		t.Fatalf("%d sets of colours, want light, dark and print", len(roots))
	}
	pairs := [][2]string{{"ink", "paper"}, {"ink", "sheet"}, {"ink", "wash"}, {"ink", "stop-wash"}, {"quiet", "paper"}, {"quiet", "sheet"},
		{"quiet", "wash"}, {"leaf", "paper"}, {"leaf", "sheet"}, {"stop", "stop-wash"}, {"stop", "paper"}}
	for i, root := range roots {
		c := colours(root[1])
		for _, p := range pairs {
			if c[p[0]] == "" || c[p[1]] == "" || contrast(c[p[0]], c[p[1]]) < 4.5 {
				t.Errorf("set %d: %s on %s has %.2f", i, p[0], p[1], contrast(c[p[0]], c[p[1]]))
			}
		}
	}
	used := regexp.MustCompile(`#[0-9a-f]{3,6}\b`).FindAllString(regexp.MustCompile(`(?s):root \{.*?\}`).ReplaceAllString(css, ""), -1)
	if len(used) > 0 {
		t.Errorf("colours beside the named ones: %v", used)
	}
}
