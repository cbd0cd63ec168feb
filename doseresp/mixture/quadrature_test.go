package mixture

import (
	"math"
	"testing"
)

func moment(nodes []node, power int) float64 {
	sum := 0.0
	for _, n := range nodes {
		sum += n.weight * math.Pow(n.x, float64(power))
	}
	return sum
}

// TestBetaNodes holds the rule to the moments of the beta distribution, which
// are Π (a+k)/(a+b+k), up to the degree for which it is exact.
func TestBetaNodes(t *testing.T) {
	const tolerance = 1e-12
	for _, c := range [][2]float64{{1, 9}, {3.5, 27}, {1, 1}, {0.5, 0.5}, {2, 0.7}} {
		for _, n := range []int{1, 4, 7} {
			nodes := betaNodes(c[0], c[1], n)
			want := 1.0
			for power := range 2 * n {
				if got := moment(nodes, power); math.Abs(got-want) > tolerance*want {
					t.Errorf("Beta(%g, %g), %d nodes: moment %d is %.15g, want %.15g", c[0], c[1], n, power, got, want)
				}
				want *= (c[0] + float64(power)) / (c[0] + c[1] + float64(power))
			}
		}
	}
}

func TestNormalNodes(t *testing.T) {
	const tolerance = 1e-10
	for power, want := range []float64{1, 0, 0.04, 0, 3 * 0.0016, 0, 15 * 0.000064} { // of a standard deviation of 0.2
		if got := moment(normalNodes(0.2, deltaNodes), power); math.Abs(got-want) > tolerance {
			t.Errorf("moment %d is %g, want %g", power, got, want)
		}
	}
}

func TestEvenNodes(t *testing.T) {
	const tolerance = 1e-12
	for power, want := range []float64{1, 2, 13. / 3, 10} { // uniform on 1 to 3
		if got := moment(evenNodes(1, 3, 4), power); math.Abs(got-want) > tolerance {
			t.Errorf("moment %d is %g, want %g", power, got, want)
		}
	}
}

// TestCellIntegrals is exact for cubics within and parabolas at the ends.
func TestCellIntegrals(t *testing.T) {
	const tolerance = 1e-12
	f := make([]float64, 7)
	cubic := func(x float64) float64 { return 1 + x*x }
	for i := range f {
		f[i] = cubic(float64(i) * 0.5)
	}
	for i, got := range cellIntegrals(f, 0.5) {
		a, b := float64(i)*0.5, float64(i+1)*0.5
		if want := b - a + (b*b*b-a*a*a)/3; math.Abs(got-want) > tolerance {
			t.Errorf("cell %d is %g, want %g", i, got, want)
		}
	}
}
