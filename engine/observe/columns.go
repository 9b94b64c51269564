package observe

import (
	"math"
	"slices"
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/checklist"
	"rungwise/engine/fact"
	"rungwise/engine/ladder"
	"rungwise/engine/measure"
	"rungwise/engine/rule"
	"rungwise/engine/unit"
)

// Row is one checkpoint in its two columns.
type Row struct {
	Checkpoint  checklist.Checkpoint
	Best, Stuck Side
	Verdict     string  // Differs, Same, Unclear or Unseen
	Note        string  // why it is unclear, or what would settle it
	Chance      float64 // that the two truly differ, where both were measured or both graded; else 0
}

// The verdicts of a row.
const (
	Differs = "differs"
	Same    = "same"
	Unclear = "unclear"
	Unseen  = "unseen"
)

// Side is what was seen of a checkpoint on one throw.
type Side struct {
	Looked   bool   // somebody looked, and saw it or not
	Answer   string // graded, or what a measurement stands for; "" = none
	Graded   bool   // Answer was given by eye
	Unsure   bool
	Split    bool // the clips disagree
	Readings []measure.Reading
	Grades   []measure.Grading // by eye, one a clip
	Clips    int
	Evidence []string // clips and times, as far as they were given
	TooSlow  string   // why its camera cannot show it, and which could; "" where it can

	days      []time.Time // on which it was filmed, as far as told
	offSquare []float64   // deg, of each camera of which it was told
}

// Seen reports whether there is an answer or a measurement.
func (s Side) Seen() bool { return s.Answer != "" || len(s.Readings) > 0 }

// Text is what was seen, in a few words; "" where nothing was.
func (s Side) Text(p checklist.Checkpoint) string {
	text := s.Answer
	switch {
	case len(s.Readings) > 0:
		text = unit.Quantity{Value: mean(s.Readings), Unit: s.Readings[0].Unit}.Text(0)
	case s.Answer == "" && s.Split:
		return "clips disagree"
	case s.Answer == "":
		return ""
	}
	if s.Unsure {
		text += " (not sure)"
	}
	return text
}

func mean(rs []measure.Reading) float64 {
	sum := 0.0
	for _, r := range rs {
		sum += r.Value
	}
	return sum / float64(len(rs))
}

// compared picks the throw that is set beside the drill: the stuck rung if
// anything was seen there, else the next rung after it that was seen; without a
// stuck rung a slope throw to a catcher, else the last throw seen.
func (o *observer) compared() string {
	seen := func(throw string) bool {
		return throw != o.c.Reference.Throw && slices.ContainsFunc(o.c.Seen, func(s casefile.Observation) bool {
			return s.Throw == throw && slices.ContainsFunc(s.Looks, func(l casefile.Look) bool { return !l.Unseen })
		})
	}
	v := o.f.Ladder.Verdict
	if v.Kind == ladder.Stuck || v.Kind == ladder.Range {
		for _, r := range o.f.Ladder.Rungs[v.Rung:] {
			if seen(r.Throw.ID) {
				return r.Throw.ID
			}
		}
	}
	if seen("slope_catcher") {
		return "slope_catcher"
	}
	last := ""
	for _, t := range o.b.Throws {
		if seen(t.ID) {
			last = t.ID
		}
	}
	return last
}

// columns fills best, stuck and changed, and the rows beside them.
func (o *observer) columns() {
	for _, p := range o.b.Checklist.Checkpoints {
		if p.Phase == checklist.Task {
			continue
		}
		row := Row{Checkpoint: p, Best: o.side(p, o.c.Reference.Throw), Stuck: o.side(p, o.f.Compared)}
		o.column(fact.Best, p, row.Best)
		o.column(fact.Stuck, p, row.Stuck)
		o.compare(&row)
		o.f.Rows = append(o.f.Rows, row)
	}
}

// side gathers the looks at a checkpoint on a throw. A grade off a camera that
// is too slow for it is not sure, whatever the coach says.
func (o *observer) side(p checklist.Checkpoint, throw string) Side {
	var s Side
	obs := o.c.Observed(p.ID, throw)
	if obs == nil || throw == "" {
		return s
	}
	s.Looked = true
	counts := map[string]int{}
	for _, look := range obs.Looks {
		if look.Unseen {
			continue
		}
		s.filmed(p, look)
		if look.Answer != "" {
			counts[look.Answer]++
			s.Grades = append(s.Grades, grading(p, look))
		} else if r, err := look.Reading(p.Measure, o.height()); err == nil {
			s.Readings = append(s.Readings, r)
		}
	}
	s.Answer, s.Split = most(p, counts)
	s.Graded = s.Answer != ""
	if !s.Graded && len(s.Readings) > 0 {
		if g, ok := Grade(p, s.Readings...); ok && g.Known {
			s.Answer = g.Answer
		}
	}
	return s
}

// grading is an answer by its place, for whoever weighs repeated ones.
func grading(p checklist.Checkpoint, look casefile.Look) measure.Grading {
	at := slices.IndexFunc(p.Answers, func(a fact.Answer) bool { return a.ID == look.Answer })
	return measure.Grading{Answer: at, Unsure: look.Unsure || tooSlow(p, look.Rate()) != ""}
}

// filmed notes the clip of a look.
func (s *Side) filmed(p checklist.Checkpoint, look casefile.Look) {
	s.Clips++
	slow := tooSlow(p, look.Rate())
	if slow != "" {
		s.TooSlow = slow
	}
	s.Unsure = s.Unsure || look.Unsure || slow != "" && look.Answer != ""
	if e := evidence(look.Clip, look.At); e != "" {
		s.Evidence = append(s.Evidence, e)
	}
	if !look.On.IsZero() {
		s.days = append(s.days, look.On)
	}
	if look.OffSquare != nil {
		s.offSquare = append(s.offSquare, *look.OffSquare)
	}
}

// height is the athlete's in cm, 0 where it was not told.
func (o *observer) height() float64 {
	slot, ok := o.b.Catalogue.Slot("athlete.height")
	if !ok || !o.f.Vector[slot].Known {
		return 0
	}
	return o.f.Vector[slot].N
}

// most is the answer given most often; where two are equally frequent the clips
// disagree and there is none.
func most(p checklist.Checkpoint, counts map[string]int) (answer string, split bool) {
	best := 0
	for _, a := range p.Answers {
		switch n := counts[a.ID]; {
		case n > best:
			answer, best, split = a.ID, n, false
		case n == best && n > 0:
			split = true
		}
	}
	if split {
		return "", true
	}
	return answer, false
}

// Grade is the answer that readings of a checkpoint stand for; ok is false where
// its numbers stand for none.
func Grade(p checklist.Checkpoint, rs ...measure.Reading) (g measure.Graded, ok bool) {
	if p.Measure == nil || len(p.Measure.Bands) == 0 {
		return measure.Graded{}, false
	}
	return measure.Grade(rs, bands(p), spec(p)), true
}

// spec says how a checkpoint is compared.
func spec(p checklist.Checkpoint) measure.Spec {
	return measure.Spec{Unit: unit.Unit(p.Measure.Unit), Tolerance: p.Measure.Tolerance, ThrowSD: p.Measure.ThrowSD, BetweenDays: p.Measure.BetweenDays}
}

func bands(p checklist.Checkpoint) []measure.Band {
	var out []measure.Band
	if p.Measure == nil {
		return nil
	}
	for _, b := range p.Measure.Bands {
		out = append(out, measure.Band(b))
	}
	return out
}

// column gives best.X or stuck.X its value.
func (o *observer) column(column string, p checklist.Checkpoint, s Side) {
	name := column + "." + p.ID
	if len(p.Answers) > 0 {
		o.word(name, s.Answer)
	} else if len(s.Readings) > 0 {
		o.set(name, fact.Num(mean(s.Readings)))
	}
	if slot, ok := o.b.Catalogue.Slot(name); ok && s.Unsure {
		o.f.Unsure[slot] = true
	}
}

// compare decides whether the two columns differ, and says what would settle
// it.
func (o *observer) compare(row *Row) {
	p := row.Checkpoint
	switch {
	case !row.Best.Seen() || !row.Stuck.Seen():
		row.Verdict = Unseen
		if row.Best.Split || row.Stuck.Split {
			row.Verdict, row.Note = Unclear, "the clips of one throw disagree: look at another"
		}
	case len(row.Best.Readings) > 0 && len(row.Stuck.Readings) > 0:
		o.measured(row)
	case row.Best.Answer == "" || row.Stuck.Answer == "":
		row.Verdict, row.Note = Unclear, mixed(p)
	default:
		o.graded(row)
	}
	for _, slow := range []string{row.Best.TooSlow, row.Stuck.TooSlow} {
		if slow != "" && !strings.Contains(row.Note, slow) {
			row.Note = both(row.Note, slow)
		}
	}
}

func both(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + "; " + b
}

// mixed says why a grade and a number do not compare.
func mixed(p checklist.Checkpoint) string {
	if p.Measure == nil || len(p.Measure.Bands) == 0 {
		return "one was graded and the other measured, and its numbers stand for no grades: measure both or grade both"
	}
	return "one was graded and the other measured between two grades: measure both or grade both"
}

// graded compares two answers, given by eye or clearly stood for by a number.
// It is known as soon as there are two, since the reading error enters through
// the signs; the chance tells how far two looks can be believed.
func (o *observer) graded(row *Row) {
	row.Verdict = Same
	if row.Best.Answer != row.Stuck.Answer {
		row.Verdict = Differs
	}
	p := row.Checkpoint
	scale := measure.Scale{Answers: len(p.Answers), Kinds: !p.Ordered, Error: o.b.Value(rule.ReadingError(checklist.Eye), measure.EyeError)}
	if row.Best.Graded && row.Stuck.Graded {
		row.Chance = measure.GradesDiffer(row.Best.Grades, row.Stuck.Grades, scale)
	}
	changed := fact.Changed + "." + row.Checkpoint.ID
	o.set(changed, fact.Bool(row.Verdict == Differs))
	if slot, ok := o.b.Catalogue.Slot(changed); ok && (row.Best.Unsure || row.Stuck.Unsure) {
		o.f.Unsure[slot] = true
	}
}

// measured compares two measurements, with what the days and the cameras add.
func (o *observer) measured(row *Row) {
	s, ok := spec(row.Checkpoint), false
	s.OtherDay = daysDiffer(row.Best, row.Stuck)
	if s.Bias, ok = bias(row.Checkpoint.Measure, row.Best, row.Stuck); !ok {
		row.Verdict, row.Note = Unclear, "the cameras stood too far off square: film both throws square to the line, from the same place"
		return
	}
	v := measure.Compare(row.Best.Readings, row.Stuck.Readings, s)
	row.Verdict, row.Chance, row.Note = string(v.Call), v.P, both(v.Why, v.Need)
	changed := fact.Changed + "." + row.Checkpoint.ID
	if slot, ok := o.b.Catalogue.Slot(changed); ok && v.Lambda > 0 && !math.IsInf(v.Lambda, 0) {
		o.f.Lambda[slot] = v.Lambda
	}
	switch v.Call {
	case measure.Differs:
		o.set(changed, fact.Bool(true))
	case measure.Same:
		o.set(changed, fact.Bool(false))
	}
}
