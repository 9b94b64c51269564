package cond

import "rungwise/engine/fact"

// Split is how two conditions share the cases out between them.
type Split struct {
	Analysed bool
	Both     []Setting // a case in which both hold; nil when there is none
	Neither  []Setting // a case in which none of them does; nil when there is none
	One      []Setting // a case in which the first holds; nil when there is none
	Differs  []Setting // a case in which one holds and the other does not; nil when there is none
}

// Opposed reports whether exactly one of the two holds, whatever is seen.
func (s Split) Opposed() bool { return s.Analysed && s.Both == nil && s.Neither == nil }

// Splits goes through every case of two conditions of one catalogue, everything
// being known.
func Splits(a, b *Condition) Split {
	g, ok := newGrid(a, b)
	if !ok {
		return Split{}
	}
	s := Split{Analysed: true}
	g.each(func(v fact.Vector) bool {
		x, y := a.eval(v) == fact.Yes, b.eval(v) == fact.Yes
		for _, k := range []struct {
			into *[]Setting
			met  bool
		}{{&s.Both, x && y}, {&s.Neither, !x && !y}, {&s.One, x}, {&s.Differs, x != y}} {
			if k.met && *k.into == nil {
				*k.into = g.example(v)
			}
		}
		return s.Both == nil || s.Neither == nil || s.One == nil || s.Differs == nil
	})
	return s
}
