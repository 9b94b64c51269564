package safety

import (
	"slices"
	"strings"
	"unicode"
)

// Alarms are the words of a note that may tell of an arm that hurts. They are
// data; a house may add to them.
type Alarms struct {
	Words    []string // words and phrases; a star stands for any ending: tingl*
	Harmless []string // phrases that take the alarm out of their words: no pain
	Beside   []string // words beside which a harmless phrase stays harmless; any other undoes it: no pain at first
}

// Find returns the first alarming word of a text, "" where there is none. In
// doubt it is one.
func (a Alarms) Find(text string) string {
	for _, clause := range clauses(text) {
		harmless := make([]bool, len(clause))
		for _, phrase := range a.Harmless {
			mark(clause, strings.Fields(phrase), harmless)
		}
		undone := false
		for i, w := range clause {
			undone = undone || !harmless[i] && !slices.Contains(a.Beside, w)
		}
		for i, word := range clause {
			if (undone || !harmless[i]) && slices.ContainsFunc(a.Words, func(phrase string) bool { return begins(clause[i:], phrase) }) {
				return word
			}
		}
	}
	return ""
}

// begins reports whether words begin with a phrase.
func begins(words []string, phrase string) bool {
	for i, p := range strings.Fields(phrase) {
		stem, any := strings.CutSuffix(p, "*")
		if i >= len(words) || words[i] != p && !(any && strings.HasPrefix(words[i], stem)) {
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
