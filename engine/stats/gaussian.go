package stats

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Gaussian is a centred normal distribution of several values with a full covariance, factored once and then asked many
// times.
type Gaussian struct {
	chol mat.Cholesky
	n    int
}

// NewGaussian factors the covariance of n values, given row by row (n*n entries, the upper triangle is read). ok is
// false where it is empty, of the wrong length, or not positive definite.
func NewGaussian(cov []float64, n int) (*Gaussian, bool) {
	if n <= 0 || len(cov) != n*n {
		return nil, false
	}
	g := &Gaussian{n: n}
	ok := g.chol.Factorize(mat.NewSymDense(n, cov))
	return g, ok && !math.IsNaN(g.chol.LogDet())
}

// LogDet returns the log determinant of the covariance.
func (g *Gaussian) LogDet() float64 { return g.chol.LogDet() }

// Product holds x'C⁻¹u and u'C⁻¹u for one direction u: with x'C⁻¹x they give the density at every x + a·u.
type Product struct{ XU, UU float64 }

// Products solves for all directions at once and returns one product each, in their order. It returns nil where a
// length is wrong.
func (g *Gaussian) Products(x []float64, us [][]float64) []Product {
	k := len(us)
	if k == 0 || len(x) != g.n {
		return nil
	}
	b := mat.NewDense(g.n, k, nil)
	for j, u := range us {
		if len(u) != g.n {
			return nil
		}
		b.SetCol(j, u)
	}
	var solved mat.Dense
	// An ill-conditioned covariance is reported as an error although the solution is there; it is as good as it gets.
	_ = g.chol.SolveTo(&solved, b)
	out := make([]Product, k)
	for j, u := range us {
		for i := range u {
			s := solved.At(i, j)
			out[j].XU += x[i] * s
			out[j].UU += u[i] * s
		}
	}
	return out
}
