package plots

import (
	"math"
	"strconv"
)

// maxLabels is the largest number of labels on a concentration axis.
const maxLabels = 8

// tick is a mark on the concentration axis. A minor tick has no label.
type tick struct {
	at       float64 // log10 of the concentration
	value    float64 // the concentration
	label    string  // "" for a minor tick
	exponent string  // raised after the label: "10" and "−6"
	under    string  // a second line
}

// A ladder names the concentrations that carry a label: the mantissas within
// each decade, in every stride-th decade.
type ladder struct {
	mantissas []float64
	stride    int
}

// ladders from the preferred downwards. The first is the 1-2-5 series, the
// second is near to half decades; the others serve wider and wider ranges with
// powers of ten.
var ladders = []ladder{
	{[]float64{1, 2, 5}, 1},
	{[]float64{1, 3}, 1},
	{[]float64{1}, 1},
	{[]float64{1}, 2},
	{[]float64{1}, 3},
	{[]float64{1}, 5},
	{[]float64{1}, 10},
	{[]float64{1}, 50},
	{[]float64{1}, 100},
}

// fine serves a range so narrow that the 1-2-5 series leaves fewer than three.
var fine = ladder{[]float64{1, 1.5, 2, 3, 4, 5, 6, 7, 8, 9}, 1}

// concentrationTicks returns the ticks of an axis from 10^lo to 10^hi in
// ascending order, at most maxLabels of them labelled. The labels come from the
// first ladder that fits finds room for; it is given the labelled ticks only.
func concentrationTicks(lo, hi float64, fits func([]tick) bool) []tick {
	chosen := choose(lo, hi, fits)
	return merge(minorTicks(lo, hi), chosen)
}

// choose returns the labelled ticks.
func choose(lo, hi float64, fits func([]tick) bool) []tick {
	room := func(t []tick) bool { return len(t) <= maxLabels && fits(t) }
	var marks []tick
	for i, l := range ladders {
		marks = l.ticks(lo, hi)
		if !room(marks) {
			continue
		}
		if i == 0 && len(marks) < 3 {
			if more := fine.ticks(lo, hi); room(more) {
				return more
			}
		}
		return marks
	}
	return marks[:min(1, len(marks))]
}

// ticks returns the labelled ticks of the ladder between 10^lo and 10^hi.
func (l ladder) ticks(lo, hi float64) []tick {
	const slack = 1e-9 // an end that is a tick but for rounding keeps it
	var out []tick
	for e := int(math.Floor(lo)); e <= int(math.Ceil(hi)); e++ {
		if e%l.stride != 0 {
			continue
		}
		for _, m := range l.mantissas {
			v := decimal(m, e) // 0 or +Inf beyond the doubles, so outside lo..hi
			if at := math.Log10(v); at >= lo-slack && at <= hi+slack && v <= math.MaxFloat64 {
				out = append(out, tick{at: at, value: v})
			}
		}
	}
	return label(out)
}

// decimal returns the double nearest to m·10^e, which multiplying would miss;
// +Inf when there is none.
func decimal(m float64, e int) float64 {
	s := strconv.FormatFloat(m, 'f', -1, 64) + "e" + strconv.Itoa(e)
	v, _ := strconv.ParseFloat(s, 64) // the only possible error gives ±Inf, as documented
	return v
}

// label writes the labels, all as plain decimals, or all as powers of ten where
// one of them would need more than four zeros.
func label(ticks []tick) []tick {
	powers := false
	for _, t := range ticks {
		powers = powers || t.value < 0.9e-4 || t.value > 1.1e5
	}
	for i := range ticks {
		t := &ticks[i]
		t.label = strconv.FormatFloat(t.value, 'f', -1, 64)
		if powers {
			t.label, t.exponent = power(t.value)
		}
	}
	return ticks
}

// power splits v into the base and the exponent of scientific notation.
func power(v float64) (base, exponent string) {
	s := strconv.FormatFloat(v, 'e', -1, 64)
	mantissa, exp := s, 0
	for i := range s {
		if s[i] == 'e' {
			mantissa = s[:i]
			exp, _ = strconv.Atoi(s[i+1:]) // FormatFloat always writes an integer here
		}
	}
	base = "10"
	if mantissa != "1" {
		base = mantissa + "×10"
	}
	if exp < 0 {
		return base, "−" + strconv.Itoa(-exp)
	}
	return base, strconv.Itoa(exp)
}

// minorTicks returns unlabelled ticks: every digit of a decade where there is
// room, only the powers of ten over many decades.
func minorTicks(lo, hi float64) []tick {
	l := ladder{[]float64{1, 2, 3, 4, 5, 6, 7, 8, 9}, 1}
	switch span := hi - lo; {
	case span > 30:
		return nil
	case span > 4:
		l.mantissas = []float64{1}
	}
	out := l.ticks(lo, hi)
	for i := range out {
		out[i].label, out[i].exponent = "", ""
	}
	return out
}

// merge joins two ascending lists; where both have a tick the labelled wins.
func merge(minor, major []tick) []tick {
	out := make([]tick, 0, len(minor)+len(major))
	for len(minor) > 0 || len(major) > 0 {
		switch {
		case len(major) == 0 || len(minor) > 0 && minor[0].value < major[0].value:
			out, minor = append(out, minor[0]), minor[1:]
		case len(minor) > 0 && minor[0].value == major[0].value:
			minor = minor[1:]
		default:
			out, major = append(out, major[0]), major[1:]
		}
	}
	return out
}
