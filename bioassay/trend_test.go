package bioassay

import (
	"math"
	"testing"

	"vialwise/doseresp"
	"vialwise/doseresp/sim"
)

const tolerance = 1e-9 // relative, between two exact computations

func near(a, b float64) bool { return math.Abs(a-b) <= tolerance*math.Max(math.Abs(a), math.Abs(b)) }

func summed(rows ...row) []doseSum {
	var counts []doseresp.Container
	for _, r := range rows {
		counts = append(counts, doseresp.Container{Dose: r[0], Exposed: int(r[1]), Dead: int(r[2])})
	}
	_, doses := sumByDose(counts)
	return doses
}

// TestFewer compares with probabilities counted by hand, and with the tea
// tasting of Fisher (1935, The Design of Experiments, chapter 2): all four cups
// right has probability 1/70, three or more 17/70.
func TestFewer(t *testing.T) {
	for _, c := range []struct {
		r1, n1, r2, n2 int
		want           float64
	}{
		{0, 4, 4, 4, 1.0 / 70}, {1, 4, 3, 4, 17.0 / 70}, {4, 4, 0, 4, 1}, {0, 4, 0, 4, 1},
		{0, 1, 1, 1, 0.5}, {1, 3, 1, 1, 0.5},
	} {
		if got := fewer(c.r1, c.n1, c.r2, c.n2); !near(got, c.want) {
			t.Errorf("%d of %d against %d of %d: %g, want %g", c.r1, c.n1, c.r2, c.n2, got, c.want)
		}
	}
	// Where the normal approximation takes over, it agrees.
	exact, approximate := fewer(2400, 5000, 2500, 5000), fewer(2401, 5002, 2501, 5002)
	if math.Abs(exact-approximate) > 1e-3 || exact > 0.03 || exact < 0.02 {
		t.Errorf("exact %g, approximate %g", exact, approximate)
	}
	if p := fewer(0, 900_000_000, 900_000_000, 900_000_000); p != 0 {
		t.Errorf("huge counts: %g", p)
	}
}

// TestFallingTrend compares with the score statistic worked out by hand: with
// two doses z² is Pearson's χ² of the fourfold table times (N-1)/N. For 8 of 10
// against 3 of 10, χ² = 20(8·7 - 2·3)²/(11·9·10·10) = 5.0505, z = -2.1904, and P
// of the standard normal is 0.01425.
func TestFallingTrend(t *testing.T) {
	if p := fallingTrend(summed(row{1, 10, 8}, row{2, 10, 3})); math.Abs(p-0.01425) > 1e-5 {
		t.Errorf("P = %g", p)
	}
	if p := fallingTrend(summed(row{1, 10, 3}, row{2, 10, 8})); math.Abs(p-(1-0.01425)) > 1e-5 {
		t.Errorf("rising: P = %g", p)
	}
	// The same counts from vials that disagree say less.
	even := fallingTrend(summed(row{1, 10, 8}, row{1, 10, 8}, row{2, 10, 3}, row{2, 10, 3}))
	uneven := fallingTrend(summed(row{1, 10, 6}, row{1, 10, 10}, row{2, 10, 0}, row{2, 10, 6}))
	if !(even < 0.002 && uneven > 3*even) {
		t.Errorf("even %g, uneven %g", even, uneven)
	}
	for name, d := range map[string][]doseSum{
		"nothing": nil, "one dose": summed(row{1, 10, 5}), "none dead": summed(row{1, 10, 0}, row{2, 10, 0}),
		"all dead": summed(row{1, 10, 10}, row{2, 10, 10}),
	} {
		if p := fallingTrend(d); p != 1 {
			t.Errorf("%s: P = %g", name, p)
		}
	}
}

// TestFalseAlarms simulates assays of ordinary mites, five doses by two, three
// vials of 12 each, with and without variation between vials: the rules on the
// trend must stay quiet. Without any effect of dose the trend test must hold
// its 5 % (standard error of 4,000 assays: 0.34 points).
func TestFalseAlarms(t *testing.T) {
	const replicates = 4000
	for _, c := range []struct {
		name       string
		slope, rho float64
		most       float64 // share of assays with any alarm
	}{
		{"rising", 2.5, 0, 0.005}, {"rising, vials vary", 2.5, 0.1, 0.01}, {"shallow", 1, 0, 0.02},
		{"flat", 1e-9, 0, 0.09}, {"flat, vials vary", 1e-9, 0.1, 0.12},
	} {
		source := sim.NewSource(31, uint64(len(c.name)))
		alarms, trends := 0, 0
		for range replicates {
			doses := drawn(source, c.slope, c.rho)
			trend := fallingTrend(doses) < clearly
			if trend {
				trends++
			}
			if trend || clearestDip(doses).p < clearly {
				alarms++
			}
		}
		rate, trendRate := float64(alarms)/replicates, float64(trends)/replicates
		t.Logf("%-20s any alarm %.4f, falling trend %.4f", c.name, rate, trendRate)
		if rate > c.most {
			t.Errorf("%s: alarm in %.4f of sound assays, at most %g expected", c.name, rate, c.most)
		}
		if c.name == "flat" && (trendRate < 0.03 || trendRate > 0.06) {
			t.Errorf("%s: the trend test rejects %.4f, want about 0.05 or somewhat less", c.name, trendRate)
		}
	}
}

// drawn is an assay around LC50 4 with five doses by two and three vials of 12.
func drawn(source *sim.Source, slope, rho float64) []doseSum {
	var rows []row
	for i := range 5 {
		dose := math.Pow(2, float64(i))
		p := normalBelow(slope * math.Log10(dose/4))
		for range 3 {
			dead := source.Binomial(12, p)
			if rho > 0 {
				dead = source.BetaBinomial(12, p, rho)
			}
			rows = append(rows, row{dose, 12, float64(dead)})
		}
	}
	return summed(rows...)
}

// TestLongSeries keeps the search for dips from growing with the square: beyond
// fifty doses, a slow fall from 15 of 15 to none is not found between
// neighbours.
func TestLongSeries(t *testing.T) {
	for n, found := range map[int]bool{45: true, 60: false} {
		var rows []row
		for i := range n {
			rows = append(rows, row{float64(i + 1), 15, math.Round(15 * float64(n-1-i) / float64(n-1))})
		}
		if d := clearestDip(summed(rows...)); (d.p < clearly) != found {
			t.Errorf("%d doses: %+v", n, d)
		}
	}
}
