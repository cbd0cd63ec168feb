package plots

import (
	"math"
	"strings"
	"testing"
)

func anyRoom([]tick) bool { return true }

// labels joins the labels of the axis from lo to hi (concentrations).
func labels(lo, hi float64, fits func([]tick) bool) string {
	var out []string
	for _, k := range concentrationTicks(math.Log10(lo), math.Log10(hi), fits) {
		switch {
		case k.exponent != "":
			out = append(out, k.label+"^"+k.exponent)
		case k.label != "":
			out = append(out, k.label)
		}
	}
	return strings.Join(out, " ")
}

func TestTickLabels(t *testing.T) {
	for _, c := range []struct {
		lo, hi float64
		want   string
	}{
		{0.05, 1, "0.05 0.1 0.2 0.5 1"},
		{0.04, 1.1, "0.05 0.1 0.2 0.5 1"},
		{0.2, 10, "0.2 0.5 1 2 5 10"},
		{0.5, 100, "0.5 1 2 5 10 20 50 100"},          // eight, the most
		{0.2, 100, "0.3 1 3 10 30 100"},               // nine would be too many
		{0.001, 1000, "0.001 0.01 0.1 1 10 100 1000"}, // powers of ten over many decades
		{1e-4, 1e5, "0.0001 0.01 1 100 10000"},
		{1e-9, 1e9, "10^−9 10^−6 10^−3 10^0 10^3 10^6 10^9"},
		{1e-6, 2e-5, "10^−6 2×10^−6 5×10^−6 10^−5 2×10^−5"},
		{1.05, 2.6, "1.5 2"},      // too narrow for 1-2-5
		{0.9, 2.1, "0.9 1 1.5 2"}, // likewise
		{1e-300, 1e300, "10^−300 10^−200 10^−100 10^0 10^100 10^200 10^300"},
	} {
		if got := labels(c.lo, c.hi, anyRoom); got != c.want {
			t.Errorf("axis %g to %g: labels %q, want %q", c.lo, c.hi, got, c.want)
		}
	}
}

// Where labels would collide the next sparser ladder is taken.
func TestTicksThinOut(t *testing.T) {
	four := func(k []tick) bool { return len(k) <= 4 }
	if got, want := labels(0.2, 100, four), "1 10 100"; got != want {
		t.Errorf("with room for four: %q, want %q", got, want)
	}
	if got, want := labels(0.001, 1000, four), "0.01 1 100"; got != want {
		t.Errorf("with room for four over six decades: %q, want %q", got, want)
	}
}

// Over every range: ascending, within the axis, at most eight labels, at least
// two where the axis spans the half decade that the figure always gives it.
func TestTicksOverAllRanges(t *testing.T) {
	for lo := -8.0; lo < 8; lo += 0.37 {
		for width := minSpan; width < 14; width *= 1.13 {
			last, labelled := math.Inf(-1), 0
			for _, k := range concentrationTicks(lo, lo+width, anyRoom) {
				if k.at <= last || k.at < lo-1e-8 || k.at > lo+width+1e-8 {
					t.Fatalf("axis %g + %g: tick at %g after %g", lo, width, k.at, last)
				}
				if last = k.at; k.label != "" {
					labelled++
				}
			}
			if labelled < 2 || labelled > maxLabels {
				t.Errorf("axis %g + %g: %d labels", lo, width, labelled)
			}
		}
	}
}

// A minor tick gives way to a label at the same place and to nothing else.
func TestMinorTicks(t *testing.T) {
	minor, major := 0, 0
	for _, k := range concentrationTicks(0, 1, anyRoom) {
		if k.label == "" {
			minor++
		} else {
			major++
		}
	}
	if major != 4 || minor != 6 { // 1 2 5 10 and 3 4 6 7 8 9
		t.Errorf("1 to 10: %d labelled and %d minor ticks, want 4 and 6", major, minor)
	}
}
