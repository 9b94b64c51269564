package workload

// A Year is what is known of the athlete's last twelve months. What is not known limits nothing and has to be told.
type Year struct {
	Innings         float64 // innings pitched in the last twelve months
	InningsKnown    bool
	NoThrowing      int // whole months without any overhead throwing
	NoThrowingKnown bool
	NoPitching      int // whole months without competitive pitching
	NoPitchingKnown bool
}

// lookback is how many days before the first judged day can matter: the base reaches 34 days back, a rest rule at most
// lookback pitched days.
const lookback = 42

// A Ledger holds the throws of a run of days and judges each of them. Days before the first judged day are history:
// they bind later days but are not judged. The zero Ledger is not usable; see NewLedger.
type Ledger struct {
	row    Row
	year   Year
	first  Date // first judged day
	from   Date // date of days[0]
	days   []Day
	load   []float64 // of what may have been thrown
	least  []float64 // of what surely was
	checks []check
}

// NewLedger returns a ledger that judges the days from first to last. Entries of one date are added up; entries from
// first on are planned days, entries after last or too old to matter are left out.
func NewLedger(row Row, year Year, first, last Date, entries ...[]Day) *Ledger {
	from := first - lookback
	n := max(int(last-from)+1, lookback)
	l := &Ledger{row: row, year: year, first: first, from: from, days: make([]Day, n),
		load: make([]float64, n), least: make([]float64, n), checks: checks()}
	for i := range l.days {
		l.days[i].On = from + Date(i)
	}
	for _, list := range entries {
		for _, d := range list {
			if i := int(d.On - from); i >= 0 && i < n {
				l.set(i, l.days[i].Plus(d))
			}
		}
	}
	return l
}

// Day returns the throws of a date, none for a date outside the ledger.
func (l *Ledger) Day(on Date) Day {
	if i := int(on - l.from); i >= 0 && i < len(l.days) {
		return l.days[i]
	}
	return Day{On: on}
}

// Load returns the load of a date in full-effort throws.
func (l *Ledger) Load(on Date) float64 {
	if i := int(on - l.from); i >= 0 && i < len(l.load) {
		return l.load[i]
	}
	return 0
}

// Put replaces the throws of a date inside the ledger.
func (l *Ledger) Put(d Day) {
	if i := int(d.On - l.from); i >= 0 && i < len(l.days) {
		l.set(i, d)
	}
}

func (l *Ledger) set(i int, d Day) {
	l.days[i], l.load[i], l.least[i] = d, l.row.Load(d), l.row.LeastLoad(d.Surely())
}

// Week returns the load of the seven days up to and with a date, and the mean week of the four weeks before them, its
// base (days -34 to -7, so that a week is never part of its own base): the one from the most that may have been thrown,
// the other from what surely was. most is what the growth rule lets the week be.
func (l *Ledger) Week(on Date) (week, base, most float64) {
	i := int(on - l.from)
	for j := max(i-6, 0); j <= i; j++ {
		week += l.load[j]
	}
	for j := max(i-34, 0); j <= i-7; j++ {
		base += l.least[j]
	}
	base /= 4
	return week, base, max(l.row.GrowthFloor, l.row.WeeklyGrowth*base)
}

// Room returns how many more throws of an effort a date takes with no limit broken on it or on a later day, and the
// limit that one more would break. It is what any proposal of throws has to stay within.
func (l *Ledger) Room(on Date, e Effort) (throws int, bound Breach) {
	was := l.Day(on)
	defer l.Put(was)
	for d := was; ; throws++ {
		switch e {
		case Low:
			d.Low++
		case Moderate:
			d.Moderate++
		default:
			d.High++
		}
		if d.Least != nil {
			least := d.Surely().counts()
			least[e]++
			d.Least = least.least(d.Least.Adjust)
		}
		l.Put(d)
		if b, broken := l.FirstFrom(on); broken {
			return throws, b
		}
		if throws > l.row.DailyThrows {
			return throws, Breach{} // a row without a daily cap ends nowhere
		}
	}
}

// Last returns the last day of the ledger.
func (l *Ledger) Last() Date { return l.from + Date(len(l.days)) - 1 }

// First returns the first limit, in the fixed order of the checks, that a date's throws break.
func (l *Ledger) First(on Date) (Breach, bool) {
	for _, c := range l.checks {
		if b, applies := l.judge(c, on); applies && b.broken() {
			return b, true
		}
	}
	return Breach{}, false
}

// FirstFrom returns the first limit broken on a date or on any later day: a session can break a limit of a game that
// comes after it, and a rest can too, since it lowers the base.
func (l *Ledger) FirstFrom(on Date) (Breach, bool) {
	for d := max(on, l.first); d <= l.Last(); d++ {
		if l.days[d-l.from].Throws() == 0 {
			continue
		}
		if b, broken := l.First(d); broken {
			return b, true
		}
	}
	return Breach{}, false
}

// All returns every broken limit of every judged day, by day and then in the order of the checks.
func (l *Ledger) All() []Breach {
	var all []Breach
	for d := l.first; d <= l.Last(); d++ {
		for _, c := range l.checks {
			if b, applies := l.judge(c, d); applies && b.broken() {
				all = append(all, b)
			}
		}
	}
	return all
}

// Uses returns, for each limit that applied to any judged day, the day that came closest to it.
func (l *Ledger) Uses() []Breach {
	var uses []Breach
	for _, c := range l.checks {
		var closest Breach
		found := false
		for d := l.first; d <= l.Last(); d++ {
			b, applies := l.judge(c, d)
			if applies && (!found || b.slack() < closest.slack()) {
				closest, found = b, true
			}
		}
		if found {
			uses = append(uses, closest)
		}
	}
	return uses
}

func (l *Ledger) judge(c check, on Date) (Breach, bool) {
	i := int(on - l.from)
	if i < int(l.first-l.from) || i >= len(l.days) || l.days[i].Throws() == 0 {
		return Breach{}, false
	}
	limit, planned, applies := c.measure(l, i)
	return Breach{ID: c.id, On: on, Cap: limit, Planned: planned, AtLeast: c.atLeast, Unit: c.unit}, applies
}

// Check judges planned days against what was thrown before them: every broken limit, by day. Days after the last
// planned one are not judged; games ahead belong among the planned days.
func Check(planned, history []Day, row Row, year Year) []Breach {
	if len(planned) == 0 {
		return nil
	}
	first, last := planned[0].On, planned[0].On
	for _, d := range planned {
		first, last = min(first, d.On), max(last, d.On)
	}
	var before []Day
	for _, d := range history {
		if d.On < first {
			before = append(before, d)
		}
	}
	return NewLedger(row, year, first, last, before, planned).All()
}
