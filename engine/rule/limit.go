package rule

import (
	"fmt"

	"rungwise/engine/cause"
	"rungwise/engine/checklist"
	"rungwise/engine/diag"
	"rungwise/engine/source"
	"rungwise/engine/workload"
)

func grades() []string { return []string{"published", "common practice", "house default"} }

// readLimits reads the named numbers, those by age and the tables.
func (r *reader) readLimits() {
	for _, e := range r.section(LimitsKey).entries {
		r.b.Limits = append(r.b.Limits, r.readNumber(e))
	}
	for _, e := range r.section(ByAge).entries {
		r.b.ByAge = append(r.b.ByAge, r.readAgeNumber(e))
	}
	r.checkReadingErrors()
	r.readPitchTable()
	r.readInnings()
	r.readWeights()
	r.fillWorkload()
}

func (r *reader) readNumber(e *entry) Number {
	o := r.open(e, LimitsKey)
	l := Number{Entry: r.common(e, o, "why", "source"), Unit: o.NeedText("unit"), Grade: o.OneOf("grade", grades()), Reviewed: o.Text("reviewed")}
	o.Need("value")
	l.Value, _ = o.Number("value")
	l.Hard, _ = o.YesNo("hard")
	l.Free, _ = o.YesNo("free")
	l.Tighten = o.OneOf("tighten", []string{"down", "up"})
	if o.Close(); (l.Hard || e.base != nil && !l.Free) && !o.Has("tighten") {
		r.fault(e.name, "B540", fmt.Sprintf("the limit `%s` does not say which way is stricter", l.ID), "", "add tighten: down or tighten: up; or free: yes where it permits nothing")
	}
	return l
}

// ReadingError is the id of the number that stands for the reading error of a
// class: eye, measured or asked. A house that has graded clips twice puts its own
// there.
func ReadingError(class string) string { return "reading_error_" + class }

// readingError is the house's or the base's number for a class, else the
// default.
func (r *reader) readingError(class string) float64 {
	e, _ := cause.Reading(class)
	return r.b.Value(ReadingError(class), e)
}

// checkReadingErrors refuses an error of half and more, at which a look says
// nothing, and none at all, which nobody has.
func (r *reader) checkReadingErrors() {
	for _, class := range []string{checklist.Eye, checklist.Measured, checklist.Asked} {
		if l, ok := r.b.Limit(ReadingError(class)); ok && !(l.Value >= 0.01 && l.Value <= 0.45) {
			r.ds.Add(diag.Diagnostic{Place: l.Origin, Code: "B544", Headline: fmt.Sprintf("a reading error of %g is not possible", l.Value),
				Help: "write a share between 0.01 and 0.45; `rungwise agree` works it out"})
		}
	}
}

// readAgeNumber reads a number by age; a house may set one value for all ages,
// which tightens each.
func (r *reader) readAgeNumber(e *entry) AgeNumber {
	o := r.open(e, ByAge)
	l := AgeNumber{Entry: r.common(e, o, "source"), Unit: o.NeedText("unit"), Grade: o.OneOf("grade", grades()), Reviewed: o.Text("reviewed"),
		Tighten: o.NeedOneOf("tighten", []string{"down", "up"})}
	all, one := o.Number("value")
	for i, into := range []*float64{&l.To14, &l.To18, &l.Adult} {
		o.Need(bands()[i])
		*into, _ = o.Number(bands()[i])
		if one {
			*into = tighter(l.Tighten, all, *into)
		}
	}
	o.YesNo("hard")
	o.Close()
	return l
}

// pitchTable reads the head of the pitch table and collects its rows.
func (r *reader) pitchTable(o *source.Object) {
	n := o.Get(PitchRows)
	if n == nil {
		return
	}
	t := n.Object(&r.ds, "the pitch table")
	r.table = n
	r.b.Workload.Version, r.b.Workload.Source = t.NeedText("version"), t.NeedText("source")
	r.optional(t, "grade", "reviewed", "why")
	t.YesNo("hard")
	t.OneOf("tighten", []string{"down"})
	r.rows(PitchRows, t.Items("rows"))
	t.Close()
}

func (r *reader) readPitchTable() {
	if r.table != nil {
		r.source(r.table.Get("source"))
	}
	for _, e := range r.section(PitchRows).entries {
		o := r.open(e, PitchRows)
		row := r.pitchRow(o)
		row.From, row.To = r.ages(o)
		r.optional(o, "source", "why")
		o.Close()
		before := row
		if len(e.changes) > 0 {
			var told diag.List // told when the base was read
			before = (&reader{ds: told}).pitchRow(e.base.Object(&told, "a row"))
			before.From, before.To = row.From, row.To
		}
		r.b.Workload.Table, r.b.Workload.Before = append(r.b.Workload.Table, row), append(r.b.Workload.Before, before)
	}
}

// pitchRow reads the counts of a row.
func (r *reader) pitchRow(o *source.Object) workload.PitchRow {
	row := workload.PitchRow{Daily: r.needCount(o, "daily")}
	o.Need("rest")
	for _, n := range o.Items("rest") {
		if x, ok := n.Number(&r.ds, "rest"); ok {
			row.Rest = append(row.Rest, int(x))
		}
	}
	return row
}

func (r *reader) readInnings() {
	for _, e := range r.section(InningsRows).entries {
		o := r.open(e, InningsRows)
		row := workload.InningsRow{}
		row.From, row.To = r.ages(o)
		o.Need("most")
		row.Most, _ = o.Number("most")
		r.source(o.Get("source"))
		r.optional(o, "grade", "reviewed", "why")
		o.YesNo("hard")
		o.OneOf("tighten", []string{"down"})
		o.Close()
		r.b.Workload.Innings = append(r.b.Workload.Innings, row)
	}
}

// ages reads [from, to] in years.
func (r *reader) ages(o *source.Object) (from, to int) {
	items := o.Items("ages")
	if len(items) != 2 {
		return 0, 0
	}
	a, okA := items[0].Number(&r.ds, "ages")
	b, okB := items[1].Number(&r.ds, "ages")
	if okA && okB && (a > b || a < 0 || b > 120) {
		r.fault(o.Get("ages"), "B541", fmt.Sprintf("the ages %g to %g do not rise", a, b), "", "write the younger age first, in years")
	}
	return int(a), int(b)
}

func (r *reader) readWeights() {
	if r.weights == nil {
		return
	}
	o := r.weights.Object(&r.ds, "`effort_weights`")
	w := &r.b.Workload.Weights
	w.LowTo, w.Low = r.weight(o, "low", true)
	w.ModerateTo, w.Moderate = r.weight(o, "moderate", true)
	_, w.High = r.weight(o, "high", false)
	_, w.Game = r.weight(o, "game", false)
	r.source(o.Get("source"))
	r.optional(o, "grade", "reviewed", "why")
	o.Close()
}

func (r *reader) weight(o *source.Object, key string, bounded bool) (to, weight float64) {
	o.Need(key)
	c := o.Object(key, "a class of effort")
	if c == nil {
		return 0, 0
	}
	if bounded {
		c.Need("to")
		to, _ = c.Number("to")
	}
	c.Need("weight")
	weight, _ = c.Number("weight")
	c.Close()
	return to, weight
}

// fillWorkload hands the hard numbers to whoever judges throws with them, and
// refuses a base in which one is missing or runs the wrong way.
func (r *reader) fillWorkload() {
	w := &r.b.Workload
	for _, name := range workload.Names() {
		n, tighten, place, ok := r.numberByAge(name)
		if !ok {
			continue // told by Faults
		}
		w.Numbers = append(w.Numbers, n)
		if d, known := workload.Tightening(name); known && tighten != d.String() {
			r.ds.Add(diag.Diagnostic{Place: place, Code: "B542", Headline: fmt.Sprintf("the hard limit `%s` is stricter the other way", name),
				Help: "write tighten: " + d.String()})
		}
	}
	for _, f := range w.Faults() {
		r.ds.Add(diag.Diagnostic{Place: diag.Place{Path: r.o.RulesPath}, Code: "B543", Headline: f, Help: "complete the limits; no throw is planned without them"})
	}
}

// numberByAge finds a hard number, by age or the same for all.
func (r *reader) numberByAge(id string) (n workload.Limit, tighten string, place diag.Place, ok bool) {
	for _, l := range r.b.ByAge {
		if l.ID == id {
			return workload.Limit{ID: id, To14: l.To14, To18: l.To18, Adult: l.Adult, Unit: l.Unit, Why: l.Why, Source: l.Source}, l.Tighten, l.Origin, true
		}
	}
	for _, l := range r.b.Limits {
		if l.ID == id {
			return workload.Limit{ID: id, To14: l.Value, To18: l.Value, Adult: l.Value, Unit: l.Unit, Why: l.Why, Source: l.Source}, l.Tighten, l.Origin, true
		}
	}
	return workload.Limit{}, "", diag.Place{}, false
}
