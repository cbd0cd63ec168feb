package plots

import "gonum.org/v1/plot/vg"

// seasonLabels are the labels of seasons along an axis.
type seasonLabels []string

// ticks labels the seasons, or every second, third ... where they do not
// fit, in full where that is possible and else cut.
func (s seasonLabels) ticks(_ span, fits func([]tick) bool) []tick {
	var ticks []tick
	for _, limit := range []vg.Length{1000, 60, 48, 36, 24} {
		for every := 1; every <= max(1, (len(s)+2)/3); every++ {
			var labelled []tick
			if ticks, labelled = s.labelled(every, limit); fits(labelled) {
				return ticks
			}
		}
	}
	return ticks
}

// labelled returns a tick for each season, and those of them that have a label, no
// wider than limit.
func (s seasonLabels) labelled(every int, limit vg.Length) (all, labelled []tick) {
	for i, label := range s {
		k := tick{at: float64(i), value: float64(i)}
		if i%every == 0 {
			k.label, k.under = twoLines(clean(label))
			k.label, k.under = short(k.label, limit), short(k.under, limit)
			labelled = append(labelled, k)
		}
		all = append(all, k)
	}
	return all, labelled
}

// twoLines breaks a label at the hyphen or space that leaves the halves most alike.
func twoLines(s string) (first, second string) {
	first = s
	best := len(s) + 1
	for i, r := range s {
		if r != '-' && r != ' ' {
			continue
		}
		if longer := max(i, len(s)-i); longer < best {
			best, first, second = longer, s[:i], s[i+1:]
		}
	}
	return first, second
}

// short cuts a label in its middle.
func short(s string, limit vg.Length) string {
	lines := fitName(s, limit, bodySize, bodySize, 1).lines
	if len(lines) == 0 {
		return ""
	}
	return lines[0]
}
