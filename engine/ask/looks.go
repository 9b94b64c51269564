package ask

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"rungwise/engine/casefile"
	"rungwise/engine/checklist"
	"rungwise/engine/diag"
	"rungwise/engine/prompt"
	"rungwise/engine/unit"
)

// look makes an item of a checkpoint seen on one throw; beside is the other
// throw of the two, "" where there is none.
func (f *Flow) look(p checklist.Checkpoint, throw, beside string, second bool) item {
	it := item{topic: p.ID, Question: Question{
		ID: lookID(p.ID, throw), Section: OnVideo, Title: p.Title, Ask: p.Ask, Help: p.Help,
		Film: p.Moment + "; camera: " + p.View, Throw: f.title(throw), Second: second, Options: options(p.Answers),
		Unseen: true, Sure: true, Notes: true, Seconds: byEye,
	}}
	if beside != "" {
		it.Beside = lookID(p.ID, beside)
	}
	if p.Measure != nil {
		it.Typed = measured(p.Measure)
		it.Help = tidy(it.Help) + clicking(p.Measure)
		it.Number = true
		if len(p.Answers) == 0 {
			it.Seconds = byFrame
		}
	}
	it.stands = func(c *casefile.Case) (string, string) { return stoodLook(p, c.Observed(p.ID, throw)) }
	it.read = func(r Reply) (change, error) {
		looks, err := f.readLooks(p, it.Question, r)
		if err != nil {
			return change{}, err
		}
		if f.aged[it.ID] {
			for i := range looks {
				looks[i].On = f.vocab.Today // so that it is seen to be new
			}
		}
		if o := f.c.Observed(p.ID, throw); o != nil && f.again[it.ID] {
			looks = append(slices.Clone(o.Looks), looks...)
		}
		words, _ := stoodLook(p, &casefile.Observation{Looks: looks})
		return writes(it.ID, lookText(looks), words), nil
	}
	return it
}

func lookID(checkpoint, throw string) string { return "seen." + checkpoint + "/" + throw }

// lookOf takes an id of lookID apart.
func lookOf(id string) (checkpoint, throw string) {
	checkpoint, throw, _ = strings.Cut(strings.TrimPrefix(id, "seen."), "/")
	return checkpoint, throw
}

// measured says what may be typed for a measure.
func measured(m *checklist.Measure) string {
	out := "a number in " + m.Unit
	if m.MayBeFrames {
		out += ", or frames such as 33 frames @ 60"
	}
	if casefile.Clicked(m) != "" {
		out += ", or clicked points (? tells how)"
	}
	return out
}

// clicking tells how points are typed.
func clicking(m *checklist.Measure) string {
	what := casefile.Clicked(m)
	if what == "" {
		return ""
	}
	return " To click, read the pixels off the picture and type them with blanks between, such as 412,300 440,388 431,470, then where " +
		"it is asked for `toward left` and `scale 185 cm = 400 px`. Here it takes " + strings.ReplaceAll(what, ":`", "`") + "."
}

// stoodLook tells what was seen, in words, and the option that stands for it.
func stoodLook(p checklist.Checkpoint, o *casefile.Observation) (words, id string) {
	if o == nil || len(o.Looks) == 0 {
		return "", ""
	}
	var all []string
	for _, l := range o.Looks {
		all = append(all, lookWords(p, l))
	}
	if id = o.Looks[0].Answer; o.Looks[0].Unseen {
		id = casefile.CouldNotSee
	} else if slices.ContainsFunc(o.Looks, func(l casefile.Look) bool { return l.Answer != id }) {
		id = ""
	}
	return strings.Join(all, "; "), id
}

func lookWords(p checklist.Checkpoint, l casefile.Look) string {
	bare := casefile.Look{Answer: l.Answer, Value: l.Value, Frames: l.Frames}
	text := bare.Text()
	switch {
	case l.Unseen:
		text = "could not see"
	case l.Answer != "":
		text = p.Label(l.Answer)
	case len(l.Points) > 0 || len(l.Line) > 0:
		text = fmt.Sprintf("%d clicked points", len(l.Points)+len(l.Line)+len(l.Against))
	}
	if l.Unsure {
		text += " (not sure)"
	}
	if l.Note != "" {
		text += " (" + diag.Clean(l.Note) + ")"
	}
	return text
}

// readLooks reads one reply: one clip's answer, or several with `; ` or `, `
// between them.
func (f *Flow) readLooks(p checklist.Checkpoint, shown Question, r Reply) ([]casefile.Look, error) {
	unsure := r.Unsure
	text := strings.TrimSpace(r.Text)
	for _, end := range []string{"?", "not sure"} {
		if cut, ok := strings.CutSuffix(text, end); ok && cut != "" {
			text, unsure = strings.TrimSpace(cut), true
		}
	}
	parts := []string{text}
	if _, whole := shown.Options.Pick(text); !whole {
		parts = clipBreak.Split(text, -1)
	}
	var out []casefile.Look
	for _, part := range parts {
		l, err := readLook(p, shown, part)
		if err != nil {
			return nil, err
		}
		if err := f.possible(p, l); err != nil {
			return nil, err
		}
		l.Unsure = unsure && !l.Unseen
		out = append(out, l)
	}
	out[0].Note = f.note
	return out, nil
}

// possible refuses clicks that do not give what is measured.
func (f *Flow) possible(p checklist.Checkpoint, l casefile.Look) error {
	if len(l.Points) == 0 && len(l.Line) == 0 {
		return nil
	}
	height := 0.0
	if slot, ok := f.base.Catalogue.Slot("athlete.height"); ok && f.facts.Vector[slot].Known {
		height = f.facts.Vector[slot].N
	}
	_, err := l.Reading(p.Measure, height)
	return faulty(err)
}

// clipBreak stands between the answers of two clips; a decimal comma has no
// space after it.
var clipBreak = regexp.MustCompile(`\s*;\s*|,\s+`)

// pointsPattern is two to six clicked places, with what belongs to them.
var pointsPattern = regexp.MustCompile(`^(-?\d+(?:\.\d+)?,-?\d+(?:\.\d+)?(?:\s+-?\d+(?:\.\d+)?,-?\d+(?:\.\d+)?){1,5})` +
	`(?:\s+toward\s+(\w+))?(?:\s+scale\s+(.+))?$`)

// frameCount is frames written without their word.
var frameCount = regexp.MustCompile(`^([-+]?\d+)\s*@`)

func readLook(p checklist.Checkpoint, shown Question, text string) (casefile.Look, error) {
	var l casefile.Look
	if mark, ok := casefile.ReadMark(text); ok && mark == casefile.CouldNotSee {
		l.Unseen = true
		return l, nil
	}
	if o, ok := shown.Options.Pick(text); ok {
		l.Answer = o.ID
		return l, nil
	}
	if p.Measure == nil || !startsNumber(text) {
		return l, shown.wrong(text)
	}
	if m := pointsPattern.FindStringSubmatch(text); m != nil {
		return readPoints(m)
	}
	in := unit.Range{Low: p.Measure.Low, High: p.Measure.High}
	text = frameCount.ReplaceAllString(text, "$1 frames @")
	if unit.LooksLikeFrames(text) {
		if !p.Measure.MayBeFrames {
			return l, prompt.Refuse("it takes "+shown.Typed, "%s is not counted in frames", p.Title)
		}
		frames, err := unit.ParseFrames(text)
		if err == nil {
			err = unit.Check(frames.Time(), in)
		}
		l.Frames = &frames
		return l, faulty(err)
	}
	q, err := unit.Read(text, unit.Unit(p.Measure.Unit), in)
	l.Value = &q
	return l, faulty(err)
}

func startsNumber(text string) bool {
	return text != "" && strings.ContainsRune("+-.0123456789", rune(text[0]))
}

// readPoints reads clicked places, the side that plus points to, and a scale.
func readPoints(m []string) (casefile.Look, error) {
	var l casefile.Look
	var points []casefile.Point
	for _, pair := range strings.Fields(m[1]) {
		var at casefile.Point
		if _, err := fmt.Sscanf(pair, "%g,%g", &at.X, &at.Y); err != nil {
			return l, prompt.Refuse("write each point as x,y", "%s is no clicked point", prompt.Quote(pair))
		}
		points = append(points, at)
	}
	switch len(points) {
	case 2:
		l.Line = points
	case 4:
		l.Line, l.Against = points[:2], points[2:]
	default:
		l.Points = points
	}
	if l.Toward = casefile.SideOf(m[2]); l.Toward == 0 && m[2] != "" {
		return l, prompt.Refuse("write toward left, right, up or down", "%s is no side of the picture", prompt.Quote(m[2]))
	}
	if m[3] != "" {
		scale, err := casefile.ScaleOf(m[3])
		if err != nil {
			return l, faulty(err)
		}
		l.Scale = scale
	}
	return l, nil
}

// lookText writes looks as they stand in a case file.
func lookText(looks []casefile.Look) string {
	texts := make([]string, len(looks))
	for i, l := range looks {
		texts[i] = l.Text()
	}
	if len(texts) == 1 {
		return texts[0]
	}
	return "[" + strings.Join(texts, ", ") + "]"
}

// noted puts words beside an answer that stands already.
func (f *Flow) noted(id, words string) change {
	checkpoint, throw := lookOf(id)
	looks := slices.Clone(f.c.Observed(checkpoint, throw).Looks)
	looks[len(looks)-1].Note = strings.TrimSpace(words)
	return writes(id, lookText(looks), "note kept")
}
