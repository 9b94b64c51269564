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
	"rungwise/engine/source"
	"rungwise/engine/unit"
)

// ladderItems asks for the ladder: its throws with their speeds, its day, and
// on each rung whether the pattern held.
func (f *Flow) ladderItems() []item {
	out := []item{f.rungsItem()}
	l := f.c.Ladder()
	if l == nil {
		return out
	}
	on := dateItem([]string{"ladder", "on"}, Ladder, "day of the ladder", whichDay, "",
		func(c *casefile.Case) time.Time {
			if l := c.Ladder(); l != nil {
				return l.On
			}
			return time.Time{}
		})
	if len(f.c.Ladders) == 1 {
		out = append(out, on)
	}
	for _, r := range l.Rungs {
		if len(r.Speeds) > 0 || len(r.Marks) > 0 {
			out = append(out, f.heldItem(r.Throw))
		}
	}
	return out
}

const whichDay = "On which day was the ladder thrown?"

// rungsItem takes the rungs line by line until it is told that they are in.
func (f *Flow) rungsItem() item {
	it := item{topic: "ladder", Question: Question{
		ID: "ladder.rungs", Section: Ladder, Title: "throws and speeds", Ask: "Which throws were on the ladder, and how fast?",
		Help: "One line a rung, the reference drill first: the throw, then the speeds as the gun showed them; a dash for a throw it " +
			"missed. Paste as many lines as you like. A line for a rung that stands already replaces its speeds. " + f.suggested(),
		Options: []Option{{Key: "1", ID: "done", Label: "these are all (or there was no ladder)"}},
		Typed:   "a throw and its speeds, such as flat_lift 82.1 81.2 80.3 mph", Seconds: typing,
	}}
	it.stands = func(c *casefile.Case) (string, string) {
		l := c.Ladder()
		if l == nil {
			return "", ""
		}
		var rungs []string
		for _, r := range l.Rungs {
			rungs = append(rungs, fmt.Sprintf("%s: %s", f.title(r.Throw), strings.Trim(fmt.Sprintf("%.1f", r.Speeds), "[]")))
		}
		return strings.Join(rungs, "; "), ""
	}
	it.read = func(f *Flow, shown Question, r Reply) (change, error) {
		if o, ok := shown.pick(r.Text); ok {
			f.rungsIn = true
			return change{words: o.Label}, nil
		}
		return f.readRung(shown, r.Text)
	}
	return it
}

// suggested names a ladder of small steps from the reference drill to a catcher.
func (f *Flow) suggested() string {
	path := f.path()
	if len(path) == 0 {
		return ""
	}
	return "Small steps from the drill to a catcher would be: " + strings.Join(path, ", ") + "."
}

// path is the ladder of smallest steps from the reference drill to a throw to a
// catcher; nil where there is no drill.
func (f *Flow) path() []string {
	from := f.c.Reference.Throw
	if from == "" {
		return nil
	}
	p := ladder.Plan{From: from, To: usualMound}
	for _, t := range f.base.Throws {
		p.Throws = append(p.Throws, ladder.Throw{ID: t.ID, Demands: t.Demands})
	}
	built, err := ladder.Build(p)
	if err != nil {
		return nil // a house without the throw to a catcher has no usual end
	}
	return built.Throws
}

// usualMound is the throw that stands for the mound where no ladder says more.
const usualMound = "slope_catcher"

// readRung reads a line: a throw, speeds, and their unit.
func (f *Flow) readRung(shown Question, text string) (change, error) {
	throw, rest, err := f.throwOf(text)
	if err != nil {
		return change{}, err
	}
	speeds, in, err := readSpeeds(rest, shown)
	if err != nil {
		return change{}, err
	}
	list := "[" + strings.Join(speeds, ", ") + "]"
	ch := change{words: fmt.Sprintf("%s: %s %s", f.title(throw), strings.Join(speeds, " "), in), stay: true}
	ch.apply = func(file *source.File) ([]byte, error) { return f.putRung(file, throw, list, in) }
	return ch, nil
}

// throwOf finds the throw that a line begins with, by id or by title.
func (f *Flow) throwOf(text string) (throw, rest string, err error) {
	text = strings.TrimSpace(strings.NewReplacer("\t", " ", ":", " ").Replace(text))
	lower := strings.ToLower(text)
	found := 0
	for _, t := range f.base.Throws {
		for _, name := range []string{t.ID, strings.ToLower(t.Title)} {
			if strings.HasPrefix(lower, name) && len(name) > found && (len(lower) == len(name) || !wordy(lower[len(name)])) {
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
		return "", "", refuse(help, "%s names no throw", quoted(word))
	}
	return throw, strings.TrimSpace(text[found:]), nil
}

func wordy(b byte) bool { return b >= 'a' && b <= 'z' || b == '_' }

// speedUnit ends a line of speeds.
var speedUnit = regexp.MustCompile(`(?i)(mph|km/h|m/s)\s*$`)

// readSpeeds reads the numbers of a line as they may be pasted. A comma with
// one digit after it is a decimal comma, any other comma stands between numbers.
func readSpeeds(text string, shown Question) (speeds []string, in string, err error) {
	in = string(unit.MPH)
	if m := speedUnit.FindString(text); m != "" {
		in = strings.ToLower(strings.TrimSpace(m))
		text = text[:len(text)-len(m)]
	}
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ';' || r == '\t' }) {
		parts := []string{word}
		if !decimalComma.MatchString(word) {
			parts = strings.FieldsFunc(word, func(r rune) bool { return r == ',' })
		}
		for _, p := range parts {
			if p == "-" {
				speeds = append(speeds, `"-"`)
				continue
			}
			q, err := unit.Read(p, unit.Unit(in), unit.Range{})
			if err != nil {
				return nil, "", faulty(err)
			}
			speeds = append(speeds, unit.Quantity{Value: q.Value}.String())
		}
	}
	if len(speeds) == 0 {
		return nil, "", refuse("it takes "+shown.Typed, "there are no speeds on this line")
	}
	return speeds, in, nil
}

var decimalComma = regexp.MustCompile(`^\d+,\d$`)

// heldItem asks whether the pattern held in the throws of a rung.
func (f *Flow) heldItem(throw string) item {
	it := item{topic: throw, Question: Question{
		ID: "ladder." + throw + ".held", Section: Ladder, Title: "did the pattern hold", Throw: f.title(throw),
		Ask:  "In how many of these throws did the pattern of the drill hold?",
		Help: "Watch each throw, or its clip. Where it held in some, mark them one by one: y held, n not, p partly, x could not see.",
		Options: []Option{{Key: "1", ID: "all", Label: "in every throw"}, {Key: "2", ID: "none", Label: "in none"},
			{Key: "3", ID: "partly", Label: "partly, one mark for the rung"}},
		Typed: "a mark a throw, such as y y n p x", Seconds: quick,
	}}
	it.stands = func(c *casefile.Case) (string, string) { return stoodMarks(c.Ladder(), throw) }
	it.read = func(f *Flow, shown Question, r Reply) (change, error) {
		list, words, err := f.marks(throw, shown, r.Text)
		if err != nil {
			return change{}, err
		}
		return change{apply: f.inRung(throw, "held", list), words: words}, nil
	}
	return it
}

func stoodMarks(l *casefile.Ladder, throw string) (words, id string) {
	if l == nil || l.Rung(throw) == nil || len(l.Rung(throw).Marks) == 0 {
		return "", ""
	}
	marks := l.Rung(throw).Marks
	same := func(m float64) bool { return !slices.ContainsFunc(marks, func(x float64) bool { return x != m }) }
	switch {
	case same(casefile.Held):
		return "in every throw", "all"
	case same(casefile.NotHeld):
		return "in none", "none"
	case same(casefile.Partly) && len(marks) == 1:
		return "partly", "partly"
	}
	var out []string
	for _, m := range marks {
		out = append(out, map[float64]string{casefile.Held: "y", casefile.NotHeld: "n", casefile.Partly: "p"}[m])
	}
	return strings.Join(out, " "), ""
}

func (f *Flow) marks(throw string, shown Question, text string) (list, words string, err error) {
	n := len(f.c.Ladder().Rung(throw).Speeds)
	if o, ok := shown.pick(text); ok {
		word := map[string]string{"all": "yes", "none": "no", "partly": "partly"}[o.ID]
		if n == 0 || o.ID == "partly" {
			return word, o.Label, nil
		}
		return "[" + strings.TrimSuffix(strings.Repeat(word+", ", n), ", ") + "]", o.Label, nil
	}
	var said []string
	out, err := casefile.ReadMarks(text)
	if err != nil {
		return "", "", shown.wrong(text)
	}
	for _, mark := range out {
		said = append(said, mark[:1])
	}
	if n > 0 && len(out) > n {
		return "", "", refuse("write one a throw", "there are %d throws on this rung, and %d marks", n, len(out))
	}
	return "[" + strings.Join(out, ", ") + "]", strings.ReplaceAll(strings.Join(said, " "), "c", "x"), nil
}

// stuckItems asks what was noted at the stuck rung.
func (f *Flow) stuckItems() []item {
	at, ok := f.stuck()
	if !ok || f.c.Ladder().Rung(at) == nil {
		return nil
	}
	rungs := f.facts.Ladder.Rungs
	var out []item
	if f.facts.Ladder.Verdict.Rung > 0 {
		out = append(out, f.effortItem(rungs[0].Rung.Throw))
	}
	out = append(out, f.effortItem(at), f.wordItem(at, "miss", "release_miss"), f.wordItem(at, "focus", "focus_reported"))
	if t, ok := f.base.Throw(at); ok && f.aimed(t.Demands) {
		out = append(out, f.hitsItem(at))
		if net := f.lastNet(rungs, at); net != "" {
			out = append(out, f.wordItem(net, "miss", "release_miss"))
		} else {
			out = append(out, f.wordItem(at, "net_miss", "release_miss"))
		}
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

// lastNet is the last rung thrown before a throw that had only a net to hit.
func (f *Flow) lastNet(rungs []observe.Rung, at string) string {
	net := ""
	for _, r := range rungs {
		if r.Throw.ID == at {
			break
		}
		if !f.aimed(r.Throw.Demands) && f.c.Ladder().Rung(r.Throw.ID) != nil {
			net = r.Throw.ID
		}
	}
	return net
}

func (f *Flow) effortItem(throw string) item {
	p, _ := f.base.Checklist.Checkpoint("effort_reported")
	it := item{topic: "effort_reported", Question: Question{ID: "ladder." + throw + ".effort", Section: Rungs, Title: p.Title, Ask: p.Ask, Help: p.Help,
		Throw: f.title(throw), Typed: "percent of the hardest", Number: true, Seconds: quick}}
	it.stands = func(c *casefile.Case) (string, string) {
		if l := c.Ladder(); l != nil && l.Rung(throw) != nil && l.Rung(throw).Effort != nil {
			return unit.Quantity{Value: *l.Rung(throw).Effort, Unit: unit.Percent}.String(), ""
		}
		return "", ""
	}
	it.read = func(f *Flow, _ Question, r Reply) (change, error) {
		q, err := unit.Read(r.Text, unit.Percent, unit.Range{Low: 1, High: 100})
		if err != nil {
			return change{}, faulty(err)
		}
		return change{apply: f.inRung(throw, "effort", unit.Quantity{Value: q.Value}.String()), words: q.String()}, nil
	}
	return it
}

// wordItem asks for one of the answers of a checkpoint that is told rung by
// rung.
func (f *Flow) wordItem(throw, key, checkpoint string) item {
	p, _ := f.base.Checklist.Checkpoint(checkpoint)
	it := item{topic: p.ID, Question: Question{ID: "ladder." + throw + "." + key, Section: Rungs, Title: p.Title, Ask: p.Ask, Help: p.Help,
		Throw: f.title(throw), Options: options(p.Answers), Seconds: quick}}
	if p.Reading == checklist.Eye {
		it.Film = "camera: " + p.View
	}
	it.stands = func(c *casefile.Case) (string, string) {
		l := c.Ladder()
		if l == nil || l.Rung(throw) == nil {
			return "", ""
		}
		r := l.Rung(throw)
		id := map[string]string{"miss": r.Miss, "net_miss": r.NetMiss, "focus": r.Focus}[key]
		if id == "" {
			return "", ""
		}
		return p.Label(id), id
	}
	it.read = func(f *Flow, shown Question, r Reply) (change, error) {
		o, ok := shown.pick(r.Text)
		if !ok {
			return change{}, shown.wrong(r.Text)
		}
		return change{apply: f.inRung(throw, key, o.ID), words: o.Label}, nil
	}
	return it
}

var hitsPattern = regexp.MustCompile(`^(\d{1,4})\s*(?:of|/)\s*(\d{1,4})$`)

func (f *Flow) hitsItem(throw string) item {
	it := item{topic: "hits", Question: Question{ID: "ladder." + throw + ".hits", Section: Rungs, Title: "hits", Throw: f.title(throw),
		Ask: "How many of the attempts hit what was aimed at?", Help: "Count only the throws whose aim was said before.",
		Typed: "hits and attempts, such as 6 of 10", Number: true, Seconds: quick}}
	it.stands = func(c *casefile.Case) (string, string) {
		if l := c.Ladder(); l != nil && l.Rung(throw) != nil && l.Rung(throw).Hits != nil {
			return fmt.Sprintf("%d of %d", l.Rung(throw).Hits.Hit, l.Rung(throw).Hits.Of), ""
		}
		return "", ""
	}
	it.read = func(f *Flow, shown Question, r Reply) (change, error) {
		m := hitsPattern.FindStringSubmatch(strings.ToLower(strings.TrimSpace(r.Text)))
		if m == nil {
			return change{}, refuse("it takes "+shown.Typed, "%s is no count of hits", quoted(r.Text))
		}
		text := m[1] + " of " + m[2]
		return change{apply: f.inRung(throw, "hits", text), words: text}, nil
	}
	return it
}
