// Package cause computes how likely each limiting factor is, from signs.
//
// It is the mathematics alone: factors and signs are numbers and indices, and
// the words, the conditions and the files they come from live elsewhere. The
// model is a noisy-OR network (Pearl 1988, Probabilistic Reasoning in
// Intelligent Systems, section 4.3.2): a factor is active because it is a cause
// by itself or because an active factor upstream brought it about; a sign is
// seen because an active factor shows it, or without any of them.
//
// The invariant kept here: a Network never changes after New, holds no order of
// its own (renumbering factors or signs moves no result), and treats a sign
// that was not looked at exactly as one that is not in the base.
//
// A network with one more cause than it was given is solved: the unlisted
// cause, which shows no sign. The state in which nothing is wrong is left out,
// because the question is only asked where something is.
package cause

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Factor is one thing that can be wrong.
type Factor struct {
	Prior    float64   // chance that it is a cause by itself, within (0, 1)
	Causes   []Link    // factors downstream of it and how often it brings them about
	BreaksAt []float64 // table over the demands at which the pattern is lost (BreakTable); nil = says nothing
}

// Link points to a factor by its index.
type Link struct {
	To     int
	Weight float64 // chance, within (0, 1)
}

// Sign is something that can be looked at and is seen or not.
type Sign struct {
	Seen      []Link  // factors that show it, each with the chance that it is seen when that factor alone is active
	Otherwise float64 // chance that it is seen with none of them active, within (0, 1)
	Reading   float64 // chance that a single look is read wrongly, within [0, 0.5)
	Group     int     // near-copies share a number of 0 or more; below 0 = none
}

// Options of a network; the zero value is the usual choice.
type Options struct {
	// MaxActive bounds how many factors may be active at once, the unlisted
	// cause included. 0 = all states up to 14 causes, 5 above.
	MaxActive int
	// Unlisted is the prior of the unlisted cause. 0 = occasional.
	Unlisted float64
}

const (
	maxFactors  = 30 // a state is a 32-bit set, and one bit is the unlisted cause's
	exactCauses = 14 // up to here every state is scored: 16,383
	usualActive = 5  // above: 21,699 states at 19 factors and the unlisted cause
	mostStates  = 1 << 20
)

// Network is a checked base of factors and signs. It is safe for concurrent
// use; a Solver holds the working memory of one goroutine.
type Network struct {
	factors []Factor // the last is the unlisted cause
	signs   []sign
	groups  [][]int // signs of a group; a sign without one is a group of its own
	tables  []table
	states  states
	edges   []edge
	buckets int
}

// edge is one arrow between factors, in the order of the factors given.
type edge struct {
	from, to int
	weight   float64
}

// CycleError reports factors that would cause themselves: each causes the next,
// and the last is the first again.
type CycleError struct{ Factors []int }

func (e *CycleError) Error() string {
	return fmt.Sprintf("factors cause themselves in a circle: %v", e.Factors)
}

// New checks the numbers and prepares the network. All faults are reported
// together (errors.Join); a circle of causes is a *CycleError.
func New(factors []Factor, signs []Sign, o Options) (*Network, error) {
	if o.Unlisted == 0 {
		o.Unlisted, _ = Prior("occasional")
	}
	all := append(slices.Clone(factors), Factor{Prior: o.Unlisted})
	if err := check(all, signs, o); err != nil {
		return nil, err
	}
	if c := cycle(factors); c != nil {
		return nil, &CycleError{Factors: c}
	}
	n := &Network{factors: all, buckets: buckets(factors)}
	n.edges = edges(factors)
	n.states = enumerate(all, n.edges, bound(o.MaxActive, len(all)))
	n.groups = groups(signs)
	n.prepare(signs)
	return n, nil
}

// Factors is the number of factors given, without the unlisted cause.
func (n *Network) Factors() int { return len(n.factors) - 1 }

// Signs is the number of signs given.
func (n *Network) Signs() int { return len(n.signs) }

// Buckets is the number of demands that a break can lie at; 0 = no factor says.
func (n *Network) Buckets() int { return n.buckets }

// States is the number of combinations of active factors that are scored.
func (n *Network) States() int { return len(n.states.prior) - 1 }

func bound(asked, causes int) int {
	switch {
	case asked > 0:
		return min(asked, causes)
	case causes <= exactCauses:
		return causes
	}
	return usualActive
}

// combinations counts the sets of 1 to most out of n.
func combinations(n, most int) float64 {
	sum, size := 0.0, 1.0
	for k := 1; k <= most; k++ {
		size *= float64(n-k+1) / float64(k)
		sum += size
	}
	return sum
}

// check lists the faults of the numbers; the last factor is the unlisted cause.
func check(factors []Factor, signs []Sign, o Options) error {
	var errs []error
	if len(factors) == 1 {
		errs = append(errs, errors.New("there is no factor"))
	}
	if len(factors)-1 > maxFactors {
		errs = append(errs, fmt.Errorf("%d factors, at most %d can be computed", len(factors)-1, maxFactors))
	}
	if o.MaxActive < 0 {
		errs = append(errs, fmt.Errorf("at most %d factors active at once is not a bound", o.MaxActive))
	}
	if n := combinations(len(factors), bound(o.MaxActive, len(factors))); n > mostStates {
		errs = append(errs, fmt.Errorf("%.0f combinations of active factors, at most %d can be computed", n, mostStates))
	}
	for i, f := range factors {
		what := fmt.Sprintf("factor %d", i)
		if i == len(factors)-1 {
			what = "unlisted cause"
		}
		errs = append(errs, checkFactor(what, i, f, factors)...)
	}
	for i, s := range signs {
		errs = append(errs, checkSign(i, s, len(factors)-1)...)
	}
	return errors.Join(errs...)
}

func checkFactor(what string, self int, f Factor, all []Factor) []error {
	var errs []error
	if !inside(f.Prior) {
		errs = append(errs, fmt.Errorf("%s: prior %v is not between 0 and 1", what, f.Prior))
	}
	errs = append(errs, checkLinks(what, f.Causes, len(all)-1)...)
	if f.BreaksAt == nil {
		return errs
	}
	if want := buckets(all); len(f.BreaksAt) != want {
		errs = append(errs, fmt.Errorf("%s: break table of %d demands, the others have %d", what, len(f.BreaksAt), want))
	}
	sum := 0.0
	for _, x := range f.BreaksAt {
		if !(x >= 0) {
			sum = math.NaN()
		}
		sum += x
	}
	if !(math.Abs(sum-1) < 1e-9) {
		errs = append(errs, fmt.Errorf("%s: the break table does not sum to 1", what))
	}
	return errs
}

func checkSign(i int, s Sign, factors int) []error {
	what := fmt.Sprintf("sign %d", i)
	errs := checkLinks(what, s.Seen, factors)
	if !inside(s.Otherwise) {
		errs = append(errs, fmt.Errorf("%s: otherwise %v is not between 0 and 1", what, s.Otherwise))
	}
	if !(s.Reading >= 0 && s.Reading < 0.5) {
		errs = append(errs, fmt.Errorf("%s: reading error %v is not from 0 to below 0.5", what, s.Reading))
	}
	if len(s.Seen) > tableBits {
		errs = append(errs, fmt.Errorf("%s: seen with %d factors, at most %d can be computed", what, len(s.Seen), tableBits))
	}
	return errs
}

func checkLinks(what string, links []Link, factors int) []error {
	var errs []error
	var seen uint32
	for _, l := range links {
		if l.To < 0 || l.To >= factors {
			errs = append(errs, fmt.Errorf("%s: points to factor %d of %d", what, l.To, factors))
			continue
		}
		if bit := uint32(1) << (l.To % 32); seen&bit != 0 {
			errs = append(errs, fmt.Errorf("%s: points to factor %d twice", what, l.To))
		} else {
			seen |= bit
		}
		if !inside(l.Weight) {
			errs = append(errs, fmt.Errorf("%s: weight %v to factor %d is not between 0 and 1", what, l.Weight, l.To))
		}
	}
	return errs
}

func inside(p float64) bool { return p > 0 && p < 1 }

func buckets(factors []Factor) int {
	for _, f := range factors {
		if f.BreaksAt != nil {
			return len(f.BreaksAt)
		}
	}
	return 0
}

func edges(factors []Factor) []edge {
	var list []edge
	for i, f := range factors {
		for _, l := range f.Causes {
			list = append(list, edge{from: i, to: l.To, weight: l.Weight})
		}
	}
	return list
}

// groups collects the near-copies; the order of groups is that of their first sign.
func groups(signs []Sign) [][]int {
	var list [][]int
	at := map[int]int{}
	for i, s := range signs {
		k, known := at[s.Group]
		if s.Group >= 0 && known {
			list[k] = append(list[k], i)
			continue
		}
		at[s.Group] = len(list)
		list = append(list, []int{i})
	}
	return list
}

// cycle returns the factors of one circle, the first repeated at the end, or nil.
func cycle(factors []Factor) []int {
	const (
		fresh = iota
		open
		done
	)
	mark := make([]int, len(factors))
	var path []int
	var walk func(f int) []int
	walk = func(f int) []int {
		mark[f] = open
		path = append(path, f)
		for _, l := range factors[f].Causes {
			if mark[l.To] == open {
				return append(slices.Clone(path[slices.Index(path, l.To):]), l.To)
			}
			if mark[l.To] == fresh {
				if c := walk(l.To); c != nil {
					return c
				}
			}
		}
		mark[f] = done
		path = path[:len(path)-1]
		return nil
	}
	for f := range factors {
		if mark[f] == fresh {
			if c := walk(f); c != nil {
				return c
			}
		}
	}
	return nil
}
