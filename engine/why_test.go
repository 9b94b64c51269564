package engine

import (
	"errors"
	"flag"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"rungwise/engine/compose"
	"rungwise/engine/fact"
	"rungwise/engine/observe"
	"rungwise/engine/render"
	"rungwise/engine/report"
	"rungwise/engine/source"
	"rungwise/engine/triage"
	"rungwise/testdata/cases"
	"rungwise/testdata/frozen"
)

// asking is a worked case of which a test asks why.
type asking struct {
	*compose.Asked
	e *Engine
}

func explained(t *testing.T, e *Engine, file string, what ...Setting) asking {
	t.Helper()
	f, err := e.brief(worked(t, e, file))
	if err != nil {
		t.Fatal(err)
	}
	if err := e.set(f.Facts, what); err != nil {
		t.Fatal(err)
	}
	f.Triage = e.model.Brief(caseOf(f.Facts))
	return asking{e.ask(f), e}
}

func (s asking) why(t *testing.T, name string) *report.Why {
	t.Helper()
	w, err := s.e.explain(s.Asked, name)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// asFrozen opens the trade as the goldens know it.
func asFrozen(t *testing.T) *Engine {
	t.Helper()
	e, ds := Open(Options{Trade: Trade{frozen.Rules(), frozen.Checklists()}, Today: cases.Day()})
	if e == nil {
		t.Fatal(ds.Sorted())
	}
	return e
}

// What a coach reads about ten names of the invented SM-04; what the plan holds
// of them is tested apart.
func TestWhyTexts(t *testing.T) {
	e := asFrozen(t)
	s := explained(t, e, "sm-04.yaml")
	words := func(id string) string { text, _ := e.Base().Words(id); return text }
	for _, name := range []string{"weight_shift", "hinge", "trunk_early", "arm_tempo", "shift_late_only_when_stuck", "back_knee_straighter",
		"go_on", "refer_sore_joint", "learning", "daily_pitches"} {
		w := s.why(t, name)
		w.Planned = []string{}
		got, path := render.Why(w, render.Options{Words: words}), filepath.Join("testdata", "why", name+".md")
		if flag.Lookup("update").Value.String() == "true" {
			if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(string(want), got); d != "" {
			t.Errorf("%s (-want +got):\n%s", name, d)
		}
	}
}

// Every name of the base is explained in one sentence and with its source, and
// a wrong one is met with the nearest.
func TestEveryNameIsExplained(t *testing.T) {
	e := open(t)
	s := explained(t, e, "sm-04.yaml")
	for _, name := range e.Names() {
		w := s.why(t, name)
		if w.Says == "" || w.Kind == "" || w.Kind != "fact" && w.Source == "" {
			t.Errorf("%s: kind %q says %q, source %q", name, w.Kind, w.Says, w.Source)
		}
	}
	_, err := e.explain(s.Asked, "weight_shif")
	var unnamed *Unnamed
	if !errors.As(err, &unnamed) || unnamed.Near != "weight_shift" {
		t.Errorf("got %v", err)
	}
}

// Every line of a plan leads to its rule: the one that stands beside it, its
// drill, its throw, its limit; and from there back to the line.
func TestEveryPlanLineIsExplained(t *testing.T) {
	e := open(t)
	s := explained(t, e, "sm-04.yaml")
	r, err := e.Plan(s.Case, PlanOptions{})
	if err != nil || r.Plan == nil {
		t.Fatal("there is no plan")
	}
	p := r.Plan
	names := map[string]string{}
	for _, d := range p.Sessions {
		for _, b := range d.Blocks {
			names[b.Rule], names[b.Drill], names[b.Throw] = d.Date, d.Date, d.Date
		}
		names[d.BoundBy] = d.Date
	}
	for _, l := range p.Limits {
		names[l.ID] = l.Title
	}
	delete(names, "")
	for name, told := range names {
		w := s.why(t, name)
		if !slices.ContainsFunc(w.Planned, func(line string) bool { return strings.HasPrefix(line, told) }) {
			t.Errorf("%s (%s) leads to %q", name, told, w.Planned)
		}
	}
	if len(names) < 12 {
		t.Errorf("only %d names stand in the plan", len(names))
	}
}

// Of a referred case nothing is explained that speaks of throwing.
func TestReferredCaseExplainsNoThrow(t *testing.T) {
	s := explained(t, open(t), "sm-04.yaml", Setting{"screen.pain", "pain"})
	for _, name := range []string{"weight_shift", "flat_lift", "daily_pitches", "few_slope_throws", "shift_changed", "rock_and_go"} {
		if w := s.why(t, name); !strings.HasPrefix(w.Says, "this case is not one for throwing advice") || len(w.Planned)+len(w.Lines)+len(w.Reasons) > 0 || w.Versus != nil {
			t.Errorf("%s: %+v", name, w)
		}
	}
	if w := s.why(t, "refer_pain"); w.Clause == nil || w.Clause.Truth != "yes" {
		t.Error("the gate itself is not explained")
	}
}

// anyOf draws a value of a fact, as people write it.
func anyOf(rng *rand.Rand, f fact.Fact) string {
	if f.Kind == fact.Number {
		return f.Format(fact.Num(math.Round(f.Low + rng.Float64()*(f.High-f.Low))))
	}
	ids := f.AnswerIDs()
	return ids[rng.IntN(len(ids))]
}

// shaken is a worked case with some facts given other values and some forgotten.
func (e *Engine) shaken(t *testing.T, rng *rand.Rand, from *observe.Facts) *observe.Facts {
	t.Helper()
	out := *from
	out.Vector, out.Lambda, out.Unsure = slices.Clone(from.Vector), map[int]float64{}, map[int]bool{}
	for slot := range out.Vector {
		f := e.base.Catalogue.At(slot)
		if f.Constant || f.Column == fact.Changed {
			continue
		}
		switch rng.IntN(4) {
		case 0:
			out.Vector[slot] = fact.Value{}
		case 1, 2:
			if err := e.set(&out, []Setting{{f.Name, anyOf(rng, f)}}); err != nil {
				t.Fatal(err)
			}
		}
	}
	return &out
}

// Apply the change that was told, as a what-if of the same words, and the rule
// turns: over 1,000 random cases and rules.
func TestToldChangeTurnsTheRule(t *testing.T) {
	e := open(t)
	rng := rand.New(rand.NewPCG(31, 32))
	c := worked(t, e, "sm-04.yaml")
	from, all := e.facts(t, c), e.base.Conditions()
	turned := 0
	for range 1000 {
		facts, r := e.shaken(t, rng, from), all[rng.IntN(len(all))]
		w := compose.Findings{Case: c, Base: e.base, Facts: facts, Triage: &triage.Result{}, On: e.today}
		asked := asking{e.ask(w), e}.why(t, r.ID)
		if len(asked.Turn) == 0 {
			continue
		}
		var change []Setting
		for _, x := range asked.Turn {
			change = append(change, Setting{x.Fact, x.To})
		}
		if err := e.set(facts, change); err != nil {
			t.Fatal(err)
		}
		want := map[string]fact.Truth{"would hold": fact.Yes, "would not hold": fact.No}[asked.TurnInto]
		if got := r.When.Eval(facts.Vector); got != want {
			t.Fatalf("%s: %s after %+v", r.When.Text(), got, asked.Turn)
		}
		turned++
	}
	if turned < 800 {
		t.Errorf("only %d of 1000 rules had a change that turns them", turned)
	}
}

// A change that is smaller than what was measured could be off by is told as a
// knife edge, and only then.
func TestKnifeEdge(t *testing.T) {
	for _, c := range []struct {
		bend string
		edge bool
	}{{"36.5", true}, {"38", true}, {"46.5", false}} {
		s := explained(t, open(t), "sm-04.yaml", Setting{"stuck.back_knee_bend", c.bend})
		w := s.why(t, "back_knee_straighter")
		if len(w.Turn) != 1 || w.Turn[0].Edge != c.edge || strings.HasSuffix(w.Turn[0].Note, ": a knife edge") != c.edge {
			t.Errorf("%s deg: %+v", c.bend, w.Turn)
		}
		if w.Steady == nil || (*w.Steady < 0.75) != c.edge {
			t.Errorf("%s deg: steady %v", c.bend, *w.Steady)
		}
	}
}

// A coach who puts another factor first is heard and changes nothing in the
// order.
func TestDisagreementMovesNothing(t *testing.T) {
	e := open(t)
	text, err := cases.FS.ReadFile("sm-04.yaml")
	if err != nil {
		t.Fatal(err)
	}
	with, ds := e.Case(source.New("sm.yaml", append(text, "disagrees: [{first: hinge, by: invented coach, because: the hip gives on every throw}]\n"...)))
	if with == nil {
		t.Fatal(ds.Sorted()[0])
	}
	a, err := e.Triage(worked(t, e, "sm-04.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	b, err := e.Triage(with)
	if err != nil {
		t.Fatal(err)
	}
	if len(b.Disagrees) != 1 || b.Disagrees[0].Factor != "hinge" {
		t.Fatalf("got %+v", b.Disagrees)
	}
	b.Disagrees = a.Disagrees
	if d := cmp.Diff(a, b); d != "" {
		t.Errorf("a disagreement changed the record: %s", d)
	}
	f, err := e.brief(with)
	if err != nil {
		t.Fatal(err)
	}
	w := asking{e.ask(f), e}.why(t, "hinge")
	if !slices.ContainsFunc(w.Lines, func(l string) bool { return strings.HasPrefix(l, "invented coach puts it first") }) {
		t.Errorf("it is not told: %q", w.Lines)
	}
}

// For an athlete who is referred, or whose safety questions are open, no name of
// any kind is explained beyond the refusal.
func TestWhySpeaksNoThrowPastAStop(t *testing.T) {
	for _, answer := range [][]Setting{{{"screen.pain", "pain"}}, {{"screen.numbness", "yes"}}} {
		s := explained(t, open(t), "sm-04.yaml", answer...)
		for _, name := range []string{"go_on", "faded", "no_break", "never_better", "rock_and_go", "weight_shift", "flat_lift", "daily_pitches"} {
			w := s.why(t, name)
			if !strings.Contains(w.Says, "not one for throwing advice") || len(w.Lines)+len(w.Planned) > 0 || w.Clause != nil {
				t.Errorf("%s: %+v", name, w)
			}
		}
	}
}

// Of every factor that is not first it is told what would make it so: an answer
// read otherwise, as the triage has it, or what was not seen yet, or that nothing
// of it would.
func TestWhySaysWhatWouldMakeItFirst(t *testing.T) {
	e := open(t)
	told := map[string]int{}
	for _, file := range []string{"sm-04.yaml", "sm-21.yaml"} {
		s := explained(t, e, file)
		r, err := e.Triage(worked(t, e, file))
		if err != nil {
			t.Fatal(err)
		}
		for i := range e.base.Factors {
			id := e.base.Factors[i].ID
			lines := strings.Join(s.why(t, id).Lines, "\n")
			otherwise, open := strings.Contains(lines, "with one answer read otherwise: "), strings.Contains(lines, "with what was not seen yet: ")
			none := strings.Contains(lines, "no one or two answers that are still open would make it first")
			shaky := slices.ContainsFunc(r.Shaky, func(x report.Shaky) bool { return x.FirstBecomes == id })
			if first := r.Factors[0].ID == id; otherwise != shaky || none != (!first && !otherwise && !open) {
				t.Errorf("%s of %s: %q", id, file, lines)
			}
			if open {
				told["open"]++
			}
			if otherwise {
				told["otherwise"]++
			}
		}
	}
	if told["open"] == 0 || told["otherwise"] == 0 {
		t.Errorf("told: %v", told)
	}
	if lines := explained(t, e, "sm-04.yaml").why(t, "arm_tempo").Lines; !slices.Contains(lines,
		"it would be first with one answer read otherwise: tempo of the arm, drill against mound, different (now alike)") {
		t.Errorf("got %q", lines)
	}
}
