package casefile

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"rungwise/engine/diag"
	"rungwise/engine/safety"
	"rungwise/engine/unit"
)

// Thrown is throws as somebody typed or pasted them. A speed is nil where the
// gun missed the throw. Marks is empty or has one for each speed.
type Thrown struct {
	Speeds []*float64
	Marks  []string
	Unit   unit.Unit // the one that stands among the numbers, "" = none
}

// mostPasted bounds what is read as throws.
const mostPasted = 64 << 10

// ReadThrows reads speeds, each with its mark after it where there are marks:
// "81 82 81.5", "81,5; 82", "81 y 82 n", or a line each. A dash is a throw that
// the gun missed.
func ReadThrows(text string) (Thrown, error) {
	var t Thrown
	if len(text) > mostPasted {
		return t, fmt.Errorf("%w: these are more numbers than a session has throws", ErrEntry)
	}
	for _, w := range throwWords(text) {
		if mark, ok := ReadMark(w); ok {
			if len(t.Marks) != len(t.Speeds)-1 {
				return t, fmt.Errorf("%w: the mark `%s` stands after no speed; write the speed first, a dash where there is none", ErrEntry, w)
			}
			t.Marks = append(t.Marks, mark)
			continue
		}
		if u, ok := unit.OfSpeed(w); ok {
			if t.Unit != "" && t.Unit != u {
				return t, fmt.Errorf("%w: the speeds are in two units, %s and %s", ErrEntry, t.Unit, u)
			}
			t.Unit = u
			continue
		}
		v, err := speedWord(w)
		if err != nil {
			return t, err
		}
		t.Speeds = append(t.Speeds, v)
	}
	if len(t.Marks) > 0 && len(t.Marks) != len(t.Speeds) {
		return t, fmt.Errorf("%w: %d speeds and %d marks; write x for a throw that nobody could see", ErrEntry, len(t.Speeds), len(t.Marks))
	}
	return t, nil
}

// decimalComma is a number with one place after a comma, as radar displays in
// many countries show it. With two places, "81,82" is two speeds.
var decimalComma = regexp.MustCompile(`^\d{1,3},\d$`)

func throwWords(text string) []string {
	var out []string
	text = strings.NewReplacer("\ufeff", "", "\u2013", "-", "\u2212", "-").Replace(text)
	for _, w := range strings.FieldsFunc(text, func(c rune) bool {
		return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == ';' || c == '\u00a0' || c == '|'
	}) {
		w = strings.TrimSuffix(w, ",")
		if decimalComma.MatchString(w) {
			out = append(out, strings.Replace(w, ",", ".", 1))
			continue
		}
		for _, part := range strings.Split(w, ",") {
			if part != "" {
				out = append(out, part)
			}
		}
	}
	return out
}

func speedWord(w string) (*float64, error) {
	if strings.Trim(w, "-") == "" {
		return nil, nil
	}
	v, err := strconv.ParseFloat(w, 64)
	if err != nil || v < 0 || v > 1000 {
		return nil, fmt.Errorf("%w: `%s` is no speed; write numbers such as 81.5, and a dash for a throw that the gun missed", ErrEntry, short(w))
	}
	return &v, nil
}

// ReadMark reads whether the pattern held in a throw: y, p, n, or x where nobody
// could see. It is the one reader of marks.
func ReadMark(w string) (string, bool) {
	switch strings.ToLower(w) {
	case "y", "yes", "true", "held", "ja", "oui", "si", "sí", "sim":
		return "yes", true
	case "n", "no", "false", "lost", "nein", "non", "nee", "não":
		return "no", true
	case "p", "partly", "partial", "part", "half", "½", "teils":
		return "partly", true
	case "x", "?", CouldNotSee, "could not see", "unseen":
		return CouldNotSee, true
	}
	return "", false
}

// ReadMarks reads marks: "y y n p", "yynx", "y,n".
func ReadMarks(text string) ([]string, error) {
	words := strings.FieldsFunc(text, func(c rune) bool { return strings.ContainsRune(" \t\n\r,;", c) })
	if len(words) == 1 && regexp.MustCompile(`^(?i)[ynpx?]{2,}$`).MatchString(words[0]) {
		words = strings.Split(words[0], "")
	}
	var out []string
	for _, w := range words {
		m, ok := ReadMark(w)
		if !ok {
			return nil, fmt.Errorf("%w: `%s` is no mark; write y, p, n, or x where nobody could see", ErrEntry, short(w))
		}
		out = append(out, m)
	}
	return out, nil
}

// ReadOther reads one line about throws elsewhere: "game 45 pitches 3 innings",
// "practice 40 throws 10 hard", "catching", "catching 6 innings".
func ReadOther(text string) (Entry, error) {
	e := Entry{What: LogOther}
	words := strings.FieldsFunc(strings.ToLower(text), func(c rune) bool { return strings.ContainsRune(" \t\n\r,;", c) })
	if len(words) == 0 {
		return e, otherFault("")
	}
	e.Kind = words[0]
	if !slices.Contains(otherKinds(), e.Kind) || len(words)%2 == 0 {
		return e, otherFault(text)
	}
	for i := 1; i < len(words); i += 2 {
		if !e.otherCount(words[i], words[i+1]) {
			return e, otherFault(text)
		}
	}
	if says := e.countFaults(); len(says) > 0 {
		return e, fmt.Errorf("%w: %s", ErrEntry, says[0])
	}
	switch {
	case e.Kind == "game" && e.Pitches == 0:
		return e, fmt.Errorf("%w: a game needs its pitches, such as `game 45 pitches 3 innings`; for an athlete who caught write `catching`", ErrEntry)
	case e.Kind == "practice" && e.Throws == 0:
		return e, fmt.Errorf("%w: practice needs its throws, such as `practice 40 throws 10 hard`; a guess is better than nothing", ErrEntry)
	}
	return e, nil
}

func otherFault(text string) error {
	return fmt.Errorf("%w: `%s` is not read; write `game 45 pitches 3 innings`, `practice 40 throws 10 hard` or `catching 6 innings`", ErrEntry, short(text))
}

// mostDigits bounds what is read as a count at all; what can be believed of it is said by the bounds.
const mostDigits = 1_000_000_000

// otherCount takes a number and what it counts.
func (e *Entry) otherCount(number, what string) bool {
	v, err := strconv.ParseFloat(number, 64)
	c, known := e.count(what)
	if err != nil || v < 0 || v > mostDigits || !known {
		return false
	}
	c.set(v)
	return c.parts || v == math.Trunc(v)
}

// SlipForm is the slip for the athlete or a parent to fill in and send back. It
// answers nothing by itself.
const SlipForm = `code: 
date: 
pain (no or where): 
numbness (no or yes): 
pop or swelling (no or yes): 
sore (none or where): 
throws: 
hard: 
note: 
`

// Slip is a return slip as far as it was understood.
type Slip struct {
	Entry
	Code string   // that it names, for the caller to compare
	Odd  []string // parts that are not understood and speak of nothing alarming
}

// ReadSlip reads a return slip: a line, or a part between commas, for each
// answer, as SlipForm has them. Whatever is not understood, counts apart, is kept
// as it stands in Unread: it may be what matters.
func ReadSlip(text string, places []string, alarms safety.Alarms) Slip {
	s := Slip{Entry: Entry{What: LogSlip, Health: &Health{}}}
	var unread []string
	for _, part := range strings.FieldsFunc(text, func(c rune) bool { return c == '\n' || c == ';' }) {
		for _, p := range slipParts(part) {
			key, value := cutKey(p)
			mine, ok := s.healthAnswer(key, value, places)
			switch {
			case value == "" && !strings.Contains(p, ":") && strings.TrimSpace(p) != "":
				unread = append(unread, p)
			case value == "":
			case key == "code":
				s.Code = value
			case !ok:
				unread = append(unread, p)
			case mine || s.slipAnswer(key, value):
			case s.onSlip(key) && alarms.Find(p) == "":
				s.Odd = append(s.Odd, strings.TrimSpace(p)+unbelievable(value))
			default: // the rest of a health answer, perhaps: "pain: no, only after"
				unread = append(unread, p)
			}
		}
	}
	s.Unread = strings.Join(unread, "; ")
	return s
}

// unbelievable tells of a number that nobody throws in a day; "" for any other
// value.
func unbelievable(value string) string {
	n, err := strconv.ParseFloat(value, 64)
	if err != nil {
		return ""
	}
	if says, ok := dayBound().check(n); !ok {
		return " (" + says + ")"
	}
	return ""
}

// slipParts splits a line at commas, but never a note.
func slipParts(line string) []string {
	line = strings.TrimSpace(strings.TrimRight(line, "\r"))
	if strings.HasPrefix(strings.ToLower(line), "note") {
		return []string{line}
	}
	return strings.Split(line, ",")
}

// cutKey splits "sore: elbow", "sore elbow", "throws 45", "45 throws". What
// stands in brackets after a key explains it.
func cutKey(p string) (key, value string) {
	p = strings.TrimSpace(p)
	k, v, ok := strings.Cut(p, ":")
	if !ok {
		k, v, _ = strings.Cut(p, " ")
		if _, err := strconv.Atoi(k); err == nil {
			k, v = v, k
		}
	}
	k, _, _ = strings.Cut(k, "(")
	return strings.ToLower(strings.TrimSpace(k)), strings.TrimSpace(v)
}

// question is the yes or no question that a word on a slip stands for; nil for
// none.
func (h *Health) question(word string) *string {
	for _, q := range h.questions() {
		if slices.Contains(q.spoken, strings.ToLower(strings.TrimRight(word, ".! "))) {
			return q.answer
		}
	}
	return nil
}

// healthAnswer takes an answer to a health question; ok is false where it is one
// and is not understood, mine where it is none.
func (e *Entry) healthAnswer(key, value string, places []string) (mine, ok bool) {
	into := e.Health.question(key)
	switch {
	case key == "no" && e.Health.question(value) != nil:
		into, value = e.Health.question(value), "no"
	case key == "sore" || key == "soreness":
		place, err := SoreAt(value, places)
		if place != "none" || e.Health.Sore == "" {
			e.Health.Sore = place
		}
		return true, err == nil
	case into == nil:
		return false, true
	}
	switch strings.ToLower(strings.TrimRight(value, ".! ")) {
	case "yes", "y":
		*into = "yes"
	case "no", "n", "none":
		if *into == "" { // a no takes no yes back
			*into = "no"
		}
	default:
		place, err := SoreAt(value, places)
		if key != "pain" || err != nil || place == "none" {
			return true, false
		}
		*into, e.Health.Sore = "yes", place
	}
	return true, true
}

// slipAnswer takes any other answer; false where it is not understood.
func (e *Entry) slipAnswer(key, value string) bool {
	switch key {
	case "date", "on", "day":
		e.On = value
	case "note":
		e.Note = value
	default:
		c, _ := e.count(key)
		n, err := strconv.Atoi(value)
		if !c.slip || err != nil || n < 0 || n > mostDigits || unbelievable(value) != "" {
			return false
		}
		c.set(float64(n))
	}
	return true
}

// onSlip reports whether a word counts something that a slip asks for.
func (e *Entry) onSlip(word string) bool {
	c, _ := e.count(word)
	return c.slip
}

// SoreAt reads where it is sore, one of the places; of more than one the first
// in their order.
func SoreAt(text string, places []string) (string, error) {
	words := strings.ToLower(strings.TrimSpace(text))
	switch words {
	case "no", "nowhere", "nothing", "none":
		return "none", nil
	}
	for _, place := range places {
		if place != "none" && strings.Contains(strings.ReplaceAll(words, " ", "_"), place) {
			return place, nil
		}
	}
	help := "write one of " + strings.Join(places, ", ")
	if near, ok := diag.Nearest(words, places); ok {
		help = fmt.Sprintf("did you mean `%s`?", near)
	}
	return "", fmt.Errorf("%w: it is not said where it is sore, `%s`; %s", ErrEntry, short(text), help)
}

func short(s string) string {
	s = strings.Join(strings.Fields(diag.Clean(s)), " ")
	if r := []rune(s); len(r) > 60 {
		return string(r[:60]) + "..."
	}
	return s
}
