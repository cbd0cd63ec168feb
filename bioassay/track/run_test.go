package track

import (
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"vialwise/bioassay"
	"vialwise/doseresp"
)

var places = []bioassay.Apiary{{Code: "A1", Region: "north"}, {Code: "A2", Region: "north"}, {Code: "A3", Region: "south"}, {Code: "A9"}}

func programme() []bioassay.Assay {
	return slices.Concat(seasons("A1", 5, 3, 10), seasons("A2", 3, 1, 20), seasons("A3", 4, 1, 30))
}

// TestOrderDoesNotMatter: the same assays in any order give the same tracking.
func TestOrderDoesNotMatter(t *testing.T) {
	all := programme()
	want := tracked(t, places, Options{}, all...)
	for seed := range uint64(3) {
		rand.New(rand.NewPCG(seed, 1)).Shuffle(len(all), func(i, k int) { all[i], all[k] = all[k], all[i] })
		got := tracked(t, places, Options{}, all...)
		if !sameTracking(got, want) {
			t.Errorf("seed %d: another tracking", seed)
		}
	}
}

// sameTracking compares by value, NaN with NaN.
func sameTracking(a, b *Tracking) bool {
	x, y := *a, *b
	x.Baselines, y.Baselines = nil, nil
	return sameValue(reflect.ValueOf(x), reflect.ValueOf(y))
}

func sameValue(a, b reflect.Value) bool {
	if a.Kind() != b.Kind() {
		return false
	}
	switch a.Kind() {
	case reflect.Float64:
		return a.Float() == b.Float() || math.IsNaN(a.Float()) && math.IsNaN(b.Float())
	case reflect.Pointer:
		return a.IsNil() == b.IsNil() && (a.IsNil() || sameValue(a.Elem(), b.Elem()))
	case reflect.Struct:
		for i := range a.NumField() {
			if !sameValue(a.Field(i), b.Field(i)) {
				return false
			}
		}
		return true
	case reflect.Slice:
		if a.Len() != b.Len() {
			return false
		}
		for i := range a.Len() {
			if !sameValue(a.Index(i), b.Index(i)) {
				return false
			}
		}
		return true
	}
	return reflect.DeepEqual(a.Interface(), b.Interface())
}

// TestSeriesTell: the trends, the regions and who needs a test.
func TestSeriesTell(t *testing.T) {
	k := tracked(t, places, Options{}, programme()...)
	directions := map[string]Direction{}
	for _, s := range k.Series {
		directions[s.Apiary] = s.Trend.Direction
	}
	if directions["A1"] != Rising || directions["A2"] != TooFewSeasons || directions["A3"] == TooFewSeasons {
		t.Errorf("directions %v", directions)
	}
	if len(k.Regions) != 2 || k.Regions[0].Region != "north" || k.Regions[0].Seasons[0].Apiaries != 2 {
		t.Errorf("regions %+v", k.Regions)
	}
	if s := k.Regions[0].Seasons[0]; !math.IsInf(s.Ratio.Upper, 1) || len(s.Pooled) != 2 || len(s.Shares) != 2 {
		t.Errorf("a region of two apiaries: %+v", s)
	}
	lacking := map[string]string{}
	for _, l := range k.Lacking {
		lacking[l.Apiary] = l.Reason
	}
	if lacking["A9"] != "never tested" || lacking["A2"] != "no assay since 2032-spring" || lacking["A1"] != "" || len(lacking) != 2 {
		t.Errorf("lacking %v", lacking)
	}
}

// TestLeftOut names what keeps an assay out.
func TestLeftOut(t *testing.T) {
	nowhere, undated, foreign, bad := field("nowhere", "", "2031-04-10", 1, 1), field("undated", "A1", "", 1, 2), field("foreign", "A1", "2031-04-10", 1, 3), field("bad", "A3", "2031-04-10", 1, 4)
	foreign.Unit = "ppm"
	o := Options{Discarded: func(a bioassay.Assay) string {
		if a.Name == "bad" {
			return "controls-failed"
		}
		return ""
	}}
	k := tracked(t, places, o, nowhere, undated, foreign, bad, field("good", "A1", "2031-04-10", 1, 5))
	reasons := map[string]string{}
	for _, m := range k.LeftOut {
		reasons[m.Assay] = m.LeftOut
	}
	for name, want := range map[string]string{"nowhere": "no apiary", "undated": "no day", "foreign": "unit", "bad": "controls-failed"} {
		if !strings.Contains(reasons[name], want) {
			t.Errorf("%s: %q", name, reasons[name])
		}
	}
	if len(k.Series) != 1 || len(k.LeftOut) != 4 {
		t.Errorf("%d series, %d left out", len(k.Series), len(k.LeftOut))
	}
	for _, l := range k.Lacking {
		if l.Apiary == "A3" && l.Reason != "no usable assay: controls-failed" {
			t.Errorf("%+v", l)
		}
	}
}

// TestOneAssayKeepsItsNumbers, and several are averaged between the extremes.
func TestSeasonsOfSeveral(t *testing.T) {
	one := tracked(t, nil, Options{}, field("a", "A1", "2031-04-10", 2, 5)).Series[0].Seasons[0]
	b := one.Assays[0].Brief
	if one.LC50 != b.LC50 || one.Ratio != b.Ratio || one.Log != b.Log || !slices.Equal(one.Bands, b.Bands) {
		t.Errorf("%+v, want %+v", one, b)
	}
	both := tracked(t, nil, Options{}, field("a", "A1", "2031-04-10", 2, 5), field("b", "A1", "2031-05-10", 3, 6)).Series[0].Seasons[0]
	low, high := both.Assays[0].Brief.Log, both.Assays[1].Brief.Log
	if len(both.Assays) != 2 || !(both.Log > min(low, high) && both.Log < max(low, high)) || both.LogSE >= one.LogSE && math.Abs(high-low) < one.LogSE {
		t.Errorf("%+v", both)
	}
	if both.Mites != 420 || both.Bands == nil || !(both.Ratio.Lower < both.Ratio.Estimate && both.Ratio.Estimate < both.Ratio.Upper) {
		t.Errorf("%+v", both)
	}
}

// TestBounds: a season known only as a bound is left out of the trend, which says
// so, and of the mean of others.
func TestBounds(t *testing.T) {
	all := seasons("A1", 5, 1, 40)
	alive := field("alive", "A1", "2033-10-10", 1, 50)
	for i := range alive.Containers {
		alive.Containers[i].Dead = 0
	}
	k := tracked(t, nil, Options{}, append(all, alive)...)
	s := k.Series[0]
	last := s.Seasons[len(s.Seasons)-1]
	if last.Censored != doseresp.CensoredLow || s.Trend.LeftOut != 1 || len(s.Trend.Warnings) != 1 || !strings.Contains(s.Trend.Warnings[0].Message, "2033-autumn (LC50 above 8)") {
		t.Errorf("%+v\n%+v", last, s.Trend)
	}
	again := alive
	again.Name, again.CollectedOn = "again", all[0].CollectedOn
	if mixed := tracked(t, nil, Options{}, append(all, again)...).Series[0].Seasons[0]; mixed.Bounds != 1 || mixed.Censored != doseresp.NotCensored {
		t.Errorf("%+v", mixed)
	}
}

// TestTrendIgnoresTheUnit: all LC50 of a series times a factor leave the trend.
func TestTrendIgnoresTheUnit(t *testing.T) {
	const tolerance = 1e-9
	w := testWork(t)
	a := []point{}
	for i, x := range []float64{0.1, 0.3, 0.2, 0.6, 0.5} {
		a = append(a, point{begins: bioassay.Date{Year: 2031 + i, Month: 3, Day: 1}, log: x, se: 0.05 + 0.01*float64(i)})
	}
	b := slices.Clone(a)
	for i := range b {
		b[i].log += 7
	}
	x, y := w.trend(a, 0), w.trend(b, 0)
	if math.Abs(x.FoldPerYear.Estimate-y.FoldPerYear.Estimate) > tolerance || math.Abs(x.FoldPerYear.Upper-y.FoldPerYear.Upper) > tolerance || math.Abs(x.P-y.P) > tolerance {
		t.Errorf("%+v and %+v", x.FoldPerYear, y.FoldPerYear)
	}
}

// memory is a Store that counts.
type memory struct {
	lock        sync.Mutex
	kept        map[string]Kept
	found, fail int
}

func (m *memory) Find(keys []string) (map[string]Kept, error) {
	m.lock.Lock()
	defer m.lock.Unlock()
	if m.fail > 0 {
		return nil, errors.New("no store today")
	}
	out := map[string]Kept{}
	for _, k := range keys {
		if kept, ok := m.kept[k]; ok {
			out[k] = kept
			m.found++
		}
	}
	return out, nil
}

func (m *memory) Keep(results map[string]Kept) error {
	m.lock.Lock()
	defer m.lock.Unlock()
	for k, b := range results {
		m.kept[k] = b
	}
	return nil
}

// TestStore: what was kept is not computed again, and changes nothing.
func TestStore(t *testing.T) {
	m := &memory{kept: map[string]Kept{}}
	all := programme()
	first := tracked(t, places, Options{Store: m}, all...)
	if m.found != 0 || len(m.kept) != len(all) {
		t.Errorf("%d found, %d kept", m.found, len(m.kept))
	}
	second := tracked(t, places, Options{Store: m}, all...)
	if m.found != len(all) || !sameTracking(first, second) {
		t.Errorf("%d of %d found, or another tracking", m.found, len(all))
	}
	c, references := comparer(t)
	m.fail = 1
	if _, err := Run(entries(all...), []*bioassay.Comparer{c}, references, nil, Options{Compare: compareOptions(), Store: m}); err == nil {
		t.Error("the error of a store was lost")
	}
}

// TestKeptUnderRules: containers are read and judged unless the rules let the assay
// pass before, and then once.
func TestKeptUnderRules(t *testing.T) {
	all := map[string]bioassay.Assay{}
	for _, a := range programme() {
		all[a.Name] = a
	}
	var read, judged atomic.Int64
	store := &memory{kept: map[string]Kept{}}
	c, references := comparer(t)
	run := func(rules, strict string) (k *Tracking, filled, asked int) {
		t.Helper()
		read.Store(0)
		judged.Store(0)
		heads := func(yield func(Entry, error) bool) {
			for _, a := range programme() {
				a.Containers = nil
				if !yield(Entry{Assay: a, Key: a.Name, Rules: rules}, nil) {
					return
				}
			}
		}
		k, err := Run(heads, []*bioassay.Comparer{c}, references, places, Options{
			Compare: compareOptions(), Store: store,
			Counts: func(entries []*Entry) error {
				read.Add(int64(len(entries)))
				for _, e := range entries {
					e.Assay = all[e.Name]
				}
				return nil
			},
			Discarded: func(a bioassay.Assay) string {
				if judged.Add(1); len(a.Containers) == 0 {
					t.Errorf("%s is judged without its counts", a.Name)
				}
				if a.Name == strict {
					return "strict"
				}
				return ""
			},
		})
		if err != nil {
			t.Fatal(err)
		}
		return k, int(read.Load()), int(judged.Load())
	}
	n := len(all)
	first, filled, asked := run("mild", "")
	if filled != n || asked != n {
		t.Errorf("first %d read, %d judged", filled, asked)
	}
	again, filled, asked := run("mild", "A1-0")
	if filled != 0 || asked != 0 || !sameTracking(first, again) {
		t.Errorf("again %d read, %d judged, or another tracking", filled, asked)
	}
	for _, c := range []struct {
		rules string
		want  int
	}{{"strict", n}, {"strict", 1}, {"", n}, {"strict", 1}} {
		k, filled, asked := run(c.rules, "A1-0")
		if filled != c.want || asked != c.want || len(k.LeftOut) != 1 {
			t.Errorf("rules %q: %d read, %d judged, %d left out", c.rules, filled, asked, len(k.LeftOut))
		}
	}
	if k, _, _ := run("mild", ""); !sameTracking(first, k) {
		t.Error("what other rules kept gave another tracking")
	}
}

// TestStreamFails: an error of the stream is that of the run.
func TestStreamFails(t *testing.T) {
	c, references := comparer(t)
	broken := func(yield func(Entry, error) bool) { yield(Entry{}, errors.New("broken")) }
	if _, err := Run(broken, []*bioassay.Comparer{c}, references, nil, Options{Compare: compareOptions()}); err == nil {
		t.Error("no error")
	}
}

// TestWanted: assays outside the question leave no trace.
func TestWanted(t *testing.T) {
	o := Options{Wanted: func(a bioassay.Assay, region string, s bioassay.Season) bool {
		return region == "north" && s.Year == 2031
	}}
	k := tracked(t, places, o, programme()...)
	if len(k.Series) != 2 || len(k.LeftOut) != 0 || len(k.Series[0].Seasons) != 2 {
		t.Errorf("%+v", k.Series)
	}
}
