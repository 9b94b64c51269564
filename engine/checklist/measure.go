package checklist

import (
	"fmt"
	"strings"

	"rungwise/engine/diag"
	"rungwise/engine/fact"
	"rungwise/engine/source"
)

// units says which unit each kind of measure is in.
func units(kind string) []string {
	return map[string][]string{
		"interval": {"ms"}, "angle": {"deg"}, "line": {"deg"}, "length": {"cm"},
		"share": {"% of height", "%"}, "percent": {"%"},
	}[kind]
}

func readMeasure(o *source.Object, ds *diag.List, answers []fact.Answer) *Measure {
	m := &Measure{Kind: o.NeedOneOf("kind", []string{"interval", "angle", "line", "length", "share", "percent"})}
	if unit := o.Need("unit"); m.Kind != "" {
		m.Unit = unit.OneOf(ds, "unit", units(m.Kind))
	}
	m.Low, m.High = readRange(o.Need("range"), ds, "range")
	m.Tolerance = positive(o, ds, "tolerance")
	if o.Need("tolerance") != nil {
		m.ToleranceSource = o.Text("tolerance_source")
	}
	m.ThrowSD, m.BetweenDays = positive(o, ds, "throw_sd"), positive(o, ds, "between_days")
	m.Rate, m.PeakRate = positive(o, ds, "rate"), positive(o, ds, "peak_rate")
	m.MayBeFrames, _ = o.YesNo("may_be_frames")
	m.Flexion, _ = o.YesNo("flexion")
	m.Change, _ = o.YesNo("change")
	m.Against, m.Plus = o.OneOf("against", []string{Vertical, Horizontal}), o.Text("plus")
	for _, f := range o.Fields("bands") {
		m.addBand(f, ds, answers)
	}
	o.Close()
	return m
}

// positive reads a number that cannot be less than zero; a missing one is 0.
func positive(o *source.Object, ds *diag.List, key string) float64 {
	x, ok := o.Number(key)
	if ok && x < 0 {
		o.Get(key).Fault(ds, "C508", fmt.Sprintf("`%s` cannot be less than zero", key), "", "leave the minus sign out")
		return 0
	}
	return x
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
