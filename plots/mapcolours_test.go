package plots

import (
	"image/color"
	"math"
	"slices"
	"testing"
)

// Linear RGB as people without one kind of cone see it: Machado, Oliveira,
// Fernandes (2009), A physiologically-based model for simulation of color vision
// deficiency, IEEE Transactions on Visualization and Computer Graphics 15,
// 1291-1298, severity 1.0; the numbers are from memory.
var deficiencies = map[string][3][3]float64{
	"protanopia":   {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
	"deuteranopia": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
	"tritanopia":   {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
	"grey":         {{0.2126, 0.7152, 0.0722}, {0.2126, 0.7152, 0.0722}, {0.2126, 0.7152, 0.0722}},
}

// seen returns the luminance of a colour as seen with a deficiency.
func seen(c color.NRGBA, m [3][3]float64) float64 {
	var rgb, out [3]float64
	for i, v := range []uint8{c.R, c.G, c.B} {
		rgb[i] = brightness(color.NRGBA{R: v, G: v, B: v})
	}
	for i := range out {
		for j := range rgb {
			out[i] += m[i][j] * rgb[j]
		}
		out[i] = min(max(out[i], 0), 1)
	}
	return 0.2126*out[0] + 0.7152*out[1] + 0.0722*out[2]
}

// The deficiencies leave white white, by which a wrong number would be found.
func TestDeficienciesKeepWhite(t *testing.T) {
	for name, m := range deficiencies {
		for i, row := range m {
			if sum := row[0] + row[1] + row[2]; math.Abs(sum-1) > 2e-5 {
				t.Errorf("%s: row %d adds up to %g", name, i+1, sum)
			}
		}
	}
}

// Lightness falls from class to class, and neighbours stand apart in grey and to
// eyes that lack a kind of cone.
func TestClassesAreAnOrderToEveryEye(t *testing.T) {
	const least = 1.3 // contrast of neighbours among six; of four it is 1.5
	for n := 2; n <= 6; n++ {
		for name, m := range deficiencies {
			for i := 1; i < n; i++ {
				a, b := seen(classColour(i-1, n), m), seen(classColour(i, n), m)
				if got := (a + 0.05) / (b + 0.05); got < least {
					t.Errorf("%s: of %d classes, %d and %d have contrast %.2f, want %g", name, n, i, i+1, got, least)
				}
			}
		}
	}
}

// Numbers can be read on every area, and lines seen on the lighter and the darker
// ones: WCAG 2.1 asks for 4.5 and 3.
func TestContrastOnAreas(t *testing.T) {
	for n := 1; n <= 7; n++ {
		for i := range n {
			for _, c := range []MapCertainty{MapClear, MapLikely, MapUnsure} {
				k := inks(classColour(i, n), c)
				if got := contrast(on(k.fill), k.fill); got < 4.5 {
					t.Errorf("class %d of %d, %v: number at contrast %.2f", i+1, n, c, got)
				}
				if got := contrast(k.lines, k.fill); k.apart > 0 && got < 1.8 {
					t.Errorf("class %d of %d, %v: lines at contrast %.2f", i+1, n, c, got)
				}
			}
		}
	}
	for _, paper := range []color.NRGBA{sea, land, white} {
		if got := contrast(ink, paper); got < 4.5 {
			t.Errorf("text on %v: contrast %.2f", paper, got)
		}
	}
	if got := contrast(coast, white); got < 3 {
		t.Errorf("coast: contrast %.2f", got)
	}
	if got := contrast(white, warning); got < 4.5 {
		t.Errorf("words against sharing: contrast %.2f", got)
	}
	if math.Abs((1+0.05)/(middling+0.05)-(middling+0.05)/0.05) > 0.01 {
		t.Errorf("black and white do not stand out alike at %g", middling)
	}
}

// The page of a map has the colours of the print.
func TestClassColours(t *testing.T) {
	if got := ClassColours(4); !slices.Equal(got, []string{"#D6EEE6", "#E2AC48", "#B84E24", "#551135"}) {
		t.Errorf("colours %v, want the ramp itself", got)
	}
	if got := ClassColours(1); len(got) != 1 || got[0] != "#D6EEE6" {
		t.Errorf("one colour %v", got)
	}
}
