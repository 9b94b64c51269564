package cond

import "strings"

// Spaced writes a condition with one space around its signs and with `and`,
// `or` and `not` for &&, || and !. Line ends stay where they are, and so does
// every mark: what the condition says is the same. A text with a character that
// has no place in a condition comes back as it is.
func Spaced(text string) string {
	runes := []rune(text)
	marks := scan(runes)
	var b strings.Builder
	for i, m := range marks {
		if m.kind == odd || m.torn || m.curly || m.is(sign, "#", "//", "/*") {
			return text
		}
		from := 0
		if i > 0 {
			from = marks[i-1].to
		}
		b.WriteString(gap(string(runes[from:m.from]), marks, i))
		b.WriteString(taught(runes, m))
	}
	if strings.TrimSpace(text) == "" {
		return text
	}
	last := string(runes[marks[len(marks)-1].to:])
	if i := strings.LastIndexByte(last, '\n'); i >= 0 {
		b.WriteString(strings.Repeat("\n", strings.Count(last, "\n")))
	}
	return b.String()
}

// taught is a mark as conditions are taught to write it.
func taught(runes []rune, m mark) string {
	if word, ok := map[string]string{"&&": "and", "||": "or", "!": "not"}[m.text]; ok && m.kind == sign {
		return word
	}
	return string(runes[m.from:m.to])
}

// gap is what stands before a mark: a line end as it was, else one space or
// none.
func gap(was string, marks []mark, i int) string {
	if n := strings.Count(was, "\n"); n > 0 {
		return strings.Repeat("\n", n) + strings.TrimLeft(was[strings.LastIndexByte(was, '\n')+1:], "\r")
	}
	if i == 0 || tight(marks, i) {
		return ""
	}
	return " "
}

// tight reports whether no space belongs before a mark.
func tight(marks []mark, i int) bool {
	before, m := marks[i-1], marks[i]
	switch {
	case before.kind == open, m.kind == shut, m.is(sign, ",", ".."), before.is(sign, ".."):
		return true
	case m.kind == open:
		return before.kind == name && !before.small() && m.text == "("
	case before.is(sign, "-", "+"):
		return i == 1 || !ends(marks[i-2])
	}
	return false
}

// ends reports whether a value can end with a mark, so that a minus after it
// takes something away and is no sign of a number.
func ends(m mark) bool { return m.kind == shut || m.value() }

// Marks lists the marks of a condition as they are taught: two texts with the
// same marks are one condition but for their spaces.
func Marks(text string) []string {
	runes := []rune(text)
	var out []string
	for _, m := range scan(runes) {
		out = append(out, taught(runes, m))
	}
	return out
}
