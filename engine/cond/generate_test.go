package cond

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"strings"

	"rungwise/engine/fact"
)

var study = flag.Bool("study", false, "run the long versions of the randomised tests")

// generated writes a random condition over the catalogue in every form that
// conditions have.
func generated(rng *rand.Rand, cat *fact.Catalogue, depth int) string {
	if depth == 0 || rng.IntN(4) == 0 {
		return leaf(rng, cat)
	}
	switch rng.IntN(5) {
	case 0:
		return fmt.Sprintf("%s (%s)", pick(rng, "not", "!"), generated(rng, cat, depth-1))
	case 1, 2:
		return fmt.Sprintf("%s %s %s", generated(rng, cat, depth-1), pick(rng, "and", "&&"), generated(rng, cat, depth-1))
	}
	return fmt.Sprintf("(%s %s %s)", generated(rng, cat, depth-1), pick(rng, "or", "||"), generated(rng, cat, depth-1))
}

func leaf(rng *rand.Rand, cat *fact.Catalogue) string {
	f := cat.At(rng.IntN(cat.Len()))
	switch f.Kind {
	case fact.YesNo:
		return pick(rng, f.Name, "not "+f.Name, f.Name+" == true", f.Name+" != screen.pop", "false == "+f.Name)
	case fact.Choice:
		one, two := f.Answers[rng.IntN(len(f.Answers))].ID, f.Answers[rng.IntN(len(f.Answers))].ID
		forms := []string{`%[1]s == "%[2]s"`, `%[1]s != '%[2]s'`, `"%[2]s" == %[1]s`, `%[1]s in ["%[2]s", "%[3]s"]`, `%[1]s not in ["%[2]s", "%[3]s"]`}
		if other := strings.Replace(f.Name, "best.", "stuck.", 1); other != f.Name {
			forms = append(forms, "%[1]s == "+other, other+" != %[1]s")
		}
		return fmt.Sprintf(pick(rng, forms...)+"%[4]s", f.Name, one, two, "")
	}
	return numeric(rng, cat, f)
}

func numeric(rng *rand.Rand, cat *fact.Catalogue, f fact.Fact) string {
	a, b := amountText(rng, cat, f), amountText(rng, cat, f)
	compared := pick(rng, "==", "!=", "<", "<=", ">", ">=")
	switch rng.IntN(6) {
	case 0:
		return fmt.Sprintf("between(%s, %s, %s)", f.Name, a, b)
	case 1:
		return fmt.Sprintf("%s %s %s < %s", a, pick(rng, "<", "<="), f.Name, b)
	case 2:
		return fmt.Sprintf("%s %s [%d, %d]", f.Name, pick(rng, "in", "not in"), rng.IntN(60), rng.IntN(60))
	case 3:
		low := rng.IntN(60)
		return fmt.Sprintf("%s %s %d..%d", f.Name, pick(rng, "in", "not in"), low, low+rng.IntN(9))
	}
	return fmt.Sprintf("%s %s %s", pick(rng, f.Name, a), compared, b)
}

// amountText writes a random number, from a plain one to a sum of facts.
func amountText(rng *rand.Rand, cat *fact.Catalogue, f fact.Fact) string {
	other := cat.At(rng.IntN(cat.Len()))
	for other.Kind != fact.Number {
		other = cat.At(rng.IntN(cat.Len()))
	}
	switch rng.IntN(7) {
	case 0:
		return other.Name
	case 1:
		return fmt.Sprintf("%s %s %s", f.Name, pick(rng, "+", "-", "*", "/"), other.Name)
	case 2:
		return fmt.Sprintf("abs(%s - %d)", other.Name, rng.IntN(60))
	case 3:
		return fmt.Sprintf("-(%s %s %.1f)", other.Name, pick(rng, "+", "-", "*"), rng.Float64()*3)
	}
	return fmt.Sprint(rng.IntN(60))
}

func pick(rng *rand.Rand, from ...string) string { return from[rng.IntN(len(from))] }

// randomVector gives every fact a value that it can have, or none with the
// given chance; whole numbers are common, so that boundaries are met.
func randomVector(rng *rand.Rand, cat *fact.Catalogue, unknown float64) fact.Vector {
	v := cat.Vector()
	for i := range v {
		f := cat.At(i)
		if f.Constant || rng.Float64() < unknown {
			continue
		}
		switch f.Kind {
		case fact.Choice:
			v[i] = fact.Num(float64(rng.IntN(len(f.Answers))))
		case fact.YesNo:
			v[i] = fact.Bool(rng.IntN(2) == 0)
		case fact.Number:
			v[i] = fact.Num(float64(rng.IntN(60)))
			if rng.IntN(3) == 0 {
				v[i] = fact.Num(rng.Float64() * 60)
			}
		}
	}
	return v
}
