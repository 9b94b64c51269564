package measure

import "math"

// Grading is one answer by eye: its place in the checkpoint's list of answers.
type Grading struct {
	Answer int
	Unsure bool // the coach marked it as not sure: the error counts double
}

// Scale says how a checkpoint's answers are misread.
type Scale struct {
	Answers int     // how many there are
	Kinds   bool    // the answers are kinds without an order: every other one is as likely a misreading
	Error   float64 // chance that one grading is wrong; 0 stands for EyeError
}

// The reading of grades (house defaults): an error goes to a neighbouring grade mostly, and so does a true difference.
const (
	EyeError   = 0.20
	errorNear  = 0.85 // share of misreadings that go to a neighbour
	differNear = 0.70 // share of true differences that are of one grade
	mostError  = 0.50
	mostGraded = 0.95 // repeated gradings by one eye repeat their errors
)

// posterior is the chance that the drill and the mound truly differ, from repeated gradings by eye. ok is false where a
// side has no grading or one lies outside the scale.
func posterior(drill, mound []Grading, s Scale) (p float64, ok bool) {
	if s.Answers < 1 || s.Error < 0 || s.Error > 1 || len(drill) == 0 || len(mound) == 0 {
		return 0, false
	}
	seenDrill, okD := s.likelihoods(drill)
	seenMound, okM := s.likelihoods(mound)
	if !okD || !okM {
		return 0, false
	}
	same, differ := 0.0, 0.0
	for a := range s.Answers {
		same += (1 - priorDiffers) * seenDrill[a] * seenMound[a]
		for b := range a { // each pair both ways at once, so that swapping the sides gives the same digits
			differ += s.pair(b, a) * (seenDrill[a]*seenMound[b] + seenDrill[b]*seenMound[a])
		}
	}
	if !(same+differ > 0) {
		return 0, false
	}
	return differ / (same + differ), true
}

// pair weighs the true grades a and b on the two throws against (1 - priorDiffers) for any grade on both. Beside a
// grade at the end of the scale, where a good drill stands, the others together weigh priorDiffers; one in the
// middle has more that it can differ from.
func (s Scale) pair(a, b int) float64 {
	switch near := max(a-b, b-a) == 1; {
	case s.Kinds || s.Answers == 2:
		return priorDiffers / float64(s.Answers-1)
	case near:
		return priorDiffers * differNear
	}
	return priorDiffers * (1 - differNear) / float64(s.Answers-2)
}

// Prior returns the chance that the two throws differ before anything is graded: priorDiffers for kinds and for two
// grades, a little more for an order of three and more.
func (s Scale) Prior() float64 {
	differ := 0.0
	for a := range max(s.Answers, 0) {
		for b := range a {
			differ += 2 * s.pair(b, a)
		}
	}
	if differ == 0 {
		return priorDiffers
	}
	return differ / (float64(s.Answers)*(1-priorDiffers) + differ)
}

// GradesDiffer returns the chance that the two throws differ, from repeated gradings by eye, held within what one eye can
// know: errors of the same coach on the same view repeat. It is that of the prior where a side was not graded.
func GradesDiffer(drill, mound []Grading, s Scale) float64 {
	prior := s.Prior()
	p, ok := posterior(drill, mound, s)
	if !ok {
		return prior
	}
	odds := lambda(mostGraded, prior)
	least := prior / (prior + odds*(1-prior))
	return math.Max(least, math.Min(mostGraded, p))
}

// likelihoods gives, for each true answer, the chance of these gradings. Each is evenly likely beforehand.
func (s Scale) likelihoods(gs []Grading) ([]float64, bool) {
	out := make([]float64, s.Answers)
	for truth := range out {
		out[truth] = 1
		wrong := s.misread(truth)
		for _, g := range gs {
			if g.Answer < 0 || g.Answer >= s.Answers {
				return nil, false
			}
			e := s.errorOf(g)
			if g.Answer == truth {
				out[truth] *= 1 - e
			} else {
				out[truth] *= e * wrong[g.Answer]
			}
		}
	}
	return out, true
}

func (s Scale) errorOf(g Grading) float64 {
	e := orDefault(s.Error, EyeError)
	if g.Unsure {
		e = math.Max(e, math.Min(mostError, 2*e))
	}
	if s.Answers == 1 {
		return 0
	}
	return e
}

// misread shares the misreadings of a true answer over the others: most of them to its neighbours, the rest to those
// farther off; all evenly where there is no order or nothing farther.
func (s Scale) misread(truth int) []float64 {
	out := make([]float64, s.Answers)
	neighbours := 0
	for i := range out {
		if max(i-truth, truth-i) == 1 {
			neighbours++
		}
	}
	far := s.Answers - 1 - neighbours
	for i := range out {
		switch apart := max(i-truth, truth-i); {
		case apart == 0:
		case s.Kinds:
			out[i] = 1 / float64(s.Answers-1)
		case apart > 1:
			out[i] = (1 - errorNear) / float64(far)
		case far == 0:
			out[i] = 1 / float64(neighbours)
		default:
			out[i] = errorNear / float64(neighbours)
		}
	}
	return out
}
