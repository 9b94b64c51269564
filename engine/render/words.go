package render

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"rungwise/engine/report"
)

// vars are the values of placeholders.
type vars map[string]string

// speaker fills the sentences of the rule base.
type speaker struct {
	words func(id string) string
	base  vars
}

func newSpeaker(r *report.Report, o Options) speaker {
	words := o.Words
	if words == nil {
		words = func(string) string { return "" }
	}
	return speaker{words: words, base: baseVars(r)}
}

// say returns a sentence with its placeholders filled, escaped for Markdown. A
// sentence that is not there, or one of whose placeholders has no value, is "".
// A few sentences cannot be taken out: those that stop a throw.
func (s speaker) say(id string, more ...string) string { return esc(s.raw(id, more...)) }

// raw is say without the escapes.
func (s speaker) raw(id string, more ...string) string {
	text := s.words(id)
	if strings.TrimSpace(text) == "" {
		text = keep(id)
	}
	v := vars{}
	for i := 0; i+1 < len(more); i += 2 {
		v[more[i]] = more[i+1]
	}
	filled, ok := s.fill(text, v)
	if !ok {
		filled, _ = s.fill(keep(id), v)
	}
	return filled
}

// fill puts values in for {names}; it reports false where one is missing.
func (s speaker) fill(text string, v vars) (string, bool) {
	var b strings.Builder
	for {
		open := strings.IndexByte(text, '{')
		if open < 0 {
			b.WriteString(text)
			return b.String(), true
		}
		end := strings.IndexByte(text[open:], '}')
		if end < 0 {
			b.WriteString(text)
			return b.String(), true
		}
		name := text[open+1 : open+end]
		value, ok := v[name]
		if !ok {
			value = s.base[name]
		}
		if strings.TrimSpace(value) == "" {
			return "", false
		}
		b.WriteString(text[:open])
		b.WriteString(value)
		text = text[open+end+1:]
	}
}

// keep holds the sentences that no wording can take out.
func keep(id string) string {
	switch id {
	case "head_stop":
		return "When to stop"
	case "stop_intro":
		return "Stop at once, and do not throw again until a licensed clinician has cleared you, if you notice any of these:"
	case "stop_pain":
		return "pain anywhere in the arm, or soreness from the shoulder to the hand"
	case "stop_numb":
		return "numbness or tingling in the arm, the hand or the fingers"
	case "stop_pop":
		return "a pop, a swelling, or a joint that locks"
	case "stop_colour":
		return "an arm or a hand that is cold, blue, pale or swollen"
	case "stop_body":
		return "a blow to the head, fainting, or pain in the chest"
	case "before_well":
		return "I am well: no fever, no illness, no open wound and no skin infection."
	case "stop_loss":
		return "speed or control that goes away suddenly"
	case "stop_who":
		return "A licensed clinician is a physician, a physical therapist or an athletic trainer."
	case "plan_deferral":
		return "Your league's rules, and what a physician, a physical therapist or an athletic trainer tells you, come before anything on this page."
	case "refer_head":
		return "Please stop throwing, and see a clinician first"
	case "refer_do":
		return "Do not throw until a licensed clinician has cleared you."
	case "refer_no_diagnosis", "coach_not_a_diagnosis":
		return "Nothing here says what it is. Only a licensed clinician can find that out."
	case "not_enough_head":
		return "We need to know more first"
	}
	return ""
}

// baseVars are the values that hold for the whole record.
func baseVars(r *report.Report) vars {
	v := vars{
		"athlete": r.Case, "reference": r.Athlete.RefTitle, "compared": r.Athlete.CompTitle, "unit": r.CarryOver.Unit,
		"on": dayMonth(r.On), "says": r.Gate.Says, "do": r.Gate.Do,
		"version": r.Rules.Version, "hash": r.Rules.Hash,
		"rung": orElse(r.Ladder.RungTitle, throwTitle(r, r.Ladder.Rung)), "rung_to": throwTitle(r, r.Ladder.RungTo),
		"last_good": throwTitle(r, r.Ladder.LastGood), "adds": adds(r),
	}
	if r.Rules.House != nil {
		v["house"] = *r.Rules.House
	}
	if g := r.CarryOver; g.DrillGain != nil && g.MoundGain != nil {
		v["drill_gain"], v["mound_gain"] = num(*g.DrillGain), num(*g.MoundGain)
	}
	if p := r.Plan; p != nil {
		v["weeks"], v["from"], v["retest"] = count(p.Weeks, "week"), dayMonth(p.Start), dayMonth(p.Retest)
		if p.Floor != nil {
			v["floor"], v["unit"] = num(p.Floor.Speed), p.Floor.Unit
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
	if r.Plan != nil {
		for _, t := range r.Plan.Throws {
			if t.ID == id && t.Title != "" {
				return t.Title
			}
		}
	}
	for _, g := range r.Ladder.Rungs {
		if g.Throw == id && g.Title != "" {
			return g.Title
		}
	}
	switch id {
	case "":
		return ""
	case r.Athlete.Reference:
		return orElse(r.Athlete.RefTitle, humble(id))
	case r.Athlete.Compared:
		return orElse(r.Athlete.CompTitle, humble(id))
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

// count writes a number of things: "1 week", "3 weeks".
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// percent tells a chance to the nearest 5 %, and never pretends to certainty.
func percent(p float64) string {
	switch {
	case math.IsNaN(p):
		return "not known"
	case p > .95:
		return "over 95 %"
	case p < .05:
		return "under 5 %"
	}
	return fmt.Sprintf("about %.0f %%", 5*math.Round(20*p))
}

// date reads a day of the record; false where it is none.
func date(s string) (time.Time, bool) {
	t, err := time.Parse(time.DateOnly, s)
	return t, err == nil
}

// dayMonth writes a day for people, "9 November 2026"; what is no day stays.
func dayMonth(s string) string {
	t, ok := date(s)
	if !ok {
		return s
	}
	return t.Format("2 January 2006")
}

// sentence makes a message into a sentence: a capital first, a stop last.
func sentence(s string) string {
	s = strings.TrimSpace(s)
	if s == "" {
		return ""
	}
	c := []rune(s)
	s = strings.ToUpper(string(c[:1])) + string(c[1:])
	if !strings.ContainsAny(s[len(s)-1:], ".!?:") {
		s += "."
	}
	return s
}

// list joins names as people do: "a, b and c".
func list(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}
