package plan

import (
	"slices"

	"rungwise/engine/ladder"
	"rungwise/engine/observe"
	"rungwise/engine/workload"
)

// Order is what to throw next.
type Order struct {
	Kind    string  // Halving or Whole
	Days    []Asked // halving tells the next step only, since the one after depends on it
	Waits   int     // throws of that step that the day has no room for
	Fresh   bool    // it begins a new ladder
	Settled bool    // no throw is needed: the ladder in the file says it
	Video   bool    // throws cannot settle it; the pattern on video may
	NoDay   bool    // the limits leave no day within four weeks; Days are empty
	Throws  int     // of the days named
	About   int     // throws in all that the order takes on average; 0 = as named
}

// Asked is the throws of one day, in the order in which to throw them.
type Asked struct {
	On     workload.Date
	Parts  []Part
	Throws int
}

// Part is some throws at one rung, counted as in the facts' ladder.
type Part struct{ Rung, Throws int }

// AskFor says what to throw next in an order. The facts' ladder must have rungs.
func AskFor(f *observe.Facts, l *Limits, kind string) (Order, error) {
	numbers, on, goingOn := numbersOf(f, l.today)
	p := planning{l: l, facts: f, numbers: numbers, on: on, order: Order{Kind: kind, Fresh: !goingOn}}
	v, err := ladder.Judge(numbers, ladder.Defaults())
	if err != nil {
		return Order{}, err
	}
	p.order.Video = goingOn && v.AdviceNeeded && !v.MoreThrowsCanSettle
	if kind == Halving {
		return p.halving()
	}
	p.order.Settled = goingOn && (v.Kind == ladder.Stuck || v.Kind == ladder.Range || v.Kind == ladder.Slide || v.Kind == ladder.NoneFound && !v.SomeUntested) && !v.Gap
	if p.order.Settled || p.order.Video {
		return p.order, nil
	}
	p.spread(p.whole(v, goingOn))
	return p.order, nil
}

// planning is one order being made.
type planning struct {
	l       *Limits
	facts   *observe.Facts
	numbers ladder.Ladder
	on      workload.Date // last day of the ladder gone on with
	order   Order
}

// halving asks for the next step. On a new day the reference comes first, because
// only the same day's reference can be compared with.
func (p *planning) halving() (Order, error) {
	next, err := ladder.Halving(p.numbers, ladder.Defaults(), mostHalving)
	if err != nil {
		return Order{}, err
	}
	v := next.Verdict
	p.order.Settled = next.Done && v.Kind != ladder.NotEnough && !v.Gap
	p.order.Video = p.order.Video || next.Done && !p.order.Settled || !next.Done && barred(p.facts, next.Rung)
	if p.order.Settled || p.order.Video {
		return p.order, nil
	}
	p.order.About = meanHalving
	today := []Part{{next.Rung, next.Throws}}
	if p.order.Fresh { // the first two steps are known before anything is thrown
		today = append(today, Part{len(p.numbers.Rungs) - 1, eachRung})
	}
	p.book(today, p.afresh(today))
	return p.order, nil
}

// afresh puts three throws of the reference before a day's parts, unless they
// begin with it.
func (p *planning) afresh(parts []Part) []Part {
	if parts[0].Rung == 0 {
		return parts
	}
	return append([]Part{{0, eachRung}}, parts...)
}

// book gives the throws a day: the ladder's own while it lasts, else the first
// that takes them with the reference before them. Where no day takes them all, the
// first takes them that has room for the reference and a throw to hold against it;
// the last of them wait.
func (p *planning) book(same, later []Part) {
	if room, _ := p.l.Room(p.on); p.on == p.l.today && room >= count(same) {
		p.add(p.on, same)
		return
	}
	for throws := count(later); throws > later[0].Throws; throws-- {
		if on, ok := p.l.Next(p.l.today, throws); ok {
			p.order.Waits = count(later) - throws
			p.add(on, fill(later, throws))
			return
		}
	}
	p.order.NoDay = true
}

// fill cuts parts down to so many throws, the last ones first.
func fill(parts []Part, throws int) []Part {
	var out []Part
	for _, p := range parts {
		if p.Throws = min(p.Throws, throws); p.Throws > 0 {
			out = append(out, p)
			throws -= p.Throws
		}
	}
	return out
}

func (p *planning) add(on workload.Date, parts []Part) {
	p.l.take(on, count(parts))
	p.order.Days = append(p.order.Days, Asked{On: on, Parts: parts, Throws: count(parts)})
	p.order.Throws += count(parts)
}

func count(parts []Part) int {
	n := 0
	for _, p := range parts {
		n += p.Throws
	}
	return n
}

// whole is how many throws each rung still needs: what the advice says where all
// needed rungs were thrown, else the rungs that were not.
func (p *planning) whole(v ladder.Verdict, goingOn bool) []int {
	out := make([]int, len(p.numbers.Rungs))
	if goingOn && v.Missing == "" && v.Kind != ladder.NoneFound {
		for _, a := range v.Advice {
			if !barred(p.facts, a.Rung) {
				out[a.Rung] = a.Throws
			}
		}
		return out
	}
	for i, r := range p.numbers.Rungs {
		if !r.Tested() && !barred(p.facts, i) {
			out[i] = eachRung
		}
	}
	if n := len(p.numbers.Rungs[0].Speeds); n < eachRung {
		out[0] = firstReference - n
	}
	return out
}

// spread gives the throws days, as few as the limits allow. A day may be given
// fewer than it takes where the days are then sooner over.
func (p *planning) spread(need []int) {
	if sum(need) == 0 {
		p.order.Settled = true
		return
	}
	if need[0] == 0 {
		need[0] = eachRung // every day begins with the reference
	}
	var best []Asked
	for limit := p.l.Most(); limit > eachRung; limit -= 5 {
		if days, ok := p.days(need, limit); ok && (best == nil || days[len(days)-1].On < best[len(best)-1].On) {
			best = days
		}
	}
	p.order.NoDay = best == nil
	for _, d := range best {
		p.add(d.On, d.Parts)
	}
}

// days splits the throws into days of at most limit and finds each its date.
func (p *planning) days(need []int, limit int) ([]Asked, bool) {
	split, ok := ladder.SplitDays(need, limit)
	if !ok || len(split) == 0 {
		return nil, false
	}
	var days []Asked
	var undo []func()
	defer func() { // a trial only: the throws are taken back, the last first
		for _, back := range slices.Backward(undo) {
			back()
		}
	}()
	from := p.l.today
	for _, parts := range split {
		d := Asked{}
		for _, part := range parts {
			d.Parts = append(d.Parts, Part(part))
		}
		d.Throws = count(d.Parts)
		if d.On, ok = p.l.Next(from, d.Throws); !ok {
			return nil, false
		}
		undo = append(undo, p.l.take(d.On, d.Throws))
		from = d.On + 1
		days = append(days, d)
	}
	return slices.Clone(days), true
}

func sum(ns []int) int {
	total := 0
	for _, n := range ns {
		total += n
	}
	return total
}
