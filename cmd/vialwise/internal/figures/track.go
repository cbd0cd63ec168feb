package figures

import (
	"math"
	"slices"
	"strings"

	"vialwise/bioassay"
	"vialwise/bioassay/track"
	"vialwise/cmd/vialwise/internal/render"
	"vialwise/doseresp"
	"vialwise/plots"
)

// quantityRR50 is what timelines are of.
const quantityRR50 = "Resistance ratio at LC50"

// mostPanels is the number of timelines of one figure.
const mostPanels = 24

// mostLabels is the number of seasons of one figure.
const mostLabels = 40

// Regions are the figures of the regions over the seasons, one for each acaricide
// and baseline: the mean ratios with the trend.
func Regions(t *render.Tracks, mark string) (out []plots.TimelineSet) {
	k := t.Tracking
	var order []panelGroup
	for _, r := range k.Regions {
		seasons := spanOf(k, regionSeasons(r))
		panel := plots.TimelinePanel{Name: render.RegionName(r.Region), TrendWords: trendWords(r.Trend)}
		order = addPanel(order, panelGroup{acaricide: r.Acaricide, baseline: r.Baseline}, seasons, func(all []bioassay.Season) plots.TimelinePanel {
			panel.Seasons, panel.Trend = regionPoints(r, all), trendPoints(r.Trend, all)
			return panel
		})
	}
	return setsOf(k, order, "Regions, ", mark)
}

// Apiaries are the figures of the apiaries over the seasons, likewise.
func Apiaries(t *render.Tracks, mark string) []plots.TimelineSet {
	k := t.Tracking
	var order []panelGroup
	for _, s := range k.Series {
		panel := plots.TimelinePanel{Name: s.Apiary, Group: regionHeading(k, s), TrendWords: trendWords(s.Trend)}
		order = addPanel(order, panelGroup{acaricide: s.Acaricide, baseline: s.Baseline}, spanOf(k, seriesSeasons(s)), func(all []bioassay.Season) plots.TimelinePanel {
			panel.Seasons, panel.Trend = seriesPoints(s, all), trendPoints(s.Trend, all)
			return panel
		})
	}
	return setsOf(k, order, "", mark)
}

// regionHeading is the heading over the apiaries of a region, blank where no apiary
// names one.
func regionHeading(k *track.Tracking, s track.Series) string {
	if !slices.ContainsFunc(k.Series, func(s track.Series) bool { return s.Region != "" }) {
		return ""
	}
	return render.RegionName(s.Region)
}

// Series is the figure of one apiary and acaricide.
func Series(k *track.Tracking, s track.Series, mark string) plots.Timeline {
	all := spanOf(k, seriesSeasons(s))
	f := plots.Timeline{
		Caption:  plots.Caption{Title: s.Apiary + ", " + s.Acaricide, Subtitle: "Against " + render.ReferenceWords(k.Baselines[s.Baseline]), Mark: mark},
		Quantity: quantityRR50, Baseline: variationOf(k.Baselines[s.Baseline].Baseline),
		Seasons: seriesPoints(s, all), Trend: trendPoints(s.Trend, all), TrendWords: trendWords(s.Trend),
	}
	for i := range f.Seasons {
		f.Seasons[i].Label = all[i].String()
	}
	return f
}

// panelGroup gathers the panels of one figure, drawn once all seasons are known.
type panelGroup struct {
	acaricide string
	baseline  int
	seasons   []bioassay.Season // the ends of the span
	panels    []func(all []bioassay.Season) plots.TimelinePanel
}

func addPanel(list []panelGroup, g panelGroup, seasons []bioassay.Season, panel func([]bioassay.Season) plots.TimelinePanel) []panelGroup {
	for i := range list {
		if list[i].acaricide == g.acaricide && list[i].baseline == g.baseline {
			list[i].seasons, list[i].panels = append(list[i].seasons, seasons...), append(list[i].panels, panel)
			return list
		}
	}
	g.seasons, g.panels = seasons, append(g.panels, panel)
	return append(list, g)
}

// setsOf draws every group, on as many figures as it needs.
func setsOf(k *track.Tracking, groups []panelGroup, what, mark string) (out []plots.TimelineSet) {
	for _, g := range groups {
		all := spanOf(k, g.seasons)
		if len(all) > mostLabels {
			all = all[len(all)-mostLabels:]
		}
		set := plots.TimelineSet{
			Caption:  plots.Caption{Title: what + g.acaricide, Subtitle: "Against " + render.ReferenceWords(k.Baselines[g.baseline]), Mark: mark, Width: plots.TwoColumns},
			Quantity: quantityRR50, Baseline: variationOf(k.Baselines[g.baseline].Baseline),
		}
		for _, s := range all {
			set.Seasons = append(set.Seasons, s.String())
		}
		var panels []plots.TimelinePanel
		for _, panel := range g.panels {
			panels = append(panels, panel(all))
		}
		for _, part := range parted(panels, set.Across()) {
			set.Panels = part
			out = append(out, set)
		}
	}
	return out
}

// parted divides panels among figures that each fill a page: as many rows as
// mostPanels take, where a group begins a row.
func parted(panels []plots.TimelinePanel, across int) (parts [][]plots.TimelinePanel) {
	places, group := 0, ""
	for i, p := range panels {
		if i > 0 && p.Group != group {
			places = (places + across - 1) / across * across
		}
		if i == 0 || places >= mostPanels {
			parts, places = append(parts, nil), 0
		}
		parts[len(parts)-1] = append(parts[len(parts)-1], p)
		places, group = places+1, p.Group
	}
	return parts
}

func regionSeasons(r track.Region) (out []bioassay.Season) {
	for _, s := range r.Seasons {
		out = append(out, s.Season)
	}
	return out
}

func seriesSeasons(s track.Series) (out []bioassay.Season) {
	for _, season := range s.Seasons {
		out = append(out, season.Season)
	}
	return out
}

// spanOf are the seasons in which anything was tested, from the first to the last
// of a list. Seasons of the calendar in which nobody tests would only be gaps.
func spanOf(k *track.Tracking, list []bioassay.Season) []bioassay.Season {
	if len(list) == 0 {
		return nil
	}
	first, last := list[0], list[0]
	for _, s := range list {
		if k.Calendar.Compare(s, first) < 0 {
			first = s
		}
		if k.Calendar.Compare(s, last) > 0 {
			last = s
		}
	}
	used := map[bioassay.Season]bool{}
	for _, s := range k.Series {
		for _, season := range s.Seasons {
			used[season.Season] = true
		}
	}
	var out []bioassay.Season
	for _, s := range k.Calendar.Between(first, last) {
		if used[s] {
			out = append(out, s)
		}
	}
	return out
}

// noSeason is a gap.
func noSeason() plots.Season {
	nan := math.NaN()
	return plots.Season{Estimate: nan, Lower: nan, Upper: nan}
}

func seriesPoints(s track.Series, all []bioassay.Season) []plots.Season {
	out := make([]plots.Season, len(all))
	for i := range all {
		out[i] = noSeason()
		for _, season := range s.Seasons {
			if season.Season == all[i] {
				out[i] = seasonPoint(season)
			}
		}
	}
	return out
}

// seasonPoint is the ratio of a season, or the bound that is known of it.
func seasonPoint(s track.Season) plots.Season {
	p := noSeason()
	if !bounded(s.Ratio.Estimate) {
		return p
	}
	p.Estimate = s.Ratio.Estimate
	switch s.Censored {
	case doseresp.CensoredLow:
		p.Censored = plots.Above
	case doseresp.CensoredHigh:
		p.Censored = plots.Below
	default:
		p.Lower, p.Upper = s.Ratio.Lower, s.Ratio.Upper
	}
	return p
}

func regionPoints(r track.Region, all []bioassay.Season) []plots.Season {
	out := make([]plots.Season, len(all))
	for i := range all {
		out[i] = noSeason()
		for _, s := range r.Seasons {
			if s.Season == all[i] && bounded(s.Ratio.Estimate) {
				out[i].Estimate = s.Ratio.Estimate
				if s.Ratio.Lower > 0 && bounded(s.Ratio.Upper) {
					out[i].Lower, out[i].Upper = s.Ratio.Lower, s.Ratio.Upper
				}
			}
		}
	}
	return out
}

// trendPoints are the fitted ratios, nothing where there is no trend.
func trendPoints(t track.Trend, all []bioassay.Season) []plots.TrendPoint {
	if len(t.Line) == 0 {
		return nil
	}
	nan := math.NaN()
	out := make([]plots.TrendPoint, len(all))
	for i := range all {
		out[i] = plots.TrendPoint{Lower: nan, Fit: nan, Upper: nan}
		for _, p := range t.Line {
			if p.Season == all[i] {
				out[i] = plots.TrendPoint{Lower: p.Ratio.Lower, Fit: p.Ratio.Estimate, Upper: p.Ratio.Upper}
			}
		}
	}
	return out
}

// trendWords say a trend in a few words.
func trendWords(t track.Trend) string {
	words := render.DirectionWords[t.Direction]
	if t.Direction == track.TooFewSeasons {
		return words
	}
	return strings.TrimSpace(words + ", " + render.PerYear(t) + " a year")
}
