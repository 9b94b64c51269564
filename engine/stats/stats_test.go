package stats

import (
	"math"
	"math/rand/v2"
	"testing"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tol {
		t.Errorf("%s = %.9g, want %.9g within %g", what, got, want, tol)
	}
}

func TestWilson(t *testing.T) {
	for _, c := range []struct{ y, n, low, high float64 }{
		{81, 263, .25529, .36621}, // Newcombe 1998, Stat Med 17:857-872
		{15, 148, .06239, .16049}, // the same
		{0, 20, 0, .1611},         // the same
		{1, 29, .0061, .1718},     // the same
		{7, 10, .39678, .89221},   // computed from the same formula
		{3, 5, .23072, .88238},
		{5, 5, .56552, 1},
		{0, 5, 0, .43448},
		{8, 10, .49016, .94332},
	} {
		got := Wilson(c.y, c.n, .95)
		near(t, "Wilson low", got.Low, c.low, 5e-5)
		near(t, "Wilson high", got.High, c.high, 5e-5)
	}
	if got := Wilson(0, 0, .95); got != (Interval{0, 1}) {
		t.Errorf("Wilson of no trial = %v, want the whole range", got)
	}
}

func TestBetaPosterior(t *testing.T) {
	for _, c := range []struct{ y, n, low, high float64 }{ // uniform prior; values computed, see numerical integration below
		{7, 10, .39026, .89074},
		{3, 5, .22278, .88188},
		{5, 5, .54074, .99579},
	} {
		b := Beta{1, 1}.Posterior(c.y, c.n-c.y)
		near(t, "low", b.Quantile(.025), c.low, 5e-6)
		near(t, "high", b.Quantile(.975), c.high, 5e-6)
	}
}

// simpson integrates f over lo..hi with 2n panels: the second opinion on the library's distribution functions.
func simpson(f func(float64) float64, lo, hi float64, n int) float64 {
	h := (hi - lo) / float64(2*n)
	sum := f(lo) + f(hi)
	for i := 1; i < 2*n; i++ {
		sum += f(lo+float64(i)*h) * float64(2+2*(i%2))
	}
	return sum * h / 3
}

func TestDistributionsAgainstIntegration(t *testing.T) {
	for _, df := range []float64{3, 7.03056, 10, 136.875} {
		lg, _ := math.Lgamma((df + 1) / 2)
		lh, _ := math.Lgamma(df / 2)
		density := func(x float64) float64 {
			return math.Exp(lg-lh-.5*math.Log(df*math.Pi)) * math.Pow(1+x*x/df, -(df+1)/2)
		}
		for _, x := range []float64{-2.3, .4, 1.959, 4} {
			near(t, "Student CDF", StudentCDF(x, df), .5+simpson(density, 0, x, 2000), 1e-9)
		}
	}
	near(t, "t of 2.228, 10 df (printed tables)", StudentCDF(2.228, 10), .975, 5e-5)

	phi := func(x float64) float64 { return math.Exp(-x*x/2) / math.Sqrt(2*math.Pi) }
	for _, z := range []float64{-3, -1.1, 0, .5, 1.96} {
		near(t, "normal quantile", NormalQuantile(.5+simpson(phi, 0, z, 1000)), z, 1e-9)
	}
	near(t, "normal quantile", NormalQuantile(.975), 1.959964, 5e-7)

	for _, b := range []Beta{{8, 4}, {4.5, 1.75}, {6, 3}} {
		density := func(x float64) float64 { return math.Pow(x, b.A-1) * math.Pow(1-x, b.B-1) }
		whole := simpson(density, 0, 1, 200000)
		for _, x := range []float64{.1, .5, .65, .9} {
			near(t, "beta CDF", b.CDF(x), simpson(density, 0, x, 20000)/whole, 1e-7)
			near(t, "beta quantile", b.Quantile(b.CDF(x)), x, 1e-9)
		}
	}
}

func TestLogMarksAgainstIntegration(t *testing.T) {
	for _, c := range []struct {
		b    Beta
		y, n float64
	}{{Beta{4.5, 2}, 3, 5}, {Beta{1, 3}, 0, 3.8}, {Beta{2, 2}, 2.5, 4}} {
		density := func(x float64) float64 { return math.Pow(x, c.b.A-1) * math.Pow(1-x, c.b.B-1) }
		marked := func(x float64) float64 { return density(x) * math.Pow(x, c.y) * math.Pow(1-x, c.n-c.y) }
		want := simpson(marked, 0, 1, 40000) / simpson(density, 0, 1, 40000)
		near(t, "marks", math.Exp(c.b.LogMarks(c.y, c.n)), want, 1e-6)
	}
}

func TestNoNumberFromNonsense(t *testing.T) {
	for name, got := range map[string]float64{
		"mean of none":    Mean(nil),
		"SD of one":       SD([]float64{1}),
		"median of none":  Median(nil),
		"beta quantile":   Beta{1, 1}.Quantile(1.5),
		"beta CDF":        Beta{0, 1}.CDF(.5),
		"student CDF":     StudentCDF(1, 0),
		"normal quantile": NormalQuantile(2),
	} {
		if !math.IsNaN(got) {
			t.Errorf("%s = %v, want no number", name, got)
		}
	}
}

func TestSample(t *testing.T) {
	xs := []float64{92.1, 92.8, 92.9, 92.0, 92.7}
	near(t, "mean", Mean(xs), 92.5, 1e-12)
	near(t, "median", Median(xs), 92.7, 0)
	near(t, "median of even", Median([]float64{4, 1, 3, 2}), 2.5, 0)
	near(t, "SD", SD(xs), math.Sqrt((.16+.09+.16+.25+.04)/4), 1e-12)
	near(t, "sum of squares", SumSquares(xs), .70, 1e-9)
	if xs[0] != 92.1 || xs[3] != 92.0 {
		t.Error("the median reordered its sample")
	}
}

func TestGaussian(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 50 {
		// Two values: the density written out by hand.
		a, b, rho := .5+r.Float64(), .5+r.Float64(), 1.6*r.Float64()-.8
		g, ok := NewGaussian([]float64{a * a, rho * a * b, rho * a * b, b * b}, 2)
		if !ok {
			t.Fatal("a proper covariance was refused")
		}
		x := []float64{r.NormFloat64(), r.NormFloat64()}
		z := x[0]*x[0]/(a*a) - 2*rho*x[0]*x[1]/(a*b) + x[1]*x[1]/(b*b)
		want := -z/(2*(1-rho*rho)) - math.Log(2*math.Pi*a*b*math.Sqrt(1-rho*rho))
		density := func(x []float64) float64 {
			return -(g.Products(x, [][]float64{x})[0].XU + g.LogDet() + 2*math.Log(2*math.Pi)) / 2
		}
		near(t, "density", density(x), want, 1e-9)

		u, s := []float64{1, .5}, r.NormFloat64()
		p := g.Products(x, [][]float64{u, x})
		moved := p[1].UU + 2*s*p[0].XU + s*s*p[0].UU + g.LogDet() + 2*math.Log(2*math.Pi)
		near(t, "moved", density([]float64{x[0] + s*u[0], x[1] + s*u[1]}), -moved/2, 1e-9)
	}
	if _, ok := NewGaussian([]float64{1, 2, 2, 1}, 2); ok {
		t.Error("a covariance that cannot be was accepted")
	}
	if _, ok := NewGaussian([]float64{1, 2}, 2); ok {
		t.Error("a covariance of the wrong length was accepted")
	}
}
