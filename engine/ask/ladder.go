package ask

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/checklist"
	"rungwise/engine/diag"
	"rungwise/engine/ladder"
	"rungwise/engine/observe"
	"rungwise/engine/prompt"
	"rungwise/engine/rule"
	"rungwise/engine/unit"
)

// usualMound is the throw that stands for the mound where no ladder says more.
const usualMound = "slope_catcher"

const whichDay = "On which day was the ladder thrown?"

// ladderItems asks for the ladder: its throws with their speeds, its day, and
// on each rung whether the pattern held.
func (f *Flow) ladderItems() []item {
	out := []item{f.rungsItem()}
	l := f.c.Ladder()
	if l == nil {
		return out
	}
	if len(f.c.Ladders) == 1 {
		out = append(out, f.dayItem(Question{ID: "ladder.on", Section: Ladder, Title: "day of the ladder", Ask: whichDay},
			func(c *casefile.Case) time.Time {
				if l := c.Ladder(); l != nil {
					return l.On
				}
				return time.Time{}
			}))
	}
	for _, r := range l.Rungs {
		if len(r.Speeds) > 0 || len(r.Marks) > 0 {
			out = append(out, f.heldItem(r.Throw))
		}
	}
	return out
}

// rungsItem takes the rungs line by line until it is told that they are in.
func (f *Flow) rungsItem() item {
	it := item{topic: "ladder", Question: Question{
		ID: rungsID, Section: Ladder, Title: "throws and speeds", Ask: "Which throws were on the ladder, and how fast?",
		Help:    f.words("help_rungs"),
		Options: prompt.Choices{{Key: "1", ID: "done", Label: "these are all (or there was no ladder)"}},
		Typed:   "a throw and its speeds, such as flat_lift 82.1 81.2 80.3 mph", Seconds: typing,
	}}
	if path := f.path(); len(path) > 0 {
		it.Help += " Small steps from the drill to a catcher would be: " + strings.Join(path, ", ") + "."
	}
	it.stands = func(c *casefile.Case) (string, string) {
		l := c.Ladder()
		if l == nil {
			return "", ""
		}
		var rungs []string
		for _, r := range l.Rungs {
			rungs = append(rungs, f.title(r.Throw)+": "+speedsText(r.Speeds))
		}
		return strings.Join(rungs, "; "), ""
	}
	it.read = func(r Reply) (change, error) {
		if o, ok := it.Options.Pick(r.Text); ok {
			f.rungsIn = true
			return change{words: o.Label}, nil
		}
		return f.readRung(it.Question, r.Text)
	}
	return it
}

const rungsID = "ladder.rungs"

func speedsText(speeds []float64) string { return strings.Trim(fmt.Sprintf("%.1f", speeds), "[]") }

// path is the ladder of smallest steps from the reference drill to a throw to a
// catcher; nil where there is no drill.
func (f *Flow) path() []string {
	built, err := observe.BuildLadder(f.base, func(rule.Throw) bool { return true }, f.c.Reference.Throw, nil, nil)
	if end := slices.Index(built.Throws, usualMound); err == nil && end >= 0 {
		return built.Throws[:end+1]
	}
	return nil
}

// readRung reads a line: a throw, speeds, and their unit.
func (f *Flow) readRung(q Question, text string) (change, error) {
	throw, rest, err := f.throwOf(text)
	if err != nil {
		return change{}, err
	}
	thrown, err := casefile.ReadThrows(rest)
	switch {
	case err != nil:
		return change{}, prompt.Refuse("", "%s", strings.TrimPrefix(err.Error(), casefile.ErrEntry.Error()+": "))
	case len(thrown.Speeds) == 0:
		return change{}, prompt.Refuse("it takes "+q.Typed, "there are no speeds on this line")
	case len(thrown.Marks) > 0:
		return change{}, prompt.Refuse("it takes "+q.Typed, "marks come with their own question")
	}
	in := string(thrown.Unit)
	if in == "" {
		in = string(unit.MPH)
	}
	var speeds []string
	for _, v := range thrown.Speeds {
		if v == nil {
			speeds = append(speeds, `"-"`)
			continue
		}
		speeds = append(speeds, unit.Quantity{Value: *v}.String())
	}
	list := "[" + strings.Join(speeds, ", ") + "]"
	ch := change{words: fmt.Sprintf("%s: %s %s", f.title(throw), strings.Join(speeds, " "), in), stay: true}
	if l := f.c.Ladder(); l != nil && l.Rung(throw) != nil {
		ch.sets = []setting{{rungID(throw, "speeds"), list}, {rungID(throw, "unit"), in}}
	} else {
		ch.sets = []setting{{rungsID, fmt.Sprintf("{throw: %s, speeds: %s, unit: %s}", throw, list, in)}}
	}
	return ch, nil
}

// throwOf finds the throw that a line begins with, by id or by title.
func (f *Flow) throwOf(text string) (throw, rest string, err error) {
	text = strings.TrimSpace(strings.NewReplacer("\t", " ", ":", " ").Replace(text))
	lower := strings.ToLower(text)
	found := 0
	for _, t := range f.base.Throws {
		for _, name := range []string{t.ID, strings.ToLower(t.Title)} {
			after, begins := strings.CutPrefix(lower, name)
			if begins && len(name) > found && strings.IndexFunc(after, wordy) != 0 {
				throw, found = t.ID, len(name)
			}
		}
	}
	if found == 0 {
		word, _, _ := strings.Cut(lower, " ")
		help := "begin with one of: " + strings.Join(f.vocab.Throws, ", ")
		if near, ok := diag.Nearest(word, f.vocab.Throws); ok {
			help = fmt.Sprintf("did you mean %s?", near)
		}
		return "", "", prompt.Refuse(help, "%s names no throw", prompt.Quote(word))
	}
	return throw, text[found:], nil
}

func wordy(r rune) bool { return r >= 'a' && r <= 'z' || r == '_' }

// rungID is where a value of a rung stands, and the question that asks for it.
func rungID(throw, key string) string { return "ladder." + throw + "." + key }

// rungItem makes an item of a question about one rung; of tells its answer.
func (f *Flow) rungItem(throw, key string, q Question, of func(casefile.Rung) (words, id string)) item {
	q.ID, q.Throw, q.Seconds = rungID(throw, key), f.title(throw), quick
	return item{Question: q, stands: func(c *casefile.Case) (string, string) {
		if l := c.Ladder(); l != nil && l.Rung(throw) != nil {
			return of(*l.Rung(throw))
		}
		return "", ""
	}}
}

// heldItem asks whether the pattern held in the throws of a rung.
func (f *Flow) heldItem(throw string) item {
	it := f.rungItem(throw, "held", Question{Section: Ladder, Title: "did the pattern hold",
		Ask: "In how many of these throws did the pattern of the drill hold?", Help: f.words("help_held"),
		Options: prompt.Choices{{Key: "1", ID: "all", Label: "in every throw"}, {Key: "2", ID: "none", Label: "in none"},
			{Key: "3", ID: "partly", Label: "partly, one mark for the rung"}},
		Typed: "a mark a throw, such as y y n p x"}, stoodMarks)
	it.topic = throw
	it.read = func(r Reply) (change, error) { return f.readMarks(throw, it.Question, r.Text) }
	return it
}

func stoodMarks(r casefile.Rung) (words, id string) {
	same := func(m float64) bool {
		return len(r.Marks) > 0 && !slices.ContainsFunc(r.Marks, func(x float64) bool { return x != m })
	}
	switch {
	case same(casefile.Held):
		return "in every throw", "all"
	case same(casefile.NotHeld):
		return "in none", "none"
	case same(casefile.Partly) && len(r.Marks) == 1:
		return "partly", "partly"
	}
	var out []string
	for _, m := range r.Marks {
		out = append(out, map[float64]string{casefile.Held: "y", casefile.NotHeld: "n", casefile.Partly: "p"}[m])
	}
	return strings.Join(out, " "), ""
}

// readMarks reads one mark for all throws of a rung, or one for each.
func (f *Flow) readMarks(throw string, q Question, text string) (change, error) {
	n := len(f.c.Ladder().Rung(throw).Speeds)
	if o, ok := q.Options.Pick(text); ok {
		word := map[string]string{"all": "yes", "none": "no", "partly": "partly"}[o.ID]
		if n > 0 && o.ID != "partly" {
			word = "[" + strings.Join(slices.Repeat([]string{word}, n), ", ") + "]"
		}
		return writes(q.ID, word, o.Label), nil
	}
	marks, err := casefile.ReadMarks(text)
	if err != nil {
		return change{}, q.wrong(text)
	}
	if n > 0 && len(marks) > n {
		return change{}, prompt.Refuse("write one a throw", "there are %d throws on this rung, and %d marks", n, len(marks))
	}
	said := make([]string, len(marks))
	for i, mark := range marks {
		said[i] = strings.Replace(mark[:1], "c", "x", 1) // could_not_see
	}
	return writes(q.ID, "["+strings.Join(marks, ", ")+"]", strings.Join(said, " ")), nil
}

// stuckItems asks what was noted at the stuck rung.
func (f *Flow) stuckItems() []item {
	at, ok := f.stuck()
	if !ok || f.c.Ladder().Rung(at) == nil {
		return nil
	}
	var out []item
	if f.facts.Ladder.Verdict.Rung > 0 {
		out = append(out, f.effortItem(f.facts.Ladder.Rungs[0].Rung.Throw))
	}
	out = append(out, f.effortItem(at), f.wordItem(at, "miss", "release_miss"), f.wordItem(at, "focus", "focus_reported"))
	if t, ok := f.base.Throw(at); ok && f.aimed(t.Demands) {
		throw, key := f.netMiss(at)
		out = append(out, f.hitsItem(at), f.wordItem(throw, key, "release_miss"))
	}
	return out
}

// stuck returns the throw at which the pattern is lost, where the ladder shows
// one.
func (f *Flow) stuck() (string, bool) {
	v := f.facts.Ladder.Verdict
	if (v.Kind != ladder.Stuck && v.Kind != ladder.Range) || v.Rung < 0 {
		return "", false
	}
	return f.facts.Ladder.Rungs[v.Rung].Throw.ID, true
}

// aimed reports whether a throw has something to aim at.
func (f *Flow) aimed(demands []int) bool {
	for i, d := range f.base.Demands {
		if d.ID == "aim" {
			return demands[i] > 0
		}
	}
	return false
}

// netMiss is where the miss into a net is noted: at the last rung before a throw
// that had only a net to hit, else beside that throw.
func (f *Flow) netMiss(at string) (throw, key string) {
	throw, key = at, "net_miss"
	for _, r := range f.facts.Ladder.Rungs {
		if r.Throw.ID == at {
			break
		}
		if !f.aimed(r.Throw.Demands) && f.c.Ladder().Rung(r.Throw.ID) != nil {
			throw, key = r.Throw.ID, "miss"
		}
	}
	return throw, key
}

// tellable is a checkpoint that is told rung by rung, as a question.
func (f *Flow) tellable(checkpoint string) Question {
	p, _ := f.base.Checklist.Checkpoint(checkpoint)
	q := Question{Section: Rungs, Title: p.Title, Ask: p.Ask, Help: p.Help, Options: options(p.Answers)}
	if p.Reading == checklist.Eye {
		q.Film = "camera: " + p.View
	}
	return q
}

func (f *Flow) effortItem(throw string) item {
	q := f.tellable("effort_reported")
	q.Typed, q.Number = "percent of the hardest", true
	it := f.rungItem(throw, "effort", q, func(r casefile.Rung) (string, string) {
		if r.Effort == nil {
			return "", ""
		}
		return unit.Quantity{Value: *r.Effort, Unit: unit.Percent}.String(), ""
	})
	it.topic, it.read = "effort_reported", number(it.ID, unit.Percent, 1, 100)
	return it
}

// wordItem asks for one of the answers of a checkpoint that is told rung by
// rung.
func (f *Flow) wordItem(throw, key, checkpoint string) item {
	q := f.tellable(checkpoint)
	it := f.rungItem(throw, key, q, func(r casefile.Rung) (string, string) {
		id := map[string]string{"miss": r.Miss, "net_miss": r.NetMiss, "focus": r.Focus}[key]
		for _, o := range q.Options {
			if o.ID == id {
				return o.Label, id
			}
		}
		return id, id
	})
	it.topic = checkpoint
	return it
}

var hitsPattern = regexp.MustCompile(`^(\d{1,4})\s*(?:of|/)\s*(\d{1,4})$`)

func (f *Flow) hitsItem(throw string) item {
	it := f.rungItem(throw, "hits", Question{Section: Rungs, Title: "hits",
		Ask: "How many of the attempts hit what was aimed at?", Help: f.words("help_hits"),
		Typed: "hits and attempts, such as 6 of 10", Number: true}, func(r casefile.Rung) (string, string) {
		if r.Hits == nil {
			return "", ""
		}
		return fmt.Sprintf("%d of %d", r.Hits.Hit, r.Hits.Of), ""
	})
	it.topic = "hits"
	it.read = func(r Reply) (change, error) {
		m := hitsPattern.FindStringSubmatch(strings.ToLower(strings.TrimSpace(r.Text)))
		if m == nil {
			return change{}, it.unreadable("%s is no count of hits", r.Text)
		}
		text := m[1] + " of " + m[2]
		return writes(it.ID, text, text), nil
	}
	return it
}
