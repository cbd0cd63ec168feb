package render

import (
	"math"
	"math/rand/v2"
	"strconv"
	"testing"
)

func TestSignificant(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		x      float64
		digits int
		want   string
	}{
		{4.845491787662128, 4, "4.845"},
		{12.134114, 4, "12.13"},
		{9.9999, 4, "10.00"}, // the carry adds a digit before the point
		{9.9999, 2, "10"},
		{9.9994, 4, "9.999"},
		{99.996, 4, "100.0"},
		{0.99999, 4, "1.000"},
		{0.099999, 3, "0.100"},
		{999.95, 4, "1000"},
		{1, 4, "1.000"},
		{10, 4, "10.00"},
		{100, 4, "100.0"},
		{1000, 4, "1000"},
		{1234567.8, 4, "1235000"},
		{1234567.8, 8, "1234567.8"},
		{9999999, 4, "1.000e+07"},
		{12345678, 4, "1.235e+07"},
		{0.00012345, 3, "0.000123"},
		{0.0001, 4, "0.0001000"},
		{0.0000999999, 4, "0.0001000"}, // the carry reaches the range without exponent
		{0.0000999, 4, "9.990e-05"},
		{1e-7, 4, "1.000e-07"},
		{1e300, 4, "1.000e+300"},
		{5e-324, 4, "4.941e-324"},
		{-9.9999, 4, "-10.00"},
		{0, 4, "0"},
		{math.Copysign(0, -1), 4, "0"},
		{math.NaN(), 4, "–"},
		{inf, 4, "∞"},
		{-inf, 4, "−∞"},
	} {
		if got := significant(c.x, c.digits); got != c.want {
			t.Errorf("significant(%v, %d) = %q, want %q", c.x, c.digits, got, c.want)
		}
	}
}

// TestSignificantIsNear draws doses over the whole range and reads them back.
func TestSignificantIsNear(t *testing.T) {
	const halfUnit = 5.0001e-4 // of the fourth digit, relative to the number
	rng := rand.New(rand.NewPCG(1, 2))
	for range 10_000 {
		x := math.Pow(10, 40*rng.Float64()-20)
		text := dose(x)
		back, err := strconv.ParseFloat(text, 64)
		if err != nil || math.Abs(back-x) > halfUnit*x {
			t.Fatalf("dose(%v) = %q, read back as %v, %v", x, text, back, err)
		}
		digits := 0
		for i, leading := 0, true; i < len(text) && text[i] != 'e'; i++ {
			if leading = leading && (text[i] == '0' || text[i] == '.'); !leading && text[i] != '.' {
				digits++
			}
		}
		if x < 1000 && digits != 4 {
			t.Fatalf("dose(%v) = %q has %d digits", x, text, digits)
		}
	}
}

func TestFixed(t *testing.T) {
	for _, c := range []struct {
		x        float64
		decimals int
		want     string
	}{
		{0.0495084, 3, "0.050"},
		{0.9996, 3, "1.000"},
		{1.728875, 2, "1.73"},
		{0, 2, "0.00"},
		{1e7, 2, "1.000e+07"},
		{math.NaN(), 2, "–"},
		{math.Inf(1), 2, "∞"},
		{math.Inf(-1), 2, "−∞"},
	} {
		if got := fixed(c.x, c.decimals); got != c.want {
			t.Errorf("fixed(%v, %d) = %q, want %q", c.x, c.decimals, got, c.want)
		}
	}
}

func TestPercentAndName(t *testing.T) {
	for x, want := range map[float64]string{0.95: "95 %", 0.05: "5 %", 0.999: "99.9 %", 0.07: "7 %", 1.0 / 3: "33.33 %"} {
		if got := percent(x); got != want {
			t.Errorf("percent(%v) = %q, want %q", x, got, want)
		}
	}
	for p, want := range map[float64]string{50: "LC50", 99.9: "LC99.9", 2.5: "LC2.5"} {
		if got := lcName(p); got != want {
			t.Errorf("lcName(%v) = %q, want %q", p, got, want)
		}
	}
}

// TestFullRoundTrip reads back numbers of every size, bit by bit.
func TestFullRoundTrip(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for range 10_000 {
		x := math.Float64frombits(rng.Uint64())
		text := full(x)
		if math.IsNaN(x) || math.IsInf(x, 0) {
			if text != "" {
				t.Fatalf("full(%v) = %q", x, text)
			}
			continue
		}
		if back, err := strconv.ParseFloat(text, 64); err != nil || math.Float64bits(back) != math.Float64bits(x) {
			t.Fatalf("full(%v) = %q, read back as %v, %v", x, text, back, err)
		}
	}
	for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if got := full(x); got != "" {
			t.Errorf("full(%v) = %q", x, got)
		}
	}
}

// TestProbability shows that no probability is rounded to certainty.
func TestProbability(t *testing.T) {
	for p, want := range map[float64]string{
		0: "below 0.001", 1e-9: "below 0.001", 0.00099: "below 0.001", 0.001: "0.001", 0.0126: "0.013", 0.5: "0.500",
		0.979: "0.979", 0.999: "0.999", 0.9991: "above 0.999", 1: "above 0.999",
	} {
		if got := probability(p); got != want {
			t.Errorf("%g became %q, want %q", p, got, want)
		}
	}
}
