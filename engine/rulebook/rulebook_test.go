package rulebook

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"rungwise/checklists"
	"rungwise/engine/rule"
	"rungwise/rules"
)

const house = `extends: base
house: Saltmarsh <b>
signs:
  - {id: shift_late_on_mound, disable: true, because: too vague | for us, by: head coach, until: 2027-03-01}
factors:
  - {id: hinge, set: {in_words: "Your hip <script>alert(1)</script> lets *go*."}, because: nicer, by: head coach}
`

func book(t *testing.T, files fstest.MapFS) (Book, *rule.Base) {
	t.Helper()
	o := rule.Options{Rules: rules.FS, Checklists: checklists.FS, On: time.Date(2026, 11, 9, 0, 0, 0, 0, time.UTC)}
	if files != nil {
		o.House = files
	}
	b, ds := rule.Load(o)
	if ds.Errors() > 0 {
		t.Fatal(ds.Sorted()[0])
	}
	return New(b), b
}

// Whatever decides is in the book: every id and every condition.
func TestBookHoldsEverything(t *testing.T) {
	k, b := book(t, nil)
	text, page := string(k.Markdown()), html(t, k)
	for _, r := range b.Conditions() {
		if when := strings.Join(strings.Fields(r.When.Text()), " "); !strings.Contains(text, "`"+when+"`") {
			t.Errorf("%s: the condition is not in the book: %s", r.ID, when)
		}
	}
	for _, e := range b.Effective() {
		if e.Concern == rule.Wordings || e.Concern == rule.Cases || e.Concern == rule.Demands {
			continue
		}
		if !strings.Contains(text, "`"+e.ID+"`") || !strings.Contains(page, e.ID) {
			t.Errorf("%s %s is not in the book", e.Concern, e.ID)
		}
	}
	if strings.Contains(text, "What the house changed") {
		t.Error("a chapter is empty")
	}
}

func html(t *testing.T, k Book) string {
	t.Helper()
	page, err := k.HTML()
	if err != nil {
		t.Fatal(err)
	}
	return string(page)
}

func TestHouseIsToldAndEscaped(t *testing.T) {
	k, _ := book(t, fstest.MapFS{"club.yaml": {Data: []byte(house)}})
	page, text := html(t, k), string(k.Markdown())
	for _, want := range []string{"switched off by head coach, because too vague | for us, until 2027-03-01", "Saltmarsh &lt;b&gt;", "&lt;script&gt;"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	for _, bad := range []string{"<script", "src=", "http://", "https://"} {
		if strings.Contains(page, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
	if !strings.Contains(text, `lets \*go\*`) || !strings.Contains(text, `\<script\>`) || strings.Contains(text, "`shift_late_on_mound`\n\n- when") {
		t.Error("the text is not escaped, or holds what was switched off")
	}
}

// The page is well formed, so that every reader shows it alike.
func TestPageIsWellFormed(t *testing.T) {
	k, _ := book(t, nil)
	page := strings.NewReplacer("<!doctype html>", "", `<meta charset="utf-8">`, "", `<meta name="viewport" content="width=device-width, initial-scale=1">`, "").Replace(html(t, k))
	d := xml.NewDecoder(strings.NewReader(page))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return
		} else if err != nil {
			t.Fatal(err)
		}
	}
}

func TestSameBaseSameBytes(t *testing.T) {
	a, _ := book(t, nil)
	b, _ := book(t, nil)
	if !bytes.Equal(a.Markdown(), b.Markdown()) || html(t, a) != html(t, b) {
		t.Error("two runs differ")
	}
}
