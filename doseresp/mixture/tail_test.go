package mixture

import (
	"math"
	"testing"

	"vialwise/doseresp"
)

// TestBetaBinomialTail compares with the sum over an urn's outcomes (Eggenberger
// & Pólya, as the simulated assays draw them): the probability of k of n is
// built up draw by draw.
func TestBetaBinomialTail(t *testing.T) {
	const tolerance = 1e-10
	for _, c := range []struct {
		n      int
		p, rho float64
	}{{12, 0.03, 0}, {12, 0.03, 0.05}, {30, 0.4, 0.2}, {7, 0.9, 0.01}} {
		byCount := make([]float64, c.n+1)
		byCount[0] = 1
		for i := range c.n {
			for k := i; k >= 0; k-- {
				balls := 1 - c.rho + float64(i)*c.rho
				hit := (c.p*(1-c.rho) + float64(k)*c.rho) / balls
				byCount[k+1] += byCount[k] * hit
				byCount[k] *= 1 - hit
			}
		}
		tail := 0.0
		for k := c.n; k >= 0; k-- {
			tail += byCount[k]
			if got := betaBinomialTail(k, c.n, c.p, c.rho); math.Abs(got-tail) > tolerance {
				t.Errorf("n %d p %g ρ %g: P(X >= %d) = %.12g, want %.12g", c.n, c.p, c.rho, k, got, tail)
			}
		}
	}
	if betaBinomialTail(3, 2, 0.5, 0.1) != 0 || betaBinomialTail(1, 2, 0, 0.1) != 0 || betaBinomialTail(1, 2, 1, 0) != 1 {
		t.Error("impossible or certain counts")
	}
}

// TestPredictionsVary shows that a prediction varies h times as much as a
// binomial count: that of one survival is the tail of one beta-binomial.
func TestPredictionsVary(t *testing.T) {
	p := predictions{survival: []node{{0.04, 1}}, h: 1.8}
	if got, want := p.tail(5, 40), betaBinomialTail(5, 40, 0.04, 0.8/39); math.Abs(got-want) > 1e-12 {
		t.Errorf("tail %g, want %g", got, want)
	}
	uneven := []doseresp.Container{
		{Dose: 5, Exposed: 10, Dead: 0}, {Dose: 5, Exposed: 10, Dead: 5}, {Dose: 10, Exposed: 10, Dead: 2}, {Dose: 10, Exposed: 10, Dead: 9}, {Dose: 30, Exposed: 10, Dead: 7}, {Dose: 30, Exposed: 10, Dead: 10},
	}
	b, err := NewBaseline([][]doseresp.Container{uneven}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	x2 := 0.0
	for _, k := range uneven { // all of them tell: 6 less the line and q
		p := b.line.Mortality(k.Dose)
		x2 += (float64(k.Dead) - 10*p) * (float64(k.Dead) - 10*p) / (10 * p * (1 - p))
	}
	if got := b.predict(b.ownGrid(), 50, []node{{0, 1}}).h; x2/3 < 1.5 || math.Abs(got-x2/3) > 1e-9 {
		t.Errorf("the prediction has h = %g, the baseline %g", got, x2/3)
	}
}

// TestRhoOf inverts the variance of a beta-binomial count, n p (1-p) (1 + (n-1) ρ).
func TestRhoOf(t *testing.T) {
	if got := 1 + 29*rhoOf(1.7, 30); math.Abs(got-1.7) > 1e-12 {
		t.Errorf("30 mites vary %g times as much, want 1.7", got)
	}
	if rhoOf(0.8, 30) != 0 || rhoOf(2, 1) != 0 {
		t.Error("no excess makes a correlation")
	}
}
