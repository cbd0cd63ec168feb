package doseresp_test

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"vialwise/doseresp"
)

func diagnostics(t testing.TB, assay []doseresp.Container, o doseresp.Options) (*doseresp.Result, []doseresp.ContainerDiagnostic) {
	t.Helper()
	var f doseresp.Fitter
	r := new(doseresp.Result)
	if err := f.Fit(assay, o, r); err != nil {
		t.Fatal(err)
	}
	return r, f.Diagnostics(r, nil)
}

// TestDiagnosticsByGLM compares with base R 4.2.2: hatvalues(g), residuals(g,
// "pearson") and rstandard(g, type = "pearson") of
//
//	g <- glm(cbind(r, n-r) ~ log10(d), binomial(link), control = list(epsilon = 1e-14))
//
// on the counts of Martin (1942) in published.
func TestDiagnosticsByGLM(t *testing.T) {
	const tolerance = 1e-8 // the values have 10 digits
	_, rotenone := diagnostics(t, counts(t, published["Rotenone"]), doseresp.Options{})
	for i, want := range [][3]float64{
		{.5466212339, -.15550836374, -.23095276374},
		{.3456800708, .07484127106, .09252222764},
		{.2499002525, -.21185855106, -.24461691689},
		{.3872804961, .97429616243, 1.24468695956},
		{.4705179466, -.83961533244, -1.15386430487},
	} {
		near(t, "leverage", rotenone[i].Leverage, want[0], tolerance)
		near(t, "residual", rotenone[i].Residual, want[1], tolerance)
		near(t, "standardised", rotenone[i].Standardised, want[2], tolerance)
	}
	_, deguelin := diagnostics(t, counts(t, published["Deguelin"]), doseresp.Options{Link: doseresp.Cloglog})
	for i, want := range [][2]float64{
		{.5088081313, 1.9823986481}, {.3817431539, -1.5282997044}, {.2462967232, -1.0873767963},
		{.2892942746, 1.5972265479}, {.3153178368, -1.0902515406}, {.2585398802, .9647796645},
	} {
		near(t, "cloglog leverage", deguelin[i].Leverage, want[0], tolerance)
		near(t, "cloglog standardised", deguelin[i].Standardised, want[1], tolerance)
	}
}

// replicated has two containers a dose, of unequal size, and controls.
const replicated = "0:20/1 0:15/0 1:10/1 1:14/3 2:12/5 2:10/3 4:11/8 4:15/10 8:12/12 8:9/8 16:30/30"

// TestDiagnosticsIdentities: leverages add up to the free parameters, squared
// residuals to X², expected numbers to those exposed, for every model.
func TestDiagnosticsIdentities(t *testing.T) {
	for _, c := range []struct {
		name, set        string
		natural          doseresp.NaturalMortality
		free, containers int
	}{
		{"estimated", replicated, doseresp.NaturalMortality{}, 3, 11},
		{"boundary", "0:20/0 1:10/0 1:14/1 2:12/5 2:10/3 4:11/8 8:12/12 8:9/8", doseresp.NaturalMortality{}, 2, 8},
		{"BugLab", published["BugLab"], doseresp.NaturalMortality{}, 3, 10},
		{"none", replicated, doseresp.NaturalMortality{Mode: doseresp.None}, 2, 9},
		{"fixed", replicated, doseresp.NaturalMortality{Mode: doseresp.Fixed, Value: .05}, 2, 11},
		{"abbott", replicated, doseresp.NaturalMortality{Mode: doseresp.AbbottCorrection}, 2, 9},
	} {
		for _, link := range doseresp.Links() {
			name := fmt.Sprintf("%s %v", c.name, link)
			r, d := diagnostics(t, counts(t, c.set), doseresp.Options{Link: link, Natural: c.natural})
			if c.name == "boundary" != r.Natural.Boundary {
				t.Errorf("%s: boundary %v", name, r.Natural.Boundary)
			}
			if len(d) != c.containers {
				t.Fatalf("%s: %d containers, want %d", name, len(d), c.containers)
			}
			leverage, x2, sparse := 0., 0., 0.
			for i, k := range d {
				leverage += k.Leverage
				x2 += k.Residual * k.Residual
				if k.Sparse {
					sparse += k.Residual * k.Residual
				}
				near(t, name+" expected", k.ExpectedDead+k.ExpectedAlive, float64(k.Container.Exposed), 1e-12)
				if c.name != "abbott" {
					near(t, name+" expected dead", k.ExpectedDead, float64(k.Container.Exposed)*r.Mortality(k.Container.Dose), 1e-9)
				}
				if i > 0 && k.Container.Dose < d[i-1].Container.Dose {
					t.Errorf("%s: dose %v after %v", name, k.Container.Dose, d[i-1].Container.Dose)
				}
			}
			near(t, name+" sum of leverages", leverage, float64(c.free), 1e-12)
			near(t, name+" X2", x2, r.PearsonContainer.X2, 1e-9)
			near(t, name+" 1 + sparse part", 1+sparse, 1+r.SparseX2, 1e-9)
		}
	}
}

// TestLeverageByMatrices forms W^½ X (XᵀWX)⁻¹ Xᵀ W^½ with X = dP/d(a, b, C)
// by central differences and W = n/(P(1-P)).
func TestLeverageByMatrices(t *testing.T) {
	const tolerance = 1e-6 // of the differences
	for _, link := range doseresp.Links() {
		assay := counts(t, replicated)
		r, d := diagnostics(t, assay, doseresp.Options{Link: link})
		x := mat.NewDense(len(d), 3, nil)
		for i, k := range d {
			p := func(a, b, c float64) float64 {
				if k.Container.Dose == 0 {
					return c
				}
				return c + (1-c)*link.CDF(a+b*math.Log10(k.Container.Dose))
			}
			const h = 1e-6
			a, b, c := r.Intercept, r.Slope, r.Natural.Estimate
			P := p(a, b, c)
			weight := math.Sqrt(float64(k.Container.Exposed)/(P*(1-P))) / (2 * h)
			x.SetRow(i, []float64{
				weight * (p(a+h, b, c) - p(a-h, b, c)),
				weight * (p(a, b+h, c) - p(a, b-h, c)),
				weight * (p(a, b, c+h) - p(a, b, c-h)),
			})
		}
		var information, inverse, left, hat mat.Dense
		information.Mul(x.T(), x)
		if err := inverse.Inverse(&information); err != nil {
			t.Fatal(err)
		}
		left.Mul(x, &inverse)
		hat.Mul(&left, x.T())
		for i, k := range d {
			near(t, fmt.Sprintf("%v leverage of container %d", link, i+1), k.Leverage, hat.At(i, i), tolerance)
		}
	}
}

func TestDiagnosticsEdges(t *testing.T) {
	var f doseresp.Fitter
	var r doseresp.Result
	kept := []doseresp.ContainerDiagnostic{{Leverage: 7}}
	if err := f.Fit(counts(t, "1:5/0 2:5/0 4:5/5"), doseresp.Options{}, &r); err != nil {
		t.Fatal(err)
	}
	if got := f.Diagnostics(&r, kept); len(got) != 1 {
		t.Errorf("a fit without a line has diagnostics %+v", got)
	}
	// Two doses fix the line: full leverage, nothing left over, no standard.
	if err := f.Fit(counts(t, "1:10/3 2:10/6"), doseresp.Options{}, &r); err != nil {
		t.Fatal(err)
	}
	got := f.Diagnostics(&r, kept)
	if len(got) != 3 || got[0].Leverage != 7 {
		t.Fatalf("appended %+v", got)
	}
	for _, k := range got[1:] {
		if math.Abs(k.Leverage-1) > 1e-9 || math.Abs(k.Residual) > 1e-6 || !math.IsNaN(k.Standardised) {
			t.Errorf("saturated: %+v", k)
		}
	}
	if n := testing.AllocsPerRun(50, func() { f.Diagnostics(&r, kept[:0]) }); n > 1 {
		t.Errorf("%v allocations", n)
	}
}

func BenchmarkDiagnostics(b *testing.B) {
	var f doseresp.Fitter
	var r doseresp.Result
	if err := f.Fit(counts(b, replicated), doseresp.Options{}, &r); err != nil {
		b.Fatal(err)
	}
	var dst []doseresp.ContainerDiagnostic
	b.ReportAllocs()
	for b.Loop() {
		dst = f.Diagnostics(&r, dst[:0])
	}
}
