package ladder

import "math"

// Throws of the halving order. Source: house default.
const (
	firstReference = 4
	halvingThrows  = 3
	smallestShare  = .12 // of the chance that a split has to leave on either side
)

// NextThrows is the next step of the halving order: throw Throws at Rung, or, with Done, stop. Verdict is what the
// ladder says so far.
type NextThrows struct {
	Rung, Throws int
	Done         bool
	Verdict      Verdict
}

// Halving finds a break in few throws: four of the reference, three of the top rung, then three of the untested rung
// that halves what is left, and, where no untested rung does, of the rungs that the plain advice names. It stops when
// the rung is found without a gap before it, when no break or a slide is found, or before limit throws in all would be
// exceeded. A break that does not stay cannot be seen at a rung that was left out.
func Halving(l Ladder, o Options, limit int) (NextThrows, error) {
	v, err := Judge(l, o)
	if err != nil {
		return NextThrows{}, err
	}
	next := NextThrows{Verdict: v}
	next.Rung, next.Throws = v.nextHalving(l)
	thrown := l.throws()
	settled := !v.Gap && (v.Kind == Stuck || v.Kind == Range) || v.Kind == NoneFound || v.Kind == Slide
	if settled || next.Throws <= 0 || thrown+next.Throws > limit {
		return NextThrows{Done: true, Rung: -1, Verdict: v}, nil
	}
	return next, nil
}

// throws counts the throws made so far, misreads and unread ones included where they left a mark.
func (l Ladder) throws() int {
	n := 0
	for _, s := range l.sets() {
		n += s.throws
	}
	return n
}

func (v *Verdict) nextHalving(l Ladder) (rung, throws int) {
	var tested []int
	for i, r := range v.Rungs {
		if r.Tested {
			tested = append(tested, i)
		}
	}
	ref := l.Rungs[0]
	if have := max(len(ref.Speeds), len(ref.Marks)); have < firstReference && !ref.OneMark {
		return 0, firstReference - have
	}
	top := len(v.Rungs) - 1
	if !v.Rungs[top].Tested {
		return top, halvingThrows
	}
	if rung, ok := v.split(tested); ok {
		return rung, halvingThrows
	}
	if len(v.Advice) == 0 {
		return -1, 0
	}
	return v.Advice[0].Rung, halvingThrows
}

// split returns the untested rung that halves what is left: the chance of a break at each tested rung is spread over the
// untested ones before it and itself, and the rung is the one up to which nearest to half of it lies. ok is false where
// there is no untested rung or too little lies on one side.
func (v *Verdict) split(tested []int) (rung int, ok bool) {
	spread := make([]float64, len(v.PBreak))
	before, total := 0, v.PNone
	for _, k := range tested {
		if k == 0 {
			continue
		}
		for r := before + 1; r <= k; r++ {
			spread[r] = v.PBreak[k] / float64(k-before)
		}
		total += v.PBreak[k]
		before = k
	}
	sum, nearest := 0.0, math.Inf(1)
	for r, s := range spread {
		sum += s / total
		if off := math.Abs(sum - .5); r > 0 && !v.Rungs[r].Tested && off < nearest {
			rung, nearest = r, off
		}
	}
	return rung, nearest <= .5-smallestShare
}

// Part is some throws at one rung within a day.
type Part struct{ Rung, Throws int }

// SplitDays spreads a full ladder over days of at most limit throws, its rungs in order and each kept whole. Every day
// starts with three throws of the reference (the first with as many as it asks for), because the level moves from day to
// day and only the same day's reference can be compared with. ok is false where the limit leaves room for no rung
// beside the reference.
func SplitDays(throws []int, limit int) (days [][]Part, ok bool) {
	if len(throws) == 0 {
		return nil, true
	}
	day, used := []Part{{0, throws[0]}}, throws[0]
	for r := 1; r < len(throws); r++ {
		if throws[r] <= 0 {
			continue
		}
		if used+throws[r] > limit && len(day) > 1 {
			days = append(days, day)
			day, used = []Part{{0, throwsEach}}, throwsEach
		}
		if used+throws[r] > limit {
			return nil, false
		}
		day, used = append(day, Part{r, throws[r]}), used+throws[r]
	}
	return append(days, day), true
}
