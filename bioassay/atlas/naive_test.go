package atlas

import (
	"testing"

	"vialwise/bioassay/geo"
)

// Ways of publishing that must fall to the attack.

// each calls do for every edition and the seasons that it knows.
func each(do func(edition, season int)) {
	for edition := range editions {
		for season := range edition + 1 {
			do(edition, season)
		}
	}
}

// holding returns who stands in a square.
func holding(c geo.Cell) func(state) bool {
	return func(s state) bool { return c.Holds(s.cell) }
}

// totals publishes the good areas of the last edition alone, and a total over all
// apiaries.
func totals(_ *testing.T, w *world) map[quantity][]mean {
	out := map[quantity][]mean{}
	const edition = editions - 1
	areas := Partition(w.sites(edition, everybody), LeastK, DefaultTop, nil)
	for season, s := range worldSeasons {
		q := quantity{season: s}
		for _, c := range areas {
			if m := w.members(edition, season, false, holding(c)); len(m) >= LeastK {
				add(out, q, m)
			}
		}
		add(out, q, w.members(edition, season, false, everybody))
	}
	return out
}

// redrawn publishes good areas, but of the apiaries that were tested, and anew in
// each edition.
func redrawn(_ *testing.T, w *world) map[quantity][]mean {
	out := map[quantity][]mean{}
	each(func(edition, season int) {
		tested := w.sites(edition, func(s state) bool { return s.tested[season] })
		for _, c := range Partition(tested, LeastK, DefaultTop, nil) {
			add(out, quantity{season: worldSeasons[season]}, w.members(edition, season, false, holding(c)))
		}
	})
	return out
}

// growing keeps the areas, and publishes one again when k more results are in it,
// whatever was published of others.
func growing(_ *testing.T, w *world) map[quantity][]mean {
	out := map[quantity][]mean{}
	var areas []geo.Cell
	type at struct {
		geo.Cell
		season int
	}
	last := map[at]int{}
	each(func(edition, season int) {
		areas = Partition(w.sites(edition, everybody), LeastK, DefaultTop, areas)
		for _, c := range areas {
			m := w.members(edition, season, false, holding(c))
			if len(m) >= last[at{c, season}]+LeastK {
				add(out, quantity{season: worldSeasons[season]}, m)
				last[at{c, season}] = len(m)
			}
		}
	})
	return out
}

// estimated publishes once, but the mean of the estimates of whoever has one.
func estimated(_ *testing.T, w *world) map[quantity][]mean {
	out := map[quantity][]mean{}
	for _, c := range Partition(w.sites(0, everybody), LeastK, DefaultTop, nil) {
		if len(w.members(0, 0, false, holding(c))) >= LeastK {
			add(out, quantity{worldSeasons[0], true}, w.members(0, 0, true, holding(c)))
		}
	}
	return out
}

// nested publishes squares of two sizes with k results or more, side by side.
func nested(_ *testing.T, w *world) map[quantity][]mean {
	out := map[quantity][]mean{}
	const edition = editions - 1
	for level := 1; level <= 2; level++ {
		seen := map[geo.Cell]bool{}
		for _, s := range w[edition] {
			c := s.cell.Up(level)
			for season := range worldSeasons {
				if m := w.members(edition, season, false, holding(c)); !seen[c] && len(m) >= LeastK {
					add(out, quantity{season: worldSeasons[season]}, m)
				}
			}
			seen[c] = true
		}
	}
	return out
}
