package triage

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"rungwise/engine/cause"
	"rungwise/engine/fact"
	"rungwise/engine/rule"
)

// The roles of a ranked factor.
const (
	Lead        = "lead"
	Possible    = "possible"
	Consequence = "consequence"
)

// The least chances from which on a factor is listed at all (house default):
// as a cause of its own, or as something that is likely there and owes no more
// than a share of that to itself, so that a factor upstream explains it.
const (
	worthListing = 0.15
	likelyThere  = 0.35
	ownShare     = 0.40
)

// tiedWithin is how close to the first a factor must come to be told as tied
// with it (house default).
const tiedWithin = 0.05

// Result is one case, triaged.
type Result struct {
	Gate     *rule.Gate // the gate that decided; nil where none did
	Missing  []string   // facts that gate wants and nobody gave
	OnScreen bool       // that gate rests on the safety questions
	Cautions []*rule.Caution
	Factors  []Ranked // the ones worth listing, first first; none where the gate refuses
	Unlisted float64  // chance that no listed factor explains the break
	Standing cause.Lead
	Explains bool     // any factor explains it better than the unlisted cause does
	Tied     []string // factors that cannot be told apart from the first, itself included
	Kept     float64  // share of re-readings within the answers' own error that keep the first
	Shaky    []Shaky
	Next     []Look
	OneSided bool // nothing was seen in the drill: ranked from the compared throw alone
}

// Ranked is one factor with what speaks for and against it.
type Ranked struct {
	Factor  *rule.Factor
	Root    float64 // chance that it is a cause of its own
	Present float64 // chance that it is there at all
	Role    string
	Of      *rule.Factor // of a consequence: the factor at the head of its chain
	Reasons []Reason
	Unseen  []string // facts nobody saw that its signs read
}

// Reason is one answered sign; Weight is what it adds to the log odds that the
// factor is a cause of its own.
type Reason struct {
	Sign   *rule.Sign
	For    bool
	Weight float64
}

// Strength tells the weight in a word.
func (r Reason) Strength() string {
	switch w := math.Abs(r.Weight); {
	case w >= 1:
		return "strong"
	case w >= 0.4:
		return "moderate"
	}
	return "weak"
}

// leastWeight is under what a reason is not worth telling.
const leastWeight = 0.05

// Run triages a case: gates, cautions, ranking, what is shaky, what to look at
// next.
func (m *Model) Run(c Case) *Result {
	r := m.gated(c.Vector)
	if refuses(r.Gate) {
		return r
	}
	e, s := m.ranking(c, r)
	var beside sync.WaitGroup
	beside.Go(func() { r.Kept = m.kept(c, e, len(r.Factors) > 0) })
	m.shaky(c, e, s, r)
	r.Next = m.looks(c, e, s)
	beside.Wait()
	return r
}

// Brief triages a case without reasons, without what is shaky and without the
// next look: what a list of many athletes needs, at a fraction of the time. Gate,
// cautions and the order of the factors are those of Run.
func (m *Model) Brief(c Case) *Result {
	r := m.gated(c.Vector)
	if !refuses(r.Gate) {
		m.rank(m.Evidence(c), r)
	}
	return r
}

// gated is a result with the gate that decides, the facts it needs that are not
// known, and the cautions that hold. One whose condition is unknown is not said.
func (m *Model) gated(v fact.Vector) *Result {
	r := &Result{Gate: m.base.Deciding(v)}
	if g := r.Gate; g != nil {
		r.OnScreen = g.Reads(m.base.Catalogue, "screen.")
		r.Missing = slices.DeleteFunc(slices.Clone(g.Needs), func(name string) bool {
			slot, ok := m.base.Catalogue.Slot(name)
			return !ok || v[slot].Known
		})
	}
	for i := range m.base.Cautions {
		if c := &m.base.Cautions[i]; c.Truth(v) == fact.Yes {
			r.Cautions = append(r.Cautions, c)
		}
	}
	return r
}

// refuses reports whether a gate decides that nothing is ranked.
func refuses(g *rule.Gate) bool {
	return g != nil && g.Verdict != rule.GoOn && g.Verdict != rule.NotThisQuestion
}

// RankEvidence ranks the factors from what the signs say, wherever that came
// from. The result holds factors without reasons and nothing else.
func (m *Model) RankEvidence(e cause.Evidence) *Result {
	r := &Result{}
	m.rank(e, r)
	return r
}

// Rank fills the factors of a result and nothing else.
func (m *Model) Rank(c Case, r *Result) { m.ranking(c, r) }

// ranking is Rank; it returns what the signs say and the solver that was set to
// it.
func (m *Model) ranking(c Case, r *Result) (cause.Evidence, *cause.Solver) {
	e := m.Evidence(c)
	s := m.rank(e, r)
	r.OneSided = m.oneSided(c.Vector)
	m.reasons(r, s, e, c.Vector)
	return e, s
}

// rank lists the factors without their reasons.
func (m *Model) rank(e cause.Evidence, r *Result) *cause.Solver {
	s := m.network.NewSolver()
	s.Set(e)
	var p cause.Posterior
	s.Posterior(&p)
	r.Unlisted = p.Unlisted
	order := m.byRoot(p.Root)
	for _, f := range order {
		if p.Root[f] < worthListing && !follows(f, &p) {
			continue
		}
		r.Factors = append(r.Factors, m.ranked(f, &p))
	}
	slices.SortStableFunc(r.Factors, func(a, b Ranked) int { // what follows from another is never worked on before it
		return cmp.Compare(a.place(), b.place())
	})
	if len(r.Factors) > 0 && r.Factors[0].Role == Possible {
		r.Factors[0].Role = Lead
	}
	first, second := 0.0, p.Unlisted
	if len(order) > 0 {
		first = p.Root[order[0]]
	}
	if len(order) > 1 {
		second = math.Max(second, p.Root[order[1]])
	}
	r.Explains = len(r.Factors) > 0 && first >= worthListing && first > p.Unlisted
	r.Standing = cause.Standing(first, second)
	r.Tied = m.tied(r.Factors)
	return s
}

// ranked describes one factor. The first of the list becomes the lead later.
func (m *Model) ranked(f int, p *cause.Posterior) Ranked {
	out := Ranked{Factor: &m.base.Factors[f], Root: p.Root[f], Present: p.Present[f], Role: Possible}
	if follows(f, p) {
		if chain := p.Chain(f); len(chain) > 0 {
			out.Role, out.Of = Consequence, &m.base.Factors[chain[len(chain)-1]]
		}
	}
	return out
}

// place says where a factor stands: what follows from another comes after what may be a cause of its own.
func (f Ranked) place() int {
	if f.Role == Consequence {
		return 1
	}
	return 0
}

// follows reports whether a factor is likely there, and most likely because of
// another.
func follows(f int, p *cause.Posterior) bool {
	return p.Present[f] >= likelyThere && p.Root[f] <= ownShare*p.Present[f] && len(p.Chain(f)) > 0
}

// reasons lists what speaks for and against each listed factor, the weightiest
// first.
func (m *Model) reasons(r *Result, s *cause.Solver, e cause.Evidence, v fact.Vector) {
	if len(r.Factors) == 0 {
		return
	}
	index := map[*rule.Factor]int{}
	for i := range m.base.Factors {
		index[&m.base.Factors[i]] = i
	}
	var gains []float64
	for i := range m.base.Signs {
		sign := &m.base.Signs[i]
		bears := func(f Ranked) bool { return about(sign, f.Factor.ID) }
		if e.Signs[i] == cause.Unknown || !slices.ContainsFunc(r.Factors, bears) {
			continue
		}
		gains = s.Contribution(i, gains)
		for k := range r.Factors {
			if w := gains[index[r.Factors[k].Factor]]; math.Abs(w) >= leastWeight && bears(r.Factors[k]) {
				r.Factors[k].Reasons = append(r.Factors[k].Reasons, Reason{Sign: sign, For: w > 0, Weight: w})
			}
		}
	}
	for k := range r.Factors {
		r.Factors[k].Reasons = heaviest(r.Factors[k].Reasons, func(r Reason) float64 { return math.Abs(r.Weight) },
			func(r Reason) string { return r.Sign.Title })
		r.Factors[k].Unseen = m.unseen(r.Factors[k].Factor.ID, e, v)
	}
}

// Reasons tells what speaks for and against a factor, listed or not, the
// weightiest first.
func (m *Model) Reasons(c Case, f *rule.Factor) []Reason {
	e := m.Evidence(c)
	s := m.network.NewSolver()
	s.Set(e)
	r := &Result{Factors: []Ranked{{Factor: f}}}
	m.reasons(r, s, e, c.Vector)
	return r.Factors[0].Reasons
}

// about reports whether a sign names a factor.
func about(s *rule.Sign, factor string) bool {
	return slices.ContainsFunc(s.Seen, func(l rule.Link) bool { return l.ID == factor })
}

// unseen lists the checkpoints, by their fact, that the unanswered signs of a
// factor read, in the order of the catalogue.
func (m *Model) unseen(factor string, e cause.Evidence, v fact.Vector) []string {
	slots := map[int]bool{}
	for i, s := range m.base.Signs {
		if e.Signs[i] != cause.Unknown || !about(&m.base.Signs[i], factor) {
			continue
		}
		for _, slot := range s.When.Reads() {
			slots[slot] = true
		}
	}
	var out []string
	for slot := range m.base.Catalogue.Len() {
		if f := m.base.Catalogue.At(slot); slots[slot] && !v[slot].Known && f.Column == fact.Stuck {
			out = append(out, f.Name)
		}
	}
	return out
}

// tied lists the factors that come so close to the first that the order between
// them means nothing; none where the first stands alone.
func (m *Model) tied(factors []Ranked) []string {
	var out []string
	for _, f := range factors {
		if f.Root >= factors[0].Root-tiedWithin {
			out = append(out, f.Factor.ID)
		}
	}
	if len(out) < 2 {
		return nil
	}
	return out
}

// oneSided reports whether nothing at all was seen in the drill.
func (m *Model) oneSided(v fact.Vector) bool {
	for slot := range v {
		if v[slot].Known && m.base.Catalogue.At(slot).Column == fact.Best {
			return false
		}
	}
	return true
}
