package coast

import (
	"testing"

	"vialwise/bioassay"
)

func vials(deaths ...[3]int) (containers []bioassay.Container) {
	for _, d := range deaths {
		containers = append(containers, bioassay.Container{Concentration: float64(d[0]), Exposed: d[1], Dead: d[2]})
	}
	return containers
}

func TestPatterns(t *testing.T) {
	cases := []struct {
		name       string
		containers []bioassay.Container
		separated  bool
		allDead    bool
		noneDead   bool
		partial    bool
	}{
		{"step", vials([3]int{0, 9, 0}, [3]int{1, 9, 0}, [3]int{2, 9, 9}), true, false, false, false},
		{"step, vials of the upper dose", vials([3]int{1, 9, 0}, [3]int{2, 9, 9}, [3]int{2, 9, 8}), false, false, false, false},
		{"step with a dead control", vials([3]int{0, 9, 1}, [3]int{1, 9, 0}, [3]int{2, 9, 9}), false, false, false, false},
		{"partial kill", vials([3]int{1, 9, 3}, [3]int{2, 9, 9}), false, false, false, false},
		{"falling", vials([3]int{1, 9, 9}, [3]int{2, 9, 0}), false, false, false, false},
		{"all dead", vials([3]int{0, 9, 1}, [3]int{1, 9, 9}, [3]int{2, 9, 9}), false, true, false, false},
		{"a line", vials([3]int{0, 9, 1}, [3]int{1, 9, 1}, [3]int{2, 9, 4}, [3]int{4, 9, 0}, [3]int{4, 9, 9}), false, false, false, true},
		{"partial kill of controls", vials([3]int{0, 9, 1}, [3]int{1, 9, 1}, [3]int{2, 9, 4}, [3]int{4, 9, 9}), false, false, false, false},
		{"none dead", vials([3]int{0, 9, 1}, [3]int{1, 9, 0}, [3]int{2, 9, 0}), false, false, true, false},
	}
	for _, c := range cases {
		if got := separated(c.containers); got != c.separated {
			t.Errorf("%s: separated %v", c.name, got)
		}
		if got := allDead(c.containers); got != c.allDead {
			t.Errorf("%s: all dead %v", c.name, got)
		}
		if got := noneDead(c.containers); got != c.noneDead {
			t.Errorf("%s: none dead %v", c.name, got)
		}
		if got := partial(c.containers); got != c.partial {
			t.Errorf("%s: partial kills %v", c.name, got)
		}
	}
}

// A story whose assay is no longer planned would be lost without a word.
func TestEveryStoryIsTold(t *testing.T) {
	planned := map[string]bool{}
	for _, p := range plans() {
		if planned[p.name] {
			t.Errorf("%s is planned twice", p.name)
		}
		planned[p.name] = true
	}
	for name := range stories {
		if !planned[name] {
			t.Errorf("the story of %s is not among the plans", name)
		}
	}
	for code := range tested {
		if !planned[code+"-amitraz-2032-autumn"] && !planned[code+"-tau-fluvalinate-2032-autumn"] && !planned[code+"-coumaphos-2032-autumn"] {
			t.Errorf("apiary %s is not tested in the last season", code)
		}
	}
}

func TestDrawsRepeat(t *testing.T) {
	first, again := Files(), Files()
	for name := range first {
		if string(first[name]) != string(again[name]) {
			t.Errorf("%s differs from one run to the next", name)
		}
	}
}
