package plots

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"
)

func TestDescriptionTellsTheFinding(t *testing.T) {
	for _, c := range []struct {
		curve Curve
		want  string
	}{
		{ordinary(), "LC50 1.32 µg/vial, limits 1.02 to 1.7."},
		{ordinary(), "Natural mortality 5 %."},
		{ordinary(), "Dead of exposed: control 3 of 60, at 0.25 4 of 40, at 0.5 9 of 40, at 1 25 of 60, at 2 28 of 40, at 4 37 of 40, at 8 20 of 20."},
		{ordinary(), "Mortality against concentration of Amitraz (µg/vial). LC50 1.32"},
		{unbounded(), "LC50 3.5 µg/vial, limits unbounded below to unbounded above."},
		{separated(), "No LC50 is estimated; it lies between 1 and 2 µg/vial."},
		{separated(), "no fit: separated; LC50 between 1 and 2 µg/vial."},
		{allAlive(), "No LC50 is estimated; it lies above 4 µg/vial."},
		{allDead(), "No LC50 is estimated; it lies below 0.5 µg/vial."},
		{curves()["no-limits"], "LC50 1.32 µg/vial, without limits."},
		{curves()["one-dose"], "No LC50 is estimated. Dead of exposed: at 1 9 of 20."},
		{curves()["no-mites"], "No mites were counted."},
		{curves()["marked"], "No mites were counted. invented data."},
		{curves()["micro"], "concentration of Amitraz (ug/vial). LC50 1.32 ug/vial"},
	} {
		if _, got := c.curve.words(); !strings.Contains(got, c.want) {
			t.Errorf("description %q lacks %q", got, c.want)
		}
	}
}

func TestDigits(t *testing.T) {
	for v, want := range map[float64]string{0.25: "0.25", 1234.56: "1235", 123456: "123500", 0.00012345: "0.0001234", 1e-300: "1e-300"} {
		if got := digits(v); got != want {
			t.Errorf("digits(%g) = %q, want %q", v, got, want)
		}
	}
}

// The footer names each arrow by what it means.
func TestArrowsAreExplained(t *testing.T) {
	for _, c := range []struct {
		curve Curve
		want  string
	}{
		{ordinary(), ""},
		{unbounded(), "Arrows: no limits exist."},
		{beyond(3, 0, 12), "Arrow: no lower limit."},
		{beyond(30, 12, inf), "Arrow: no upper limit."},
		{beyond(5000, 90, 1e6), "Arrow: LC50 beyond the axis. Arrow: upper limit beyond the axis."},
		{beyond(1e-4, 1e-6, 1e-3), "Arrow: LC50 beyond the axis. Arrow: lower limit beyond the axis."},
		{separated(), ""},
	} {
		if got := strings.Join(c.curve.arrowWords(c.curve.axisSpan()), " "); got != c.want {
			t.Errorf("LC50 %g (%g to %g): %q, want %q", c.curve.LC50, c.curve.Lower, c.curve.Upper, got, c.want)
		}
	}
}

// The LC50 mark stands on the fitted curve, whatever the natural mortality.
func TestLC50StandsOnTheCurve(t *testing.T) {
	const tolerance = 1e-12
	for _, natural := range []float64{nan, 0, 0.05, 0.3} {
		c := ordinary()
		c.NaturalMortality = natural
		c.Response = probit(c.LC50, 2.6, orNothing(natural))
		if got, want := c.halfKill(), c.Response(c.LC50); math.Abs(got-want) > tolerance {
			t.Errorf("natural mortality %g: mark at %g, curve at %g", natural, got, want)
		}
	}
}

// The area of a point is proportional to its mites: 15 have half the radius of
// 60.
func TestAreaByNumber(t *testing.T) {
	_, big := drawBar(pen{&recording{}}, hundred, Point{1, 60, 30}, 0, soleStyle, 60)
	_, small := drawBar(pen{&recording{}}, hundred, Point{1, 15, 7}, 0, soleStyle, 60)
	const tolerance = 1e-12
	if ratio := float64(big / small); math.Abs(ratio-2) > tolerance {
		t.Errorf("radii %g and %g for 60 and 15 mites, ratio %g, want 2", big, small, ratio)
	}
}

func ExampleWrite() {
	c := Curve{
		Caption:   Caption{Title: "Apiary 14, spring 2031", Note: "no fit: separated; LC50 between 1 and 2 µg/vial"},
		Substance: Substance{Acaricide: "amitraz", Unit: "µg/vial"},
		Population: Population{
			Points:           []Point{{0, 15, 0}, {0.5, 15, 0}, {1, 15, 0}, {2, 15, 15}, {4, 15, 15}},
			NaturalMortality: math.NaN(),
			LC50:             math.NaN(),
			Bracket:          [2]float64{1, 2},
		},
	}
	var b strings.Builder
	if err := Write(&b, c, InlineSVG); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return
	}
	for _, line := range strings.Split(b.String(), "\n")[1:3] {
		fmt.Println(line)
	}
	// Output:
	// <title>Apiary 14, spring 2031</title>
	// <desc>Mortality against concentration of Amitraz (µg/vial). no fit: separated; LC50 between 1 and 2 µg/vial. No LC50 is estimated; it lies between 1 and 2 µg/vial. Dead of exposed: control 0 of 15, at 0.5 0 of 15, at 1 0 of 15, at 2 15 of 15, at 4 15 of 15.</desc>
}
