package render

import (
	"math"
	"sync"
	"testing"
	"time"

	"gopkg.in/yaml.v3"

	"rungwise/engine/report"
	"rungwise/rules"
)

// readWords reads the sentences that come with the tool, once.
var readWords = sync.OnceValues(func() (map[string]string, error) {
	text, err := rules.FS.ReadFile("wording.yaml")
	if err != nil {
		return nil, err
	}
	var file struct {
		Wording []struct{ ID, Text string }
	}
	if err := yaml.Unmarshal(text, &file); err != nil {
		return nil, err
	}
	words := map[string]string{}
	for _, s := range file.Wording {
		words[s.ID] = s.Text
	}
	return words, nil
})

func houseWords(t testing.TB) report.Words {
	t.Helper()
	words, err := readWords()
	if err != nil || len(words) < 50 {
		t.Fatalf("%d sentences read, %v", len(words), err)
	}
	return func(id string) string { return words[id] }
}

func of[T any](v T) *T { return &v }

// rung makes a rung of the ladder from its speeds; 92.54 is the reference mean.
func rung(throw, title, adds string, low, high, held float64, speeds ...float64) report.Rung {
	g := report.Rung{Throw: throw, Title: title, Adds: adds, N: len(speeds), Unit: "mph", Speeds: speeds, Expected: [2]float64{low, high}}
	if len(speeds) == 0 {
		return g
	}
	sum := 0.0
	for _, v := range speeds {
		sum += v
	}
	mean := sum / float64(len(speeds))
	squares := 0.0
	for _, v := range speeds {
		squares += (v - mean) * (v - mean)
	}
	g.Mean, g.SD, g.Share, g.Held = &mean, of(math.Sqrt(squares/float64(len(speeds)-1))), of(mean/92.5), &held
	return g
}

// stuckRecord is the invented SM-04 of the invented Saltmarsh Throwing Club, as
// a record written by hand.
func stuckRecord() *report.Report {
	r := &report.Report{
		Rungwise: report.Version, Case: "SM-04", On: "2026-11-09",
		Rules: report.Rules{Version: "2026-11", Hash: "3f9a12c07b44"},
		Athlete: report.Athlete{Code: "SM-04", Age: 19, Throws: "right", Level: "college", Reference: "running_throw", Compared: "flat_lift",
			RefTitle: "running throw", CompTitle: "flat ground with leg lift"},
		CarryOver: report.CarryOver{DrillGain: of(8.5), MoundGain: of(.6), Unit: "mph", Weeks: of(7.0), Words: "none"},
		Gate: report.Gate{ID: "go_on", Verdict: "go_on", Says: "The drill works, and the throw is lost on the way to the mound. This is a carry-over question.",
			Do:  "Go on to what differs on video, and from there to what most likely holds the throw back.",
			Why: []string{"the pattern is there in the drill and lost at a known rung"}, Source: "common practice"},
		Ladder: report.Ladder{Verdict: "stuck", Rung: "flat_lift", RungTitle: "flat ground with leg lift", LastGood: "flat_no_lift", Lost: "lift",
			LostWords: "adds the leg lift", Probability: .97, NoneChance: .01, Almost: of(false), Held: of(0.0), GapPercent: of(5.2),
			Advice: []string{"no more throws are needed to tell where it breaks"}},
	}
	r.Ladder.Rungs = []report.Rung{
		rung("running_throw", "running throw", "", 1, 1, 1, 91.6, 92.9, 93.3, 91.9, 92.8),
		rung("shuffle_throw", "shuffle throw", "shortens the run-up", .962, .988, 1, 90.8, 89.2, 90.4, 91.1, 89.5),
		rung("hop_in_place", "hop in place", "takes away the run-up", .94, .97, 1, 88.6, 89.3, 87.7, 88.0, 88.9),
		rung("flat_no_lift", "flat ground, slide step", "starts from a standstill", .918, .952, 1, 86.5, 86.2, 87.9, 87.4, 86.5),
		rung("flat_lift", "flat ground with leg lift", "adds the leg lift", .918, .952, 0, 82.1, 81.2, 80.3, 81.8, 81.6),
		rung("slope_net", "slope to the net", "adds the slope", .932, .968, 0, 81.7, 82.9, 82.3, 81.1, 82.0),
		rung("slope_catcher", "slope to a catcher", "adds a target", .927, .963, 0, 82.0, 80.9, 81.9, 82.2, 80.5),
	}
	r.Ladder.Rungs[4].Stuck = true
	r.Comparison.Rows = comparisonRows()
	r.Factors = sampleFactors()
	r.Confidence = report.Confidence{Level: "likely_first", Says: "the first factor is likely, and not certain", Kept: .82, Unlisted: .06}
	r.Shaky = []report.Shaky{{Fact: "stuck.weight_shift", Title: "weight shift, flat ground with leg lift", Now: "late", If: "early", FirstBecomes: "hinge",
		FirstTitle: "back hip does not hold"}}
	r.NextLook = []report.NextLook{{Fact: "stuck.pelvis_tilt", Title: "pelvis tilt, flat ground with leg lift", GainBits: .12,
		Ask: "Does the belt line stay level from leg lift to the first move?", Film: "flat ground with leg lift, open side, hip high, from leg lift to the first move"}}
	r.Cautions = sampleCautions()
	r.Sources = []report.Source{
		{ID: "kageyama_2014", Cite: "Kageyama 2014, J Sports Sci Med 13:742-750", Provenance: "seen"},
		{ID: "pitch_guideline", Cite: "MLB and USA Baseball, Guidelines for Youth and Adolescent Pitchers", Provenance: "seen"},
		{ID: "nfhs_6_1_6", Cite: "NFHS baseball rule 6-1-6", Provenance: "quoted"},
	}
	return r
}

func comparisonRows() []report.Row {
	row := func(id, title, phase, moment, best, stuck, verdict string) report.Row {
		return report.Row{Checkpoint: id, Title: title, Phase: phase, Moment: moment, View: "open", Best: best, Stuck: stuck, Verdict: verdict}
	}
	rows := []report.Row{
		row("start_posture", "start posture", "before_landing", "first move", "slight lean", "slight lean", "same"),
		row("weight_shift", "weight shift", "before_landing", "leg lift", "early", "late", "differs"),
		row("pelvis_tilt", "pelvis tilt", "before_landing", "leg lift", "level", "", "unseen"),
		row("hinge", "hinge of the back hip", "before_landing", "stride", "holds", "partial", "differs"),
		row("back_knee_bend", "back-knee bend", "before_landing", "deepest point", "52 deg", "46 deg", "unclear"),
		row("stride_line", "stride line", "before_landing", "landing", "on line", "on line", "same"),
		row("trunk_at_landing", "trunk at landing", "after_landing", "landing", "closed", "part open", "differs"),
		row("arm_at_landing", "arm at landing", "after_landing", "landing", "on plane", "low", "differs"),
		row("finish", "finish", "after_landing", "after release", "balanced", "balanced", "same"),
	}
	rows[4].Note = "the difference is smaller than two clicked angles can tell; three clips a side would settle it"
	return rows
}

func sampleFactors() []report.Factor {
	reason := func(rule, says, strength string, weight float64, why string) report.Reason {
		holds := says == "for"
		return report.Reason{Rule: rule, Title: humble(rule), Says: says, Strength: strength, Weight: weight, Holds: &holds, Why: why, Source: "common practice"}
	}
	return []report.Factor{
		{ID: "weight_shift", Title: "late weight shift", Rank: 1, Phase: "before_landing", Chance: .68, Present: .9, Words: "very likely", Range: "roughly 7 in 10",
			Role: "lead", InWords: "In the drill your body is already on its way when you throw, and on the mound you wait for the leg to come down before you go. We want you to start toward the target early and on your own.",
			LooksLike: "a short stride or a soft front leg on their own; look at when the belt starts to travel, not at how far it gets",
			Reasons: []report.Reason{
				reason("shift_late_only_when_stuck", "for", "strong", 2.1, "the body starts early in the drill and late where it breaks"),
				reason("lost_with_the_lift", "for", "moderate", .9, "the throw is lost where the leg lift is added"),
				reason("stride_line_kept", "against", "weak", -.2, "a late shift often pulls the stride off its line, and the line is kept"),
				reason("gap_is_large", "for", "weak", .3, "the gap between drill and mound is large"),
				reason("after_landing_clean", "for", "weak", .2, "what comes after landing is clean in the drill"),
			}, Unseen: []string{"pelvis_tilt"}},
		{ID: "hinge", Title: "back hip does not hold", Rank: 2, Phase: "before_landing", Chance: .3, Present: .6, Words: "possible", Range: "roughly 3 in 10", Role: "possible",
			Reasons: []report.Reason{reason("hinge_partial_only_when_stuck", "for", "moderate", 1.1, "the hip holds in the drill and lets go where it breaks")}},
		{ID: "trunk_early", Title: "trunk opens early", Rank: 3, Phase: "after_landing", Chance: .08, Present: .7, Words: "unlikely", Range: "roughly 1 in 10", Role: "consequence",
			Of: of("weight_shift"), OfTitle: "late weight shift",
			Reasons: []report.Reason{reason("trunk_open_only_when_stuck", "for", "moderate", .6, "the shoulders are further round at landing than in the drill")}},
		{ID: "arm_late", Title: "arm late at landing", Rank: 4, Phase: "after_landing", Chance: .06, Present: .6, Words: "unlikely", Range: "roughly 1 in 10", Role: "consequence",
			Of: of("weight_shift"), OfTitle: "late weight shift"},
	}
}

func sampleCautions() []report.Caution {
	return []report.Caution{
		{ID: "fatigue_signs", Level: "stop", Text: "Slower, wilder, more upright or slower between throws: that is tiredness. End the session.", Source: "asmi_2013"},
		{ID: "after_clearance", Level: "limit", Text: "Cleared after surgery: keep to what the clearance says.", Source: "dias_2023", Private: true},
		{ID: "local_rules_first", Level: "limit", Text: "Local league rules, and what a physician, physical therapist or athletic trainer says, come before anything here. Where they are stricter, they count.", Source: "nfhs_6_1_6"},
		{ID: "easy_is_not_nothing", Level: "note", Text: "An easy throw loads the arm more than it feels, so easy throws are counted too.", Source: "common practice"},
	}
}

// planRecord is the same athlete with two weeks planned.
func planRecord() *report.Report {
	r := stuckRecord()
	p := &report.Plan{
		Start: "2026-11-09", Weeks: 2, Stage: "cognitive", Retest: "2026-11-23",
		Focus: []report.Focus{
			{Factor: "weight_shift", Title: "late weight shift", InWords: r.Factors[0].InWords, Why: "A run-up brings the momentum along; without it the body has to start early on its own, and everything later hangs on that."},
			{Factor: "hinge", Title: "back hip does not hold", InWords: "In the drill you sit into your back hip and it carries you, and on the mound it lets go too soon.", Why: "When the back leg straightens early there is nothing to push against."},
		},
		ExitTest: []string{"hold the pattern at flat ground with leg lift in 8 of 10 throws, in two sessions out of three"},
		Film:     []string{"flat ground with leg lift, open side, hip high, camera still", "running throw, open side, same place"},
		Floor:    &report.Floor{Throw: "running_throw", Title: "running throw", Speed: 88.8, Unit: "mph", Under: 2, Of: 3},
		Notes:    []string{"recent throwing was taken from four weekly counts"},
		Limits: []report.Limit{
			{ID: "daily_throws", Title: "throws a day", Cap: 140, Planned: 46, Unit: "throws", Source: "house default"},
			{ID: "pitch_table", Title: "high-effort throws a day, by age", Cap: 100, Planned: 18, Unit: "throws", Source: "pitch_guideline"},
			{ID: "weekly_growth", Title: "load a week", Cap: 212, Planned: 118, Unit: "full-effort throws", Binds: true, Source: "house default"},
		},
	}
	p.Drills = sampleDrills()
	p.Throws = []report.Throw{
		{ID: "running_throw", Title: "running throw", InWords: "Run a few easy steps straight at the net and throw hard in stride, without stopping. Slow down after the ball is gone."},
		{ID: "flat_no_lift", Title: "flat ground, slide step", InWords: "From a set position on flat ground, slide the front foot forward low over the ground and throw hard into the net. No leg lift."},
		{ID: "flat_lift", Title: "flat ground with leg lift", InWords: "Your normal delivery with the full leg lift, on flat ground, hard into the net."},
	}
	r.Plan = p
	for week := 1; week <= 2; week++ {
		sum := report.WeekSum{Week: week, From: p.Start, Cap: 212, Base: 176}
		for day := range 7 {
			s := sampleDay(week, day)
			sum.Throws, sum.High, sum.Load = sum.Throws+s.Throws, sum.High+s.High, sum.Load+s.Load
			p.Sessions = append(p.Sessions, s)
			p.Load = append(p.Load, report.LoadDay{Date: s.Date, Load: s.Load})
		}
		p.Week = append(p.Week, sum)
	}
	return r
}

func sampleDrills() []report.Drill {
	return []report.Drill{
		{ID: "lean_and_catch", Title: "lean until you have to step", Factor: "weight_shift", Effort: 40, Dose: "2x6, no ball", Where: "either", PutBack: "flat ground, slide step",
			How: "Stand side-on with your feet under your hips and no ball. Let your hips drift toward the target until you have to step, and catch yourself on the front foot.",
			Cue: "Let the ground behind you push you toward the target.", Exit: "in five of six repeats the belt is moving before the front foot leaves the ground, on two days"},
		{ID: "rock_and_go", Title: "rock back and go before the knee is up", Factor: "weight_shift", Effort: 50, Dose: "2x5", Equipment: []string{"ball", "net"}, Where: "either",
			PutBack: "flat ground with leg lift", How: "Stand side-on, feet shoulder-wide. Rock onto the front foot, then onto the back foot, and let the rock carry you toward the net while the front knee is still coming up.",
			Cue: "Roll the weight across the ground to the net as one long wave.", Exit: "on video the belt leaves before the knee peaks in four of five, on two days"},
	}
}

// sampleDay is one day of the sample plan: mound on Tuesday and Saturday, drills
// on Monday and Thursday.
func sampleDay(week, day int) report.Session {
	on := time.Date(2026, 11, 9, 0, 0, 0, 0, time.UTC).AddDate(0, 0, 7*(week-1)+day)
	s := report.Session{Date: on.Format(time.DateOnly), Weekday: on.Weekday().String(), Week: week, Kind: "rest"}
	warm := report.Block{What: "warm_up", Title: "easy throws", Throws: 12, Effort: 50, Rule: "warm_up"}
	lean := report.Block{What: "isolation", Title: "lean until you have to step", Drill: "lean_and_catch", Sets: "2x6", Effort: 40, Rule: "lean_and_catch"}
	rock := report.Block{What: "isolation", Title: "rock back and go before the knee is up", Drill: "rock_and_go", Sets: "2x5", Throws: 10, Effort: 50, Rule: "rock_and_go"}
	back := report.Block{What: "put_back", Title: "flat ground with leg lift", Throw: "flat_lift", Throws: 3, Effort: 70}
	switch day {
	case 0, 3:
		s.Kind, s.Blocks, s.Throws, s.Load = "drill", []report.Block{warm, lean, rock, back}, 25, 20
	case 1, 5:
		keep := report.Block{What: "keep_up", Title: "running throw", Throw: "running_throw", Throws: 3, Effort: 95, Floor: of(88.8), Unit: "mph"}
		below := report.Block{What: "ladder", Title: "flat ground, slide step", Throw: "flat_no_lift", Sets: "2x4", Throws: 8, Effort: 90}
		stuck := report.Block{What: "ladder", Title: "flat ground with leg lift", Throw: "flat_lift", Sets: "2x4", Throws: 8, Effort: 90}
		s.Kind, s.Blocks, s.Throws, s.High, s.Load = "mound", []report.Block{warm, keep, rock, back, below, stuck}, 44, 19, 39
	default:
		s.BoundBy, s.BoundWords = "no_training_day", "not a training day"
	}
	if week == 2 && day == 5 {
		s.BoundBy, s.BoundWords = "weekly_growth", "the week may hold 212 full-effort throws"
	}
	return s
}

// referRecord is an athlete whose gate refers; the record holds no throw.
func referRecord() *report.Report {
	return &report.Report{
		Rungwise: report.Version, Case: "SM-17", On: "2026-11-09", Rules: report.Rules{Version: "2026-11", Hash: "3f9a12c07b44"},
		Athlete: report.Athlete{Code: "SM-17"}, CarryOver: report.CarryOver{Words: "not_known", Unit: "mph"},
		Gate: report.Gate{ID: "refer_sore_joint", Verdict: "refer", Says: "You told us that your elbow, shoulder or forearm is sore from throwing.",
			Do:     "Stop throwing. See a licensed clinician, a physician, a physical therapist or an athletic trainer, and do not throw again until you are cleared.",
			Source: "ortho_info"},
		Ladder: report.Ladder{Verdict: "not_thrown"},
	}
}

// screenRecord lacks answers of the safety screen.
func screenRecord() *report.Report {
	r := referRecord()
	r.Gate = report.Gate{ID: "screen_unanswered", Verdict: "not_enough", Screen: true, Says: "The safety questions are not all answered.",
		Do:      "Ask the athlete about pain, numbness, a sudden loss of velocity or control, and surgery or injury before anything else.",
		Missing: []string{"numbness", "surgery or injury"}}
	return r
}

// noneRecord is an athlete in whom no break was found.
func noneRecord() *report.Report {
	r := stuckRecord()
	r.Case, r.Athlete.Code = "SM-30", "SM-30"
	r.Gate = report.Gate{ID: "no_break", Verdict: "none_found", Says: "No break was found. The drill carries all the way through the throws that were tested.",
		Do: "There is no carry-over problem to fix here. Keep the drill alive with a few throws before each mound session.", Why: []string{"every rung that was thrown held its pattern and lay inside its band"}}
	r.Ladder = report.Ladder{Verdict: "none_found", Probability: .02, NoneChance: .9, Rungs: []report.Rung{
		rung("running_throw", "running throw", "", 1, 1, 1, 92.3, 92.9, 92.3),
		rung("flat_lift", "flat ground with leg lift", "adds the leg lift", .918, .952, 1, 86.5, 86.2, 87.9),
		rung("slope_net", "slope to the net", "adds the slope", .932, .968, 1),
		rung("slope_catcher", "slope to a catcher", "adds a target", .927, .963, 1, 87.0, 86.9, 88.4),
	}}
	r.Comparison, r.Factors, r.Shaky, r.NextLook, r.Confidence = report.Comparison{}, nil, nil, nil, report.Confidence{}
	return r
}
