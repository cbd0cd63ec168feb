package sim

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"
)

// exact is the error that rounding may leave.
const exact = 1e-9

// withoutTimes is everything in results that must repeat, NaN included.
func withoutTimes(results []CellResult) string {
	results = slices.Clone(results)
	for i := range results {
		results[i].Seconds = [stageCount]float64{}
	}
	return fmt.Sprintf("%+v", results)
}

// few is a small study with cells that often have no line.
func few() Study {
	return Study{
		Cells: []Cell{
			{5, 3, 4, 4, 0, 0.1}, {5, 3, 2, 4, 0, 0}, {6, 3, 8, 2.5, 0.1, 0.05},
		},
		DataSets: 4, Seed: 5, Bootstrapped: 2, Replicates: 200,
	}
}

// TestStudyRepeats gives the work to different numbers of goroutines.
func TestStudyRepeats(t *testing.T) {
	run := func(workers int, seed uint64) string {
		s := few()
		s.Workers, s.Seed = workers, seed
		results, err := s.Run()
		if err != nil {
			t.Fatal(err)
		}
		return withoutTimes(results)
	}
	one := run(1, 5)
	if three := run(3, 5); three != one {
		t.Errorf("three workers found\n%s\none found\n%s", three, one)
	}
	if run(0, 5) != one {
		t.Error("no worker is not one")
	}
	if run(1, 6) == one {
		t.Error("another seed found the same")
	}
}

// TestStudyDrawsAnew shows that equal cells have data sets of their own.
func TestStudyDrawsAnew(t *testing.T) {
	cell := Cell{5, 3, 20, 2.5, 0.05, 0}
	seen := map[string]bool{}
	for i := range 3 {
		for set := range 20 {
			seen[fmt.Sprint(cell.draw(nil, NewSource(1, dataStream(i, set))))] = true
		}
	}
	if len(seen) != 60 {
		t.Errorf("%d different data sets of 60", len(seen))
	}
}

func TestStudyReports(t *testing.T) {
	s := few()
	var ticks float64
	s.Clock = func() float64 { ticks++; return ticks }
	var calls []int
	s.Progress = func(done, total int) { calls = append(calls, done*10+total) }
	results, err := s.Run()
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(calls, []int{13, 23, 33}) {
		t.Errorf("progress was called with %v", calls)
	}
	for _, r := range results {
		for stage, seconds := range r.Seconds {
			want := 4.0 // one tick a data set
			if Stage(stage) == StageBootstrap {
				want = 2
			}
			if seconds != want {
				t.Errorf("stage %d took %v ticks, want %v", stage, seconds, want)
			}
		}
		for _, s := range r.Scores {
			want := 4
			if s.Method == BootstrapPercentile || s.Method == BootstrapBCa {
				want = 2
			}
			if s.Tried != want {
				t.Errorf("%v was tried with %d data sets, want %d", s.Method, s.Tried, want)
			}
		}
		fits := r.Unfitted
		for _, n := range r.Statuses {
			fits += n
		}
		if fits != 4 {
			t.Errorf("%d statuses of 4 fits", fits)
		}
	}
}

func TestImpossibleStudies(t *testing.T) {
	for name, change := range map[string]func(*Study){
		"no cell":       func(s *Study) { s.Cells = nil },
		"no data set":   func(s *Study) { s.DataSets = 0 },
		"negative":      func(s *Study) { s.Bootstrapped = -1 },
		"workers":       func(s *Study) { s.Workers = -1 },
		"streams":       func(s *Study) { s.DataSets = largestStudy + 1 },
		"few bootstrap": func(s *Study) { s.Replicates = 10 },
	} {
		s := few()
		change(&s)
		_, err := s.Run()
		if want := name != "few bootstrap"; err == nil || errors.Is(err, ErrStudy) != want {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestStudyCells shows that no property of the cells goes with another.
func TestStudyCells(t *testing.T) {
	cells := StudyCells()
	seen := map[Cell]bool{}
	six := map[string][2]int{}
	for _, c := range cells {
		seen[c] = true
		for _, level := range []string{
			fmt.Sprint("mites ", c.PerDose()), fmt.Sprint("slope ", c.Slope), fmt.Sprint("C ", c.Natural), fmt.Sprint("rho ", c.Rho),
		} {
			n := six[level]
			n[c.Doses-5]++
			six[level] = n
		}
	}
	if len(seen) != 135 || len(cells) != 135 {
		t.Errorf("%d cells, %d different", len(cells), len(seen))
	}
	if len(six) != 5+3+3+3 {
		t.Errorf("%d levels", len(six))
	}
	for level, n := range six {
		if d := n[0] - n[1]; d < -1 || d > 1 {
			t.Errorf("%s has %d cells of five doses and %d of six", level, n[0], n[1])
		}
	}
}

func TestCellDraw(t *testing.T) {
	c := Cell{6, 3, 4, 2, 0.1, 0.1}
	low, high := math.Inf(1), math.Inf(-1)
	for set := range 500 {
		data := c.draw(nil, NewSource(3, uint64(set)))
		if len(data) != 7*3 || data[20].Dose != 0 || data[0].Exposed != 4 || data[20].Exposed != 4 {
			t.Fatalf("drew %v", data)
		}
		if step := math.Log10(data[3].Dose / data[0].Dose); !near(step*c.Slope, DoseSpacing) {
			t.Fatalf("doses are %v probits apart", step*c.Slope)
		}
		beside := c.Slope * math.Log10(math.Sqrt(data[0].Dose*data[15].Dose)/c.trueLC(50))
		low, high = min(low, beside), max(high, beside)
	}
	if low < -0.6-exact || low > -0.57 || high > 0.6+exact || high < 0.57 {
		t.Errorf("the middle of the doses lies %v to %v probits beside the LC50, want -0.6 to 0.6", low, high)
	}
	// 1.2816 is the 90 % point of the normal distribution (Abramowitz & Stegun 1964, table 26.5).
	if lc := c.trueLC(90); math.Abs(math.Log10(lc/10)*2-1.2816) > 1e-4 {
		t.Errorf("LC90 is %v", lc)
	}
}
