package measure

import (
	"fmt"
	"math"

	"rungwise/engine/stats"
	"rungwise/engine/unit"
)

// Call is what can be said about a checkpoint on two throws.
type Call string

// The three calls. Unclear is unknown to whoever asks.
const (
	Differs Call = "differs"
	Same    Call = "same"
	Unclear Call = "unclear"
)

// The decision rule's own numbers (house defaults, set by simulation).
const (
	sureDiffers   = 0.80  // differs from this chance of a difference beyond tolerance
	sureSame      = 0.20  // same up to this chance
	sameNeeds     = 1.4   // same only where tolerance/SE is at least this
	defaultWeight = 6     // how many degrees of freedom the default SD is worth
	priorWidth    = 1.5   // SD of true differences, in tolerances
	surest        = 0.995 // no comparison is taken to be surer than this, either way
)

// priorDiffers is the chance that a graded checkpoint differs before anything is seen (house default).
const priorDiffers = 0.30

// Spec says how a checkpoint is compared. All amounts are in Unit.
type Spec struct {
	Unit        unit.Unit // what the readings are converted into; none: that of the first drill reading
	Tolerance   float64   // a difference up to this is no difference that matters
	ThrowSD     float64   // how much one athlete's throws of one kind differ in truth
	BetweenDays float64   // SD of one day's level about the athlete's own mean
	OtherDay    bool      // the two throws were filmed on different days: BetweenDays counts, once for each day
	Bias        float64   // the most by which camera or instrument may have shifted one side against the other
}

// Verdict is the outcome of a comparison, with the numbers behind it. Amounts are in Unit.
type Verdict struct {
	Call       Call
	P          float64 // chance of a difference beyond the tolerance; with a bias, the side of it nearest the prior
	Prior      float64 // what P would be had nothing been seen
	Lambda     float64 // how many times likelier "differs" has become, as odds; 1 says nothing
	Difference float64 // mound minus drill
	SE, DF     float64 // standard error of Difference, and its degrees of freedom
	Clips      [2]int  // readings of the drill, of the mound
	Tolerance  float64
	Unit       unit.Unit
	CanBeSame  bool   // the readings are fine enough to show that it is the same
	Why        string // why it is unclear, in plain words; empty otherwise
	Need       string // what would settle it, in plain words; empty unless unclear
}

// Compare decides whether a checkpoint differs between the drill and the mound. The spread of the readings is shrunk
// to the known one, a worth of six further readings; the true difference is taken to be about as large as tolerances
// are; P is then the chance that it lies beyond the tolerance, and decides. Readings that cannot be compared, or none
// at all, make an Unclear with a Lambda of 1.
func Compare(drill, mound []Reading, s Spec) Verdict {
	if s.Unit == unit.None && len(drill) > 0 {
		s.Unit = drill[0].Unit
	}
	v := Verdict{Call: Unclear, Lambda: 1, Clips: [2]int{len(drill), len(mound)}, Tolerance: s.Tolerance, Unit: s.Unit}
	v.Prior = prior(defaultWeight)
	v.P = v.Prior
	d, m, why := prepare(drill, mound, s)
	if why != "" {
		v.Why = why
		return v
	}
	e := pool(d, m, s)
	v.Difference, v.SE, v.DF = m.mean-d.mean, e.se(d.n, m.n), e.df
	v.decide(s)
	if v.Call == Unclear {
		v.Why = v.reason(s)
		v.Need = need(v, e, s)
	}
	return v
}

// side is one throw's readings: their mean, their sum of squares about it, and the variance expected of one of them.
type side struct {
	n                  int
	mean, ss, variance float64
	measured           float64 // the part of variance that comes from measuring
	fps                float64 // slowest capture rate among them, 0 if any was not counted in frames
}

func prepare(drill, mound []Reading, s Spec) (d, m side, why string) {
	if !(s.Tolerance > 1/largest) || !possible(s.Tolerance, s.ThrowSD, s.BetweenDays, s.Bias) || min(s.ThrowSD, s.BetweenDays, s.Bias) < 0 {
		return d, m, "the checklist gives no usable tolerance for it"
	}
	if d, why = sideOf(drill, s, "the drill"); why != "" {
		return d, m, why
	}
	m, why = sideOf(mound, s, "the mound")
	return d, m, why
}

func sideOf(rs []Reading, s Spec, name string) (side, string) {
	if len(rs) == 0 {
		return side{}, "nothing was measured in " + name
	}
	values := make([]float64, len(rs))
	out := side{n: len(rs), fps: math.Inf(1)}
	for i, r := range rs {
		c, ok := r.In(s.Unit)
		if !ok {
			return side{}, fmt.Sprintf("%s was measured in %q, which does not compare with %q", name, r.Unit, s.Unit)
		}
		if !possible(c.Value, c.SD) || c.SD < 0 {
			return side{}, "a number measured in " + name + " is not possible"
		}
		values[i] = c.Value
		out.measured += c.SD * c.SD / float64(len(rs))
		out.fps = math.Min(out.fps, c.FPS)
	}
	out.mean, out.ss = stats.Mean(values), stats.SumSquares(values)
	out.variance = variance(out.measured, s)
	return out, ""
}

// variance is what one reading is expected to scatter by; never nothing, since no reading is without error.
func variance(measured float64, s Spec) float64 {
	return math.Max(measured+s.ThrowSD*s.ThrowSD, math.Pow(s.Tolerance/100, 2))
}

// pooled is the shrunk spread of both sides: scale multiplies the variances expected.
type pooled struct {
	scale, df    float64
	drill, mound side
	days         float64 // variance added to the difference because the days differ
}

func pool(d, m side, s Spec) pooled {
	e := pooled{df: float64(defaultWeight + d.n + m.n - 2), drill: d, mound: m}
	e.scale = (defaultWeight + (d.ss/d.variance + m.ss/m.variance)) / e.df
	if s.OtherDay {
		e.days = 2 * s.BetweenDays * s.BetweenDays
	}
	return e
}

// se is the standard error of the difference with so many clips of the drill and of the mound.
func (e pooled) se(nd, nm int) float64 {
	return math.Sqrt(e.scale*(e.drill.variance/float64(nd)+e.mound.variance/float64(nm)) + e.days)
}

// decide fills in P, Prior, Lambda, CanBeSame and Call from Difference, SE and DF.
func (v *Verdict) decide(s Spec) {
	v.Prior = prior(v.DF)
	low, high := v.chance(s.Tolerance+s.Bias), v.chance(math.Max(0, s.Tolerance-s.Bias))
	v.P = math.Max(low, math.Min(high, v.Prior))
	v.CanBeSame = v.SE*sameNeeds <= s.Tolerance-s.Bias
	v.Lambda = lambda(v.P, v.Prior)
	switch {
	case low >= sureDiffers:
		v.Call = Differs
	case high <= sureSame && v.CanBeSame:
		v.Call = Same
	default:
		v.Call = Unclear
	}
}

// prior is the chance of a difference beyond the tolerance before anything is seen: what the prior of true differences
// makes it, so that a reading which says nothing has a Lambda of 1.
func prior(df float64) float64 { return beyond(1, 0, priorWidth, df) }

// chance is the posterior chance that the true difference is larger than t either way.
func (v *Verdict) chance(t float64) float64 {
	tau := priorWidth * v.Tolerance
	w := tau * tau / (tau*tau + v.SE*v.SE)
	return beyond(t, math.Abs(w*v.Difference), math.Sqrt(w)*v.SE, v.DF)
}

// beyond is the chance that Student's t about d with scale se lies outside -t..t; of |d| only, so that both
// directions give the same digits.
func beyond(t, d, se, df float64) float64 {
	return stats.StudentCDF((d-t)/se, df) + stats.StudentCDF((-t-d)/se, df)
}

// lambda is the change of odds from prior to p. No reading is taken to be surer than 1 in 200 either way.
func lambda(p, prior float64) float64 {
	p = math.Max(1-surest, math.Min(surest, p))
	prior = math.Max(1-surest, math.Min(surest, prior))
	return p / (1 - p) * (1 - prior) / prior
}

func orDefault(x, standard float64) float64 {
	if x > 0 {
		return x
	}
	return standard
}

func (v *Verdict) reason(s Spec) string {
	switch {
	case s.Bias >= s.Tolerance:
		return "the camera or the gun can shift it by as much as the tolerance"
	case v.CanBeSame:
		return "the difference is too close to the tolerance to call"
	case v.Clips == [2]int{1, 1}:
		return "one clip cannot show that it is the same"
	}
	return fmt.Sprintf("%s cannot show that it is the same", clipWords(v.Clips))
}

func clipWords(n [2]int) string {
	if n[0] == n[1] {
		return fmt.Sprintf("%d clips a side", n[0])
	}
	return fmt.Sprintf("%d clips against %d", max(n[0], n[1]), min(n[0], n[1]))
}
