package measure

import (
	"fmt"

	"rungwise/engine/unit"
)

// Number is a figure that a note speaks of, by what it is.
type Number struct {
	Name string
	unit.Quantity
}

// Note is one statement about a measurement in plain words, with the numbers it rests on. ID is stable; Text is lower
// case without a full stop, to be set into whatever is printed.
type Note struct {
	ID      string
	Text    string
	Numbers []Number
}

// Explain says what was measured and how far off it may be.
func (r Reading) Explain(title string) []Note {
	notes := []Note{{
		ID:      "reading",
		Text:    fmt.Sprintf("%s: %s, give or take %s", title, r.Quantity().Text(1), r.amount(r.SD)),
		Numbers: []Number{r.number("value", r.Value), r.number("error", r.SD)},
	}}
	if least := SmallestDetectable(r.SD); r.SD > 0 {
		notes = append(notes, Note{
			ID:      "smallest",
			Text:    fmt.Sprintf("one clip against one clip, a difference under %s may be error alone", r.amount(least)),
			Numbers: []Number{r.number("smallest difference", least)},
		})
	}
	return notes
}

func (r Reading) amount(x float64) string { return unit.Quantity{Value: x, Unit: r.Unit}.Text(1) }

func (r Reading) number(name string, x float64) Number {
	return Number{name, unit.Quantity{Value: x, Unit: r.Unit}}
}

// Explain says whether this camera can answer the checkpoint, and which could.
func (s Support) Explain(title string) []Note {
	rate := unit.Quantity{Value: s.FPS}.Text(2)
	head := Note{ID: "supported", Text: fmt.Sprintf("%s can be answered at %s frames a second", title, rate)}
	if !s.Can {
		head = Note{ID: "cannot_be_seen", Text: fmt.Sprintf("%s cannot be seen at %s frames a second: %s", title, rate, s.Why)}
	}
	if s.SD > 0 {
		head.Numbers = []Number{{"error of one interval", unit.Quantity{Value: s.SD, Unit: unit.MS}}, {"tolerance", unit.Quantity{Value: s.Tolerance, Unit: unit.MS}}}
	} else {
		head.Numbers = []Number{{"turn within one frame", unit.Quantity{Value: s.Turn, Unit: unit.Deg}}, {"tolerance", unit.Quantity{Value: s.Tolerance, Unit: unit.Deg}}}
	}
	return append([]Note{head}, s.next()...)
}

func (s Support) next() []Note {
	switch {
	case s.Can && s.Clips > 1:
		return []Note{{ID: "clips", Text: fmt.Sprintf("it takes %d clips of each throw to show that it is the same", s.Clips)}}
	case s.Can:
		return nil
	case s.Needs > 0:
		return []Note{{ID: "rate", Text: fmt.Sprintf("film it at %d frames a second", s.Needs), Numbers: []Number{{"frames a second", unit.Quantity{Value: float64(s.Needs)}}}}}
	}
	return []Note{{ID: "no_rate", Text: "no ordinary camera shows it: leave it open"}}
}

// Explain says what the gun showed, what the angle hid, and to use one gun.
func (s SpeedReading) Explain() []Note {
	notes := []Note{{
		ID:      "speed",
		Text:    fmt.Sprintf("%s on the gun is %s, give or take %s", s.Read.Text(2), s.Quantity().Text(1), s.amount(s.SD)),
		Numbers: []Number{{"read", s.Read}, s.number("true", s.Value), s.number("error", s.SD)},
	}}
	if s.OffLine != 0 {
		id, text := "angle", fmt.Sprintf("the angle of %s hides %s", unit.Quantity{Value: s.OffLine, Unit: unit.Deg}.Text(1), s.Lost.Text(1))
		if s.Warn {
			id, text = "angle_warning", text+": stand behind the pitcher or the catcher, and in the same place for every throw"
		}
		notes = append(notes, Note{ID: id, Text: text, Numbers: []Number{{"hidden", s.Lost}, {"share shown", unit.Quantity{Value: s.Factor}}}})
	}
	return notes
}

// Explain says how well the two gradings agree and what error that makes.
func (a Agreement) Explain() []Note {
	notes := []Note{{
		ID:   "agreement",
		Text: fmt.Sprintf("%d of %d clips graded alike", a.Same, a.N),
		Numbers: []Number{{"share alike", unit.Quantity{Value: a.Raw}}, {"at least", unit.Quantity{Value: a.RawRange.Low}},
			{"at most", unit.Quantity{Value: a.RawRange.High}}},
	}}
	if a.KappaKnown {
		notes = append(notes, Note{ID: "kappa", Text: "agreement beyond chance " + a.kappaWords(),
			Numbers: []Number{{"kappa", unit.Quantity{Value: a.Kappa}}, {"at least", unit.Quantity{Value: a.KappaRange.Low}}, {"at most", unit.Quantity{Value: a.KappaRange.High}}}})
	}
	text := fmt.Sprintf("about %.0f gradings in 100 are wrong, between %.0f and %.0f", 100*a.Error, 100*a.ErrorRange.Low, 100*a.ErrorRange.High)
	if !a.Enough {
		text += fmt.Sprintf("; grade %d clips twice before this takes the place of the default", enoughClips)
	}
	return append(notes, Note{ID: "own_error", Text: text, Numbers: []Number{{"error", unit.Quantity{Value: a.Error}},
		{"at least", unit.Quantity{Value: a.ErrorRange.Low}}, {"at most", unit.Quantity{Value: a.ErrorRange.High}}}})
}

func (a Agreement) kappaWords() string {
	return fmt.Sprintf("%.2f, between %.2f and %.2f", a.Kappa, a.KappaRange.Low, a.KappaRange.High)
}
