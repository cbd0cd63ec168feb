package sim

import (
	"math"
	"slices"
	"testing"

	"vialwise/doseresp"
)

// exactly is the tolerance of identities that hold but for rounding.
const exactly = 1e-14

func near(a, b float64) bool { return math.Abs(a-b) <= exactly*math.Max(math.Abs(a), math.Abs(b)) }

func mustPanic(t *testing.T, name string, f func()) {
	t.Helper()
	defer func() {
		if recover() == nil {
			t.Errorf("%s: no panic", name)
		}
	}()
	f()
}

func TestMortalityIdentities(t *testing.T) {
	for _, link := range doseresp.Links() {
		for _, c := range []float64{0, .07, .4, 1} {
			plain := Truth{Link: link, LC50: 3.5, Slope: 2.5, NaturalMortality: c}
			mixed := plain
			mixed.ResistantFraction, mixed.ResistantShift = .25, 12
			plateau := plain
			plateau.ResistantFraction, plateau.ResistantShift = .25, math.Inf(1)

			check := func(what string, got, want float64) {
				t.Helper()
				if !near(got, want) {
					t.Errorf("%v, C %v: %s is %v, want %v", link, c, what, got, want)
				}
			}
			check("mortality at dose 0", plain.Mortality(0), c)
			check("mixed mortality at dose 0", mixed.Mortality(0), c)
			check("mortality at the LC50", plain.Mortality(3.5), c+(1-c)/2)
			check("mortality at a huge dose", plain.Mortality(1e300), 1)
			check("mortality at a tiny dose", plain.Mortality(1e-300), c)
			check("plateau", plateau.Mortality(1e300), c+(1-c)*.75)
			check("plateau at the LC50", plateau.Mortality(3.5), c+(1-c)*.375)
			shifted := plain
			shifted.LC50 *= 12
			for _, d := range []float64{.3, 1, 3.5, 20, 400} {
				check("mixture", mixed.Mortality(d), .75*plain.Mortality(d)+.25*shifted.Mortality(d))
				check("scaled", shifted.Mortality(12*d), plain.Mortality(d))
			}
		}
	}
}

// The line a + b x of the truth is the one doseresp fits: F at LCp is p.
func TestMortalityIsTheFittedLine(t *testing.T) {
	for _, link := range doseresp.Links() {
		truth := Truth{Link: link, LC50: .2, Slope: 3}
		for _, p := range []float64{.01, .1, .5, .9, .99} {
			lc := truth.LC50 * math.Pow(10, (link.Quantile(p)-link.Quantile(.5))/truth.Slope)
			if got := truth.Mortality(lc); math.Abs(got-p) > 1e-13 {
				t.Errorf("%v: mortality at LC%v is %v", link, 100*p, got)
			}
		}
	}
}

func TestImpossibleTruthPanics(t *testing.T) {
	good := Truth{LC50: 1, Slope: 2}
	for name, spoil := range map[string]func(*Truth){
		"LC50 zero":          func(t *Truth) { t.LC50 = 0 },
		"LC50 infinite":      func(t *Truth) { t.LC50 = math.Inf(1) },
		"slope NaN":          func(t *Truth) { t.Slope = math.NaN() },
		"natural mortality":  func(t *Truth) { t.NaturalMortality = 1.1 },
		"rho":                func(t *Truth) { t.Rho = -.1 },
		"resistant fraction": func(t *Truth) { t.ResistantFraction = 1.5 },
		"no shift":           func(t *Truth) { t.ResistantFraction = .1 },
	} {
		bad := good
		spoil(&bad)
		mustPanic(t, name, func() { bad.Mortality(1) })
	}
	mustPanic(t, "negative dose", func() { good.Mortality(-1) })
	mustPanic(t, "falling doses", func() { GeometricDoses(0, 2, 3) })
}

var trial = Design{Doses: GeometricDoses(.5, 2, 5), Replicates: 3, Exposed: 12, Controls: 3, ControlExposed: 10}

func TestGeometricDoses(t *testing.T) {
	if got := GeometricDoses(.5, 2, 5); !slices.Equal(got, []float64{.5, 1, 2, 4, 8}) {
		t.Errorf("doses %v", got)
	}
	if got := GeometricDoses(1, 3, 0); len(got) != 0 {
		t.Errorf("doses %v, want none", got)
	}
}

func TestAssayFollowsItsDesign(t *testing.T) {
	truth := Truth{LC50: 2, Slope: 2.5, NaturalMortality: .05, Rho: .1}
	got := Assay(truth, trial, NewSource(3, 1))
	if len(got) != trial.Containers() || len(got) != 18 {
		t.Fatalf("%d containers, want 18", len(got))
	}
	for i, c := range got {
		dose, exposed := 0., 10
		if i < 15 {
			dose, exposed = trial.Doses[i/3], 12
		}
		if c.Dose != dose || c.Exposed != exposed || c.Dead < 0 || c.Dead > c.Exposed {
			t.Errorf("container %d is %+v", i, c)
		}
	}
	if again := Assay(truth, trial, NewSource(3, 1)); !slices.Equal(got, again) {
		t.Error("the same stream gave another assay")
	}
	if other := Assay(truth, trial, NewSource(3, 2)); slices.Equal(got, other) {
		t.Error("another stream gave the same assay")
	}
}

// Deaths at each dose must add up to what Mortality promises.
func TestAssayMortality(t *testing.T) {
	truth := Truth{Link: doseresp.Cloglog, LC50: 2, Slope: 2.5, NaturalMortality: .05, Rho: .1, ResistantFraction: .3, ResistantShift: 10}
	const assays = 4000
	dead := map[float64]int{}
	var buffer []doseresp.Container
	for i := range uint64(assays) {
		buffer = Append(buffer[:0], truth, trial, NewSource(5, i))
		for _, c := range buffer {
			dead[c.Dose] += c.Dead
		}
	}
	for dose, r := range dead {
		n := 12.
		if dose == 0 {
			n = 10
		}
		p := truth.Mortality(dose)
		se := math.Sqrt(p * (1 - p) * (1 + (n-1)*truth.Rho) / (3 * n * assays))
		if z := (float64(r)/(3*n*assays) - p) / se; math.Abs(z) > monteCarlo {
			t.Errorf("dose %v: %v standard errors from %v", dose, z, p)
		}
	}
}

func TestAppendKeepsAndDoesNotAllocate(t *testing.T) {
	truth, source := Truth{LC50: 2, Slope: 2.5, Rho: .1}, NewSource(1, 1)
	first := doseresp.Container{Dose: 99, Exposed: 1}
	if got := Append([]doseresp.Container{first}, truth, trial, source); got[0] != first || len(got) != 19 {
		t.Errorf("Append did not keep what was there: %v", got)
	}
	buffer := make([]doseresp.Container, 0, trial.Containers())
	if n := testing.AllocsPerRun(100, func() { Append(buffer, truth, trial, source) }); n != 0 {
		t.Errorf("%v allocations, want none", n)
	}
}
