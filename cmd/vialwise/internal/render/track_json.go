package render

import (
	"io"

	"vialwise/bioassay"
	"vialwise/bioassay/track"
)

type tracksJSON struct {
	Software  softwareJSON    `json:"software"`
	Inputs    []Input         `json:"inputs"`
	Registry  *RegistryState  `json:"registry"`
	Moribund  string          `json:"moribund"`
	Level     number          `json:"level"`
	Calendar  calendarJSON    `json:"calendar"`
	Bands     *bandRulesJSON  `json:"bands"`
	Warnings  []warningJSON   `json:"warnings"`
	Baselines []referenceJSON `json:"baselines"`
	Series    []seriesJSON    `json:"series"`
	Regions   []regionJSON    `json:"regions"`
	Lacking   []lackingJSON   `json:"lacking"`
	LeftOut   []leftOutJSON   `json:"left_out"`
}

type calendarJSON struct {
	Hemisphere string            `json:"hemisphere"`
	Seasons    []seasonStartJSON `json:"seasons"` // of the programme; none for meteorological ones
}

type seasonStartJSON struct {
	Name   string `json:"name"`
	Begins string `json:"begins"`
}

type referenceJSON struct {
	Name     string       `json:"name"`
	Version  int          `json:"version"`
	Outdated []string     `json:"outdated"`
	Baseline baselineJSON `json:"baseline"`
}

type seriesJSON struct {
	Apiary    string            `json:"apiary"`
	Region    string            `json:"region"`
	Acaricide string            `json:"acaricide"`
	Protocol  string            `json:"protocol"`
	Baseline  string            `json:"baseline"`
	Version   int               `json:"baseline_version"`
	Seasons   []trackSeasonJSON `json:"seasons"`
	Trend     trendJSON         `json:"trend"`
}

type trackSeasonJSON struct {
	Season     string           `json:"season"`
	Begins     string           `json:"begins"`
	Assays     []string         `json:"assays"`
	Mites      int              `json:"mites"`
	LC50       intervalJSON     `json:"lc50"`
	Log10SE    number           `json:"log10_se"`
	Ratio      intervalJSON     `json:"ratio"`
	Censored   string           `json:"censored"`
	Difference string           `json:"difference"`
	Place      string           `json:"susceptible_place"`
	Bands      []bandChanceJSON `json:"bands"`
	Fraction   intervalJSON     `json:"fraction"`
	FractionP  number           `json:"fraction_p"`
	WholeShift bool             `json:"whole_shift"`
	Single     bool             `json:"single_concentration"`
}

type trendJSON struct {
	Direction   string           `json:"direction"`
	Seasons     int              `json:"seasons"`
	LeftOut     int              `json:"left_out"`
	FoldPerYear intervalJSON     `json:"fold_per_year"`
	P           number           `json:"p"`
	BetweenSD   number           `json:"between_sd"`
	Line        []trendPointJSON `json:"line"`
	Warnings    []warningJSON    `json:"warnings"`
}

type trendPointJSON struct {
	Season string       `json:"season"`
	Ratio  intervalJSON `json:"ratio"`
}

type regionJSON struct {
	Region    string             `json:"region"`
	Acaricide string             `json:"acaricide"`
	Baseline  string             `json:"baseline"`
	Version   int                `json:"baseline_version"`
	Seasons   []regionSeasonJSON `json:"seasons"`
	Trend     trendJSON          `json:"trend"`
}

type regionSeasonJSON struct {
	Season     string            `json:"season"`
	Begins     string            `json:"begins"`
	Apiaries   int               `json:"apiaries"`
	Censored   int               `json:"censored_apiaries"`
	Mites      int               `json:"mites"`
	Ratio      intervalJSON      `json:"ratio"`
	BetweenSD  number            `json:"between_sd"`
	Prediction intervalJSON      `json:"prediction"`
	Bands      []bandChanceJSON  `json:"bands"`
	Shares     []shareJSON       `json:"shares"`
	Pooled     []pooledRatioJSON `json:"pooled"`
	Warnings   []warningJSON     `json:"warnings"`
}

type shareJSON struct {
	Above    number `json:"above"`
	Band     string `json:"band"`
	Apiaries int    `json:"apiaries"`
	intervalJSON
}

type pooledRatioJSON struct {
	Apiary string       `json:"apiary"`
	Own    number       `json:"own"`
	Ratio  intervalJSON `json:"ratio"`
	Weight number       `json:"weight"`
}

type lackingJSON struct {
	Apiary    string `json:"apiary"`
	Region    string `json:"region"`
	Acaricide string `json:"acaricide"`
	Last      string `json:"last"`
	Reason    string `json:"reason"`
}

type leftOutJSON struct {
	Assay     string `json:"assay"`
	File      string `json:"file"`
	Apiary    string `json:"apiary"`
	Acaricide string `json:"acaricide"`
	Season    string `json:"season"`
	Reason    string `json:"reason"`
}

func writeTracksJSON(w io.Writer, t *Tracks) error {
	k := t.Tracking
	out := tracksJSON{
		Software: softwareJSON{"vialwise", t.Version}, Inputs: append([]Input{}, t.Inputs...), Registry: t.Registry,
		Moribund: moribundWord(t.Options.Analysis.Moribund), Level: number(k.Level), Calendar: newCalendarJSON(k.Calendar), Warnings: warningsJSON(t.Reading),
		Baselines: []referenceJSON{}, Series: []seriesJSON{}, Regions: []regionJSON{}, Lacking: []lackingJSON{}, LeftOut: []leftOutJSON{},
	}
	out.Bands = newBandRulesJSON(k.Bands)
	for _, r := range k.Baselines {
		out.Baselines = append(out.Baselines, referenceJSON{r.Name, r.Version, append([]string{}, r.Outdated...), newBaselineJSON(r.Baseline)})
	}
	for _, s := range k.Series {
		out.Series = append(out.Series, newSeriesJSON(k, s))
	}
	for _, r := range k.Regions {
		out.Regions = append(out.Regions, newRegionJSON(k, r))
	}
	for _, l := range k.Lacking {
		out.Lacking = append(out.Lacking, lackingJSON{l.Apiary, l.Region, l.Acaricide, seasonWord(l.Last), l.Reason})
	}
	for _, m := range k.LeftOut {
		out.LeftOut = append(out.LeftOut, leftOutJSON{m.Assay, m.Origin.File, m.Apiary, m.Acaricide, seasonWord(m.Season), m.LeftOut})
	}
	return encodeJSON(w, out)
}

func newCalendarJSON(c bioassay.Calendar) calendarJSON {
	j := calendarJSON{c.Hemisphere.String(), []seasonStartJSON{}}
	for _, s := range c.Starts {
		j.Seasons = append(j.Seasons, seasonStartJSON{s.Name, monthDay(s)})
	}
	return j
}

// seasonWord is the name of a season, blank for none.
func seasonWord(s bioassay.Season) string {
	if s == (bioassay.Season{}) {
		return ""
	}
	return s.String()
}

// newFoldJSON is an interval of doses or ratios, whose 0 is no limit.
func newFoldJSON(i bioassay.Interval) intervalJSON {
	return intervalJSON{positive(i.Estimate), positive(i.Lower), number(i.Upper)}
}

func newSeriesJSON(k *track.Tracking, s track.Series) seriesJSON {
	r := k.Baselines[s.Baseline]
	j := seriesJSON{
		Apiary: s.Apiary, Region: s.Region, Acaricide: s.Acaricide, Protocol: s.Protocol,
		Baseline: r.Name, Version: r.Version, Seasons: []trackSeasonJSON{}, Trend: newTrendJSON(s.Trend),
	}
	for _, season := range s.Seasons {
		j.Seasons = append(j.Seasons, newTrackSeasonJSON(k, season))
	}
	return j
}

func newTrackSeasonJSON(k *track.Tracking, s track.Season) trackSeasonJSON {
	j := trackSeasonJSON{
		Season: s.Season.String(), Begins: s.Begins.String(), Assays: []string{}, Mites: s.Mites,
		LC50: newFoldJSON(s.LC50), Log10SE: number(s.LogSE), Ratio: newFoldJSON(s.Ratio), Censored: s.Censored.String(),
		Difference: s.Difference.String(), Place: s.Natural.String(), Bands: bandSharesJSON(k.Bands, s.Bands),
		Fraction: newProportionJSON(bioassay.Proportion(s.Fraction)), FractionP: number(s.FractionP), WholeShift: s.WholeShift, Single: s.Single,
	}
	for _, a := range s.Assays {
		j.Assays = append(j.Assays, a.Assay)
	}
	return j
}

func bandSharesJSON(bands *bioassay.RatioBands, shares []float64) []bandChanceJSON {
	out := []bandChanceJSON{}
	if bands == nil {
		return out
	}
	for i, p := range shares {
		out = append(out, bandChanceJSON{bands.Bands[i].Name, number(p)})
	}
	return out
}

func newTrendJSON(r track.Trend) trendJSON {
	j := trendJSON{
		Direction: DirectionWords[r.Direction], Seasons: r.Seasons, LeftOut: r.LeftOut, FoldPerYear: newFoldJSON(r.FoldPerYear),
		P: number(r.P), BetweenSD: number(r.BetweenSD), Line: []trendPointJSON{}, Warnings: warningsJSON(r.Warnings),
	}
	for _, p := range r.Line {
		j.Line = append(j.Line, trendPointJSON{p.Season.String(), newFoldJSON(p.Ratio)})
	}
	return j
}

func newRegionJSON(k *track.Tracking, r track.Region) regionJSON {
	b := k.Baselines[r.Baseline]
	j := regionJSON{Region: r.Region, Acaricide: r.Acaricide, Baseline: b.Name, Version: b.Version, Seasons: []regionSeasonJSON{}, Trend: newTrendJSON(r.Trend)}
	for _, s := range r.Seasons {
		one := regionSeasonJSON{
			Season: s.Season.String(), Begins: s.Begins.String(), Apiaries: s.Apiaries, Censored: s.Censored, Mites: s.Mites,
			Ratio: newFoldJSON(s.Ratio), BetweenSD: number(s.BetweenSD), Prediction: newFoldJSON(s.Prediction),
			Bands: bandSharesJSON(k.Bands, s.Bands), Shares: []shareJSON{}, Pooled: []pooledRatioJSON{}, Warnings: warningsJSON(s.Warnings),
		}
		for _, v := range s.Shares {
			one.Shares = append(one.Shares, shareJSON{number(v.Above), v.Band, v.Apiaries, newProportionJSON(bioassay.Proportion(v.Interval))})
		}
		for _, p := range s.Pooled {
			one.Pooled = append(one.Pooled, pooledRatioJSON{p.Apiary, positive(p.Own), newFoldJSON(p.Ratio), number(p.Weight)})
		}
		j.Seasons = append(j.Seasons, one)
	}
	return j
}
