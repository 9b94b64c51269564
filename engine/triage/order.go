package triage

import (
	"cmp"
	"slices"
	"strings"

	"rungwise/engine/checklist"
)

// sameWithin is how close two numbers are that count as equal, so that the last
// digits of a sum, which hang on the order of its terms, order nothing.
const sameWithin = 1e-9

// descending returns the places of the values, the largest first. Those that
// are equal stand in the order of before, which must order all of them.
func descending(values []float64, before func(i, j int) int) []int {
	order := make([]int, len(values))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(values[j], values[i]) })
	for from := 0; from < len(order); {
		to := from + 1
		for to < len(order) && values[order[to-1]]-values[order[to]] <= sameWithin {
			to++
		}
		slices.SortStableFunc(order[from:to], before)
		from = to
	}
	return order
}

// precedence orders factors that are equally likely by what they are and never
// by their names or their places in the files: first what comes first in the
// throw, then what is more common, then by what their texts say.
func (m *Model) precedence(i, j int) int {
	a, b := &m.base.Factors[i], &m.base.Factors[j]
	return cmp.Or(cmp.Compare(phase(a.Phase), phase(b.Phase)), cmp.Compare(b.Prior, a.Prior),
		strings.Compare(a.Title, b.Title), strings.Compare(a.InWords, b.InWords))
}

func phase(word string) int {
	return slices.Index([]string{checklist.BeforeLanding, checklist.AfterLanding, checklist.Both, checklist.Task}, word)
}

// byRoot orders factors by the chance that they are a cause of their own.
func (m *Model) byRoot(root []float64) []int { return descending(root, m.precedence) }

// first is the factor of the highest chance, by index; the last root is that of
// the unlisted cause.
func (m *Model) first(roots []float64) int {
	best := 0
	for i := 1; i < len(m.base.Factors); i++ {
		switch d := roots[i] - roots[best]; {
		case d > sameWithin, d >= -sameWithin && m.precedence(i, best) < 0:
			best = i
		}
	}
	return best
}

// heaviest orders a list by a number of each, the largest first; equal ones by
// their words, or as they stand where there are none.
func heaviest[T any](list []T, weight func(T) float64, words func(T) string) []T {
	weights := make([]float64, len(list))
	for i, x := range list {
		weights[i] = weight(x)
	}
	out := make([]T, len(list))
	before := cmp.Compare[int]
	if words != nil {
		before = func(i, j int) int { return strings.Compare(words(list[i]), words(list[j])) }
	}
	for k, i := range descending(weights, before) {
		out[k] = list[i]
	}
	return out
}
