package compose

import (
	"fmt"
	"math"
	"strings"

	"rungwise/engine/casefile"
	"rungwise/engine/checklist"
	"rungwise/engine/fact"
	"rungwise/engine/measure"
	"rungwise/engine/observe"
	"rungwise/engine/report"
	"rungwise/engine/unit"
)

// Measured writes what a look measures: of a checkpoint, or of nothing in
// particular, where p is nil and bare says what is measured. What names the
// form. The height is the athlete's in cm, 0 = not known. The error is a
// *unit.Fault.
func Measured(what string, p *checklist.Checkpoint, bare *checklist.Measure, look casefile.Look, height float64) (*report.Measurement, error) {
	m, title, name := bare, "measured", "CHECKPOINT"
	if p != nil {
		if p.Measure == nil {
			return nil, &unit.Fault{Says: p.Title + " is graded by eye, there is nothing to measure", Help: "write one of: " + answerIDs(*p)}
		}
		m, title, name = p.Measure, p.Title, p.ID
	}
	if look.Frames != nil && !m.MayBeFrames {
		return nil, &unit.Fault{Says: title + " is not counted in frames", Help: "give a number in " + m.Unit}
	}
	r, err := look.Reading(m, height)
	if err != nil {
		return nil, err
	}
	if c, ok := r.In(unit.Unit(m.Unit)); ok {
		r = c
	}
	out := &report.Measurement{Rungwise: report.Version, What: what, Title: title, Value: r.Value, Error: r.SD, Unit: string(r.Unit),
		Smallest: measure.SmallestDetectable(r.SD), Notes: said(r.Explain(title)), Line: name + ": {THROW: " + look.Text() + "}"}
	if p != nil {
		out.Checkpoint, out.Tolerance = p.ID, m.Tolerance
		meaning(out, *p, r)
	}
	filming(out, p, look)
	return out, nil
}

func answerIDs(p checklist.Checkpoint) string {
	return strings.Join((fact.Fact{Answers: p.Answers}).AnswerIDs(), ", ")
}

func said(notes []measure.Note) []report.Said {
	out := []report.Said{}
	for _, n := range notes {
		out = append(out, report.Said{ID: n.ID, Text: n.Text})
	}
	return out
}

// meaning adds what the value stands for, and how many clips it takes.
func meaning(out *report.Measurement, p checklist.Checkpoint, r measure.Reading) {
	m := p.Measure
	add := func(id, text string, args ...any) {
		out.Notes = append(out.Notes, report.Said{ID: id, Text: fmt.Sprintf(text, args...)})
	}
	g, graded := observe.Grade(p, r)
	switch {
	case g.Known:
		out.Answer = g.Answer
		add("answer", "it stands for %s: %s", words(g.Answer), p.Label(g.Answer))
	case graded && g.Answer != "":
		add("between", "most likely %s, but too near another answer to say so", words(g.Answer))
	}
	add("tolerance", "up to %s between two throws does not matter (%s)", unit.Quantity{Value: m.Tolerance, Unit: unit.Unit(m.Unit)}.Text(1), m.ToleranceSource)
	clips := measure.ClipsForSame(math.Hypot(r.SD, m.ThrowSD), m.Tolerance)
	switch {
	case clips > measure.MostClips:
		add("clips", "measured like this, no number of clips that is practical shows that it is the same in two throws")
	case clips > 1:
		add("clips", "measured like this, it takes %d clips of each throw to show that it is the same", clips)
	}
}

// filming adds what the camera can do for it.
func filming(out *report.Measurement, p *checklist.Checkpoint, look casefile.Look) {
	rate := look.Rate().FPS()
	if p != nil {
		if s, ok := observe.Camera(*p, rate); ok {
			out.FilmAt = s.Needs
			if rate > 0 {
				out.CanSee = &s.Can
				out.Notes = append(out.Notes, said(s.Explain(p.Title)[:1])...)
			}
			if s.Needs > 0 && !s.Can && (rate > 0 || observe.FilmAt(*p) > 0) {
				out.Notes = append(out.Notes, report.Said{ID: "rate", Text: fmt.Sprintf("film it at %d frames a second or more", s.Needs)})
			}
		}
	}
	if look.Frames != nil && rate <= 30 {
		out.Notes = append(out.Notes, report.Said{ID: "slow_motion", Text: "the rate must be the one at which it was filmed: slow motion plays at 30"})
	}
}

// Speed writes what a gun read, put right for where it stood. The error is a
// *unit.Fault.
func Speed(read unit.Quantity, g measure.Gun) (*report.Measurement, error) {
	s, err := measure.Speed(read, g)
	if err != nil {
		return nil, err
	}
	out := &report.Measurement{Rungwise: report.Version, What: "speed", Title: "speed", Value: s.Value, Error: s.SD, Unit: string(s.Unit),
		Smallest: measure.SmallestDetectable(s.SD), Notes: said(s.Explain()), Line: "speed: " + s.Quantity().Text(1)}
	if s.OffLine != 0 {
		out.Notes = append(out.Notes, report.Said{ID: "guess", Text: "the angle itself is a guess: one place for drill and mound is worth more than any correction"})
	}
	if bias, ok := measure.GunBias(s.Unit); ok {
		out.Notes = append(out.Notes, report.Said{ID: "two_guns", Text: fmt.Sprintf("two guns differ by some %s on average: use one", unit.Quantity{Value: bias, Unit: s.Unit}.Text(1))})
	}
	return out, nil
}

// Cameras lists what a frame rate can answer, in the order of the throw.
func Cameras(l *checklist.Checklist, fps float64) *report.Cameras {
	out := &report.Cameras{Rungwise: report.Version, FPS: fps, Rows: []report.Camera{}}
	for _, p := range l.Checkpoints {
		if p.Phase == checklist.Task {
			continue
		}
		row := report.Camera{Checkpoint: p.ID, Title: p.Title, Can: true, Says: "nothing published sets a rate"}
		if s, ok := observe.Camera(p, fps); ok {
			row.Can, row.Needs, row.Says = s.Can, s.Needs, observe.Words(s.Explain(p.Title))
		}
		out.Rows = append(out.Rows, row)
	}
	return out
}

// Clicks writes a coach's own error of one click in px, from so many points
// clicked twice.
func Clicks(sd float64, points int) *report.Measurement {
	return &report.Measurement{Rungwise: report.Version, What: "clicks", Title: "one click", Value: sd, Unit: "px", Line: fmt.Sprintf("click: %.1f", sd),
		Notes: []report.Said{{ID: "click", Text: fmt.Sprintf("one click is off by %.1f px, from %d points clicked twice; 3 px is assumed otherwise, or 3 %% of the limb", sd, points)}}}
}
