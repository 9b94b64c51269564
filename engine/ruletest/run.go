package ruletest

import (
	"slices"

	"rungwise/engine/diag"
	"rungwise/engine/rule"
	"rungwise/engine/triage"
)

// Tested is the outcome of the examples and cases of a rule base.
type Tested struct {
	Examples, Cases int
	Bad             int // examples and cases that do not come out as they say
	List            diag.List
	Checks          []diag.Check
	Unknown         []string // names that nothing has
	version         string
}

// Failed reports whether anything did not come out as it says, or nothing was
// run at all.
func (t Tested) Failed() bool { return t.Bad > 0 || t.Examples+t.Cases == 0 }

// Report makes the report of a test for other programs.
func (t Tested) Report() diag.Report {
	return diag.Report{Tool: "rungwise", Version: t.version, Name: "rules test", List: t.List, Checks: t.Checks}
}

// tried is what has examples, or a case; n is how many.
type tried struct {
	id, group string
	n         int
}

func allTried(b *rule.Base) []tried {
	var out []tried
	put := func(id string, examples ...rule.Example) {
		n := len(slices.DeleteFunc(examples, func(x rule.Example) bool { return len(x) == 0 }))
		out = append(out, tried{id, "examples", n})
	}
	for _, s := range b.Signs {
		put(s.ID, s.Fires, s.Still)
	}
	for _, g := range b.Gates {
		put(g.ID, g.Fires, g.Still)
	}
	for _, c := range b.Cautions {
		put(c.ID, c.Fires, c.Still)
	}
	for _, f := range b.Factors {
		out = append(out, tried{f.ID, "factors", 0})
	}
	for _, c := range b.Cases {
		out = append(out, tried{c.ID, "cases", 1})
	}
	return out
}

// Names lists what Run can be asked for.
func Names(b *rule.Base) []string {
	var out []string
	for _, x := range allTried(b) {
		out = append(out, x.id)
	}
	return out
}

// Run runs the examples and cases, all of them or those of the ids named: signs,
// gates, cautions, cases, and factors that cases are about.
func Run(m *triage.Model, only []string) Tested {
	b := m.Base()
	t := Tested{version: b.Version}
	own := map[string]diag.List{}
	wanted := asked(b, only)
	for _, x := range allTried(b) {
		if x.n == 0 || !wanted(x.id) {
			continue
		}
		if x.group == "cases" {
			t.Cases += x.n
		} else {
			t.Examples += x.n
		}
		t.Checks = append(t.Checks, diag.Check{Name: x.id, Group: x.group, Covers: func(d diag.Diagnostic) bool {
			return slices.ContainsFunc(own[x.id], func(o diag.Diagnostic) bool { return o.Place == d.Place && o.Headline == d.Headline })
		}})
	}
	bad := func(id string, list ...diag.Diagnostic) {
		if wanted(id) {
			t.Bad++
			own[id] = append(own[id], list...)
			t.List = append(t.List, list...)
		}
	}
	for _, f := range b.TestExamples() {
		bad(f.ID, f.Diagnostic)
	}
	for _, f := range m.TestCases() {
		bad(f.Case.ID, failures(f)...)
	}
	names := Names(b)
	for _, id := range only {
		if !slices.Contains(names, id) {
			t.Unknown = append(t.Unknown, id)
		}
	}
	return t
}

// failures puts a case that failed into diagnostics, one for each line.
func failures(f triage.Failure) diag.List {
	var out diag.List
	at := f.Case.Expect.Place
	if at.Line == 0 {
		at = f.Case.NotExpect.Place
	}
	for _, line := range f.Lines {
		d := diag.Diagnostic{Place: at, Code: "V206", Headline: f.Case.ID + ": " + line, Notes: slices.Clone(f.Notes),
			Help: "change the rule, or what the case expects"}
		if f.Vacuous {
			d.Code, d.Help = "V207", "give a value on the no side"
		}
		out.Add(d)
	}
	return out
}

// asked reports what is asked for: the ids themselves, and for a rule or a factor
// the cases that expect something of it.
func asked(b *rule.Base, only []string) func(id string) bool {
	ids := slices.Clone(only)
	for i := range b.Cases {
		for _, x := range []rule.Expectation{b.Cases[i].Expect, b.Cases[i].NotExpect} {
			about := slices.Concat([]string{x.First}, x.FirstTwo, x.Possible, x.Fires, x.Silent, x.Cautions)
			if slices.ContainsFunc(about, func(id string) bool { return id != "" && slices.Contains(only, id) }) {
				ids = append(ids, b.Cases[i].ID)
			}
		}
	}
	return func(id string) bool { return len(only) == 0 || slices.Contains(ids, id) }
}
