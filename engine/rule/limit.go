package rule

import (
	"fmt"
	"slices"
	"strconv"

	"rungwise/engine/cause"
	"rungwise/engine/checklist"
	"rungwise/engine/diag"
	"rungwise/engine/source"
	"rungwise/engine/workload"
)

// readLimits reads the named numbers, those by age and the tables.
func (r *reader) readLimits() {
	fill(r, r.limits())
	fill(r, r.byAge())
	r.checkReadingErrors()
	r.readPitchTable()
	fill(r, r.inningsRows())
	r.readWeights()
	r.fillWorkload()
}

func grades() []string { return []string{"published", "common practice", "house default"} }

func ways() []string { return []string{"down", "up"} }

const stricter = "which way is stricter"

func (r *reader) limits() list[Number] {
	return list[Number]{name: LimitsKey, of: func(b *Base) *[]Number { return &b.Limits },
		need: []string{"why", "source"}, check: r.checkNumber, keys: []source.Key[Number]{
			source.Number("value", must, source.Tighten, "", func(l *Number) *float64 { return &l.Value }).In("value", func(l *Number) string {
				return fmt.Sprintf("%g %s%s", l.Value, l.Unit, map[bool]string{true: " (hard)"}[l.Hard])
			}),
			source.Text("unit", must, fixed, "", func(l *Number) *string { return &l.Unit }),
			source.OneOf("grade", may, free, "", grades(), func(l *Number) *string { return &l.Grade }),
			source.Text("reviewed", may, free, monthly, func(l *Number) *string { return &l.Reviewed }).As(source.Shape{Form: source.Month}),
			source.YesNo("hard", may, fixed, "what a plan never passes", func(l *Number) *bool { return &l.Hard }),
			source.YesNo("free", may, fixed, "permits nothing, so a house may put its own there", func(l *Number) *bool { return &l.Free }),
			source.OneOf("tighten", may, fixed, stricter, ways(), func(l *Number) *string { return &l.Tighten }),
		}}
}

func (r *reader) checkNumber(e *entry, o *source.Object, l *Number, _ bool) bool {
	if (l.Hard || e.base != nil && !l.Free) && !o.Has("tighten") {
		r.fault(e.name, "B540", fmt.Sprintf("the limit `%s` does not say which way is stricter", l.ID), "", "add tighten: down or tighten: up; or free: yes where it permits nothing")
	}
	return true
}

// byAge are the numbers by age; a house may set one value for all ages, which
// tightens each.
func (r *reader) byAge() list[AgeNumber] {
	age := func(band string, at func(*AgeNumber) *float64) source.Key[AgeNumber] {
		return source.Number(band, must, source.Tighten, "", at)
	}
	return list[AgeNumber]{name: ByAge, of: func(b *Base) *[]AgeNumber { return &b.ByAge },
		rest: true, need: []string{"source"}, check: checkAgeNumber, keys: []source.Key[AgeNumber]{
			source.Reads("value", may, source.Tighten, "for every age", source.Shape{Form: source.Amount}, func(o *source.Object, _ *AgeNumber) { o.Number("value") }),
			age("to_14", func(l *AgeNumber) *float64 { return &l.To14 }).In("value", func(l *AgeNumber) string {
				return fmt.Sprintf("%g to 14 years, %g to 18, %g above: %s (hard)", l.To14, l.To18, l.Adult, l.Unit)
			}),
			age("to_18", func(l *AgeNumber) *float64 { return &l.To18 }),
			age("adult", func(l *AgeNumber) *float64 { return &l.Adult }),
			source.Text("unit", must, fixed, "", func(l *AgeNumber) *string { return &l.Unit }),
			source.OneOf("grade", may, free, "", grades(), func(l *AgeNumber) *string { return &l.Grade }),
			source.Text("reviewed", may, free, monthly, func(l *AgeNumber) *string { return &l.Reviewed }).As(source.Shape{Form: source.Month}),
			hardKey[AgeNumber](),
			source.OneOf("tighten", must, fixed, stricter, ways(), func(l *AgeNumber) *string { return &l.Tighten }),
		}}
}

func checkAgeNumber(_ *entry, o *source.Object, l *AgeNumber, _ bool) bool {
	if all, err := strconv.ParseFloat(o.Get("value").Text(), 64); err == nil {
		for _, into := range []*float64{&l.To14, &l.To18, &l.Adult} {
			*into = tighter(l.Tighten, all, *into)
		}
	}
	return true
}

// hardKey says of a number that is hard in any case that it is.
func hardKey[T any]() source.Key[T] {
	return source.YesNo("hard", may, fixed, "what a plan never passes", func(*T) *bool { return new(bool) })
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

// pitchTable reads the head of the pitch table and collects its rows.
func (r *reader) pitchTable(o *source.Object) {
	n := o.Get(PitchRows)
	if n == nil {
		return
	}
	t := n.Object(&r.ds, "the pitch table")
	r.table = n
	source.Fill(t, []source.Key[workload.Limits]{
		source.Text("version", must, fixed, "", func(w *workload.Limits) *string { return &w.Version }),
		source.Text("source", must, fixed, "", func(w *workload.Limits) *string { return &w.Source }),
		source.Note[workload.Limits]("grade", ""), reviewed[workload.Limits](), source.Note[workload.Limits]("why", ""), hardKey[workload.Limits](),
		downKey[workload.Limits](),
	}, &r.b.Workload, false)
	r.rows(PitchRows, t.Items("rows"))
	t.Close()
}

// downKey says of a number that can only be strict downward that it is.
func downKey[T any]() source.Key[T] {
	return source.OneOf("tighten", may, fixed, stricter, []string{"down"}, func(*T) *string { return new(string) })
}

func (r *reader) pitchRows() list[workload.PitchRow] {
	return list[workload.PitchRow]{name: PitchRows, of: func(b *Base) *[]workload.PitchRow { return &b.Workload.Table },
		rest: true, keys: []source.Key[workload.PitchRow]{
			source.Count("daily", must, source.Tighten, "most pitches a day", func(p *workload.PitchRow) *int { return &p.Daily }),
			source.Reads("rest", must, source.Tighten, "most pitches that need so many days of rest", source.Each(source.Many, source.Shape{Form: source.Whole}),
				func(o *source.Object, p *workload.PitchRow) {
					for _, n := range o.Items("rest") {
						if x, ok := n.Number(&r.ds, "rest"); ok {
							p.Rest = append(p.Rest, int(x))
						}
					}
				}),
			agesOf(r, func(p *workload.PitchRow) (from, to *int) { return &p.From, &p.To }),
			source.Note[workload.PitchRow]("source", ""), source.Note[workload.PitchRow]("why", ""),
		}}
}

// readPitchTable reads the rows, and of those that a house has changed what they
// were before.
func (r *reader) readPitchTable() {
	if r.table != nil {
		r.source(r.table.Get("source"))
	}
	w := &r.b.Workload
	fill(r, r.pitchRows())
	w.Before = slices.Clone(w.Table)
	for i, e := range r.section(PitchRows).entries {
		if len(e.changes) > 0 {
			told := &reader{} // told when the base was read
			w.Before[i] = workload.PitchRow{From: w.Table[i].From, To: w.Table[i].To}
			source.Fill(e.base.Object(&told.ds, "a row"), told.pitchRows().keys, &w.Before[i], false)
		}
	}
}

func (r *reader) inningsRows() list[workload.InningsRow] {
	return list[workload.InningsRow]{name: InningsRows, of: func(b *Base) *[]workload.InningsRow { return &b.Workload.Innings },
		rest: true, keys: []source.Key[workload.InningsRow]{
			agesOf(r, func(p *workload.InningsRow) (from, to *int) { return &p.From, &p.To }),
			source.Number("most", must, source.Tighten, "most innings in twelve months", func(p *workload.InningsRow) *float64 { return &p.Most }),
			sourceKey(r, may, func(*workload.InningsRow) *string { return new(string) }),
			source.Note[workload.InningsRow]("grade", ""), reviewed[workload.InningsRow](), source.Note[workload.InningsRow]("why", ""),
			hardKey[workload.InningsRow](), downKey[workload.InningsRow](),
		}}
}

// agesOf reads [from, to] in years.
func agesOf[T any](r *reader, at func(*T) (from, to *int)) source.Key[T] {
	shape := source.Shape{Form: source.Many, Each: &source.Shape{Form: source.Whole}, Len: 2}
	return source.Reads("ages", may, fixed, "years", shape, func(o *source.Object, x *T) {
		items := o.Items("ages")
		if len(items) != 2 {
			return
		}
		a, okA := items[0].Number(&r.ds, "ages")
		b, okB := items[1].Number(&r.ds, "ages")
		if okA && okB && (a > b || a < 0 || b > 120) {
			r.fault(o.Get("ages"), "B541", fmt.Sprintf("the ages %g to %g do not rise", a, b), "", "write the younger age first, in years")
		}
		from, to := at(x)
		*from, *to = int(a), int(b)
	})
}

func (r *reader) readWeights() {
	if r.weights == nil {
		return
	}
	o := r.weights.Object(&r.ds, "`effort_weights`")
	w := &r.b.Workload.Weights
	source.Fill(o, []source.Key[workload.Weights]{
		r.weight("low", &w.LowTo, &w.Low), r.weight("moderate", &w.ModerateTo, &w.Moderate), r.weight("high", nil, &w.High), r.weight("game", nil, &w.Game),
		sourceKey(r, may, func(*workload.Weights) *string { return new(string) }),
		source.Note[workload.Weights]("grade", ""), reviewed[workload.Weights](), source.Note[workload.Weights]("why", ""),
	}, w, false)
	o.Close()
}

// weight reads a class of effort: up to which effort it goes, where it has an end,
// and what its throws count.
func (r *reader) weight(key string, to, weight *float64) source.Key[workload.Weights] {
	keys := []source.Key[workload.Weights]{source.Number("weight", must, fixed, "", func(*workload.Weights) *float64 { return weight })}
	if to != nil {
		keys = slices.Insert(keys, 0, source.Number("to", must, fixed, "", func(*workload.Weights) *float64 { return to }))
	}
	return source.Reads(key, must, fixed, "", group(keys), func(o *source.Object, w *workload.Weights) {
		if in := o.Object(key, "a class of effort"); in != nil {
			source.Fill(in, keys, w, false)
			in.Close()
		}
	})
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
	if l, ok := r.b.LimitByAge(id); ok {
		return workload.Limit{ID: id, To14: l.To14, To18: l.To18, Adult: l.Adult, Unit: l.Unit, Why: l.Why, Source: l.Source}, l.Tighten, l.Origin, true
	}
	if l, ok := r.b.Limit(id); ok {
		return workload.Limit{ID: id, To14: l.Value, To18: l.Value, Adult: l.Value, Unit: l.Unit, Why: l.Why, Source: l.Source}, l.Tighten, l.Origin, true
	}
	return workload.Limit{}, "", diag.Place{}, false
}
