package main

import (
	"strings"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/report"
	"rungwise/engine/unit"
)

func (a *app) measureCommand() *cobra.Command {
	c := &cobra.Command{Use: "measure"}
	frames := a.measureLook(engine.ByFrames, &cobra.Command{Use: "frames COUNT | frames FIRST LAST"})
	angle := a.measureLook(engine.ByAngle, &cobra.Command{Use: "angle X,Y X,Y X,Y"})
	line := a.measureLook(engine.ByLine, &cobra.Command{Use: "line X,Y X,Y [X,Y X,Y]"})
	c.AddCommand(frames, angle, line, a.measureSpeed(), a.measureCamera(), a.measureClicks())
	return c
}

// measureLook makes a command that measures a clip.
func (a *app) measureLook(what string, c *cobra.Command) *cobra.Command {
	var f engine.Filmed
	fl := c.Flags()
	declare(fl.StringVar, map[string]*string{
		"fps": &f.FPS, "checkpoint": &f.Checkpoint, "into": &f.Into, "clip": &f.Clip, "at": &f.At,
		"filmed": &f.Filmed, "by": &f.By,
	})
	declare(fl.BoolVar, map[string]*bool{"unsure": &f.Unsure})
	if what != engine.ByFrames {
		declare(fl.Float64Var, map[string]*float64{"click": &f.Click, "off-square": &f.OffSquare})
	}
	if what == engine.ByLine {
		declare(fl.StringVar, map[string]*string{"against": &f.Against, "toward": &f.Toward, "scale": &f.Scale})
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
	c := &cobra.Command{Use: "speed NUMBER UNIT", Args: cobra.RangeArgs(1, 2)}
	offLine := c.Flags().Float64("off-line", 0, "")
	step := c.Flags().Float64("step", 1, "")
	c.RunE = func(_ *cobra.Command, args []string) error {
		return a.measured(engine.GunSpeed(strings.Join(args, " "), *step, *offLine))
	}
	return a.prints(c, shown{record: (*report.Measurement)(nil)})
}

func (a *app) measureCamera() *cobra.Command {
	c := &cobra.Command{Use: "camera FPS", Args: cobra.ExactArgs(1)}
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
	c := &cobra.Command{Use: "clicks X,Y X,Y X,Y ... X,Y X,Y X,Y ..."}
	c.RunE = func(_ *cobra.Command, args []string) error { return a.measured(engine.Clicks(args)) }
	return a.prints(c, shown{record: (*report.Measurement)(nil)})
}
