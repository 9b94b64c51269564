package measure

import (
	"math"

	"rungwise/engine/unit"
)

// Gun tells how a speed was read.
type Gun struct {
	Step    float64 // smallest step of the display in the speed's unit; 0 stands for 1
	OffLine float64 // deg between the gun's beam and the line of the throw
}

// SpeedReading is a speed as read and as it was.
type SpeedReading struct {
	Reading               // the true speed with the error of the display's step
	Read    unit.Quantity // what the gun showed
	Lost    unit.Quantity // what the angle hid: true minus read
	OffLine float64       // deg
	Warn    bool          // the angle hid at least half a step of the display
}

// mostOffLine is the angle in deg from which a reading is not put right (house default): an error of a few degrees in
// the angle then moves the result by more than a drill's gain.
const mostOffLine = 45

// Speed puts a reading right for a gun off the line of the throw, which shows the cosine of the angle of the true speed.
// The error is a *unit.Fault.
func Speed(read unit.Quantity, g Gun) (SpeedReading, error) {
	if read.Unit.Kind() != unit.Speed || !possible(read.Value, g.Step, g.OffLine) || read.Value < 0 {
		return SpeedReading{}, fault("write it in mph, km/h or m/s", "%s is not the speed of a throw", read.Text(3))
	}
	if math.Abs(g.OffLine) > mostOffLine {
		return SpeedReading{}, fault("stand behind the catcher or behind the pitcher",
			"a gun more than %d deg off the line cannot be put right", mostOffLine)
	}
	step := orDefault(g.Step, 1)
	f := math.Cos(g.OffLine * math.Pi / 180)
	lost := unit.Quantity{Value: read.Value/f - read.Value, Unit: read.Unit}
	return SpeedReading{
		Reading: Reading{Value: read.Value / f, SD: stepSD(step) / f, Unit: read.Unit},
		Read:    read, Lost: lost, OffLine: g.OffLine,
		Warn: lost.Value >= step/2,
	}, nil
}

// stepSD returns the error of a value shown in steps: one step over the square root of twelve.
func stepSD(step float64) float64 { return step / math.Sqrt(12) }

// GunBias returns what two guns may differ by, in the unit asked for, as Spec.Bias where the drill and the mound were
// read with two guns: 1.39 km/h. Never mix guns where one will do.
// Source: Appl Sci 2024;14:10476 (two guns, 320 throws, mean difference).
func GunBias(in unit.Unit) (bias float64, ok bool) {
	q, ok := unit.Quantity{Value: 1.39, Unit: unit.KMH}.In(in)
	return q.Value, ok
}
