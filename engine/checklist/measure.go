package checklist

import (
	"fmt"
	"strings"

	"rungwise/engine/diag"
	"rungwise/engine/fact"
	"rungwise/engine/source"
)

// kinds lists the kinds of measures; units, which units one can be in.
func kinds() []string { return []string{"interval", "angle", "line", "length", "share", "percent"} }

func units(kind string) []string {
	return map[string][]string{
		"interval": {"ms"}, "angle": {"deg"}, "line": {"deg"}, "length": {"cm"},
		"share": {"% of height", "%"}, "percent": {"%"},
	}[kind]
}

func measureKeys(ds *diag.List, answers []fact.Answer) []source.Key[Measure] {
	return []source.Key[Measure]{
		source.OneOf("kind", must, fixed, "", kinds(), func(m *Measure) *string { return &m.Kind }),
		source.Reads("unit", must, fixed, "", source.Shape{}, func(o *source.Object, m *Measure) {
			if unit := o.Get("unit"); m.Kind != "" {
				m.Unit = unit.OneOf(ds, "unit", units(m.Kind))
			}
		}),
		source.Reads("range", must, fixed, "", ends(), func(o *source.Object, m *Measure) { m.Low, m.High = readRange(o.Get("range"), ds, "range") }),
		positive("tolerance", must, ds, func(m *Measure) *float64 { return &m.Tolerance }),
		source.Text("tolerance_source", may, fixed, "", func(m *Measure) *string { return &m.ToleranceSource }),
		positive("throw_sd", may, ds, func(m *Measure) *float64 { return &m.ThrowSD }),
		positive("between_days", may, ds, func(m *Measure) *float64 { return &m.BetweenDays }),
		positive("rate", may, ds, func(m *Measure) *float64 { return &m.Rate }),
		positive("peak_rate", may, ds, func(m *Measure) *float64 { return &m.PeakRate }),
		source.YesNo("may_be_frames", may, fixed, "", func(m *Measure) *bool { return &m.MayBeFrames }),
		source.YesNo("flexion", may, fixed, "", func(m *Measure) *bool { return &m.Flexion }),
		source.YesNo("change", may, fixed, "", func(m *Measure) *bool { return &m.Change }),
		source.OneOf("against", may, fixed, "", []string{Vertical, Horizontal}, func(m *Measure) *string { return &m.Against }),
		source.Text("plus", may, fixed, "", func(m *Measure) *string { return &m.Plus }),
		source.Reads("bands", may, fixed, "", source.Each(source.Pairs, ends()), func(o *source.Object, m *Measure) {
			for _, f := range o.Fields("bands") {
				m.addBand(f, ds, answers)
			}
		}),
	}
}

// readMeasure reads a measure; nil reads as none.
func readMeasure(o *source.Object, ds *diag.List, answers []fact.Answer) *Measure {
	if o == nil {
		return nil
	}
	m := &Measure{}
	source.Fill(o, measureKeys(ds, answers), m, false)
	o.Close()
	return m
}

// positive is a number that cannot be less than zero; a missing one is 0.
func positive(key string, n source.Need, ds *diag.List, at func(*Measure) *float64) source.Key[Measure] {
	return source.Reads(key, n, fixed, "", source.Shape{Form: source.Amount}, func(o *source.Object, m *Measure) {
		x, ok := o.Number(key)
		if *at(m) = x; ok && x < 0 {
			*at(m) = 0
			o.Get(key).Fault(ds, "C508", fmt.Sprintf("`%s` cannot be less than zero", key), "", "leave the minus sign out")
		}
	})
}

// addBand reads one band and checks that it names an answer, lies in the range
// and overlaps no other.
func (m *Measure) addBand(f source.Field, ds *diag.List, answers []fact.Answer) {
	b := Band{Answer: f.Key.OneOf(ds, "bands", (fact.Fact{Answers: answers}).AnswerIDs())}
	b.Low, b.High = readRange(f.Value, ds, f.Key.Text())
	if b.Answer == "" || b.Low == b.High {
		return
	}
	if b.Low < m.Low || b.High > m.High {
		f.Value.Fault(ds, "C509", fmt.Sprintf("this band lies outside the range %g to %g", m.Low, m.High), "", "widen `range:` or narrow the band")
	}
	var over []string
	for _, c := range m.Bands {
		if b.Low < c.High && c.Low < b.High {
			over = append(over, c.Answer)
		}
	}
	if len(over) > 0 {
		f.Value.Fault(ds, "C510", "this band overlaps another, so a number would stand for two answers", "overlaps "+strings.Join(over, ", "),
			"let one band end where the next begins")
	}
	m.Bands = append(m.Bands, b)
}
