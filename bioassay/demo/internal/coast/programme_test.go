package coast

import (
	"math"
	"slices"
	"testing"
)

// Lists name apiaries and assays by their codes: each must be one that exists.
func TestProgrammeListsNameWhatIsThere(t *testing.T) {
	planned := map[string]bool{}
	for _, p := range programmePlans() {
		if planned[p.name] {
			t.Errorf("%s is planned twice", p.name)
		}
		planned[p.name] = true
	}
	for name := range programmeStories {
		if !planned[name] {
			t.Errorf("the story of %s is not among the plans", name)
		}
	}
	for _, name := range repeated {
		if !planned[name] || !planned[name+"-2"] {
			t.Errorf("%s is not planned twice", name)
		}
	}
	codes, names, contacts := map[string]bool{}, map[string]bool{}, map[string]bool{}
	for _, p := range programmePlaces() {
		codes[p.code], names[p.name], contacts[p.contact] = true, true, true
	}
	if len(codes) != 60 || len(names) != 60 || len(contacts) != 60 {
		t.Errorf("%d codes, %d names and %d contacts of 60 apiaries", len(codes), len(names), len(contacts))
	}
	for _, list := range [][]string{neverTested, oneDose, thorough, emergence} {
		for _, code := range list {
			if !codes[code] {
				t.Errorf("there is no apiary %s", code)
			}
		}
	}
}

// The front reaches Yrdemoor at once, Cormavelle later and the south of
// Saskellan not within the programme.
func TestFrontMovesSouth(t *testing.T) {
	ratio := func(latitude, years float64) float64 {
		r, _ := expectation(place{latitude: latitude}, 't', years)
		return r
	}
	const tolerance = 1e-12
	near := func(a, b float64) bool { return a/b < 1+tolerance && b/a < 1+tolerance }
	if !near(ratio(41.5, 1), 3*ratio(41.5, 0)) || !near(ratio(41.5, 2.5), 3*ratio(41.5, 1.5)) {
		t.Error("the ratio does not triple in a year north of the front")
	}
	if ratio(40.5, 1) != ordinaryRatio || ratio(40.5, 2) <= ordinaryRatio || ratio(39.6, 2.5) != ordinaryRatio {
		t.Errorf("ratios %v and %v in the middle, %v in the south", ratio(40.5, 1), ratio(40.5, 2), ratio(39.6, 2.5))
	}
}

// Some apiaries have no neighbour, and the others have at least two.
func TestNeighbourhoods(t *testing.T) {
	const (
		kmNorth, kmEast = 111, 84.5 // in a degree, at 40.6 N
		near, far       = 15, 20    // km
	)
	lone := []string{"B24", "B25", "B45", "B46", "B59", "B60"}
	for _, p := range programmePlaces() {
		neighbours, nearest := 0, math.Inf(1)
		for _, q := range programmePlaces() {
			if q.code == p.code {
				continue
			}
			d := math.Hypot(kmNorth*(p.latitude-q.latitude), kmEast*(p.longitude-q.longitude))
			nearest = min(nearest, d)
			if d < near {
				neighbours++
			}
		}
		if alone := slices.Contains(lone, p.code); alone && nearest < far || !alone && neighbours < 2 {
			t.Errorf("%s: the nearest is %.1f km away, %d are nearer than %d km", p.code, nearest, neighbours, near)
		}
	}
}
