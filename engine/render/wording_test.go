package render

import (
	"reflect"
	"regexp"
	"strings"
	"testing"

	"rungwise/engine/report"
)

// Of the sentences of a page that are no data of the record, a house can reword
// at least four in five. The house of this test shouts.
func TestAHouseCanRewordThePages(t *testing.T) {
	words := houseWords(t)
	places := regexp.MustCompile(`\{[a-z0-9_]+\}|[^{]+`)
	shout := func(id string) string {
		return places.ReplaceAllStringFunc(words(id), func(s string) string {
			if strings.HasPrefix(s, "{") {
				return s
			}
			return strings.ToUpper(s)
		})
	}
	r := planRecord()
	r.Gate.Why, r.Gate.Missing = []string{"x"}, []string{"x"}
	r.Confidence.Single, r.Confidence.Tied, r.Ladder.Dip = true, []string{"hinge"}, true
	flood(reflect.ValueOf(r), "data")
	faces := map[string]func(*report.Report, Options) string{"triage": Triage, "plan": Plan, "coach": CoachPlan, "ladder": Ladder}
	for face, write := range faces {
		house, other := sentencesOf(write(r, Options{Words: shout}))
		if share := float64(house) / float64(house+len(other)); share < .8 {
			t.Errorf("%s: a house can reword %.0f %% of %d sentences, and not\n%s", face, 100*share, house+len(other), strings.Join(other, "\n"))
		}
	}
}

// sentencesOf counts the sentences that are shouted, and lists those that are
// not; tables, drawings and what is data alone are left out.
func sentencesOf(page string) (house int, other []string) {
	shouted, said := regexp.MustCompile(`\b[A-Z]{2,}\b`), regexp.MustCompile(`[A-Za-z]{2,}`)
	fence := regexp.MustCompile("(?s)```.*?```")
	for line := range strings.Lines(fence.ReplaceAllString(page, "")) {
		if strings.HasPrefix(line, "|") {
			continue
		}
		for _, s := range regexp.MustCompile(`[.!?:]+\W+`).Split(strings.NewReplacer("*", "", "Data", "", "data", "").Replace(line), -1) {
			switch {
			case shouted.MatchString(s):
				house++
			case said.MatchString(s):
				other = append(other, s)
			}
		}
	}
	return house, other
}
