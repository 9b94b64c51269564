package radar_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"rungwise/engine/radar"
)

// Whatever way the ladder is written, readings find their place, every comment
// stays, and what is taken out again leaves the text as it was.
func TestReadingsFindTheirPlaceInEveryStyle(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 11))
	for range 400 {
		text := randomCase(r)
		csv := "throw,mph\n"
		news := 0
		for range 1 + r.IntN(8) {
			csv += fmt.Sprintf("%s,%.1f\n", order()[r.IntN(len(order()))], 100+r.Float64()*10) // unlike what the case holds
			news++
		}
		got, _ := into(t, text, csv, radar.Placing{})
		for _, line := range strings.Split(text, "\n") {
			if _, comment, ok := strings.Cut(line, "#"); ok && !strings.Contains(got, "#"+comment) {
				t.Fatalf("the comment %q is gone:\n%s", comment, got)
			}
		}
		if n := strings.Count(got, "10") - strings.Count(text, "10"); n < news {
			t.Fatalf("%d of %d readings are there:\n%s", n, news, got)
		}
		for _, key := range []string{"ladder", "on: 2026-11-09", "rungs"} {
			if strings.Count(got, key) != 1 {
				t.Fatalf("`%s` stands %d times:\n%s", key, strings.Count(got, key), got)
			}
		}
	}
}

// randomCase writes a case with a ladder of 2026-11-09 in some style, or none.
func randomCase(r *rand.Rand) string {
	text := head
	indent := strings.Repeat(" ", 1+r.IntN(4))
	n := 0
	remark := func() string {
		if n++; r.IntN(3) == 0 {
			return fmt.Sprintf("   # remark %d", n)
		}
		return ""
	}
	switch r.IntN(5) {
	case 0:
		return text
	case 1:
		return text + "ladder:" + remark() + "\n"
	}
	flow := r.IntN(3) == 0
	text += "ladder:" + remark() + "\n" + indent + "on: 2026-11-09" + remark() + "\n"
	if r.IntN(2) == 0 {
		text += indent + "gun: {step: 0.1 mph}" + remark() + "\n"
	}
	if flow {
		return text + indent + "rungs: [" + strings.Join(randomRungs(r, true, indent, func() string { return "" }), ", ") + "]" + remark() + "\n"
	}
	text += indent + "rungs:" + remark() + "\n"
	for _, rung := range randomRungs(r, false, indent, remark) {
		text += rung
	}
	if r.IntN(2) == 0 {
		text += "\nmound: {best: []}" + remark() + "\n"
	}
	return text
}

func randomRungs(r *rand.Rand, flow bool, indent string, remark func() string) []string {
	var out []string
	for _, id := range order() {
		if r.IntN(2) == 0 && len(out) > 0 {
			continue
		}
		speeds := []string{"", "speeds: 80", "speeds: []", "speeds: [80, 81.5]", "speeds: [80, 81 mph, -]", "speeds: "}[r.IntN(6)]
		held := []string{"", "held: yes", "held: [yes, no]"}[r.IntN(3)]
		keys := []string{"throw: " + id}
		for _, k := range []string{speeds, held, []string{"", "effort: 90"}[r.IntN(2)]} {
			if k != "" {
				keys = append(keys, k)
			}
		}
		if flow || r.IntN(2) == 0 {
			rung := "{" + strings.Join(keys, ", ") + "}"
			if !flow {
				rung = indent + "  - " + rung + remark() + "\n"
			}
			out = append(out, rung)
			continue
		}
		rung := ""
		for i, k := range keys {
			lead := indent + "    "
			if i == 0 {
				lead = indent + "  - "
			}
			rung += lead + k + remark() + "\n"
		}
		out = append(out, rung)
	}
	return out
}
