package safety

import (
	"slices"
	"strings"
	"unicode"
)

// Alarms are the words of a note that may tell of an arm that hurts. They are
// data; a house may add to them.
type Alarms struct {
	Words    []string // beginnings of words (hurt, tingl), or phrases (dead arm)
	Harmless []string // phrases that take the alarm out of their words: no pain
	Unless   []string // words that undo a harmless phrase: no pain until the fifth
}

// Find returns the first alarming word of a text, "" where there is none. In
// doubt it is one.
func (a Alarms) Find(text string) string {
	for _, clause := range clauses(text) {
		harmless := make([]bool, len(clause))
		if !slices.ContainsFunc(clause, func(w string) bool { return slices.Contains(a.Unless, w) }) {
			for _, phrase := range a.Harmless {
				mark(clause, strings.Fields(phrase), harmless)
			}
		}
		for i, word := range clause {
			if !harmless[i] && slices.ContainsFunc(a.Words, func(begin string) bool { return begins(clause[i:], begin) }) {
				return word
			}
		}
	}
	return ""
}

// begins reports whether words begin with a phrase, whose last word may go on:
// hurt begins hurting.
func begins(words []string, phrase string) bool {
	for i, p := range strings.Fields(phrase) {
		if i >= len(words) || !strings.HasPrefix(words[i], p) {
			return false
		}
	}
	return true
}

// clauses splits a text into the words between its marks, so that "no, pain" is
// not "no pain".
func clauses(text string) [][]string {
	var out [][]string
	apostrophes := strings.NewReplacer("'", "", "\u2019", "", "-", " ", "\u2010", " ", "_", " ")
	for _, part := range strings.FieldsFunc(apostrophes.Replace(strings.ToLower(text)), func(c rune) bool {
		return !unicode.IsLetter(c) && !unicode.IsDigit(c) && !unicode.IsSpace(c)
	}) {
		if words := strings.Fields(part); len(words) > 0 {
			out = append(out, words)
		}
	}
	return out
}

// mark ticks the words of every place where a phrase stands.
func mark(words, phrase []string, ticked []bool) {
	for i := 0; i+len(phrase) <= len(words) && len(phrase) > 0; i++ {
		if slices.Equal(words[i:i+len(phrase)], phrase) {
			for j := range phrase {
				ticked[i+j] = true
			}
		}
	}
}
