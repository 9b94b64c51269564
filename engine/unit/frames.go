package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Rate is a capture rate in frames a second as an exact fraction; 59.94 is 60000/1001. The zero Rate is unknown.
type Rate struct {
	Num, Den int
}

// Frames is a count of frames between two events on video taken at a rate. A count may be negative: the second
// event came before the first.
type Frames struct {
	Count int
	Rate  Rate
}

// What can be a frame rate or a frame count at all (house default): a slow screen recording to a laboratory camera.
const (
	slowestRate = 5
	fastestRate = 20_000
	mostFrames  = 100_000
)

// FPS returns frames a second, 0 for the unknown rate.
func (r Rate) FPS() float64 {
	if r.Den == 0 {
		return 0
	}
	return float64(r.Num) / float64(r.Den)
}

// FrameMS returns how long one frame lasts in ms, 0 for the unknown rate.
func (r Rate) FrameMS() float64 {
	if r.Num == 0 {
		return 0
	}
	return 1000 * float64(r.Den) / float64(r.Num)
}

// String prints the rate as it is spoken: "60", "59.94", "23.976"; any other fraction as "12345/678".
func (r Rate) String() string {
	if r.Den == 1 {
		return strconv.Itoa(r.Num)
	}
	short := number(r.FPS(), 3)
	if again, err := ParseRate(short); err == nil && again == r {
		return short
	}
	return fmt.Sprintf("%d/%d", r.Num, r.Den)
}

// Time returns how long the frames last, in ms.
func (f Frames) Time() Quantity { return Quantity{float64(f.Count) * f.Rate.FrameMS(), MS} }

// String prints "33 frames @ 59.94"; it reads back as the same Frames.
func (f Frames) String() string {
	word := "frames"
	if f.Count == 1 || f.Count == -1 {
		word = "frame"
	}
	return fmt.Sprintf("%d %s @ %s", f.Count, word, f.Rate)
}

// LooksLikeFrames tells whether a text is meant as frames at a rate, so that its faults are told as such.
func LooksLikeFrames(text string) bool {
	s := plain(text)
	return strings.Contains(s, "frame") || strings.Contains(s, "@")
}

// ParseFrames reads "33 frames @ 60", "33 frames at 59.94 fps". The error is a *Fault.
func ParseFrames(text string) (Frames, error) {
	s := plain(text)
	left, right, ok := strings.Cut(s, "@")
	if !ok {
		left, right, ok = strings.Cut(s, " at ")
	}
	if !ok || len(s) > maxText {
		return Frames{}, notFrames(text)
	}
	v, rest, err := cutNumber(strings.TrimSpace(left))
	if err != nil {
		return Frames{}, err
	}
	if end, ok := cutWord(rest, "frames", "frame", "f"); !ok || end != "" {
		return Frames{}, notFrames(text)
	}
	if v != math.Trunc(v) {
		return Frames{}, &Fault{Says: "frames are counted whole, not " + number(v, 3), Help: "count from the first frame that shows it"}
	}
	if math.Abs(v) > mostFrames {
		return Frames{}, &Fault{Says: number(v, 0) + " frames is not possible here", Help: "count between the two events only"}
	}
	rate, err := ParseRate(strings.TrimSpace(right))
	if err != nil {
		return Frames{}, err
	}
	return Frames{int(v), rate}, nil
}

func notFrames(text string) error {
	return &Fault{Says: quote(text) + " is not a count of frames at a rate", Help: "write it as 33 frames @ 60"}
}

// ParseRate reads a capture rate: "60", "59.94 fps", "29,97", "30000/1001". The spoken broadcast rates stand for
// the exact ones: 23.976, 29.97, 59.94, 119.88 and 239.76 are 24, 30, 60, 120 and 240 times 1000/1001. The error
// is a *Fault.
func ParseRate(text string) (Rate, error) {
	s := plain(text)
	for _, w := range []string{"frames per second", "fps", "hz"} {
		s = strings.TrimSpace(strings.TrimSuffix(s, w))
	}
	r, ok := fraction(s)
	if !ok {
		r, ok = decimalRate(s)
	}
	if !ok {
		return Rate{}, &Fault{Says: quote(text) + " is not a frame rate", Help: "write frames a second, such as 60 or 59.94"}
	}
	if r.FPS() < slowestRate || r.FPS() > fastestRate {
		return Rate{}, &Fault{Says: number(r.FPS(), 3) + " frames a second is not possible here",
			Help: fmt.Sprintf("it lies between %d and %d", slowestRate, fastestRate)}
	}
	return r, nil
}

func fraction(s string) (Rate, bool) {
	a, b, ok := strings.Cut(s, "/")
	num, err1 := strconv.ParseUint(a, 10, 31)
	den, err2 := strconv.ParseUint(b, 10, 31)
	if !ok || len(s) > 20 || err1 != nil || err2 != nil || num == 0 || den == 0 {
		return Rate{}, false
	}
	return reduced(int(num), int(den)), true
}

func decimalRate(s string) (Rate, bool) {
	v, rest, err := cutNumber(s)
	if err != nil || rest != "" || v <= 0 || v > 1e6 {
		return Rate{}, false
	}
	for _, n := range []int{24, 30, 48, 60, 72, 96, 120, 144, 240, 480, 960} {
		if math.Abs(v-float64(n)*1000/1001) < 0.0045 { // 23.98 is spoken for 23.976
			return Rate{n * 1000, 1001}, true
		}
	}
	thousandths := math.Round(v * 1000)
	if thousandths == 0 {
		return Rate{}, false
	}
	return reduced(int(thousandths), 1000), true
}

func reduced(a, b int) Rate {
	x, y := a, b
	for y != 0 {
		x, y = y, x%y
	}
	return Rate{a / x, b / x}
}
