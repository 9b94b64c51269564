package casefile

import (
	"fmt"
	"strings"

	"rungwise/engine/source"
)

// Start is what a new case file begins with; empty fields are left open.
type Start struct {
	Code      string
	Age       string // years
	Throws    string // right or left
	Level     string
	Reference string // throw id
}

// schemaLine names, for editors, the schema that `rungwise rules schema --out`
// writes beside the cases.
const schemaLine = "# yaml-language-server: $schema=case.schema.json\n"

// New writes a new case file: what is known filled in, everything else as a
// comment that says what goes there. It says nothing that nobody told.
func New(s Start) []byte {
	var b strings.Builder
	b.WriteString(schemaLine)
	b.WriteString("# What was seen, thrown and counted of one athlete. Lines that start with # are explanations.\n")
	fmt.Fprintf(&b, "rungwise: %s\n", Format)
	fields := []string{"code: " + source.Quote(s.Code)}
	for _, f := range []struct{ key, value string }{{"age", s.Age}, {"throws", s.Throws}, {"level", s.Level}} {
		if f.value != "" {
			fields = append(fields, f.key+": "+source.Quote(f.value))
		}
	}
	fmt.Fprintf(&b, "athlete: {%s}\n", strings.Join(fields, ", "))
	b.WriteString(screenHelp)
	if s.Reference != "" {
		fmt.Fprintf(&b, "reference: {throw: %s}\n", source.Quote(s.Reference))
	}
	b.WriteString(restHelp)
	return []byte(b.String())
}

const screenHelp = `
# Asked before anything else, with the day on which it was asked. Without these answers nothing is printed about throwing;
# consent is a parent's, under 18. rungwise ask puts the questions.
# screen: {on: 2026-11-09, pain: none, night_pain: no, numbness: no, arm_colour: no, pop: no, sudden_loss: no, surgery: none, concussion: none, heart: no, consent: yes}
`

const restHelp = `
# The drill in which the athlete is at his best, with dated speeds.
# reference: {throw: running_throw, best: [{on: 2026-09-14, speed: 84.6 mph}, {on: 2026-11-02, speed: 93.1 mph}], first_thrown: 2026-09-10}
# mound: {best: [{on: 2026-09-12, speed: 81.0 mph}, {on: 2026-11-05, speed: 81.6 mph}]}

# Throws of the last weeks, newest last.
# load: {weeks: [{throws: 190, high_effort: 38}, {throws: 210, high_effort: 45}], weeks_until: 2026-11-08, mound_throws_28d: 60, last_high_effort: 2026-11-07}

# The ladder: from the drill toward the game, with the same radar gun. held: did the pattern hold (yes, partly, no)?
# ladder:
#   on: 2026-11-09
#   rungs:
#     - {throw: running_throw, speeds: [92.1, 92.8, 92.9], unit: mph, held: [yes, yes, yes]}
#     - {throw: flat_lift, speeds: [81.2, 81.9, 80.8], unit: mph, held: [no, no, partly]}

# Checkpoints on video, in the drill and where it is lost. rungwise ask fills this in.
# seen:
#   weight_shift: {running_throw: early, flat_lift: late}
`
