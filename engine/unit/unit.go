// Package unit holds quantities as a coach writes them: speeds, lengths, angles, times, shares and frames at a rate.
//
// The invariant: a Quantity that came out of this package is finite, carries the unit it is in, and prints to a text
// that reads back as the same Quantity. Nothing is guessed: a text that could mean two things is refused with a
// reason in plain words.
package unit

import (
	"math"
	"strconv"
)

// Unit is a unit by its text form, which is what is printed and what stands in the checklists.
type Unit string

// The units known here. Any other text may stand as a Unit too ("years", "throws"): it is then a plain count
// that converts into nothing else.
const (
	None          Unit = ""
	MPH           Unit = "mph"
	KMH           Unit = "km/h"
	MPS           Unit = "m/s"
	CM            Unit = "cm"
	M             Unit = "m"
	FT            Unit = "ft"
	IN            Unit = "in"
	Deg           Unit = "deg"
	MS            Unit = "ms"
	S             Unit = "s"
	Percent       Unit = "%"
	PercentHeight Unit = "% of height"
)

// Kind says what sort of quantity a unit measures, in words that can stand in a sentence.
type Kind string

// The kinds; units of one kind convert into each other.
const (
	Count         Kind = "a number"
	Speed         Kind = "a speed"
	Length        Kind = "a length"
	Angle         Kind = "an angle"
	Time          Kind = "a time"
	Share         Kind = "a percentage"
	ShareOfHeight Kind = "a percentage of height"
)

// Quantity is a number in a unit.
type Quantity struct {
	Value float64
	Unit  Unit
}

// Range is what is possible, both ends included, in the unit it is used with. The zero Range allows everything.
type Range struct {
	Low, High float64
}

// Fault says in plain words why a text was not read, and what would have been. It is the error of this package.
type Fault struct {
	Says string // what is wrong, lower case, no final period
	Help string // the one thing to do about it; may be empty
}

// Error returns what is wrong, without the help.
func (f *Fault) Error() string { return f.Says }

// known are the units that convert: how many of the kind's base unit (m/s, cm, deg, ms, %) one of each is, and how else
// it is spelled. Factors are exact by definition: 1 mph is 0.44704 m/s, 1 in is 2.54 cm.
var known = []struct {
	unit  Unit
	kind  Kind
	base  float64
	words []string
}{
	{MPH, Speed, 0.44704, []string{"mi/h", "miles per hour"}},
	{KMH, Speed, 1 / 3.6, []string{"kmh", "kph", "kilometers per hour", "kilometres per hour"}},
	{MPS, Speed, 1, []string{"meters per second", "metres per second"}},
	{CM, Length, 1, []string{"centimeter", "centimeters", "centimetre", "centimetres"}},
	{M, Length, 100, []string{"meter", "meters", "metre", "metres"}},
	{FT, Length, 30.48, nil},
	{IN, Length, 2.54, []string{"inch", "inches", "\""}},
	{Deg, Angle, 1, []string{"degree", "degrees", "°"}},
	{MS, Time, 1, []string{"millisecond", "milliseconds"}},
	{S, Time, 1000, []string{"sec", "second", "seconds"}},
	{Percent, Share, 1, []string{"percent"}},
	{PercentHeight, ShareOfHeight, 1, []string{"percent of height"}},
}

func (u Unit) measure() (Kind, float64) {
	for _, k := range known {
		if k.unit == u {
			return k.kind, k.base
		}
	}
	return Count, 1
}

// Kind returns what the unit measures; a unit not known here is a Count.
func (u Unit) Kind() Kind {
	k, _ := u.measure()
	return k
}

// In converts q into the unit to. ok is false where the two measure different things.
func (q Quantity) In(to Unit) (converted Quantity, ok bool) {
	if q.Unit == to {
		return q, true
	}
	from, a := q.Unit.measure()
	into, b := to.measure()
	if from != into || from == Count {
		return Quantity{}, false
	}
	return Quantity{q.Value * a / b, to}, true
}

// String prints q exactly: "84.6 mph", "73 in", "95 %". It reads back as the same Quantity.
func (q Quantity) String() string { return q.withNumber(number(q.Value, -1)) }

// Text prints q rounded to at most the given number of decimals.
func (q Quantity) Text(decimals int) string { return q.withNumber(number(q.Value, decimals)) }

func (q Quantity) withNumber(n string) string {
	if q.Unit == None {
		return n
	}
	return n + " " + string(q.Unit)
}

// number prints without trailing zeros and never as "-0"; decimals below zero means as many as it takes.
func number(v float64, decimals int) string {
	if decimals >= 0 {
		p := math.Pow(10, float64(decimals))
		if r := math.Round(v*p) / p; !math.IsInf(r, 0) && !math.IsNaN(r) {
			v = r
		}
	}
	if v == 0 {
		return "0"
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// PercentOfHeight gives a length as a share of a height, as stride length is published.
func PercentOfHeight(length, height Quantity) (Quantity, error) {
	l, okL := length.In(CM)
	h, okH := height.In(CM)
	if !okL || !okH || !(h.Value > 0) {
		return Quantity{}, &Fault{Says: "a share of height needs a length and the athlete's height", Help: "give both in cm, or in ft and in"}
	}
	return Quantity{100 * l.Value / h.Value, PercentHeight}, nil
}
