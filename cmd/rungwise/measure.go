package main

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/checklist"
	"rungwise/engine/compose"
	"rungwise/engine/diag"
	"rungwise/engine/measure"
	"rungwise/engine/render"
	"rungwise/engine/report"
	"rungwise/engine/source"
	"rungwise/engine/unit"
)

// measureFlags are how a clip was filmed and clicked, as typed.
type measureFlags struct {
	fps, checkpoint, into     string
	clip, at, filmed, by      string
	toward, scale, against    string
	click, offLine, offSquare float64
	step                      float64
	unsure                    bool
}

func (a *app) measureCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "measure",
		Short: "a measurement with its error, for use beside any video player",
		Long: "Value, error, what it means for a checkpoint, and the line of a case file.\n" +
			"With --into FILE the line is written there: name the throw and the checkpoint last.",
		Example: "  rungwise measure frames 18 --fps 30 --checkpoint arm_tempo\n" +
			"  rungwise measure frames 120 138 --fps 30 --into sm-04.yaml flat_lift arm_tempo\n" +
			"  rungwise measure angle 412,300 440,388 431,470\n" +
			"  rungwise measure speed 90 mph --off-line 10",
	}
	c.AddCommand(a.measureFrames(), a.measureAngle(), a.measureLine(), a.measureSpeed(), a.measureCamera(), a.measureClicks())
	return c
}

// bind adds the flags that every look has.
func (f *measureFlags) bind(c *cobra.Command, a *app) {
	fl := c.Flags()
	fl.StringVar(&f.fps, "fps", "", "frames a second at which it was filmed, such as 60 or 59.94")
	fl.StringVar(&f.checkpoint, "checkpoint", "", "what it means for this checkpoint, such as arm_tempo")
	fl.StringVar(&f.into, "into", "", "case file to write it to; name THROW and CHECKPOINT last")
	fl.StringVar(&f.clip, "clip", "", "name of the clip, kept as evidence")
	fl.StringVar(&f.at, "at", "", "when in the clip, such as 3.2 s")
	fl.StringVar(&f.filmed, "filmed", "", "day on which it was filmed, such as 2026-11-09")
	fl.StringVar(&f.by, "by", "", "who measured it")
	fl.BoolVar(&f.unsure, "unsure", false, "not sure: the error counts double")
	names := func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		e, err := a.open("")
		if err != nil {
			return nil, cobra.ShellCompDirectiveError
		}
		return e.Base().Checklist.CheckpointIDs(), cobra.ShellCompDirectiveNoFileComp
	}
	if err := c.RegisterFlagCompletionFunc("checkpoint", names); err != nil {
		fmt.Fprintln(a.err, err) // only where the flag had another name
	}
}

// bindClicks adds the flags that clicked points have.
func (f *measureFlags) bindClicks(c *cobra.Command) {
	fl := c.Flags()
	fl.Float64Var(&f.click, "click", 0, "your own error of one click in pixels (else 3, or 3 % of the limb)")
	fl.Float64Var(&f.offSquare, "off-square", 0, "degrees between the camera and where it should stand")
}

func (a *app) measureFrames() *cobra.Command {
	var f measureFlags
	c := &cobra.Command{
		Use:     "frames COUNT | frames FIRST LAST",
		Short:   "time between two events, counted in frames",
		Example: "  rungwise measure frames 18 --fps 30\n  rungwise measure frames 120 117 --fps 60 --checkpoint weight_shift",
	}
	f.bind(c, a)
	c.RunE = func(_ *cobra.Command, args []string) error {
		return a.measured("frames", f, args, func(args []string, look *casefile.Look) (*checklist.Measure, error) {
			return &checklist.Measure{Kind: "interval", Unit: "ms", MayBeFrames: true}, frames(args, look)
		})
	}
	return c
}

func frames(args []string, look *casefile.Look) error {
	if len(args) < 1 || len(args) > 2 {
		return &unit.Fault{Says: "frames takes a count, or the numbers of the first and the last frame", Help: "write it as: measure frames 18 --fps 30"}
	}
	if look.FPS.Num == 0 {
		return &unit.Fault{Says: "a count of frames says nothing without the rate", Help: "add --fps 30, the rate at which it was filmed"}
	}
	count := 0
	for _, arg := range args {
		n, err := unit.ParseFrames(arg + " frames @ " + look.FPS.String())
		if err != nil {
			return err
		}
		count = n.Count - count
	}
	look.Frames = &unit.Frames{Count: count, Rate: look.FPS}
	look.FPS = unit.Rate{}
	return nil
}

func (a *app) measureAngle() *cobra.Command {
	var f measureFlags
	c := &cobra.Command{
		Use:   "angle X,Y X,Y X,Y",
		Short: "angle at a joint from three clicked points, the joint in the middle",
		Long: "Angle at a joint from three clicked points in pixels, the joint in the middle.\n" +
			"Six points are the same joint in two frames: the change from one to the other.",
		Example: "  rungwise measure angle 412,300 440,388 431,470 --checkpoint lead_knee_at_landing --fps 120",
	}
	f.bind(c, a)
	f.bindClicks(c)
	c.RunE = func(_ *cobra.Command, args []string) error {
		return a.measured("angle", f, args, func(args []string, look *casefile.Look) (*checklist.Measure, error) {
			var err error
			look.Points, err = clickedPoints(args, 3, 6)
			m := &checklist.Measure{Kind: "angle", Unit: "deg"}
			if m.Change = len(look.Points) == 6; m.Change {
				m.Low, m.High = -180, 180
			}
			return m, err
		})
	}
	return c
}

func (a *app) measureLine() *cobra.Command {
	var f measureFlags
	c := &cobra.Command{
		Use:   "line X,Y X,Y [X,Y X,Y]",
		Short: "tilt of a line, the angle between two, a way or a place beside a line",
		Long: "Two clicked points against the picture's horizontal or vertical (--against), four\n" +
			"points for a line against another. With --scale two points are a way in cm, three\n" +
			"are the place of the third beside the line through the first two.",
		Example: "  rungwise measure line 300,400 350,313 --against vertical --toward right\n" +
			"  rungwise measure line 300,400 350,313 --toward right --checkpoint trunk_forward_tilt\n" +
			"  rungwise measure line 500,900 500,300 570,400 --scale \"20 cm = 100 px\" --toward right --checkpoint stride_line",
	}
	f.bind(c, a)
	f.bindClicks(c)
	c.Flags().StringVar(&f.against, "against", "", "vertical or horizontal, without a checkpoint (else horizontal)")
	c.Flags().StringVar(&f.toward, "toward", "", "side of the picture that plus points to: left, right, up or down")
	c.Flags().StringVar(&f.scale, "scale", "", "a known length in the picture, such as \"23 cm = 140 px\"")
	c.RunE = func(_ *cobra.Command, args []string) error {
		return a.measured("line", f, args, func(args []string, look *casefile.Look) (*checklist.Measure, error) {
			points, err := clickedPoints(args, 2, 3, 4)
			switch len(points) {
			case 2:
				look.Line = points
			case 3:
				look.Points = points
			case 4:
				look.Line, look.Against = points[:2], points[2:]
			}
			return f.bareLine(*look), err
		})
	}
	return c
}

// bareLine says what a line measures where no checkpoint does.
func (f measureFlags) bareLine(look casefile.Look) *checklist.Measure {
	switch {
	case look.Scale.Pixels > 0 && len(look.Points) == 3:
		return &checklist.Measure{Kind: "length", Unit: "cm", Plus: "plus"}
	case look.Scale.Pixels > 0 || len(look.Points) == 3:
		return &checklist.Measure{Kind: "length", Unit: "cm"}
	case len(look.Against) == 2 && f.against == "" && look.Toward != 0:
		return &checklist.Measure{Kind: "angle", Unit: "deg", Low: -180, High: 180, Plus: "plus"}
	case len(look.Against) == 2 && f.against == "":
		return &checklist.Measure{Kind: "angle", Unit: "deg"}
	}
	m := &checklist.Measure{Kind: "line", Unit: "deg", Against: f.against, Plus: "plus"}
	if m.Against == "" {
		m.Against = checklist.Horizontal
	}
	return m
}

// clickedPoints reads places such as 412,300.
func clickedPoints(args []string, counts ...int) ([]casefile.Point, error) {
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
	var wanted []string
	for _, n := range counts {
		if len(out) == n {
			return out, nil
		}
		wanted = append(wanted, strconv.Itoa(n))
	}
	return nil, &unit.Fault{Says: fmt.Sprintf("%d points were given", len(out)), Help: "give " + strings.Join(wanted, " or ") + " points as x,y"}
}

func (a *app) measureSpeed() *cobra.Command {
	var f measureFlags
	c := &cobra.Command{
		Use:     "speed NUMBER UNIT",
		Short:   "a speed put right for a radar gun that stood off the line of the throw",
		Example: "  rungwise measure speed 90 mph --off-line 10",
		Args:    cobra.RangeArgs(1, 2),
	}
	c.Flags().Float64Var(&f.offLine, "off-line", 0, "degrees between the gun's beam and the line of the throw")
	c.Flags().Float64Var(&f.step, "step", 1, "smallest step of the gun's display, in the speed's unit")
	c.RunE = func(_ *cobra.Command, args []string) error {
		q, err := unit.Parse(strings.Join(args, " "))
		if err != nil {
			return helped(err)
		}
		m, err := compose.Speed(q, measure.Gun{Step: f.step, OffLine: f.offLine})
		if err != nil {
			return helped(err)
		}
		return a.showMeasured(m)
	}
	return c
}

func (a *app) measureCamera() *cobra.Command {
	c := &cobra.Command{
		Use:     "camera FPS",
		Short:   "which checkpoints a frame rate can answer, and what the others need",
		Example: "  rungwise measure camera 60",
		Args:    cobra.ExactArgs(1),
	}
	c.RunE = func(_ *cobra.Command, args []string) error {
		rate, err := unit.ParseRate(args[0])
		if err != nil {
			return helped(err)
		}
		e, err := a.open("")
		if err != nil {
			return err
		}
		r := e.Cameras(rate.FPS())
		if a.json {
			return render.JSON(a.out, r)
		}
		for _, row := range r.Rows {
			fmt.Fprintf(a.out, "%-24s %s\n", row.Checkpoint, diag.Clean(strings.TrimPrefix(row.Says, row.Title+" ")))
		}
		return nil
	}
	return c
}

func (a *app) measureClicks() *cobra.Command {
	c := &cobra.Command{
		Use:   "clicks X,Y X,Y X,Y ... X,Y X,Y X,Y ...",
		Short: "your own error of one click, from the same points clicked twice",
		Long: "Click three points or more of a clip, then the same points again on another day,\n" +
			"and give both rows, one after the other. The error goes with --click.",
		Example: "  rungwise measure clicks 412,300 440,388 431,470 414,303 438,390 433,468",
	}
	c.RunE = func(_ *cobra.Command, args []string) error {
		points, err := clickedPoints(args, len(args))
		if err != nil {
			return helped(err)
		}
		sd, ok := measure.ClickSD(points[:len(points)/2], points[len(points)/2:])
		if !ok || len(points)%2 != 0 {
			return helped(&unit.Fault{Says: "it takes the same points twice, three or more of them", Help: "give both rows, one after the other"})
		}
		m := compose.Clicks(sd, len(points)/2)
		return a.showMeasured(m)
	}
	return c
}

// helped turns a fault of a quantity into a usage error with its help.
func helped(err error) error {
	var f *unit.Fault
	if errors.As(err, &f) && f.Help != "" {
		return status{usage, fmt.Errorf("%s\nhelp: %s", f.Says, f.Help)}
	}
	return status{usage, err}
}

// look reads what the flags say of the clip.
func (f measureFlags) look() (casefile.Look, error) {
	l := casefile.Look{Clip: f.clip, At: f.at, By: f.by, Unsure: f.unsure, Click: f.click, Toward: casefile.SideOf(f.toward)}
	var err error
	if f.fps != "" {
		if l.FPS, err = unit.ParseRate(f.fps); err != nil {
			return l, err
		}
	}
	if f.scale != "" {
		if l.Scale, err = casefile.ScaleOf(f.scale); err != nil {
			return l, err
		}
	}
	if f.filmed != "" {
		if l.On, err = time.Parse(time.DateOnly, f.filmed); err != nil {
			return l, &unit.Fault{Says: fmt.Sprintf("--filmed takes a day, not %q", f.filmed), Help: "write it as 2026-11-09"}
		}
	}
	if f.offSquare != 0 {
		l.OffSquare = &f.offSquare
	}
	switch {
	case f.toward != "" && l.Toward == 0:
		return l, &unit.Fault{Says: fmt.Sprintf("--toward takes a side, not %q", f.toward), Help: "write one of: " + strings.Join(casefile.Sides(), ", ")}
	case f.against != "" && f.against != checklist.Vertical && f.against != checklist.Horizontal:
		return l, &unit.Fault{Says: fmt.Sprintf("--against takes vertical or horizontal, not %q", f.against), Help: "for another line give four points"}
	}
	return l, nil
}

// target is where a measurement goes: the case file that --into names, the
// throw and the checkpoint, as far as they were given.
type target struct {
	file       *source.File
	throw      string
	checkpoint *checklist.Checkpoint
	height     float64 // of the athlete in cm, 0 = not known
}

// target reads the names that follow the numbers, and the file.
func (a *app) target(e *engine.Engine, f measureFlags, args []string) (t target, rest []string, err error) {
	name := f.checkpoint
	if f.into != "" {
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
	if f.into == "" {
		return t, args, nil
	}
	if id, err := e.Named("throws", t.throw); err == nil { // else the file says what is wrong with it
		t.throw = id
	}
	if t.file, err = casefile.Read(f.into); err != nil {
		return t, args, status{failed, err}
	}
	c, ds := e.Case(t.file)
	if c == nil {
		ds.Write(a.err)
		return t, args, status{attention, errors.New("nothing was written: mend these first")}
	}
	if h, ok := c.Answer("athlete.height"); ok {
		t.height, _ = strconv.ParseFloat(h, 64)
	}
	return t, args, nil
}

// measured reads a look off the arguments, says what it measures and writes it
// where --into says.
func (a *app) measured(what string, f measureFlags, args []string, read func([]string, *casefile.Look) (*checklist.Measure, error)) error {
	e, err := a.open(f.into)
	if err != nil {
		return err
	}
	t, args, err := a.target(e, f, args)
	if err != nil {
		return faulted(err)
	}
	look, err := f.look()
	if err != nil {
		return helped(err)
	}
	bare, err := read(args, &look)
	if err != nil {
		return helped(err)
	}
	m, err := compose.Measured(what, t.checkpoint, bare, look, t.height)
	if err != nil {
		return helped(err)
	}
	if t.file != nil {
		if err := a.keep(e, t, look, m); err != nil {
			return err
		}
	}
	return a.showMeasured(m)
}

// faulted is helped for an error that may have a status of its own.
func faulted(err error) error {
	var s status
	if errors.As(err, &s) {
		return err
	}
	return helped(err)
}

// keep writes the look into the case file, as one more clip.
func (a *app) keep(e *engine.Engine, t target, look casefile.Look, m *report.Measurement) error {
	data, c, ds := e.AddLook(t.file, t.checkpoint.ID, t.throw, look)
	if c == nil {
		ds.Write(a.err)
		return status{attention, errors.New("nothing was written")}
	}
	if err := casefile.Replace(t.file, data); err != nil {
		return status{failed, err}
	}
	m.Written = t.file.Path
	m.Line = t.checkpoint.ID + ": {" + t.throw + ": " + look.Text() + "}"
	m.Compared = e.Compared(c, t.checkpoint.ID)
	return nil
}

// showMeasured prints a measurement: what it is, what it means, its line.
func (a *app) showMeasured(m *report.Measurement) error {
	if a.json {
		return render.JSON(a.out, m)
	}
	for i, n := range m.Notes {
		mark := "- "
		if i == 0 {
			mark = ""
		}
		fmt.Fprintf(a.out, "%s%s\n", mark, diag.Clean(n.Text))
	}
	if row := m.Compared; row != nil {
		fmt.Fprintf(a.out, "- %s\n", diag.Clean(beside(*row)))
	}
	fmt.Fprintf(a.out, "\n  %s\n", diag.Clean(m.Line))
	if m.Written != "" {
		fmt.Fprintf(a.err, "wrote %s\n", m.Written)
	}
	return nil
}

// beside tells the two columns of a checkpoint in a line.
func beside(row report.Row) string {
	text := fmt.Sprintf("drill %s, beside it %s: %s", orOne(row.Best, "not seen"), orOne(row.Stuck, "not seen"), row.Verdict)
	if row.Note != "" {
		text += "; " + row.Note
	}
	return text
}
