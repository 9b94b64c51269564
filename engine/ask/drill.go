package ask

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/source"
	"rungwise/engine/unit"
)

// drillItems asks for the reference drill and what drill and mound gained.
func (f *Flow) drillItems() []item {
	out := []item{f.referenceItem()}
	if f.c.Reference.Throw != "" {
		drill := f.title(f.c.Reference.Throw)
		out = append(out,
			dateItem([]string{"reference", "first_thrown"}, Drill, "first day of the drill", "When was the "+drill+" thrown for the first time?",
				"The first four weeks on a drill are mostly learning it, so this day decides how much a gain says.",
				func(c *casefile.Case) time.Time { return c.Reference.FirstThrown }),
			dateItem([]string{"reference", "last_thrown"}, Drill, "last day of the drill", "When was the "+drill+" thrown last?",
				"A drill that was dropped fades. Before today's ladder, if there was one.",
				func(c *casefile.Case) time.Time { return c.Reference.LastThrown }),
			bestItem("reference", "dated bests of the drill", "What were the first and the last good speeds in the "+drill+", with their days?",
				func(c *casefile.Case) []casefile.Best { return c.Reference.Best }))
	}
	return append(out, bestItem("mound", "dated bests on the mound", "And on the mound, over the same weeks?",
		func(c *casefile.Case) []casefile.Best { return c.Mound }))
}

func (f *Flow) referenceItem() item {
	throws := f.throwAnswers(func(id string) bool { t, ok := f.base.Throw(id); return ok && t.CanBeReference })
	it := item{topic: "reference", Question: Question{
		ID: "reference.throw", Section: Drill, Title: "reference drill", Ask: "In which throw is the pattern at its best?",
		Help: "The drill that is fast and well organised for this athlete, and the start of the ladder. Any throw will do; " +
			"what counts is that it works.",
		Options: options(throws), Seconds: quick,
	}}
	it.stands = func(c *casefile.Case) (string, string) {
		if c.Reference.Throw == "" {
			return "", ""
		}
		return f.title(c.Reference.Throw), c.Reference.Throw
	}
	it.read = func(_ *Flow, shown Question, r Reply) (change, error) {
		o, ok := shown.pick(r.Text)
		if !ok {
			return change{}, shown.wrong(r.Text)
		}
		return change{apply: set([]string{"reference", "throw"}, o.ID), words: o.Label}, nil
	}
	return it
}

// dateItem asks for a day in the past.
func dateItem(path []string, section, title, ask, help string, of func(*casefile.Case) time.Time) item {
	it := item{topic: path[len(path)-1], Question: Question{ID: strings.Join(path, "."), Section: section, Title: title, Ask: ask, Help: help,
		Typed: "a day such as 2026-11-09, or today", Number: true, Seconds: typing}}
	it.stands = func(c *casefile.Case) (string, string) {
		if of(c).IsZero() {
			return "", ""
		}
		return of(c).Format(time.DateOnly), ""
	}
	it.read = func(f *Flow, _ Question, r Reply) (change, error) {
		day, err := f.day(r.Text)
		if err != nil {
			return change{}, err
		}
		return change{apply: set(path, day), words: day}, nil
	}
	return it
}

// day reads a calendar day that does not lie ahead.
func (f *Flow) day(text string) (string, error) {
	text = strings.ToLower(strings.TrimSpace(text))
	switch text {
	case "today":
		return f.vocab.Today.Format(time.DateOnly), nil
	case "yesterday":
		return f.vocab.Today.AddDate(0, 0, -1).Format(time.DateOnly), nil
	}
	day, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return "", refuse("write it as year-month-day, such as 2026-11-09", "%s is no day", quoted(text))
	}
	if day.After(f.vocab.Today) {
		return "", refuse("check the year and the month", "%s lies after today", text)
	}
	return text, nil
}

// bestPattern is one dated speed, with the throws it is the mean of.
var bestPattern = regexp.MustCompile(`(\d{4}-\d{2}-\d{2})[\s:]+(\d+(?:[.,]\d+)?)\s*(mph|km/h|m/s)?(?:\s+of\s+(\d+))?`)

// bestItem asks for dated speeds, on one line.
func bestItem(section, title, ask string, of func(*casefile.Case) []casefile.Best) item {
	it := item{topic: section, Question: Question{ID: section + ".best", Section: Drill, Title: title, Ask: ask,
		Help: "Two days with some weeks between them show the gain: the day, then the mean of that day's good throws. Three throws " +
			"are taken for the mean unless `of 5` says otherwise. One day alone may stand as well.",
		Typed: "days with speeds, such as 2026-09-14 84.6, 2026-11-02 93.1", Number: true, Seconds: typing}}
	it.stands = func(c *casefile.Case) (string, string) {
		var days []string
		for _, b := range of(c) {
			text := fmt.Sprintf("%s %s", b.On.Format(time.DateOnly), unit.Quantity{Value: b.Speed, Unit: unit.MPH}.Text(1))
			if b.N != 3 {
				text += fmt.Sprintf(" of %d", b.N)
			}
			days = append(days, text)
		}
		return strings.Join(days, ", "), ""
	}
	it.read = func(f *Flow, shown Question, r Reply) (change, error) {
		text, words, err := f.bests(r.Text, shown)
		if err != nil {
			return change{}, err
		}
		return change{apply: set([]string{section, "best"}, text), words: words}, nil
	}
	return it
}

func (f *Flow) bests(text string, shown Question) (yaml, words string, err error) {
	matches := bestPattern.FindAllStringSubmatch(text, -1)
	if rest := strings.Trim(bestPattern.ReplaceAllString(text, ""), " ,;\t\n"); rest != "" || len(matches) == 0 {
		return "", "", refuse("it takes "+shown.Typed, "%s cannot be read here", quoted(text))
	}
	var entries, said []string
	for _, m := range matches {
		if _, err := f.day(m[1]); err != nil {
			return "", "", err
		}
		in := m[3]
		if in == "" {
			in = string(unit.MPH)
		}
		q, err := unit.Read(m[2]+" "+in, unit.Unit(in), unit.Range{})
		if err != nil {
			return "", "", faulty(err)
		}
		entry, line := fmt.Sprintf("on: %s, speed: %s", m[1], q), m[1]+" "+q.String()
		if m[4] != "" {
			entry, line = entry+", n: "+m[4], line+" of "+m[4]
		}
		entries, said = append(entries, "{"+entry+"}"), append(said, line)
	}
	return "[" + strings.Join(entries, ", ") + "]", strings.Join(said, ", "), nil
}

// loadItems asks for what was thrown lately.
func (f *Flow) loadItems() []item {
	weeks := item{topic: "weeks", Question: Question{ID: "load.weeks", Section: Athlete, Title: "throws a week",
		Ask: "How many throws in each of the last four weeks, and how many of them hard?",
		Help: "Oldest week first. Hard is above 85 % effort, off a mound or flat. What is not told counts as none, and a plan then " +
			"begins low.",
		Typed: "weeks such as 190/38 205/42 200/40 210/45", Number: true, Seconds: typing}}
	weeks.stands = func(c *casefile.Case) (string, string) {
		var out []string
		for _, w := range c.Load.Weeks {
			out = append(out, fmt.Sprintf("%d/%d", w.Throws, w.High))
		}
		if len(out) == 0 && len(c.Load.Days) > 0 {
			return fmt.Sprintf("%d days are recorded", len(c.Load.Days)), ""
		}
		return strings.Join(out, " "), ""
	}
	weeks.read = func(f *Flow, shown Question, r Reply) (change, error) { return readWeeks(shown, r.Text, f.vocab.Today) }
	last := dateItem([]string{"load", "last_high_effort"}, Athlete, "last hard throws", "When were the last throws above 85 % effort?",
		"Before today's ladder, if there was one. It decides when hard throws may come again.",
		func(c *casefile.Case) time.Time { return c.Load.LastHighEffort })
	return []item{weeks, last}
}

var weekPattern = regexp.MustCompile(`^(\d{1,4})(?:/(\d{1,4}))?$`)

// readWeeks reads the last weeks. They end on the day before they are asked for, which is written beside them: without
// it a week would stay the last one for good.
func readWeeks(shown Question, text string, today time.Time) (change, error) {
	var entries, said []string
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ',' || r == ';' || r == '\t' || r == '\n' }) {
		m := weekPattern.FindStringSubmatch(word)
		if m == nil {
			return change{}, refuse("it takes "+shown.Typed, "%s is no week", quoted(word))
		}
		throws, _ := strconv.Atoi(m[1]) // four digits always read
		entry := fmt.Sprintf("{throws: %d", throws)
		if m[2] != "" {
			high, _ := strconv.Atoi(m[2])
			entry += fmt.Sprintf(", high_effort: %d", high)
		}
		entries, said = append(entries, entry+"}"), append(said, word)
	}
	if len(entries) == 0 {
		return change{}, refuse("it takes "+shown.Typed, "nothing was answered")
	}
	return change{words: strings.Join(said, " "), apply: func(file *source.File) ([]byte, error) {
		out, err := set([]string{"load", "weeks"}, "["+strings.Join(entries, ", ")+"]")(file)
		if err != nil || today.IsZero() {
			return out, err
		}
		return set([]string{"load", "weeks_until"}, today.AddDate(0, 0, -1).Format(time.DateOnly))(source.New(file.Path, out))
	}}, nil
}
