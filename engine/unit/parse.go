package unit

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// maxText bounds what is looked at; no quantity a coach writes is longer.
const maxText = 60

// maxNumber bounds the digits of one number.
const maxNumber = 24

// Parse reads one quantity with its unit: "88.5 mph", "88,5 mph", "6 ft 1 in", `6'1"`, "130 deg", "145 ms", "95 %".
// The unit stays as written, except that feet with inches come back in inches. The error is a *Fault.
func Parse(text string) (Quantity, error) {
	q, err := parse(text)
	if err == nil && q.Unit == None {
		return Quantity{}, &Fault{Says: quote(text) + " has no unit", Help: "write the unit after the number, such as 88 mph or 130 deg"}
	}
	return q, err
}

// Read reads a quantity and returns it in the unit want. A bare number is taken to be in want; a quantity of
// another kind, and a value outside in (given in want), is refused. The error is a *Fault.
func Read(text string, want Unit, in Range) (Quantity, error) {
	q, err := readAs(text, want)
	if err != nil {
		return Quantity{}, err
	}
	return q, Check(q, in)
}

// Check refuses a value outside the range, which is given in q's own unit. The error is a *Fault.
func Check(q Quantity, in Range) error {
	if in == (Range{}) || (q.Value >= in.Low && q.Value <= in.High) {
		return nil
	}
	low, high := Quantity{in.Low, None}, Quantity{in.High, q.Unit}
	return &Fault{
		Says: q.Text(3) + " is not possible here",
		Help: fmt.Sprintf("it lies between %s and %s", low, high),
	}
}

func readAs(text string, want Unit) (Quantity, error) {
	if bare, ok := cutCount(text, want); ok {
		text = bare
	}
	q, err := parse(text)
	if err != nil {
		return Quantity{}, err
	}
	if q.Unit == None {
		return Quantity{q.Value, want}, nil
	}
	if q.Unit == Percent && want == PercentHeight {
		return Quantity{q.Value, want}, nil // "85 %" under a heading that asks for % of height
	}
	c, ok := q.In(want)
	if !ok {
		return Quantity{}, wrongKind(q, want)
	}
	return c, nil
}

// cutCount takes a count's own word off the end ("19 years", "3 throws"), for units not known here.
func cutCount(text string, want Unit) (string, bool) {
	if want == None || want.Kind() != Count {
		return "", false
	}
	bare, ok := strings.CutSuffix(strings.ToLower(strings.TrimSpace(text)), string(want))
	return bare, ok
}

func wrongKind(q Quantity, want Unit) error {
	f := &Fault{Says: fmt.Sprintf("%s is %s, and %s is needed here", q, q.Unit.Kind(), want.Kind())}
	if want != None {
		f.Help = "write it in " + string(want)
	}
	return f
}

func parse(text string) (Quantity, error) {
	s := plain(text)
	if s == "" {
		return Quantity{}, &Fault{Says: "nothing was given", Help: "write a number and its unit"}
	}
	if len(s) > maxText {
		return Quantity{}, &Fault{Says: "too long for a quantity: " + quote(text)}
	}
	v, rest, err := cutNumber(s)
	if err != nil {
		return Quantity{}, err
	}
	if q, ok, err := feetInches(s, v, rest); ok || err != nil {
		return q, err
	}
	u, ok := word(rest)
	if !ok {
		return Quantity{}, unknownUnit(rest)
	}
	return Quantity{v, u}, nil
}

// plain lower-cases, takes the many spaces and quotation marks of phones and word processors back to one form
// each, and trims.
func plain(text string) string {
	s := strings.NewReplacer("\u00a0", " ", "\u202f", " ", "\t", " ", "\u2212", "-",
		"\u2032", "'", "\u2019", "'", "\u2033", "\"", "\u201d", "\"", "''", "\"").Replace(text)
	return strings.Join(strings.Fields(strings.ToLower(s)), " ")
}

// feetInches reads what follows a whole number of feet. ok is false where the text is not feet at all.
func feetInches(s string, feet float64, rest string) (Quantity, bool, error) {
	after, ok := cutWord(rest, "feet", "foot", "ft", "'")
	if !ok {
		return Quantity{}, false, nil
	}
	if after == "" {
		return Quantity{feet, FT}, true, nil
	}
	inches, tail, err := cutNumber(after)
	if err != nil {
		return Quantity{}, false, err
	}
	if end, ok := cutWord(tail, "inches", "inch", "in", "\""); tail != "" && (!ok || end != "") {
		return Quantity{}, false, unknownUnit(tail)
	}
	if feet < 0 || feet != float64(int(feet)) || inches < 0 || inches >= 12 {
		return Quantity{}, false, &Fault{Says: quote(s) + " is not feet and inches",
			Help: "whole feet, then less than twelve inches, such as 6 ft 1 in"}
	}
	return Quantity{12*feet + inches, IN}, true, nil
}

// cutWord takes the first of the words that s begins with; a word may be followed by a space, a digit or nothing.
func cutWord(s string, words ...string) (rest string, ok bool) {
	for _, w := range words {
		r, found := strings.CutPrefix(s, w)
		if found && (r == "" || r[0] == ' ' || isDigit(r[0])) {
			return strings.TrimSpace(r), true
		}
	}
	return s, false
}

// cutNumber reads a decimal number with a point or a comma off the front of s. "1,234" is refused: it is one
// number to a European and another to an American.
func cutNumber(s string) (v float64, rest string, err error) {
	i := 0
	if i < len(s) && (s[i] == '-' || s[i] == '+') {
		i++
	}
	start := i
	for i < len(s) && (isDigit(s[i]) || s[i] == '.' || s[i] == ',') {
		i++
	}
	digits := s[start:i]
	whole, part, comma := strings.Cut(digits, ",")
	if comma && len(part) == 3 && len(whole) > 0 && len(whole) <= 3 && whole[0] != '0' {
		return 0, "", &Fault{Says: quote(digits) + " can be read in two ways", Help: "leave the comma out, or write a point for decimals"}
	}
	point := strings.Replace(digits, ",", ".", 1)
	if strings.HasSuffix(point, ".") || len(point) > maxNumber {
		return 0, "", notNumber(s)
	}
	v, convErr := strconv.ParseFloat(point, 64)
	if convErr != nil {
		return 0, "", notNumber(s)
	}
	if s[0] == '-' && v != 0 {
		v = -v
	}
	return v, strings.TrimSpace(s[i:]), nil
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

func notNumber(s string) error {
	return &Fault{Says: quote(s) + " is not a number", Help: "write digits, such as 88.5"}
}

func unknownUnit(s string) error {
	return &Fault{Says: quote(s) + " is not a unit known here", Help: "mph, km/h, m/s, cm, m, ft, in, deg, ms, s or %"}
}

// word gives the unit for one of its spellings; nothing at all is None. Feet are read with their inches.
func word(s string) (Unit, bool) {
	for _, k := range known {
		if k.unit != FT && (s == string(k.unit) || slices.Contains(k.words, s)) {
			return k.unit, true
		}
	}
	return None, s == ""
}

// OfSpeed reads the name of a unit of speed.
func OfSpeed(name string) (Unit, bool) {
	u, ok := word(plain(name))
	return u, ok && u.Kind() == Speed
}

// quote shows what was written, shortened, with control characters made visible so that none reaches a terminal.
func quote(s string) string {
	if r := []rune(s); len(r) > 30 {
		s = string(r[:30]) + "..."
	}
	return strconv.Quote(s)
}
