package atlas

import (
	"fmt"
	"strings"

	"vialwise/bioassay"
	"vialwise/bioassay/geo"
	"vialwise/bioassay/track"
)

// Options choose the areas of an atlas.
type Options struct {
	Side float64 // of the smallest square in km; 0 for DefaultSide
	Top  int     // level of the largest square, each twice as wide as the one below; below 0 for none but the smallest, 0 for DefaultTop
	K    int     // apiaries that an area must show; 0 for that of the previous edition, or LeastK
	// Previous is the edition before this one, nil for the first. Its grid, areas
	// and numbers are taken over.
	Previous *Edition
}

// Defaults of Options.
const (
	DefaultSide = 10.0
	DefaultTop  = 3
)

// Atlas is what a map may hold. It has no place for anything about one apiary.
type Atlas struct {
	Grid     geo.Grid
	Top, K   int
	Level    float64 // of limits
	Calendar bioassay.Calendar
	Bands    []string
	From     []float64 // lower bound of each band
	Rule     string    // the bands with their bounds and rule set, in words
	Layers   []Layer
	Seasons  []bioassay.Season
	Areas    []geo.Cell
	// Redrawn says that the areas are no earlier edition's.
	Redrawn bool
	// Kept is the number of values that stand as the earlier edition had them.
	Kept int
}

// Layer is one acaricide over the seasons, against one baseline.
type Layer struct {
	Name      string // the acaricide, with its baseline where there are several
	Acaricide string
	Baseline  string
	Values    [][]Value // by season, of the areas that are shown, rising
	// Spent is, by season, the number of apiaries in all values of the acaricide that
	// were ever published, in this edition and those before, against any baseline.
	Spent []int
}

// Value is one area in one season, in round numbers: what is published.
type Value struct {
	Area      int               // position among Areas
	Apiaries  int               // with a result, k or more
	Mites     int               // tested there
	Ratio     bioassay.Interval // mean ratio; NaN of fewer than k estimates or where one is a bound, no limits below four
	Shares    []float64         // expected share of the apiaries in each band
	Band      int               // the one with the largest share
	Certainty Certainty
}

// Certainty says how far the band of an area can be relied upon.
type Certainty uint8

// The degrees. Clear takes an expected share of 80 % in one band and limits of
// the mean ratio, which takes four apiaries; Likely one of 60 %, or 80 % without
// limits.
const (
	Unsure Certainty = iota
	Likely
	Clear
)

const (
	clearShare  = 0.8
	likelyShare = 0.6
)

var certaintyNames = [...]string{Unsure: "unsure", Likely: "likely", Clear: "clear"}

// String returns the name of the degree.
func (c Certainty) String() string { return certaintyNames[c] }

// The warnings of New. They are for the programme, not for publication.
const (
	Unplaced bioassay.WarningCode = "apiaries-without-place"
	HeldBack bioassay.WarningCode = "results-held-back"
)

// New makes the atlas of a tracking, whose series must be against the comparers.
// It fails without bands, without a place, and where the options make no grid or
// are not those of the previous edition.
func New(t *track.Tracking, comparers []*bioassay.Comparer, apiaries []bioassay.Apiary, o Options) (*Atlas, []bioassay.Warning, error) {
	if t.Bands == nil {
		return nil, nil, fmt.Errorf("a map shows bands of the ratio, and there are none; name a rule set with --bands")
	}
	a, warnings, err := frame(apiaries, o)
	if err != nil {
		return nil, nil, err
	}
	if o.Previous != nil && !sameSeasons(o.Previous.Calendar, t.Calendar) {
		return nil, nil, fmt.Errorf("the earlier edition divides the year otherwise, and its seasons would be published in parts; keep to its seasons (%s), or draw the map anew", seasonWords(o.Previous.Calendar))
	}
	if o.Previous != nil && o.Previous.Level != 0 && o.Previous.Level != t.Level {
		return nil, nil, fmt.Errorf("the limits of the earlier edition have the level %g, and those asked for %g; keep to its level", o.Previous.Level, t.Level)
	}
	a.Level, a.Calendar = t.Level, t.Calendar
	a.Rule = bandsOf(t.Bands)
	for _, b := range t.Bands.Bands {
		a.Bands, a.From = append(a.Bands, b.Name), append(a.From, b.From)
	}
	sites, unplaced := a.sites(apiaries)
	var earlier []geo.Cell
	if o.Previous != nil {
		earlier = o.Previous.Areas
	}
	a.Areas = Partition(sites, a.K, a.Top, earlier)
	if err := a.onTheGlobe(); err != nil {
		return nil, nil, err
	}
	held := a.fill(t, comparers, sites, o.Previous)
	return a, append(warnings, remarks(unplaced, held)...), nil
}

// bandsOf writes bands with their bounds, so that an edition can be told from one
// of other bands.
func bandsOf(r *bioassay.RatioBands) string {
	var words []string
	for _, b := range r.Bands {
		sign := ">="
		if b.Above {
			sign = ">"
		}
		words = append(words, fmt.Sprintf("%s %s %g", b.Name, sign, b.From))
	}
	return fmt.Sprintf("%s at LC%g: %s", r.Name, r.Percent, strings.Join(words, ", "))
}

func remarks(unplaced, held int) (out []bioassay.Warning) {
	if unplaced > 0 {
		out = append(out, bioassay.Warning{
			Code:    Unplaced,
			Message: fmt.Sprintf("apiaries without a place, which are on no map: %d", unplaced),
			Cure:    "enter latitude and longitude in the table of apiaries",
		})
	}
	if held > 0 {
		out = append(out, bioassay.Warning{
			Code:    HeldBack,
			Message: bioassay.Plural(held, "result") + " of seasons that were published before held back, since the difference of the two editions would tell of single apiaries",
			Cure:    "publish a season when its results are in",
		})
	}
	return out
}
