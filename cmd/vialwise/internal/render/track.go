package render

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"vialwise/bioassay"
	"vialwise/bioassay/track"
	"vialwise/doseresp"
)

// Tracks is everything that a run of track found.
type Tracks struct {
	Version  string // of this program
	Options  bioassay.CompareOptions
	Inputs   []Input        // files; none where a registry was read
	Registry *RegistryState // nil where files were read
	Reading  []bioassay.Warning
	Tracking *track.Tracking
}

// RegistryState is the registry that an answer stems from, as it was.
type RegistryState struct {
	File   string `json:"file"`
	Events int64  `json:"events"`
	Head   string `json:"head"` // hash of the newest event
}

// WriteTracks writes the results in a format of Formats.
func WriteTracks(w io.Writer, t *Tracks, format string) error {
	switch format {
	case "csv":
		return writeTracksCSV(w, t)
	case "json":
		return writeTracksJSON(w, t)
	}
	return writeTables(w, format, trackTables(t))
}

// Tables lays out all tables of a tracking.
func (t *Tracks) Tables() []Table { return exported(trackTables(t)) }

// ReferenceName is what a baseline is called where its version matters.
func ReferenceName(r track.Reference) string {
	if r.Version == 0 {
		return r.Name
	}
	return fmt.Sprintf("%s, version %d", r.Name, r.Version)
}

// ReferenceWords speak of a baseline in a sentence, with its version where it has one.
func ReferenceWords(r track.Reference) string {
	if r.Version == 0 {
		return BaselineWords(r.Baseline)
	}
	return "the baseline " + ReferenceName(r)
}

// BaselineWords speak of a baseline in a sentence: "the amitraz baseline, 5 assays"
// where that is its name for want of one, else "the baseline" and its name.
func BaselineWords(b *bioassay.Baseline) string {
	if rest, ok := strings.CutPrefix(b.Name, b.Acaricide+", "); ok && b.Acaricide != "" {
		return "the " + b.Acaricide + " baseline, " + rest
	}
	return "the baseline " + b.Name
}

// trackTables lays out the answer: what was compared with, the trends, the
// regions, the seasons of every apiary, then what is lacking. Tables without a
// row are left out.
func trackTables(t *Tracks) []*table {
	tables := withRows([]*table{
		referenceTable(t),
		trendTable(t),
		regionTable(t),
		regionTrendTable(t),
		seasonTable(t),
		lackingTable(t),
		leftOutTable(t),
	})
	if len(tables) == 0 {
		tables = []*table{{title: "Nothing to track"}}
	}
	last := tables[len(tables)-1]
	last.notes = append(last.notes, trackSettings(t), laboratoryCaution)
	last.remarks = trackRemarks(t)
	return tables
}

// trackSettings says how every assay was analysed, and in which calendar.
func trackSettings(t *Tracks) string {
	text := modelSettings(t.Options.Analysis, "")
	calendar := fmt.Sprintf(" Seasons: meteorological ones of the %s.", hemisphereWord(t.Tracking.Calendar.Hemisphere))
	if n := len(t.Tracking.Calendar.Starts); n > 0 {
		calendar = fmt.Sprintf(" Seasons: %d of the programme's own calendar.", n)
	}
	return text + calendar
}

func hemisphereWord(h bioassay.Hemisphere) string { return h.String() + "ern hemisphere" }

// trackRemarks gathers the warnings about baselines, trends and regions.
func trackRemarks(t *Tracks) []remark {
	var all []noted
	for _, r := range t.Tracking.Baselines {
		said := slices.DeleteFunc(slices.Clone(r.Warnings), func(w bioassay.Warning) bool { return strings.HasPrefix(string(w.Code), "discriminating-") })
		all = append(all, noted{ReferenceName(r), said})
	}
	for _, s := range t.Tracking.Series {
		all = append(all, noted{seriesName(s), s.Trend.Warnings})
	}
	for _, r := range t.Tracking.Regions {
		all = append(all, noted{RegionName(r.Region) + ", " + orAbsent(r.Acaricide), r.Trend.Warnings})
		for _, s := range r.Seasons {
			all = append(all, noted{RegionName(r.Region) + ", " + orAbsent(r.Acaricide) + ", " + s.Season.String(), s.Warnings})
		}
	}
	return gather(all)
}

func seriesName(s track.Series) string { return s.Apiary + ", " + orAbsent(s.Acaricide) }

// RegionName is how tables write the region of apiaries that name none.
func RegionName(region string) string {
	if region == "" {
		return "(no region)"
	}
	return region
}

// namedBaselines are the baselines with the names that tell their versions.
func namedBaselines(k *track.Tracking) (named []*bioassay.Baseline) {
	for _, r := range k.Baselines {
		b := *r.Baseline
		b.Name = ReferenceName(r)
		named = append(named, &b)
	}
	return named
}

func referenceTable(t *Tracks) *table {
	if len(t.Tracking.Baselines) == 0 {
		return &table{}
	}
	x := baselineTable(namedBaselines(t.Tracking))
	x.notes = append(x.notes, "Each series is compared with one baseline throughout. A baseline without a version was made of the assays of susceptible mites as they now are.")
	return x
}

// boundOrInterval shows an LC50: where only a bound is known, the limits are those
// of a posterior, of which the bound is no estimate, and are left to the JSON.
func boundOrInterval(i bioassay.Interval, c doseresp.Censoring, format func(float64) string) string {
	if c == doseresp.CensoredLow || c == doseresp.CensoredHigh {
		i.Lower, i.Upper = math.NaN(), math.NaN()
	}
	return intervalCell(i, c, format)
}

// intervalCell shows an estimate with its limits, and the inequality of one that
// is only bounded.
func intervalCell(i bioassay.Interval, c doseresp.Censoring, format func(float64) string) string {
	sign := map[doseresp.Censoring]string{doseresp.CensoredLow: "> ", doseresp.CensoredHigh: "< "}[c]
	limits := ""
	if boundedBelow, boundedAbove := i.Lower > 0, i.Upper > 0 && !math.IsInf(i.Upper, 1); boundedBelow || boundedAbove {
		lower, upper := format(0), format(math.Inf(1))
		if boundedBelow {
			lower = format(i.Lower)
		}
		if boundedAbove {
			upper = format(i.Upper)
		}
		limits = " (" + lower + "–" + upper + ")"
	}
	if math.IsNaN(i.Estimate) {
		return absent + limits
	}
	return sign + format(i.Estimate) + limits
}
