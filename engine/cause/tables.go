package cause

import (
	"math/bits"
	"slices"
)

// A sign's likelihood depends on its own few factors alone, so signs are packed
// into tables over at most tableBits factors; scoring a state then costs one
// look-up per table instead of one per sign (120 signs need about 20 tables).
const (
	tableBits = 10
	tableSize = 1 << tableBits
)

// lookup is the likelihood of a table's signs for each set of its factors.
type lookup [tableSize]float64

// table is a set of factors and, for every state, which of them are active.
type table struct {
	factors uint32
	index   []uint16
}

// sign is a Sign made ready: chance[x] is the chance that it truly is there
// when the factors in x (bits in the order of Seen) are active, and sub maps a
// set of the table's factors to x.
type sign struct {
	chance  []float64
	sub     []uint16
	table   int
	group   int
	reading float64
}

// prepare packs the signs into tables and indexes the states by them.
func (n *Network) prepare(signs []Sign) {
	sets := make([]uint32, len(signs))
	for i, s := range signs {
		for _, l := range s.Seen {
			sets[i] |= 1 << l.To
		}
	}
	homes := pack(sets)
	for _, h := range homes {
		n.tables = append(n.tables, table{factors: h, index: n.states.index(positions(h, len(n.factors)))})
	}
	n.signs = make([]sign, len(signs))
	for i, s := range signs {
		home := slices.IndexFunc(homes, func(h uint32) bool { return sets[i]&^h == 0 })
		n.signs[i] = sign{chance: chances(s), sub: subsets(s, homes[home]), table: home, reading: s.Reading}
	}
	for g, members := range n.groups {
		for _, i := range members {
			n.signs[i].group = g
		}
	}
}

// pack covers the sets by few sets of at most tableBits factors: the largest
// first, each into the one that grows least.
func pack(sets []uint32) []uint32 {
	todo := slices.Clone(sets)
	slices.SortFunc(todo, func(a, b uint32) int {
		if d := bits.OnesCount32(b) - bits.OnesCount32(a); d != 0 {
			return d
		}
		return int(int64(a) - int64(b))
	})
	var homes []uint32
	for _, set := range todo {
		best, grows := -1, tableBits+1
		for i, h := range homes {
			union := bits.OnesCount32(h | set)
			if g := union - bits.OnesCount32(h); union <= tableBits && g < grows {
				best, grows = i, g
			}
		}
		if best < 0 {
			homes = append(homes, set)
			continue
		}
		homes[best] |= set
	}
	return homes
}

// positions gives each factor its bit within the set, 0 for one outside it.
func positions(set uint32, factors int) []uint16 {
	list := make([]uint16, factors)
	for f, k := 0, 0; f < factors; f++ {
		if set&(1<<f) != 0 {
			list[f] = 1 << k
			k++
		}
	}
	return list
}

func (s *states) index(bit []uint16) []uint16 {
	list := make([]uint16, len(s.prior))
	for i := 1; i < len(list); i++ {
		list[i] = list[s.parent[i]] | bit[s.last[i]]
	}
	return list
}

// chances is the noisy-OR of the sign over all sets of its factors.
func chances(s Sign) []float64 {
	list := make([]float64, 1<<len(s.Seen))
	for x := range list {
		list[x] = s.Chance(func(k int) bool { return x&(1<<k) != 0 })
	}
	return list
}

// Chance is how likely the sign truly is there when active tells for each link
// of Seen whether its factor is: 1 - (1-otherwise) times (1-weight) of each
// active one.
func (s Sign) Chance(active func(link int) bool) float64 {
	not := 1 - s.Otherwise
	for k, l := range s.Seen {
		if active(k) {
			not *= 1 - l.Weight
		}
	}
	return 1 - not
}

// subsets maps each set of the table's factors to the set of the sign's own.
func subsets(s Sign, home uint32) []uint16 {
	var own []uint16 // by the table's bits: the bit in the order of Seen
	for f := range 32 {
		if home&(1<<f) != 0 {
			k := slices.IndexFunc(s.Seen, func(l Link) bool { return l.To == f })
			if k < 0 {
				own = append(own, 0)
				continue
			}
			own = append(own, 1<<k)
		}
	}
	list := make([]uint16, 1<<len(own))
	for x := 1; x < len(list); x++ {
		list[x] = list[x&(x-1)] | own[bits.TrailingZeros(uint(x))]
	}
	return list
}
