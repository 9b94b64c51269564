package casefile

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"rungwise/engine/diag"
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
		if mark, ok := markOf(w); ok {
			if len(t.Marks) != len(t.Speeds)-1 {
				return t, fmt.Errorf("%w: the mark `%s` stands after no speed; write the speed first, a dash where there is none", ErrEntry, w)
			}
			t.Marks = append(t.Marks, mark)
			continue
		}
		if u, ok := unitWord(w); ok {
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
		return t, fmt.Errorf("%w: %d speeds and %d marks; a `?` is a throw that nobody could see", ErrEntry, len(t.Speeds), len(t.Marks))
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

func unitWord(w string) (unit.Unit, bool) {
	q, err := unit.Parse("1 " + w)
	if err != nil || q.Unit.Kind() != unit.Speed {
		return "", false
	}
	return q.Unit, true
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

// markOf reads a mark: y, n, p, or ? for a throw that nobody could see.
func markOf(w string) (string, bool) {
	switch strings.ToLower(w) {
	case "y", "yes", "held":
		return "yes", true
	case "n", "no", "lost":
		return "no", true
	case "p", "partly":
		return "partly", true
	case "?", CouldNotSee:
		return CouldNotSee, true
	}
	return "", false
}

// ReadMarks reads marks: "y y n p", "yyn?", "y,n".
func ReadMarks(text string) ([]string, error) {
	words := strings.FieldsFunc(text, func(c rune) bool { return strings.ContainsRune(" \t\n\r,;", c) })
	if len(words) == 1 && regexp.MustCompile(`^(?i)[ynp?]{2,}$`).MatchString(words[0]) {
		words = strings.Split(words[0], "")
	}
	var out []string
	for _, w := range words {
		m, ok := markOf(w)
		if !ok {
			return nil, fmt.Errorf("%w: `%s` is no mark; write y, p, n, or ? where nobody could see", ErrEntry, short(w))
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

// otherCount takes a number and what it counts.
func (e *Entry) otherCount(number, what string) bool {
	v, err := strconv.ParseFloat(number, 64)
	if err != nil || v < 0 || v > mostThrows {
		return false
	}
	n, whole := int(v), v == float64(int(v))
	switch what {
	case "innings", "inning":
		e.Innings = v
		return true
	case "pitches", "pitch":
		e.Pitches = n
	case "throws", "throw":
		e.Throws = n
	case "hard", "high":
		e.High = n
	default:
		return false
	}
	return whole
}

// SlipForm is the slip for the athlete or a parent to fill in and send back.
const SlipForm = `code: 
date: 
pain: no
numbness: no
pop or swelling: no
sore: none
throws: 
hard: 
note: 
`

var alarming = regexp.MustCompile(`(?i)pain|hurt|ache|numb|tingl|pop|swell|sore|elbow|shoulder|stiff`)

// Alarming reports whether words that were not understood may tell of something
// that must be asked about before anybody throws.
func Alarming(text string) bool { return alarming.MatchString(text) }

// ReadSlip reads a return slip: a line, or a part between commas, for each
// answer, as SlipForm has them. The code it names comes back for the caller to
// compare. A line that is not understood refuses the slip: it may be the one
// that matters.
func ReadSlip(text string) (e Entry, code string, err error) {
	e = Entry{What: LogSlip, Health: &Health{}}
	said := false
	for _, part := range strings.FieldsFunc(text, func(c rune) bool { return c == '\n' || c == ';' }) {
		for _, p := range slipParts(part) {
			key, value := cutKey(p)
			if value == "" {
				continue
			}
			if key == "code" {
				code = value
				continue
			}
			if err := e.slipAnswer(key, value); err != nil {
				return e, code, err
			}
			said = true
		}
	}
	if !said {
		return e, code, fmt.Errorf("%w: the slip is empty", ErrEntry)
	}
	return e, code, nil
}

// slipParts splits a line at commas, but never a note.
func slipParts(line string) []string {
	line = strings.TrimSpace(strings.TrimRight(line, "\r"))
	if strings.HasPrefix(strings.ToLower(line), "note") {
		return []string{line}
	}
	return strings.Split(line, ",")
}

// cutKey splits "sore: elbow", "sore elbow", "throws 45", "45 throws".
func cutKey(p string) (key, value string) {
	p = strings.TrimSpace(p)
	if k, v, ok := strings.Cut(p, ":"); ok {
		return strings.ToLower(strings.TrimSpace(k)), strings.TrimSpace(v)
	}
	k, v, _ := strings.Cut(p, " ")
	if _, err := strconv.Atoi(k); err == nil {
		k, v = v, k
	}
	return strings.ToLower(strings.TrimSpace(k)), strings.TrimSpace(v)
}

func (e *Entry) slipAnswer(key, value string) error {
	low := strings.ToLower(value)
	health := map[string]*string{"pain": &e.Health.Pain, "numbness": &e.Health.Numbness, "numb": &e.Health.Numbness,
		"tingling": &e.Health.Numbness, "pop": &e.Health.Pop, "pop or swelling": &e.Health.Pop, "swelling": &e.Health.Pop, "sudden loss": &e.Health.SuddenLoss}
	switch {
	case health[key] != nil:
		return yesNo(health[key], key, low)
	case key == "no" && health[low] != nil:
		*health[low] = "no"
	case key == "sore" || key == "soreness":
		return e.Health.soreAt(low)
	case key == "date" || key == "on" || key == "day":
		e.On = value
	case key == "note":
		e.Note = value
	case key == "throws" || key == "throw":
		return count(&e.Throws, value)
	case key == "hard" || key == "high":
		return count(&e.High, value)
	default:
		return slipFault(key + " " + value)
	}
	return nil
}

// soreAt takes a place; more than one is the worst of them.
func (h *Health) soreAt(text string) error {
	text = strings.TrimSpace(strings.ToLower(text))
	switch text {
	case "no", "nowhere", "nothing":
		text = "none"
	}
	for _, place := range seriousPlaces() {
		if strings.Contains(text, place) {
			h.Sore = place
			return nil
		}
	}
	if !slices.Contains(SorePlaces(), text) {
		help := "write one of " + strings.Join(SorePlaces(), ", ")
		if near, ok := diag.Nearest(text, SorePlaces()); ok {
			help = fmt.Sprintf("did you mean `%s`?", near)
		}
		return fmt.Errorf("%w: it is not said where it is sore, `%s`; %s", ErrEntry, short(text), help)
	}
	h.Sore = text
	return nil
}

// SoreAt returns the health answer for a place where it is sore.
func SoreAt(text string) (string, error) {
	var h Health
	err := h.soreAt(text)
	return h.Sore, err
}

func yesNo(into *string, key, value string) error {
	switch value {
	case "yes", "y":
		*into = "yes"
	case "no", "n", "none":
		*into = "no"
	default:
		return slipFault(key + " " + value)
	}
	return nil
}

func count(into *int, value string) error {
	n, err := strconv.Atoi(value)
	if err != nil || n < 0 || n > mostThrows {
		return slipFault(value)
	}
	*into = n
	return nil
}

func slipFault(text string) error {
	more := ""
	if Alarming(text) {
		more = "; it may speak of the arm, so ask the athlete before anybody throws"
	}
	return fmt.Errorf("%w: `%s` on the slip is not understood%s", ErrEntry, short(text), more)
}

func short(s string) string {
	s = strings.Join(strings.Fields(diag.Clean(s)), " ")
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "..."
	}
	return s
}
