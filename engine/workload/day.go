package workload

// A Day holds the throws of one civil day by effort. All counts are whole throws, zero or more, and the most that may
// have been thrown: the week, the rest and the days since are read from them. What surely was thrown, from which the
// base of the growth rule is read, is Least.
type Day struct {
	On Date `json:"on"`
	// Low, Moderate and High are practice throws by asked effort, warm-up throws among them. High-effort throws count
	// as pitches, whatever drill they belong to.
	Low      int `json:"low,omitempty"`
	Moderate int `json:"moderate,omitempty"`
	High     int `json:"high,omitempty"`
	// Game is pitches and hard throws in a game.
	Game int `json:"game,omitempty"`
	// Innings pitched in that game.
	Innings float64 `json:"innings,omitempty"`
	// Adjust is what measured speeds add to the load that asked effort gives, in full-effort throws (see
	// Weights.Measured); zero where no speed was measured.
	Adjust float64 `json:"adjust,omitempty"`
	// Assumed says that the counts were filled in, not recorded.
	Assumed bool `json:"assumed,omitempty"`
	// Least is what surely was thrown; nil: all of it, as it stands.
	Least *Least `json:"-"`
}

// Least is throws by effort of which nothing is assumed. A share of a week's throws need not be whole.
type Least struct{ Low, Moderate, High, Game, Adjust float64 }

// Surely returns what surely was thrown on the day.
func (d Day) Surely() Least {
	if d.Least != nil {
		return *d.Least
	}
	return Least{float64(d.Low), float64(d.Moderate), float64(d.High), float64(d.Game), d.Adjust}
}

// Throws returns all throws.
func (l Least) Throws() float64 { return l.Low + l.Moderate + l.High + l.Game }

// Throws returns all throws of the day.
func (d Day) Throws() int { return d.Low + d.Moderate + d.High + d.Game }

// Pitches returns what counts as pitches: game pitches and high-effort throws.
func (d Day) Pitches() int { return d.High + d.Game }

// An Effort is a class of asked effort.
type Effort int

// The classes of effort, least first.
const (
	Low Effort = iota
	Moderate
	High
)

// String returns low, moderate or high.
func (e Effort) String() string { return [...]string{"low", "moderate", "high"}[e] }

// Weights say what one throw counts, in full-effort throws. Asked effort unloads the arm far less than asked
// (Slenker 2014: 60 % asked leaves 76 % of the load; Fiegen 2023; Melugin 2019), so no weight is near nothing.
type Weights struct {
	LowTo, ModerateTo         float64 // most % of effort asked that still counts as low, as moderate
	Low, Moderate, High, Game float64 // full-effort throws per throw
}

// Class returns the class of an asked effort in percent of the maximum; an effort over the highest bound is high.
func (w Weights) Class(percent float64) Effort {
	switch {
	case percent <= w.LowTo:
		return Low
	case percent <= w.ModerateTo:
		return Moderate
	}
	return High
}

// Load returns the load of a day in full-effort throws.
func (w Weights) Load(d Day) float64 {
	load := w.Low*float64(d.Low) + w.Moderate*float64(d.Moderate) + w.High*float64(d.High) + w.Game*float64(d.Game)
	return max(0, load+d.Adjust)
}

// LeastLoad returns the load of what surely was thrown, in full-effort throws.
func (w Weights) LeastLoad(l Least) float64 {
	return max(0, w.Low*l.Low+w.Moderate*l.Moderate+w.High*l.High+w.Game*l.Game+l.Adjust)
}

// Of returns the load of one throw asked at an effort of a class.
func (w Weights) Of(e Effort) float64 { return [...]float64{w.Low, w.Moderate, w.High}[e] }

// The bounds of one measured throw's load: a misread speed can neither erase a throw nor make it many.
const (
	leastMeasured = .2
	mostMeasured  = 1.1
)

// MeasuredLoad returns the load of one throw by its speed: (speed/reference)², held within 0.2 and 1.1. Both speeds
// are in one unit; a reference that is not above zero counts the throw as full effort.
func MeasuredLoad(speed, reference float64) float64 {
	if !(reference > 0) || !(speed >= 0) {
		return 1
	}
	share := speed / reference
	return min(max(share*share, leastMeasured), mostMeasured)
}

// Measured returns the Adjust of a day for throws of one class whose speeds were measured.
func (w Weights) Measured(e Effort, speeds []float64, reference float64) float64 {
	sum := 0.0
	for _, v := range speeds {
		sum += MeasuredLoad(v, reference) - w.Of(e)
	}
	return sum
}
