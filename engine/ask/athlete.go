package ask

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/checklist"
	"rungwise/engine/prompt"
	"rungwise/engine/unit"
)

// sectionOf sorts the questions of the checklist. The screen that any coach can
// ask is the safety screen.
func sectionOf(q checklist.Question) string {
	switch {
	case q.Group == screenGroup && q.By == checklist.ByCoach:
		return Safety
	case q.Group == "athlete" || q.Group == "load":
		return Athlete
	}
	return Others
}

// asked makes an item of a question about the athlete.
func asked(q checklist.Question) item {
	it := item{topic: q.ID, Question: Question{ID: q.Name(), Section: sectionOf(q), Title: q.Title, Ask: q.Ask, Help: q.Help,
		Seconds: quick}}
	switch {
	case q.YesNo:
		it.Options = prompt.YesNo("1", "2")
	case q.Number != nil:
		it.Typed, it.Number, it.Seconds = "a number in "+q.Number.Unit, true, typing
		it.read = number(it.ID, unit.Unit(q.Number.Unit), q.Number.Low, q.Number.High)
	default:
		it.Options = options(q.Answers)
	}
	it.stands = func(c *casefile.Case) (string, string) {
		value, ok := c.Answer(q.Name())
		switch {
		case !ok:
			return "", ""
		case q.Number != nil:
			return value + " " + q.Number.Unit, ""
		}
		return q.Label(value), value
	}
	return it
}

// loadItems asks for what was thrown lately.
func (f *Flow) loadItems() []item {
	weeks := item{topic: "weeks", Question: Question{ID: "load.weeks", Section: Athlete, Title: "throws a week",
		Ask:  "How many throws in each of the last four weeks, and how many of them hard?",
		Help: f.words("help_weeks"), Typed: "weeks such as 190/38 205/42 200/40 210/45", Number: true, Seconds: typing}}
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
	weeks.read = func(r Reply) (change, error) { return readWeeks(weeks.Question, r.Text, f.vocab.Today) }
	last := f.dayItem(Question{ID: "load.last_high_effort", Section: Athlete, Title: "last hard throws",
		Ask: "When were the last throws above 85 % effort?", Help: f.words("help_last_hard")},
		func(c *casefile.Case) time.Time { return c.Load.LastHighEffort })
	return []item{weeks, last}
}

var weekPattern = regexp.MustCompile(`^(\d{1,4})(?:/(\d{1,4}))?$`)

// readWeeks reads the last weeks. They end on the day before they are asked for,
// which is written beside them: without it a week would stay the last one for
// good.
func readWeeks(q Question, text string, today time.Time) (change, error) {
	words := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" ,;\t\n", r) })
	var entries []string
	for _, word := range words {
		m := weekPattern.FindStringSubmatch(word)
		if m == nil {
			return change{}, q.unreadable("%s is no week", word)
		}
		throws, _ := strconv.Atoi(m[1]) // four digits always read
		entry := fmt.Sprintf("{throws: %d", throws)
		if m[2] != "" {
			high, _ := strconv.Atoi(m[2])
			entry += fmt.Sprintf(", high_effort: %d", high)
		}
		entries = append(entries, entry+"}")
	}
	if len(entries) == 0 {
		return change{}, prompt.Refuse("it takes "+q.Typed, "nothing was answered")
	}
	ch := writes(q.ID, "["+strings.Join(entries, ", ")+"]", strings.Join(words, " "))
	ch.sets = append(ch.sets, setting{"load.weeks_until", today.AddDate(0, 0, -1).Format(time.DateOnly)})
	return ch, nil
}

// drillItems asks for the reference drill and what drill and mound gained.
func (f *Flow) drillItems() []item {
	out := []item{f.referenceItem()}
	if f.c.Reference.Throw != "" {
		drill := f.title(f.c.Reference.Throw)
		out = append(out,
			f.dayItem(Question{ID: "reference.first_thrown", Section: Drill, Title: "first day of the drill",
				Ask: "When was the " + drill + " thrown for the first time?", Help: f.words("help_first_day")},
				func(c *casefile.Case) time.Time { return c.Reference.FirstThrown }),
			f.dayItem(Question{ID: "reference.last_thrown", Section: Drill, Title: "last day of the drill",
				Ask: "When was the " + drill + " thrown last?", Help: f.words("help_last_day")},
				func(c *casefile.Case) time.Time { return c.Reference.LastThrown }),
			f.bestItem("reference", "dated bests of the drill",
				"What were the first and the last good speeds in the "+drill+", with their days?",
				func(c *casefile.Case) []casefile.Best { return c.Reference.Best }))
	}
	return append(out, f.bestItem("mound", "dated bests on the mound", "And on the mound, over the same weeks?",
		func(c *casefile.Case) []casefile.Best { return c.Mound }))
}

func (f *Flow) referenceItem() item {
	throws := f.throwAnswers(func(id string) bool { t, ok := f.base.Throw(id); return ok && t.CanBeReference })
	it := item{topic: "reference", Question: Question{
		ID: "reference.throw", Section: Drill, Title: "reference drill", Ask: "In which throw is the pattern at its best?",
		Help: f.words("help_reference"), Options: options(throws), Seconds: quick,
	}}
	it.stands = func(c *casefile.Case) (string, string) {
		if c.Reference.Throw == "" {
			return "", ""
		}
		return f.title(c.Reference.Throw), c.Reference.Throw
	}
	return it
}

// dayItem asks for a day in the past.
func (f *Flow) dayItem(q Question, of func(*casefile.Case) time.Time) item {
	q.Typed, q.Number, q.Seconds = "a day such as 2026-11-09, or today", true, typing
	it := item{topic: q.ID[strings.LastIndex(q.ID, ".")+1:], Question: q}
	it.stands = func(c *casefile.Case) (string, string) {
		if of(c).IsZero() {
			return "", ""
		}
		return of(c).Format(time.DateOnly), ""
	}
	it.read = func(r Reply) (change, error) {
		day, err := f.day(r.Text)
		return writes(q.ID, day, day), err
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
		return "", prompt.Refuse("write it as year-month-day, such as 2026-11-09", "%s is no day", prompt.Quote(text))
	}
	if day.After(f.vocab.Today) {
		return "", prompt.Refuse("check the year and the month", "%s lies after today", text)
	}
	return text, nil
}

// bestItem asks for dated speeds, on one line.
func (f *Flow) bestItem(section, title, ask string, of func(*casefile.Case) []casefile.Best) item {
	it := item{topic: section, Question: Question{ID: section + ".best", Section: Drill, Title: title, Ask: ask,
		Help: f.words("help_bests"), Typed: "days with speeds, such as 2026-09-14 84.6, 2026-11-02 93.1", Number: true, Seconds: typing}}
	it.stands = func(c *casefile.Case) (string, string) {
		var days []string
		for _, b := range of(c) {
			text := b.On.Format(time.DateOnly) + " " + unit.Quantity{Value: b.Speed, Unit: unit.MPH}.Text(1)
			if b.N != usualThrows {
				text += fmt.Sprintf(" of %d", b.N)
			}
			days = append(days, text)
		}
		return strings.Join(days, ", "), ""
	}
	it.read = func(r Reply) (change, error) { return f.readBests(it.Question, r.Text) }
	return it
}

// usualThrows is of how many throws a best is the mean where nothing says so.
const usualThrows = 3

// bestPattern is one dated speed, with the throws it is the mean of.
var bestPattern = regexp.MustCompile(`(\d{4}-\d{2}-\d{2})[\s:]+(\d+(?:[.,]\d+)?)\s*(mph|km/h|m/s)?(?:\s+of\s+(\d+))?`)

func (f *Flow) readBests(q Question, text string) (change, error) {
	matches := bestPattern.FindAllStringSubmatch(text, -1)
	if rest := strings.Trim(bestPattern.ReplaceAllString(text, ""), " ,;\t\n"); rest != "" || len(matches) == 0 {
		return change{}, q.unreadable("%s cannot be read here", text)
	}
	var entries, said []string
	for _, m := range matches {
		if _, err := f.day(m[1]); err != nil {
			return change{}, err
		}
		in := m[3]
		if in == "" {
			in = string(unit.MPH)
		}
		speed, err := unit.Read(m[2]+" "+in, unit.Unit(in), unit.Range{})
		if err != nil {
			return change{}, faulty(err)
		}
		entry, line := fmt.Sprintf("on: %s, speed: %s", m[1], speed), m[1]+" "+speed.String()
		if m[4] != "" {
			entry, line = entry+", n: "+m[4], line+" of "+m[4]
		}
		entries, said = append(entries, "{"+entry+"}"), append(said, line)
	}
	return writes(q.ID, "["+strings.Join(entries, ", ")+"]", strings.Join(said, ", ")), nil
}
