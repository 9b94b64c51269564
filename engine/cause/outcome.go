package cause

import "math"

// Outcome is what a look at a sign said, as the natural logarithm of λ: how
// many times likelier the look is if the sign truly is there than if it is
// not. The zero value says nothing.
type Outcome float64

const (
	// Unknown is a sign that was not looked at or could not be seen.
	Unknown Outcome = 0
	// Yes is one look that saw the sign; its λ follows from the sign's reading error.
	Yes Outcome = math.MaxFloat64
	// No is one look that did not see it.
	No Outcome = -math.MaxFloat64
)

// mostRepeated bounds what agreeing looks at one sign are worth, because the
// same eye on the same view errs the same way again (house default).
const mostRepeated = 12

// Soft is measured evidence with its own λ and no further reading error: 1 says
// nothing, above 1 speaks for the sign. A λ below 0 or not a number is Unknown.
func Soft(lambda float64) Outcome {
	if !(lambda >= 0) {
		return Unknown
	}
	return Outcome(math.Log(lambda))
}

// Repeated is several looks at one sign with the same reading error: λ is
// ((1-e)/e)^(yes-no), held within 1/12 and 12.
func Repeated(reading float64, yes, no int) Outcome {
	return hold(Outcome(float64(yes-no) * logOdds(1-reading)))
}

func hold(o Outcome) Outcome {
	most := Outcome(math.Log(mostRepeated))
	switch {
	case o != o:
		return Unknown
	case o > most:
		return most
	}
	return max(o, -most)
}

func (o Outcome) answered() bool { return o != Unknown && o == o }

// credence is λ/(1+λ): the chance of the look if the sign is there, with both
// chances scaled to sum to 1.
func (s *sign) credence(o Outcome) float64 {
	switch o {
	case Yes:
		return 1 - s.reading
	case No:
		return s.reading
	}
	return 1 / (1 + math.Exp(-float64(o)))
}

// weigh is ln λ of the outcome, with Yes and No spelled out.
func (s *sign) weigh(o Outcome) Outcome {
	switch o {
	case Yes:
		return Outcome(logOdds(1 - s.reading))
	case No:
		return Outcome(logOdds(s.reading))
	}
	return o
}

// likelihood of a look with this credence when the sign is there with chance q.
func likelihood(credence, q float64) float64 {
	return 1 - credence + (2*credence-1)*q
}

// strength is the largest factor by which the outcome changes the odds of one
// of the sign's factors alone against none of them, in either direction.
func (s *sign) strength(o Outcome) float64 {
	c := s.credence(o)
	none := likelihood(c, s.chance[0])
	most := 1.0
	for k := 1; k < len(s.chance); k <<= 1 {
		r := likelihood(c, s.chance[k]) / none
		most = max(most, r, 1/r)
	}
	return most
}

func logOdds(p float64) float64 { return math.Log(p / (1 - p)) }
