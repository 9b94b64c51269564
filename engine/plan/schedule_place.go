package plan

import (
	"cmp"
	"slices"
	"strconv"
	"time"

	"rungwise/engine/workload"
)

// A placing is a schedule in the making: the book holds history, games and what has been placed so far.
type placing struct {
	request Request
	wish    Wish
	mound   []time.Weekday
	book    book
	// pending holds games that outgrow the base if nothing is thrown before them; the plan may yet build that base.
	pending map[workload.Date]bool
	first   workload.Date // first day that may still be planned
	days    []Day
}

func newPlacing(r Request, open opener) *placing {
	wish := r.Wish
	if wish.High == 0 && len(wish.Lighter) == 0 {
		wish = WishFor(r.Limits, r.Phase)
	}
	end := r.Start + workload.Date(7*r.Weeks) - 1
	first, last := r.Start, end
	thrown := map[workload.Date]int{}
	for _, d := range r.History {
		first = max(first, d.On+1)
		thrown[d.On] += d.Game
	}
	var games []workload.Day
	for _, g := range r.Games {
		// Of a game that the history holds as well only what lies beyond it counts, and one far after the plan cannot be
		// touched by it.
		if thrown[g.On] > 0 {
			g = workload.Day{On: g.On, Game: max(g.Game-thrown[g.On], 0), Least: &workload.Least{}}
		}
		if g.Throws() > 0 && g.On <= end+ahead(r.Limits) {
			games = append(games, g)
			last = max(last, g.On)
		}
	}
	p := &placing{wish: wish, request: r, first: first, book: open(first, last, r.History, games)}
	p.mound, p.pending = r.mound(), map[workload.Date]bool{}
	for _, b := range p.book.All() {
		if b.ID == workload.WeeklyGrowth {
			p.pending[b.On] = true
		}
	}
	for d := r.Start; d <= end; d++ {
		p.days = append(p.days, p.fixed(d))
	}
	return p
}

// ahead is how many days after the plan's end a game can still be spoiled by it: through its seven days, through rest.
func ahead(row workload.Row) workload.Date {
	return workload.Date(max(7, row.BeforeGame+1, row.DaysBetween+1, len(row.Table.Rest)+1))
}

// fixed returns a day as it stands before anything is placed.
func (p *placing) fixed(on workload.Date) Day {
	d := Day{Day: p.book.Day(on), Kind: Rest}
	switch {
	case on < p.first:
		d.Kind = Done
	case d.Game > 0:
		d.Kind = Game
	case p.request.Phase == TimeOff:
		d.Because = []Reason{{ID: "time_off", Words: "time off: no throws"}}
	case slices.Contains(p.request.Away, on):
		d.Because = []Reason{{ID: "away", Words: "not available"}}
	case !slices.Contains(p.request.Train, on.Weekday()):
		d.Because = []Reason{{ID: "no_training_day", Words: "not a training day"}}
	default:
		d.open = true
	}
	return d
}

// gamesThatBreak names the fixed days that break a limit though nothing is planned around them.
func (p *placing) gamesThatBreak() []Reason {
	var out []Reason
	for _, b := range p.book.All() {
		words := "the game on " + b.On.String() + " breaks a limit by itself: " + b.String()
		if told := p.book.Day(b.On); unknown(told) {
			words += "; its pitches are not told, so it counts as a full one: write down how many there will be at most"
		}
		out = append(out, limitReason(b, words))
	}
	return out
}

func limitReason(b workload.Breach, words string) Reason {
	return Reason{ID: b.ID, Words: words, Limit: &b}
}

// A candidate is one way to place everything.
type candidate struct {
	days   []Day
	broken int // limits that pending games still break
}

// start places everything anew, the first time round with mound sessions of no more than a share of the wish: a large
// first session can use up what two smaller ones would have filled better.
func (p *placing) start(share int) candidate {
	for i := range p.days {
		if d := &p.days[i]; d.open {
			*d = Day{Day: workload.Day{On: d.On}, Kind: Rest, open: true}
			p.book.Put(d.Day)
		}
	}
	for i := range p.days {
		tries := p.moundTries(p.days[i])
		p.grow(&p.days[i], slices.DeleteFunc(tries, func(t try) bool { return t.share > share }))
	}
	for range mostRounds {
		if !p.round() {
			break
		}
	}
	c := candidate{days: slices.Clone(p.days)}
	if len(p.pending) > 0 {
		c.broken = len(p.book.All())
	}
	return c
}

// take makes a candidate the plan.
func (p *placing) take(c candidate) {
	p.days = c.days
	for _, d := range c.days {
		if d.open {
			p.book.Put(d.Day)
		}
	}
}

// better prefers fewer games in trouble, then more high-effort throws, more mound sessions, more throws; of equals
// the old one stays.
func (c candidate) better(old candidate) bool {
	if old.days == nil {
		return true
	}
	a, b := c.merits(), old.merits()
	return slices.Compare(a[:], b[:]) > 0
}

func (c candidate) merits() (v [4]int) {
	v[0] = -c.broken
	for _, d := range c.days {
		v[1] += d.High
		if d.Kind == Mound {
			v[2]++
		}
		v[3] += d.Throws()
	}
	return v
}

// round goes once over all days, for mound sessions and then for lighter ones, and reports whether anything grew.
func (p *placing) round() bool {
	grew := false
	for i := range p.days {
		grew = p.grow(&p.days[i], p.moundTries(p.days[i])) || grew
	}
	for i := range p.days {
		grew = p.grow(&p.days[i], p.lighterTries(p.days[i])) || grew
	}
	return grew
}

// moundTries returns the mound sessions larger than what is placed on the day, the largest first; none where no mound
// session may be.
func (p *placing) moundTries(d Day) []try {
	if !d.open || !slices.Contains(p.mound, d.On.Weekday()) {
		return nil
	}
	return larger(p.wish.mound(), d)
}

// lighterTries returns the same for sessions without high effort; a mound session is never made a lighter one.
func (p *placing) lighterTries(d Day) []try {
	if !d.open || d.Kind == Mound {
		return nil
	}
	return larger(p.wish.lighter(), d)
}

// larger returns the tries before the one that is placed, all of them where none is.
func larger(tries []try, d Day) []try {
	for i, t := range tries {
		if t.low == d.Low && t.moderate == d.Moderate && t.high == d.High {
			return tries[:i]
		}
	}
	return tries
}

// grow puts the largest of the tries that breaks nothing on this day or later, in place of what the day holds.
func (p *placing) grow(d *Day, tries []try) bool {
	for _, t := range tries {
		if _, broken := p.test(*d, t); broken {
			continue
		}
		d.Low, d.Moderate, d.High, d.Share = t.low, t.moderate, t.high, t.share
		d.Kind = t.kind()
		p.book.Put(d.Day)
		return true
	}
	return false
}

// test says what a session would break; the book is left as it was.
func (p *placing) test(d Day, t try) (workload.Breach, bool) {
	was := d.Day
	d.Low, d.Moderate, d.High = t.low, t.moderate, t.high
	p.book.Put(d.Day)
	breach, broken := p.book.FirstFrom(d.On)
	// Growth is judged last, so a pending game that breaks it breaks nothing else; only its own week may not grow.
	for broken && breach.ID == workload.WeeklyGrowth && p.pending[breach.On] && d.On < breach.On-6 {
		breach, broken = p.book.FirstFrom(breach.On + 1)
	}
	p.book.Put(was)
	return breach, broken
}

func (t try) kind() Kind {
	switch {
	case t.high > 0:
		return Mound
	case t.moderate > 0:
		return Drill
	}
	return Light
}

// explain gives a day its reasons: what each larger session would break, the smallest of them last heard.
func (p *placing) explain(d *Day) {
	if !d.open {
		return
	}
	p.explainTries(d, p.moundTries(*d), d.Kind == Mound, "mound session")
	p.explainTries(d, p.lighterTries(*d), d.Kind != Rest, "lighter session")
	if d.Kind == Rest && len(d.Because) == 0 {
		d.Because = []Reason{{ID: "not_wished", Words: "no session is wished for this day"}}
	}
}

func (p *placing) explainTries(d *Day, tries []try, placed bool, name string) {
	for i, t := range tries {
		b, broken := p.test(*d, t)
		if !broken {
			continue
		}
		what := "a larger " + name
		if !placed && i == len(tries)-1 {
			what = "a " + name
		}
		words := "no room for " + what + ": " + b.Words()
		if b.On != d.On {
			words += ", on " + b.On.String()
		}
		d.because(limitReason(b, words))
	}
}

// because adds a reason; a later one about the same limit takes its place, since it is about a smaller session.
func (d *Day) because(r Reason) {
	if i := slices.IndexFunc(d.Because, func(old Reason) bool { return old.ID == r.ID }); i >= 0 {
		d.Because[i] = r
		return
	}
	d.Because = append(d.Because, r)
}

// result gathers what the days tell.
func (p *placing) result() Result {
	r := Result{Days: p.days, Limits: p.book.Uses(), Empty: true, Assumed: p.assumed()}
	count := map[string]int{}
	for i := range p.days {
		p.explain(&p.days[i])
		d := p.days[i]
		if d.Kind == Mound || d.Kind == Drill || d.Kind == Light {
			r.Empty = false
		}
		for _, reason := range d.Because {
			count[reason.ID]++
		}
	}
	for id, n := range count {
		r.Binding = append(r.Binding, Binding{id, n})
	}
	slices.SortFunc(r.Binding, func(a, b Binding) int {
		return cmp.Or(cmp.Compare(b.Days, a.Days), cmp.Compare(a.ID, b.ID))
	})
	return r
}

// unknown reports whether more pitches of a game are counted than somebody told.
func unknown(d workload.Day) bool { return float64(d.Game) > d.Surely().Game }

func (p *placing) assumed() []string {
	var out []string
	for _, g := range p.request.Games {
		if unknown(g) {
			out = append(out, "the pitches of the game on "+g.On.String()+" are not told: counted as "+strconv.Itoa(g.Game))
		}
	}
	row, year := p.request.Limits, p.request.Year
	if !row.Known {
		out = append(out, "the age is not given: the youngest row of every limit is used")
	}
	if row.MostInnings > 0 && !year.InningsKnown {
		out = append(out, "innings of the last twelve months are not given: not checked, the most is "+
			strconv.FormatFloat(row.MostInnings, 'f', -1, 64))
	}
	if row.NoPitching > 0 && !year.NoPitchingKnown {
		out = append(out, "months without competitive pitching are not given: not checked, "+strconv.Itoa(row.NoPitching)+" of twelve are asked for")
	}
	if row.NoThrowing > 0 && !year.NoThrowingKnown {
		out = append(out, "months without throwing are not given: not checked, "+strconv.Itoa(row.NoThrowing)+" of twelve are asked for")
	}
	return out
}
