package observe

import (
	"strings"
	"testing"
	"time"

	"rungwise/checklists"
	"rungwise/engine/casefile"
	"rungwise/engine/rule"
	"rungwise/engine/source"
	"rungwise/rules"
)

// fact of the screen as the record has it, "" = open.
func screenOf(t *testing.T, b *rule.Base, text, log, on, question string) string {
	t.Helper()
	today, err := time.Parse(time.DateOnly, on)
	if err != nil {
		t.Fatal(err)
	}
	v := casefile.Vocabulary{Checklist: b.Checklist, Today: today}
	for _, x := range b.Throws {
		v.Throws = append(v.Throws, x.ID)
	}
	c, ds := casefile.Parse(source.New("a.yaml", []byte(text)), v)
	if c == nil {
		t.Fatal(ds.Sorted()[0])
	}
	c.Log, _ = casefile.ParseLog(source.New("a.log.jsonl", []byte(log)), v)
	f, err := Observe(c, b, today)
	if err != nil {
		t.Fatal(err)
	}
	slot, ok := b.Catalogue.Slot("screen." + question)
	if !ok {
		t.Fatal(question)
	}
	if !f.Vector[slot].Known {
		return ""
	}
	return b.Catalogue.At(slot).Format(f.Vector[slot])
}

// Answers age, whatever the file says, and an undated screen is as old as the
// newest day of its file (house default: 28 days for pain).
func TestAnswersAge(t *testing.T) {
	b, ds := rule.Load(rule.Options{Rules: rules.FS, Checklists: checklists.FS, NoCases: true})
	if ds.Errors() > 0 {
		t.Fatal(ds.Sorted()[0])
	}
	const head = "rungwise: case/1\nathlete: {code: SM-90, age: 20}\n"
	dated := head + "screen: {on: 2026-11-01, pain: none, numbness: no, surgery: none}\n"
	undated := strings.Replace(dated, "on: 2026-11-01, ", "", 1)
	asked := `{"rungwise":"log/1","id":1,"entered":"2026-11-20","on":"2026-11-20","what":"session","health":{"pain":"no","numbness":"no","pop":"no","sore":"none"}}` + "\n"
	for _, c := range []struct{ name, text, log, on, question, want string }{
		{"fresh", dated, "", "2026-11-29", "pain", "none"},
		{"a day too old", dated, "", "2026-11-30", "pain", ""},
		{"two years later", dated, "", "2028-11-30", "numbness", ""},
		{"surgery lasts a year", dated, "", "2027-10-30", "surgery", "none"},
		{"asked again in the log", dated, asked, "2026-12-18", "pain", "none"},
		{"the log has not been written yet", dated, asked, "2026-11-10", "pain", "none"},
		{"undated, and no day in the file", undated, "", "2026-11-02", "pain", ""},
		{"undated, and a day in the file", undated + "load: {last_high_effort: 2026-10-30}\n", "", "2026-11-02", "pain", "none"},
		{"undated, and an old day in the file", undated + "load: {last_high_effort: 2026-10-01}\n", "", "2026-11-02", "pain", ""},
	} {
		if got := screenOf(t, b, c.text, c.log, c.on, c.question); got != c.want {
			t.Errorf("%s: %s is %q, want %q", c.name, c.question, got, c.want)
		}
	}
}
