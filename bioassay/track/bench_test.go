package track

import (
	"fmt"
	"iter"
	"runtime"
	"testing"

	"vialwise/bioassay"
	"vialwise/doseresp/sim"
)

// ready is a Store that holds every result, so that all time is that of a tracking
// but for the fits.
type ready map[string]Kept

func (r ready) Find(keys []string) (map[string]Kept, error) { return r, nil }
func (r ready) Keep(map[string]Kept) error                  { return nil }

// many are assays without counts, two in each of ten seasons of every apiary, and
// results for them.
func many(t testing.TB, apiaries, regions int) (iter.Seq2[Entry, error], []bioassay.Apiary, ready) {
	const seasons = 10
	t.Helper()
	c, _ := comparer(t)
	model, err := c.Brief(field("model", "A1", "2031-04-10", 2, 7))
	if err != nil {
		t.Fatal(err)
	}
	results, s := ready{}, sim.NewSource(77, 1)
	var table []bioassay.Apiary
	for a := range apiaries {
		table = append(table, bioassay.Apiary{Code: fmt.Sprintf("A%04d", a), Region: fmt.Sprintf("region %d", a%regions)})
		for i := range 2 * seasons {
			b := *model
			b.Log += 0.3*s.Float64() + 0.02*float64(i)
			b.DF = 20 * (i % 3 / 2) // of heterogeneity in one of three
			b.Bands = []float64{0.2 * s.Float64(), 0.3, 0}
			b.Bands[2] = 1 - b.Bands[0] - b.Bands[1]
			results[fmt.Sprintf("A%04d-%d", a, i)] = Kept{Brief: &b}
		}
	}
	containers := []bioassay.Container{{Concentration: 1, Exposed: 15}}
	stream := func(yield func(Entry, error) bool) {
		for _, place := range table {
			for i := range 2 * seasons {
				a := bioassay.Assay{Name: fmt.Sprintf("%s-%d", place.Code, i), Apiary: place.Code, Acaricide: "amitraz", Protocol: "vial-residue", Unit: "ug/vial", Containers: containers}
				a.CollectedOn = bioassay.Date{Year: 2031 + i/4, Month: 4, Day: 1 + i%2}
				if i%4 > 1 {
					a.CollectedOn.Month = 10
				}
				if !yield(Entry{Assay: a, Key: a.Name}, nil) {
					return
				}
			}
		}
	}
	return stream, table, results
}

// trackMany tracks what many made.
func trackMany(t testing.TB, apiaries, regions int) *Tracking {
	t.Helper()
	stream, table, results := many(t, apiaries, regions)
	c, references := comparer(t)
	k, err := Run(stream, []*bioassay.Comparer{c}, references, table, Options{Compare: compareOptions(), Store: results})
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// BenchmarkTrackHundredThousand tracks 100,000 assays in 5,000 series of twenty
// regions, whose results are ready. It is to stay below 3 s of processor time.
func BenchmarkTrackHundredThousand(b *testing.B) {
	stream, table, results := many(b, 5000, 20)
	c, references := comparer(b)
	b.ReportAllocs()
	for b.Loop() {
		k, err := Run(stream, []*bioassay.Comparer{c}, references, table, Options{Compare: compareOptions(), Store: results})
		if err != nil {
			b.Fatal(err)
		}
		if len(k.Series) != 5000 || len(k.Regions) != 20 {
			b.Fatalf("%d series, %d regions", len(k.Series), len(k.Regions))
		}
	}
}

// TestMemory holds what is kept of an assay, its result and its part in the
// summaries included, to 3 kB.
func TestMemory(t *testing.T) {
	const most, apiaries, assays = 3000, 250, 250 * 20
	heap := func() uint64 {
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return m.HeapAlloc
	}
	before := heap()
	k := trackMany(t, apiaries, 5)
	each := int64(heap()-before) / assays
	t.Logf("%d bytes for each assay", each)
	if each > most || each < 100 {
		t.Errorf("%d bytes for each assay, at most %d were to be", each, most)
	}
	runtime.KeepAlive(k)
}
