package engine

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/checklist"
	"rungwise/engine/compose"
	"rungwise/engine/measure"
	"rungwise/engine/report"
	"rungwise/engine/source"
	"rungwise/engine/unit"
)

// Filmed is how a clip was filmed and clicked, as it was typed. Empty fields were
// not told.
type Filmed struct {
	FPS, Checkpoint, Into  string // Into: the case file that the line is written to
	Clip, At, Filmed, By   string
	Toward, Scale, Against string
	Click, OffSquare       float64 // pixels, degrees
	Unsure                 bool
}

// The ways to measure a clip.
const (
	ByFrames = "frames"
	ByAngle  = "angle"
	ByLine   = "line"
)

// target is where a measurement goes: the case file that Into names, the throw
// and the checkpoint, as far as they were given.
type target struct {
	file       *source.File
	throw      string
	checkpoint *checklist.Checkpoint
	height     float64 // of the athlete in cm, 0 = not known
}

// Measure measures a clip: frames counted or points clicked, and after them the
// throw and the checkpoint where it is to be written into a case. The error is a
// *unit.Fault, or *Faults of the case file.
func (e *Engine) Measure(what string, f Filmed, args []string) (*report.Measurement, error) {
	t, args, err := e.target(f, args)
	if err != nil {
		return nil, err
	}
	look, err := f.look()
	if err != nil {
		return nil, err
	}
	bare, err := f.read(what, args, &look)
	if err != nil {
		return nil, err
	}
	m, err := compose.Measured(what, t.checkpoint, bare, look, t.height)
	if err != nil || t.file == nil {
		return m, err
	}
	data, c, ds := e.AddLook(t.file, t.checkpoint.ID, t.throw, look)
	if c == nil {
		return nil, &Faults{ds, "nothing was written"}
	}
	if err := casefile.Replace(t.file, data); err != nil {
		return nil, err
	}
	m.Written = t.file.Path
	m.Line = t.checkpoint.ID + ": {" + t.throw + ": " + look.Text() + "}"
	m.Compared = e.Compared(c, t.checkpoint.ID)
	return m, nil
}

// target reads the names that follow the numbers, and the file.
func (e *Engine) target(f Filmed, args []string) (t target, rest []string, err error) {
	name := f.Checkpoint
	if f.Into != "" {
		if len(args) < 3 {
			return t, args, &unit.Fault{Says: "--into needs the throw and the checkpoint", Help: "name them last: --into sm-04.yaml flat_lift arm_tempo"}
		}
		t.throw, name, args = args[len(args)-2], args[len(args)-1], args[:len(args)-2]
	}
	if name != "" {
		p, err := e.Checkpoint(name)
		if err != nil {
			return t, args, err
		}
		t.checkpoint = &p
	}
	if f.Into == "" {
		return t, args, nil
	}
	if id, err := e.Named("throws", t.throw); err == nil { // else the file says what is wrong with it
		t.throw = id
	}
	if t.file, err = casefile.Read(f.Into); err != nil {
		return t, args, err
	}
	c, ds := e.Case(t.file)
	if c == nil {
		return t, args, &Faults{ds, "nothing was written: mend these first"}
	}
	if h, ok := c.Answer("athlete.height"); ok {
		t.height, _ = strconv.ParseFloat(h, 64)
	}
	return t, args, nil
}

// look reads what was said of the clip.
func (f Filmed) look() (l casefile.Look, err error) {
	l = casefile.Look{Clip: f.Clip, At: f.At, By: f.By, Unsure: f.Unsure, Click: f.Click, Toward: casefile.SideOf(f.Toward)}
	if f.FPS != "" {
		if l.FPS, err = unit.ParseRate(f.FPS); err != nil {
			return l, err
		}
	}
	if f.Scale != "" {
		if l.Scale, err = casefile.ScaleOf(f.Scale); err != nil {
			return l, err
		}
	}
	if f.Filmed != "" {
		if l.On, err = time.Parse(time.DateOnly, f.Filmed); err != nil {
			return l, &unit.Fault{Says: fmt.Sprintf("--filmed takes a day, not %q", f.Filmed), Help: "write it as 2026-11-09"}
		}
	}
	if f.OffSquare != 0 {
		l.OffSquare = &f.OffSquare
	}
	switch {
	case f.Toward != "" && l.Toward == 0:
		return l, &unit.Fault{Says: fmt.Sprintf("--toward takes a side, not %q", f.Toward), Help: "write one of: " + strings.Join(casefile.Sides(), ", ")}
	case f.Against != "" && f.Against != checklist.Vertical && f.Against != checklist.Horizontal:
		return l, &unit.Fault{Says: fmt.Sprintf("--against takes vertical or horizontal, not %q", f.Against), Help: "for another line give four points"}
	}
	return l, nil
}

// read puts the numbers into a look and says what they measure where no
// checkpoint does.
func (f Filmed) read(what string, args []string, l *casefile.Look) (m *checklist.Measure, err error) {
	switch what {
	case ByFrames:
		return &checklist.Measure{Kind: "interval", Unit: "ms", MayBeFrames: true}, countedFrames(args, l)
	case ByAngle:
		if l.Points, err = points(args, 3, 6); len(l.Points) == 6 {
			return &checklist.Measure{Kind: "angle", Unit: "deg", Change: true, Low: -180, High: 180}, err
		}
		return &checklist.Measure{Kind: "angle", Unit: "deg"}, err
	}
	p, err := points(args, 2, 3, 4)
	switch len(p) {
	case 2:
		l.Line = p
	case 3:
		l.Points = p
	case 4:
		l.Line, l.Against = p[:2], p[2:]
	}
	return f.line(*l), err
}

func countedFrames(args []string, l *casefile.Look) error {
	if len(args) < 1 || len(args) > 2 {
		return &unit.Fault{Says: "frames takes a count, or the numbers of the first and the last frame", Help: "write it as: measure frames 18 --fps 30"}
	}
	if l.FPS.Num == 0 {
		return &unit.Fault{Says: "a count of frames says nothing without the rate", Help: "add --fps 30, the rate at which it was filmed"}
	}
	count := 0
	for _, arg := range args {
		n, err := unit.ParseFrames(arg + " frames @ " + l.FPS.String())
		if err != nil {
			return err
		}
		count = n.Count - count
	}
	l.Frames, l.FPS = &unit.Frames{Count: count, Rate: l.FPS}, unit.Rate{}
	return nil
}

// line says what a line measures.
func (f Filmed) line(l casefile.Look) *checklist.Measure {
	scaled, placed, crossed := l.Scale.Pixels > 0, len(l.Points) == 3, len(l.Against) == 2 && f.Against == ""
	switch {
	case scaled && placed:
		return &checklist.Measure{Kind: "length", Unit: "cm", Plus: "plus"}
	case scaled || placed:
		return &checklist.Measure{Kind: "length", Unit: "cm"}
	case crossed && l.Toward != 0:
		return &checklist.Measure{Kind: "angle", Unit: "deg", Low: -180, High: 180, Plus: "plus"}
	case crossed:
		return &checklist.Measure{Kind: "angle", Unit: "deg"}
	case f.Against == "":
		f.Against = checklist.Horizontal
	}
	return &checklist.Measure{Kind: "line", Unit: "deg", Against: f.Against, Plus: "plus"}
}

// points reads clicked places such as 412,300, as many as one of the counts.
func points(args []string, counts ...int) ([]casefile.Point, error) {
	var out []casefile.Point
	for _, arg := range args {
		x, y, ok := strings.Cut(arg, ",")
		px, errX := strconv.ParseFloat(strings.TrimSpace(x), 64)
		py, errY := strconv.ParseFloat(strings.TrimSpace(y), 64)
		if !ok || errX != nil || errY != nil {
			return nil, &unit.Fault{Says: fmt.Sprintf("%q is no clicked point", arg), Help: "write each point as x,y in pixels, such as 412,300"}
		}
		out = append(out, casefile.Point{X: px, Y: py})
	}
	if slices.Contains(counts, len(out)) {
		return out, nil
	}
	wanted := strings.Trim(strings.ReplaceAll(fmt.Sprint(counts), " ", " or "), "[]")
	return nil, &unit.Fault{Says: fmt.Sprintf("%d points were given", len(out)), Help: "give " + wanted + " points as x,y"}
}

// Clicks measures a coach's own error of one click, from the same points clicked
// twice. The error is a *unit.Fault.
func Clicks(args []string) (*report.Measurement, error) {
	p, err := points(args, len(args))
	if err != nil {
		return nil, err
	}
	sd, ok := measure.ClickSD(p[:len(p)/2], p[len(p)/2:])
	if !ok || len(p)%2 != 0 {
		return nil, &unit.Fault{Says: "it takes the same points twice, three or more of them", Help: "give both rows, one after the other"}
	}
	return compose.Clicks(sd, len(p)/2), nil
}

// GunSpeed is a speed as a radar gun shows it, put right for where it stood: step
// is the smallest step of its display, offLine degrees. The error is a
// *unit.Fault.
func GunSpeed(text string, step, offLine float64) (*report.Measurement, error) {
	q, err := unit.Parse(text)
	if err != nil {
		return nil, err
	}
	return compose.Speed(q, measure.Gun{Step: step, OffLine: offLine})
}
