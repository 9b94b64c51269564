package measure

import (
	"fmt"

	"rungwise/engine/unit"
)

// Note is one statement about a measurement in plain words. ID is stable; Text is lower case without a full stop, to
// be set into whatever is printed.
type Note struct{ ID, Text string }

func note(id, format string, args ...any) Note { return Note{id, fmt.Sprintf(format, args...)} }

// Explain says what was measured and how far off it may be.
func (r Reading) Explain(title string) []Note {
	notes := []Note{note("reading", "%s: %s, give or take %s", title, r.Quantity().Text(1), r.amount(r.SD))}
	if r.SD > 0 {
		notes = append(notes, note("smallest", "one clip against one clip, a difference under %s may be error alone", r.amount(SmallestDetectable(r.SD))))
	}
	return notes
}

func (r Reading) amount(x float64) string { return unit.Quantity{Value: x, Unit: r.Unit}.Text(1) }

// Explain says whether this camera can answer the checkpoint, and which could.
func (s Support) Explain(title string) []Note {
	rate := unit.Quantity{Value: s.FPS}.Text(2)
	head := note("supported", "%s can be answered at %s frames a second", title, rate)
	switch {
	case s.Can && s.Clips > 1:
		return []Note{head, note("clips", "it takes %d clips of each throw to show that it is the same", s.Clips)}
	case s.Can:
		return []Note{head}
	}
	head = note("cannot_be_seen", "%s cannot be seen at %s frames a second: %s", title, rate, s.Why)
	if s.Needs > 0 {
		return []Note{head, note("rate", "film it at %d frames a second", s.Needs)}
	}
	return []Note{head, note("no_rate", "no ordinary camera shows it: leave it open")}
}

// Explain says what the gun showed, what the angle hid, and to use one gun.
func (s SpeedReading) Explain() []Note {
	notes := []Note{note("speed", "%s on the gun is %s, give or take %s", s.Read.Text(2), s.Quantity().Text(1), s.amount(s.SD))}
	if s.OffLine == 0 {
		return notes
	}
	angle := note("angle", "the angle of %s hides %s", unit.Quantity{Value: s.OffLine, Unit: unit.Deg}.Text(1), s.Lost.Text(1))
	if s.Warn {
		angle = Note{"angle_warning", angle.Text + ": stand behind the pitcher or the catcher, and in the same place for every throw"}
	}
	return append(notes, angle)
}

// Explain says how well the two gradings agree and what error that makes.
func (a Agreement) Explain() []Note {
	notes := []Note{note("agreement", "%d of %d clips graded alike", a.Same, a.N)}
	if a.KappaKnown {
		notes = append(notes, note("kappa", "agreement beyond chance %.2f, between %.2f and %.2f", a.Kappa, a.KappaRange.Low, a.KappaRange.High))
	}
	own := note("own_error", "about %.0f gradings in 100 are wrong, between %.0f and %.0f", 100*a.Error, 100*a.ErrorRange.Low, 100*a.ErrorRange.High)
	if !a.Enough {
		own.Text += fmt.Sprintf("; grade %d clips twice before this takes the place of the default", enoughClips)
	}
	return append(notes, own)
}
