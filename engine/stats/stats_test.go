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

func TestTwoSample(t *testing.T) {
	// NIST/SEMATECH e-Handbook 1.3.5.3, AUTO83B (pooled t and df published; Welch computed from the same table).
	cars := [2]Summary{{20.14458, 6.41470, 249}, {30.48101, 6.10771, 79}}
	near(t, "AUTO83B pooled t", Pooled(cars[0], cars[1]).T, -12.62059, 5e-5)
	near(t, "AUTO83B pooled df", Pooled(cars[0], cars[1]).DF, 326, 0)
	near(t, "AUTO83B Welch t", Welch(cars[0], cars[1]).T, -12.94627, 5e-5)
	near(t, "AUTO83B Welch df", Welch(cars[0], cars[1]).DF, 136.875, 5e-4)

	// A common worked example of Welch's test, no source; the figures are computed.
	a := []float64{30.02, 29.99, 30.11, 29.97, 30.01, 29.99}
	b := []float64{29.89, 29.93, 29.72, 29.98, 30.02, 29.98}
	w := Welch(Summarize(a), Summarize(b))
	near(t, "Welch t", w.T, 1.959006, 5e-7)
	near(t, "Welch df", w.DF, 7.030560, 5e-7)
	near(t, "Welch p", w.P, .090773, 5e-7)

	// Bushnell 2010, Am J Sports Med 38:728-732: pooled p .0354 published; Welch computed from the same summary.
	hurt, sound := Summary{38.09, 1.45, 14}, Summary{39.88, 2.39, 9}
	near(t, "Bushnell pooled p", Pooled(hurt, sound).P, .0354, 5e-4)
	near(t, "Bushnell Welch t", Welch(hurt, sound).T, -2.02050, 5e-6)
	near(t, "Bushnell Welch df", Welch(hurt, sound).DF, 11.826, 5e-4)
	near(t, "Bushnell Welch p", Welch(hurt, sound).P, .06657, 5e-6)
}

func TestTwoSampleWithoutData(t *testing.T) {
	flat := Summary{80, 0, 5}
	for name, got := range map[string]TTest{
		"no spread":     Welch(flat, flat),
		"one value":     Welch(Summarize([]float64{80}), flat),
		"one each":      Pooled(Summarize([]float64{80}), Summarize([]float64{81})),
		"pooled spread": Pooled(flat, flat),
	} {
		if !math.IsNaN(got.T) || !math.IsNaN(got.P) {
			t.Errorf("%s: got %+v, want no number", name, got)
		}
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
	for _, c := range []struct{ y, n, mean, low, high float64 }{ // uniform prior; values computed, see numerical integration below
		{7, 10, .66667, .39026, .89074},
		{3, 5, .57143, .22278, .88188},
		{5, 5, .85714, .54074, .99579},
	} {
		b := Beta{1, 1}.Posterior(c.y, c.n-c.y)
		i := b.Interval(.95)
		near(t, "mean", b.Mean(), c.mean, 5e-6)
		near(t, "low", i.Low, c.low, 5e-6)
		near(t, "high", i.High, c.high, 5e-6)
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
		near(t, "Student quantile", StudentCDF(StudentQuantile(.975, df), df), .975, 1e-9)
	}
	near(t, "t .975, 10 df (printed tables)", StudentQuantile(.975, 10), 2.228, 5e-4)

	phi := func(x float64) float64 { return math.Exp(-x*x/2) / math.Sqrt(2*math.Pi) }
	for _, z := range []float64{-3, -1.1, 0, .5, 1.96} {
		near(t, "normal CDF", NormalCDF(z), .5+simpson(phi, 0, z, 1000), 1e-12)
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
		"mean of none":     Mean(nil),
		"SD of one":        SD([]float64{1}),
		"median of none":   Median(nil),
		"beta quantile":    Beta{1, 1}.Quantile(1.5),
		"beta CDF":         Beta{0, 1}.CDF(.5),
		"student quantile": StudentQuantile(-1, 3),
		"student CDF":      StudentCDF(1, 0),
		"normal quantile":  NormalQuantile(2),
		"entropy":          Entropy(-.1),
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

func TestEntropy(t *testing.T) {
	// A fair question answered with 11 % error tells .5 bit (Shannon 1948, binary symmetric channel).
	near(t, "fair question, 11 % error", 1-Entropy(.11), .5001, 5e-5)
	near(t, "even", Entropy(.5), 1, 1e-12)
	near(t, "certain", Entropy(1), 0, 0)
}

func TestKappa(t *testing.T) {
	// The often printed table 20/5/10/15: agreement .70, chance .50, kappa .40 (formula: Cohen 1960, Educ Psychol Meas 20:37-46).
	a, ok := Kappa([][]int{{20, 5}, {10, 15}}, .95)
	if !ok || a.N != 50 {
		t.Fatalf("got %+v, %v", a, ok)
	}
	near(t, "kappa", a.Kappa, .40, 1e-12)
	near(t, "SE", a.SE, math.Sqrt(.7*.3/(50*.25)), 1e-12)
	near(t, "low", a.Interval.Low, .40-1.959964*a.SE, 1e-6)
	for name, table := range map[string][][]int{
		"empty": {}, "ragged": {{1, 2}, {3}}, "one grade": {{9, 0}, {0, 0}}, "negative": {{1, -1}, {0, 2}},
	} {
		if _, ok := Kappa(table, .95); ok {
			t.Errorf("%s: want no kappa", name)
		}
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
		near(t, "density", g.LogDensity(x), want, 1e-9)

		u, s := []float64{1, .5}, r.NormFloat64()
		p := g.Products(x, [][]float64{u, x})
		moved := p[1].UU + 2*s*p[0].XU + s*s*p[0].UU + g.LogDet() + 2*math.Log(2*math.Pi)
		near(t, "moved", g.LogDensity([]float64{x[0] + s*u[0], x[1] + s*u[1]}), -moved/2, 1e-9)
	}
	if _, ok := NewGaussian([]float64{1, 2, 2, 1}, 2); ok {
		t.Error("a covariance that cannot be was accepted")
	}
	if _, ok := NewGaussian([]float64{1, 2}, 2); ok {
		t.Error("a covariance of the wrong length was accepted")
	}
}
