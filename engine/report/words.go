package report

import (
	"regexp"
	"strings"
)

// Words finds a sentence of the rule base by its id; it returns "" for one that
// is not there or that a house has taken out.
type Words func(id string) string

// place is the named place of a sentence, such as {throw}.
var place = regexp.MustCompile(`\{[a-z][a-z0-9_]*\}`)

// Say returns a sentence on one line with its named places filled from pairs of
// a name and a value, of which the last of a name counts. A sentence with a
// place that has no value is "".
func (w Words) Say(id string, pairs ...string) string {
	values := map[string]string{}
	for i := 0; i+1 < len(pairs); i += 2 {
		values["{"+pairs[i]+"}"] = pairs[i+1]
	}
	whole := true
	text := place.ReplaceAllStringFunc(w(id), func(name string) string {
		whole = whole && strings.TrimSpace(values[name]) != ""
		return values[name]
	})
	if !whole {
		return ""
	}
	return strings.Join(strings.Fields(text), " ")
}
