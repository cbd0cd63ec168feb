package atlas

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"testing"

	"vialwise/bioassay"
	"vialwise/bioassay/geo"
	"vialwise/bioassay/track"
)

// programme invents n apiaries on 400 by 400 km with results of some acaricides
// and seasons.
func programme(n, acaricides, seasons int) (*track.Tracking, []bioassay.Apiary) {
	r := rand.New(rand.NewPCG(1, 2))
	t := &track.Tracking{Level: 0.95, Bands: worldBands, Baselines: []track.Reference{{Baseline: worldBase}}}
	var apiaries []bioassay.Apiary
	for i := range n {
		place := worldGrid.Projection.Inverse(geo.XY{400*r.Float64() - 200, 400*r.Float64() - 200})
		code := fmt.Sprintf("A%04d", i)
		apiaries = append(apiaries, bioassay.Apiary{Code: code, Latitude: bioassay.Known(place.Lat), Longitude: bioassay.Known(place.Lon)})
		for a := range acaricides {
			s := track.Series{Apiary: code, Acaricide: fmt.Sprint("active ", a)}
			for season := range seasons {
				p := r.Float64()
				s.Seasons = append(s.Seasons, track.Season{
					Season: bioassay.Season{Year: 2031 + season/4, Name: []string{"spring", "summer", "autumn", "winter"}[season%4]},
					Log:    r.NormFloat64() / 3, LogSE: 0.05 + 0.1*r.Float64(), Bands: []float64{p, 1 - p}, Mites: 60,
				})
			}
			t.Series = append(t.Series, s)
		}
	}
	return t, apiaries
}

// BenchmarkNew makes the atlas of 5,000 apiaries, 4 acaricides and 12 seasons, all
// tested, without its fits; it reports the size of the GeoJSON too.
func BenchmarkNew(b *testing.B) {
	t, apiaries := programme(5000, 4, 12)
	var a *Atlas
	for b.Loop() {
		var err error
		if a, _, err = New(t, worldComparers, apiaries, Options{}); err != nil {
			b.Fatal(err)
		}
	}
	var text bytes.Buffer
	if err := a.FeatureCollection("").Write(&text); err != nil {
		b.Fatal(err)
	}
	b.ReportMetric(float64(len(a.Areas)), "areas")
	b.ReportMetric(float64(text.Len())/1e6, "MB")
}
