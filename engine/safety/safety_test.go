package safety

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

func day(n int) time.Time { return time.Date(2026, 11, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, n) }

// rules are a small screen of the same make as the base's (house default).
func rules() Rules {
	return Rules{Questions: []Question{
		{ID: "pain", Fine: []string{"none"}, GoodFor: 28, Session: true},
		{ID: "where", Fine: []string{"none"}, GoodFor: 28, Session: true, Of: "pain"},
		{ID: "numbness", Fine: []string{"no"}, GoodFor: 28, Session: true},
		{ID: "surgery", Fine: []string{"none", "cleared"}, GoodFor: 365},
		{ID: "hip_screen", Fine: []string{"passed"}},
		{ID: "illness", Fine: []string{"no"}, GoodFor: 1},
	}, Refers: func(a map[string]string) bool {
		return a["pain"] == "pain" || a["pain"] == "soreness" && a["where"] == "elbow" || a["numbness"] == "yes" ||
			a["surgery"] == "not_cleared" || a["illness"] == "yes"
	}}
}

// open are the questions without which nothing is said about throwing.
func open(s State) []string {
	var out []string
	for _, id := range []string{"pain", "numbness", "surgery"} {
		if _, known := s.Answers[id]; !known {
			out = append(out, id)
		}
	}
	if s.Answers["pain"].Answer == "soreness" && (s.Answers["where"].Answer == "" || s.Answers["where"].Answer == "none") {
		out = append(out, "where")
	}
	return out
}

// allows is the decision that gates take from a state.
func allows(s State) bool { return len(s.Stops) == 0 && len(open(s)) == 0 }

func asked(on int) Report {
	return Report{On: day(on), Written: day(on), Answers: map[string]string{"pain": "none", "where": "none", "numbness": "no"}}
}

func screened(on int) Report {
	r := asked(on)
	r.Answers["surgery"] = "none"
	return r
}

func told(on int, answers ...string) Report {
	r := Report{On: day(on), Written: day(on), Answers: map[string]string{}}
	for i := 0; i < len(answers); i += 2 {
		r.Answers[answers[i]] = answers[i+1]
	}
	return r
}

func cleared(on int) Report { return Report{On: day(on), Written: day(on), Cleared: true} }
func unread(on int) Report  { return Report{On: day(on), Written: day(on), Unread: "a line"} }

func withdrawn(r Report) Report { r.Withdrawn = true; return r }

func written(r Report, on int) Report { r.Written = day(on); return r }

func TestState(t *testing.T) {
	for _, c := range []struct {
		name   string
		record []Report
		today  int
		want   bool
	}{
		{"nothing asked", nil, 0, false},
		{"all asked", []Report{screened(0)}, 5, true},
		{"asked for a day ahead", []Report{screened(9)}, 5, false},
		{"too old by a day", []Report{screened(0)}, 29, false},
		{"as old as may be", []Report{screened(0)}, 28, true},
		{"asked again", []Report{screened(0), asked(20)}, 40, true},
		{"pain", []Report{screened(0), told(2, "pain", "pain")}, 5, false},
		{"pain, then none", []Report{screened(0), told(2, "pain", "pain"), asked(4)}, 5, false},
		{"pain, taken back", []Report{screened(0), withdrawn(told(2, "pain", "pain")), asked(4)}, 5, false},
		{"pain, cleared, not asked since", []Report{screened(0), told(2, "pain", "pain"), cleared(4)}, 5, false},
		{"pain, cleared, asked since", []Report{screened(0), told(2, "pain", "pain"), cleared(4), asked(5)}, 5, true},
		{"pain, cleared, asked for a day before", []Report{screened(0), told(2, "pain", "pain"), cleared(4), written(asked(3), 5)}, 5, false},
		{"cleared before the pain was written", []Report{screened(0), cleared(4), written(told(2, "pain", "pain"), 5), asked(5)}, 6, false},
		{"pain after the day of the clearance", []Report{screened(0), written(told(5, "pain", "pain"), 4), cleared(4), asked(6)}, 6, false},
		{"a clearance taken back", []Report{screened(0), told(2, "pain", "pain"), withdrawn(cleared(4)), asked(5)}, 6, false},
		{"a clearance written later", []Report{screened(0), told(2, "pain", "pain"), written(cleared(4), 9), asked(5)}, 6, false},
		{"pain dated ahead", []Report{screened(0), told(9, "pain", "pain")}, 5, false},
		{"pain seen from an earlier day", []Report{screened(0), told(9, "pain", "pain")}, 1, false},
		{"a line that cannot be read", []Report{screened(0), unread(2)}, 5, false},
		{"a line that cannot be read, asked before", []Report{screened(0), unread(3), written(asked(1), 3)}, 5, false},
		{"a line that cannot be read, asked since", []Report{screened(0), unread(2), asked(3)}, 5, true},
		{"sore at the hip, all asked", []Report{screened(0), told(2, "pain", "soreness", "where", "hip", "numbness", "no")}, 5, true},
		{"sore at the hip, not all asked", []Report{screened(0), told(2, "pain", "soreness", "where", "hip")}, 5, false},
		{"sore, nobody asked where", []Report{screened(0), told(2, "pain", "soreness", "numbness", "no")}, 5, false},
		{"sore at the hip long ago", []Report{screened(30), told(1, "pain", "soreness", "where", "hip", "numbness", "no")}, 35, true},
		{"ill", []Report{screened(0), told(2, "illness", "yes")}, 3, false},
		{"ill, well on a later day", []Report{screened(0), told(2, "illness", "yes"), told(4, "illness", "no"), asked(4)}, 4, true},
		{"ill, well on the same day", []Report{screened(0), told(2, "illness", "yes"), told(2, "illness", "no"), asked(4)}, 4, false},
		{"ill and in pain, well again", []Report{screened(0), told(2, "illness", "yes", "pain", "pain"), told(4, "illness", "no"), asked(4)}, 4, false},
	} {
		if got := Of(c.record, rules(), day(c.today)); allows(got) != c.want {
			t.Errorf("%s: allows %v, want %v: %+v", c.name, allows(got), c.want, got)
		}
	}
}

// What is complained of stands as told, for the gates to name.
func TestStopsAnswerForThemselves(t *testing.T) {
	s := Of([]Report{screened(0), told(1, "numbness", "yes"), told(2, "pain", "soreness", "where", "elbow")}, rules(), day(3))
	if s.Answers["numbness"].Answer != "yes" || s.Answers["where"].Answer != "elbow" || len(s.Stops) != 2 {
		t.Errorf("got %+v", s)
	}
	s = Of([]Report{told(0, "pain", "soreness", "where", "hip", "numbness", "no"), told(1, "pain", "none", "numbness", "no")}, rules(), day(3))
	if _, stale := s.Answers["where"]; stale {
		t.Error("where it was sore stands beside a newer answer that nothing is")
	}
	s = Of([]Report{told(0, "hip_screen", "failed")}, rules(), day(400))
	if s.Answers["hip_screen"].Answer != "failed" {
		t.Error("a failed screen is forgotten")
	}
}

// Property: a complaint, a line that cannot be read or a report that is taken
// back, put anywhere into any record, never allows more on any day.
func TestNothingAddedAllowsMore(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	random := func() Report {
		on := rng.IntN(70)
		r := []Report{screened(on), asked(on), cleared(on), unread(on), told(on, "pain", "none"), told(on, "numbness", "no", "where", "none"),
			told(on, "surgery", "none"), told(on, "illness", "no"), complaint(rng, on), complaint(rng, on)}[rng.IntN(10)]
		r.Withdrawn = rng.IntN(8) == 0
		r.Written = day(on + rng.IntN(4))
		return r
	}
	bound := 0
	for range 3_000 {
		var record []Report
		for range 1 + rng.IntN(7) {
			record = append(record, random())
		}
		extra := complaint(rng, rng.IntN(70))
		if rng.IntN(3) == 0 {
			extra = unread(rng.IntN(70))
		}
		extra.Written, extra.Withdrawn = extra.On.AddDate(0, 0, rng.IntN(9)-4), rng.IntN(4) == 0
		more := slices.Insert(slices.Clone(record), rng.IntN(len(record)+1), extra)
		for today := 0; today < 110; today += 1 + rng.IntN(5) {
			was, is := allows(Of(record, rules(), day(today))), allows(Of(more, rules(), day(today)))
			if is && !was {
				t.Fatalf("on day %d this allows more:\n%s\nadded: %+v", today, words(record), extra)
			}
			if was && !is {
				bound++
			}
		}
	}
	if bound < 500 {
		t.Errorf("only %d times did the added report hold anything back", bound)
	}
}

// complaint is one that does not answer the other questions of a session.
func complaint(rng *rand.Rand, on int) Report {
	return []Report{told(on, "pain", "pain"), told(on, "pain", "soreness", "where", "elbow"), told(on, "pain", "soreness", "where", "hip"),
		told(on, "pain", "soreness"), told(on, "numbness", "yes"), told(on, "surgery", "not_cleared"), told(on, "illness", "yes"), told(on, "hip_screen", "failed")}[rng.IntN(8)]
}

func words(record []Report) string {
	out := ""
	for _, r := range record {
		out += fmt.Sprintf("%+v\n", r)
	}
	return out
}

// Property: without a clearance no report that comes after a stop allows a throw.
func TestOnlyAClearanceLiftsAStop(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for range 1_000 {
		record := []Report{screened(0), told(1, "pain", "pain")}
		for range rng.IntN(6) {
			record = append(record, []Report{screened(2 + rng.IntN(20)), asked(2 + rng.IntN(20)), unread(5), told(4, "pain", "none")}[rng.IntN(4)])
		}
		if s := Of(record, rules(), day(25)); allows(s) {
			t.Fatalf("allowed: %s", words(record))
		}
		if s := Of(append(record, cleared(25), asked(25)), rules(), day(25)); !allows(s) {
			t.Fatalf("there is no way back: %s\n%+v", words(record), s)
		}
	}
}
