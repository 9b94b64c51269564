package render

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"rungwise/engine/report"
)

// speaker says the sentences of the rule base.
type speaker struct {
	words report.Words
	base  []string // values that hold for the whole record, as pairs
}

func newSpeaker(r *report.Report, o Options) speaker {
	words := o.Words
	if words == nil {
		words = func(string) string { return "" }
	}
	return speaker{words: words, base: baseValues(r)}
}

// say returns a sentence with its places filled, escaped for Markdown. A
// sentence that is not there, or one of whose places has no value, is "". A few
// sentences cannot be taken out: those that stop a throw.
func (s speaker) say(id string, pairs ...string) string { return esc(s.raw(id, pairs...)) }

// raw is say without the escapes.
func (s speaker) raw(id string, pairs ...string) string {
	pairs = slices.Concat(s.base, pairs)
	keep := report.Words(func(id string) string { return kept[id] })
	return orElse(s.words.Say(id, pairs...), keep.Say(id, pairs...))
}

func (s speaker) all(ids []string) []string {
	out := make([]string, len(ids))
	for i, id := range ids {
		out[i] = s.say(id)
	}
	return out
}

// plural says a sentence about a number of things, {n}; of one thing there is
// another sentence.
func (s speaker) plural(id string, n int, pairs ...string) string {
	if n == 1 {
		id += "_one"
	}
	return s.say(id, append(pairs, "n", strconv.Itoa(n))...)
}

// led makes what stands before the first colon of a sentence bold.
func led(text string) string {
	if label, rest, ok := strings.Cut(text, ": "); ok {
		return bold(label+":") + " " + rest
	}
	return text
}

// kept holds the sentences that no wording can take out.
var kept = map[string]string{
	"head_stop":             "When to stop",
	"stop_intro":            "Stop at once, and do not throw again until a licensed clinician has cleared you, if you notice any of these:",
	"stop_pain":             "pain anywhere in the arm, or soreness from the shoulder to the hand",
	"stop_numb":             "numbness or tingling in the arm, the hand or the fingers",
	"stop_pop":              "a pop, a swelling, or a joint that locks",
	"stop_colour":           "an arm or a hand that is cold, blue, pale or swollen",
	"stop_body":             "a blow to the head, fainting, or pain in the chest",
	"before_well":           "I am well: no fever, no illness, no open wound and no skin infection.",
	"stop_loss":             "speed or control that goes away suddenly",
	"stop_who":              "A licensed clinician is a physician, a physical therapist or an athletic trainer.",
	"plan_deferral":         deferral,
	"page_deferral":         deferral,
	"refer_head":            "Please stop throwing, and see a clinician first",
	"refer_do":              "Do not throw until a licensed clinician has cleared you.",
	"refer_no_diagnosis":    noDiagnosis,
	"coach_not_a_diagnosis": noDiagnosis,
	"not_enough_head":       "We need to know more first",
	"calendar_stop": "Stop at once at pain, numbness, tingling, a pop, a swelling or a sudden loss of speed or control, " +
		"and see a licensed clinician before you throw again.",
	"calendar_gone": "Cancelled: nothing is planned on this day",
}

const (
	deferral    = "Your league's rules, and what a physician, a physical therapist or an athletic trainer tells you, come before anything on this page."
	noDiagnosis = "Nothing here says what it is. Only a licensed clinician can find that out."
)

// baseValues are the values that hold for the whole record.
func baseValues(r *report.Report) []string {
	v := []string{
		"athlete", r.Case, "reference", r.Athlete.RefTitle, "compared", r.Athlete.CompTitle, "unit", r.CarryOver.Unit,
		"on", dayMonth(r.On), "says", r.Gate.Says, "do", r.Gate.Do, "version", r.Rules.Version, "hash", r.Rules.Hash,
		"rung", orElse(r.Ladder.RungTitle, throwTitle(r, r.Ladder.Rung)), "rung_to", throwTitle(r, r.Ladder.RungTo),
		"last_good", throwTitle(r, r.Ladder.LastGood), "adds", adds(r),
	}
	if r.Rules.House != nil {
		v = append(v, "house", *r.Rules.House)
	}
	if g := r.CarryOver; g.DrillGain != nil && g.MoundGain != nil {
		v = append(v, "drill_gain", num(*g.DrillGain), "mound_gain", num(*g.MoundGain))
	}
	if p := r.Plan; p != nil {
		v = append(v, "weeks", count(p.Weeks, "week"), "from", dayMonth(p.Start), "retest", dayMonth(p.Retest))
		if p.Floor != nil {
			v = append(v, "floor", num(p.Floor.Speed), "unit", p.Floor.Unit, "under", strconv.Itoa(p.Floor.Under), "last", strconv.Itoa(p.Floor.Of))
		}
	}
	return v
}

// adds is what the stuck rung asks that the one before did not, in words.
func adds(r *report.Report) string {
	for _, g := range r.Ladder.Rungs {
		if g.Throw == r.Ladder.Rung && g.Adds != "" {
			return g.Adds
		}
	}
	return r.Ladder.LostWords
}

// throwTitle names a throw for people; an id that the record does not explain
// is written with blanks.
func throwTitle(r *report.Report, id string) string {
	var named []report.Throw
	if r.Plan != nil {
		named = slices.Clone(r.Plan.Throws)
	}
	for _, g := range r.Ladder.Rungs {
		named = append(named, report.Throw{ID: g.Throw, Title: g.Title})
	}
	named = append(named, report.Throw{ID: r.Athlete.Reference, Title: r.Athlete.RefTitle}, report.Throw{ID: r.Athlete.Compared, Title: r.Athlete.CompTitle})
	for _, t := range named {
		if t.ID == id && id != "" && t.Title != "" {
			return t.Title
		}
	}
	return humble(id)
}

// humble writes an id for people.
func humble(id string) string { return strings.ReplaceAll(id, "_", " ") }

func orElse(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

// num writes a number with at most one decimal.
func num(v float64) string { return strings.TrimSuffix(strconv.FormatFloat(v, 'f', 1, 64), ".0") }

func whole(v float64) string { return strconv.FormatFloat(v, 'f', 0, 64) }

// signed writes a gain with its sign.
func signed(v float64) string {
	if v > 0 {
		return "+" + num(v)
	}
	return num(v)
}

// count writes a number of things: "1 week", "3 weeks".
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// dayAs writes a day of the record in a layout; what is no day stays.
func dayAs(s, layout string) string {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return s
	}
	return t.Format(layout)
}

// dayMonth writes a day for people, "9 November 2026".
func dayMonth(s string) string { return dayAs(s, "2 January 2006") }

func shortDay(s string) string { return dayAs(s, "Mon 2 Jan") }

func capital(s string) string {
	c := []rune(s)
	if len(c) == 0 {
		return ""
	}
	return strings.ToUpper(string(c[:1])) + string(c[1:])
}

// sentence makes a message into a sentence: a capital first, a stop last.
func sentence(s string) string {
	s = capital(strings.TrimSpace(s))
	if s != "" && !strings.ContainsAny(s[len(s)-1:], ".!?:") {
		s += "."
	}
	return s
}

// line is a message as a sentence, escaped.
func line(s string) string { return esc(sentence(s)) }

// lines is messages as sentences, escaped.
func lines(texts []string) []string {
	out := make([]string, len(texts))
	for i, t := range texts {
		out[i] = line(t)
	}
	return out
}

// bold marks text that is escaped already.
func bold(s string) string {
	if s == "" {
		return ""
	}
	return "**" + s + "**"
}

// list joins names as people do: "a, b and c".
func list(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}
