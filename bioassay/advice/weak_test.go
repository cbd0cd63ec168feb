package advice

import (
	"math"
	"testing"
)

// TestWeak: the upper limit decides where it is known, else the estimate. Expected
// are 95 % of a synthetic active (COLOSS BEEBOOK, varroa chapter, 4.5.4).
func TestWeak(t *testing.T) {
	nan := math.NaN()
	for name, c := range map[string]struct {
		efficacy Range
		want     bool
	}{
		"unknown":             {Range{}, false},
		"below":               {KnownRange(60, 50, 70), true},
		"limit above":         {KnownRange(90, 80, 97), false},
		"estimate alone":      {KnownRange(60, nan, nan), true},
		"good estimate alone": {KnownRange(97, nan, nan), false},
		"limits alone":        {KnownRange(nan, 50, 70), true},
		"wide limits alone":   {KnownRange(nan, 50, 97), false},
		"lower alone":         {KnownRange(nan, 50, nan), false},
		"no lower":            {KnownRange(60, nan, 97), false},
	} {
		if got := (Treatment{Acaricide: "amitraz", Efficacy: c.efficacy}).weak(); got != c.want {
			t.Errorf("%s: weak %v", name, got)
		}
	}
}
