package main

import (
	"strings"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/report"
	"rungwise/engine/unit"
)

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
	frames := a.measureLook(engine.ByFrames, &cobra.Command{
		Use:     "frames COUNT | frames FIRST LAST",
		Short:   "time between two events, counted in frames",
		Example: "  rungwise measure frames 18 --fps 30\n  rungwise measure frames 120 117 --fps 60 --checkpoint weight_shift",
	})
	angle := a.measureLook(engine.ByAngle, &cobra.Command{
		Use:   "angle X,Y X,Y X,Y",
		Short: "angle at a joint from three clicked points, the joint in the middle",
		Long: "Angle at a joint from three clicked points in pixels, the joint in the middle.\n" +
			"Six points are the same joint in two frames: the change from one to the other.",
		Example: "  rungwise measure angle 412,300 440,388 431,470 --checkpoint lead_knee_at_landing --fps 120",
	})
	line := a.measureLook(engine.ByLine, &cobra.Command{
		Use:   "line X,Y X,Y [X,Y X,Y]",
		Short: "tilt of a line, the angle between two, a way or a place beside a line",
		Long: "Two clicked points against the picture's horizontal or vertical (--against), four\n" +
			"points for a line against another. With --scale two points are a way in cm, three\n" +
			"are the place of the third beside the line through the first two.",
		Example: "  rungwise measure line 300,400 350,313 --against vertical --toward right\n" +
			"  rungwise measure line 300,400 350,313 --toward right --checkpoint trunk_forward_tilt\n" +
			"  rungwise measure line 500,900 500,300 570,400 --scale \"20 cm = 100 px\" --toward right --checkpoint stride_line",
	})
	c.AddCommand(frames, angle, line, a.measureSpeed(), a.measureCamera(), a.measureClicks())
	return c
}

// measureLook makes a command that measures a clip.
func (a *app) measureLook(what string, c *cobra.Command) *cobra.Command {
	var f engine.Filmed
	fl := c.Flags()
	fl.StringVar(&f.FPS, "fps", "", "frames a second at which it was filmed, such as 60 or 59.94")
	fl.StringVar(&f.Checkpoint, "checkpoint", "", "what it means for this checkpoint, such as arm_tempo")
	fl.StringVar(&f.Into, "into", "", "case file to write it to; name THROW and CHECKPOINT last")
	fl.StringVar(&f.Clip, "clip", "", "name of the clip, kept as evidence")
	fl.StringVar(&f.At, "at", "", "when in the clip, such as 3.2 s")
	fl.StringVar(&f.Filmed, "filmed", "", "day on which it was filmed, such as 2026-11-09")
	fl.StringVar(&f.By, "by", "", "who measured it")
	fl.BoolVar(&f.Unsure, "unsure", false, "not sure: the error counts double")
	if what != engine.ByFrames {
		fl.Float64Var(&f.Click, "click", 0, "your own error of one click in pixels (else 3, or 3 % of the limb)")
		fl.Float64Var(&f.OffSquare, "off-square", 0, "degrees between the camera and where it should stand")
	}
	if what == engine.ByLine {
		fl.StringVar(&f.Against, "against", "", "vertical or horizontal, without a checkpoint (else horizontal)")
		fl.StringVar(&f.Toward, "toward", "", "side of the picture that plus points to: left, right, up or down")
		fl.StringVar(&f.Scale, "scale", "", "a known length in the picture, such as \"23 cm = 140 px\"")
	}
	_ = c.RegisterFlagCompletionFunc("checkpoint", a.names(func(e *engine.Engine) []string { return e.Base().Checklist.CheckpointIDs() }))
	c.RunE = func(_ *cobra.Command, args []string) error {
		e, err := a.open(f.Into)
		if err != nil {
			return err
		}
		return a.measured(e.Measure(what, f, args))
	}
	return a.prints(c, shown{record: (*report.Measurement)(nil)})
}

// measured shows a measurement.
func (a *app) measured(m *report.Measurement, err error) error {
	if err != nil {
		return err
	}
	if err := a.show(shown{record: m}); err != nil || m.Written == "" {
		return err
	}
	a.say("wrote %s", m.Written)
	return nil
}

func (a *app) measureSpeed() *cobra.Command {
	c := &cobra.Command{
		Use:     "speed NUMBER UNIT",
		Short:   "a speed put right for a radar gun that stood off the line of the throw",
		Example: "  rungwise measure speed 90 mph --off-line 10",
		Args:    cobra.RangeArgs(1, 2),
	}
	offLine := c.Flags().Float64("off-line", 0, "degrees between the gun's beam and the line of the throw")
	step := c.Flags().Float64("step", 1, "smallest step of the gun's display, in the speed's unit")
	c.RunE = func(_ *cobra.Command, args []string) error {
		return a.measured(engine.GunSpeed(strings.Join(args, " "), *step, *offLine))
	}
	return a.prints(c, shown{record: (*report.Measurement)(nil)})
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
			return err
		}
		e, err := a.open("")
		if err != nil {
			return err
		}
		return a.show(shown{record: e.Cameras(rate.FPS())})
	}
	return a.prints(c, shown{record: (*report.Cameras)(nil)})
}

func (a *app) measureClicks() *cobra.Command {
	c := &cobra.Command{
		Use:   "clicks X,Y X,Y X,Y ... X,Y X,Y X,Y ...",
		Short: "your own error of one click, from the same points clicked twice",
		Long: "Click three points or more of a clip, then the same points again on another day,\n" +
			"and give both rows, one after the other. The error goes with --click.",
		Example: "  rungwise measure clicks 412,300 440,388 431,470 414,303 438,390 433,468",
	}
	c.RunE = func(_ *cobra.Command, args []string) error { return a.measured(engine.Clicks(args)) }
	return a.prints(c, shown{record: (*report.Measurement)(nil)})
}
