package plots

import (
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
)

// rising gives a timeline a trend that rises with the seasons.
func rising(t Timeline) Timeline {
	n := float64(len(t.Seasons))
	for i := range t.Seasons {
		v, x := math.Pow(10, 0.11*float64(i)), (float64(i)-(n-1)/2)/n
		half := 1.1 + 0.6*x*x*4
		t.Trend = append(t.Trend, TrendPoint{v / half, v, v * half})
	}
	t.TrendWords = "rising 1.66-fold a year (1.42 to 1.93)"
	return t
}

// set has n invented apiaries over the seasons, every third without a trend.
func set(n, long int, label func(int) string) TimelineSet {
	t := TimelineSet{Caption: Caption{Title: "Amitraz by apiary", Subtitle: "resistance ratios against the baseline of 2029", Mark: "invented data", Width: TwoColumns},
		Quantity: "Resistance ratio at LC50", Baseline: [2]float64{0.7, 1.5}}
	for i := range long {
		t.Seasons = append(t.Seasons, season(i))
	}
	for i := range n {
		one := seasons(long, season)
		if i%3 == 0 {
			one.TrendWords = "too few seasons"
		} else {
			one = rising(one)
		}
		for k := range one.Seasons {
			one.Seasons[k].Label = ""
			if (k+i)%5 == 3 {
				one.Seasons[k].Estimate = nan
			}
		}
		if i == 4 {
			one.Seasons[long-1].Censored = Above
		}
		t.Panels = append(t.Panels, TimelinePanel{Name: label(i), Seasons: one.Seasons, Trend: one.Trend, TrendWords: one.TrendWords})
	}
	return t
}

// trends are timelines with trends, and sets of them.
func trends() map[string]Figure {
	gappy := rising(seasons(9, season))
	gappy.Seasons[3].Estimate, gappy.Trend[3].Fit = nan, nan
	steep := rising(seasons(6, season))
	for i := range steep.Trend {
		steep.Trend[i].Upper *= 1e4
	}
	narrow := set(6, 8, apiary)
	narrow.Width = OneColumn
	wide := rising(seasons(9, season))
	wide.Width = TwoColumns
	plain := set(5, 3, apiary)
	for i := range plain.Panels {
		plain.Panels[i].Trend, plain.Panels[i].TrendWords = nil, ""
	}
	return map[string]Figure{
		"trend": rising(seasons(9, season)), "trend-gap": gappy, "trend-steep": steep, "trend-wide": wide,
		"times": set(12, 8, apiary), "times-24": set(24, 14, apiary), "times-1": set(1, 1, apiary), "times-column": narrow,
		"times-greek": set(7, 40, greek), "times-plain": plain,
	}
}

// The trend goes through the fits and the tint through the limits; a season
// without a fit is passed over in a straight line.
func TestTrendIsDrawn(t *testing.T) {
	line := rising(seasons(4, season))
	line.Trend = []TrendPoint{{0.5, 1, 2}, {nan, nan, nan}, {2, 4, 8}, {4, 8, 16}}
	f := frame{right: 100, top: 100, across: span{-0.5, 3.5}, up: span{-1, 2}}
	canvas, fills := newStrokes(), &fillsOf{}
	line.course().draw(pen{canvas}, f, seasonRadius)
	line.course().drawTrend(pen{fills}, f)
	if n := len(canvas.paths[vermilion]); n != 1 {
		t.Fatalf("%d lines, want 1", n)
	}
	for i, want := range []vg.Point{{X: f.x(0), Y: f.y(0)}, {X: f.x(2), Y: f.y(math.Log10(4))}, {X: f.x(3), Y: f.y(math.Log10(8))}} {
		if got := canvas.paths[vermilion][0][i].Pos; !near(got, want.X, want.Y) {
			t.Errorf("point %d of the trend at %v, want %v", i, got, want)
		}
	}
	if len(fills.paths) != 1 || len(fills.paths[0]) != 7 { // six corners and the close
		t.Fatalf("tints %v", fills.paths)
	}
	if got := fills.paths[0][2].Pos; !near(got, f.x(3), f.y(math.Log10(16))) {
		t.Errorf("the last upper limit at %v", got)
	}
}

// A trend and limits far from the data end at the frame, and do not stretch it.
func TestFarTrendStaysInside(t *testing.T) {
	line := rising(seasons(4, season))
	plain := upOf(line.Baseline, course{line.Seasons, nil})
	for i := range line.Trend {
		line.Trend[i].Upper = 1e9
	}
	if got := upOf(line.Baseline, line.course()); got.hi > plain.hi+0.2 {
		t.Errorf("axis to %g, without the trend to %g", got.hi, plain.hi)
	}
	f := frame{right: 100, top: 100, across: span{-0.5, 3.5}, up: span{-1, 2}}
	line.course().drawTrend(pen{bounds{func(p vg.Point) {
		if p.Y > 100+1e-9 || p.Y < -1e-9 {
			t.Errorf("the trend reaches %v", p)
		}
	}}}, f)
}

func TestTrendsAreTold(t *testing.T) {
	_, got := trends()["trend"].words()
	if want := "Trend: rising 1.66-fold a year (1.42 to 1.93)."; !strings.HasSuffix(got, want) {
		t.Errorf("description %q does not end with %q", got, want)
	}
	_, got = trends()["times"].words()
	for _, want := range []string{"by season, 12 timelines.", "Apiary 2: rising 1.66-fold a year (1.42 to 1.93); 2031-spring 1, limits 0.625 to 1.7; ", "2032-spring no result", "Apiary 1: too few seasons; "} {
		if !strings.Contains(got, want) {
			t.Errorf("description %q lacks %q", got, want)
		}
	}
	_, r := drawn(t, trends()["trend"])
	if !anyText(r, "Trend: rising 1.66-fold a year (1.42 to 1.93).") {
		t.Error("the trend is not said under the figure")
	}
}

func anyText(r *recording, s string) bool { return textsOf(r, s) > 0 }

// All panels share their axes: one value lies equally high in each.
func TestPanelsShareAxes(t *testing.T) {
	s := set(10, 5, apiary)
	g := s.grid()
	g.place(area{6, 480, 40, 400})
	if g.columns != 4 || g.rows != 3 {
		t.Fatalf("%d columns, %d rows, want 4 and 3", g.columns, g.rows)
	}
	first := g.frame(0)
	for i := range s.Panels {
		f := g.frame(i)
		if d := f.y(0.3) - f.bottom; math.Abs(float64(d-(first.y(0.3)-first.bottom))) > placeTolerance {
			t.Errorf("panel %d: a value is %g above the foot", i+1, d)
		}
		if f.right+offset > 480+placeTolerance || f.foot < 40 {
			t.Errorf("panel %d leaves the area: %+v", i+1, f)
		}
		for j := range i {
			if o := g.frame(j); f.axis < o.right && o.axis < f.right && f.bottom < o.top+g.head && o.bottom < f.top+g.head {
				t.Errorf("panels %d and %d overlap", i+1, j+1)
			}
		}
	}
}

// A group begins a row under its heading, which touches no panel; the lowest panel of
// each column has the labels of the seasons.
func TestGroupsBeginRows(t *testing.T) {
	s := set(11, 5, apiary)
	for i := range s.Panels {
		s.Panels[i].Group = map[bool]string{true: "Coast", false: "Hills"}[i < 6]
	}
	cells, rows, headings := s.cells(4)
	var got []int
	for _, c := range cells {
		got = append(got, 10*c.row+c.column)
	}
	if want := []int{0, 1, 2, 3, 10, 11, 20, 21, 22, 23, 30}; !slices.Equal(got, want) || rows != 4 || headings != 2 {
		t.Fatalf("places %v, %d rows, %d headings; want %v, 4 and 2", got, rows, headings, want)
	}
	for i, c := range cells {
		if c.lowest != (i >= 7) {
			t.Errorf("panel %d is the lowest of its column: %v", i+1, c.lowest)
		}
	}
	g := s.grid()
	g.place(area{6, 480, 40, 600})
	first, last := g.frame(5), g.frame(6)
	if room := first.bottom - (last.top + g.head); room < groupHead {
		t.Errorf("%g for the heading of the second group, want %g", room, groupHead)
	}
	if foot := g.frame(10).bottom; math.Abs(float64(foot-(40+panelFoot+panelGap))) > placeTolerance {
		t.Errorf("the last row ends at %g", foot)
	}
	_, r := drawn(t, s)
	for _, heading := range []string{"Coast", "Hills"} {
		if n := textsOf(r, heading); n != 1 {
			t.Errorf("%q stands %d times", heading, n)
		}
	}
	if _, got := s.words(); strings.Count(got, "Coast. Apiary 1: ") != 1 || strings.Count(got, "Hills. ") != 1 {
		t.Errorf("description %q", got)
	}
}

func textsOf(r *recording, s string) (n int) {
	for _, l := range r.texts {
		if l.s == s {
			n++
		}
	}
	return n
}

func TestWhatTrendsCannotDraw(t *testing.T) {
	bad := func(p TrendPoint) Timeline {
		line := rising(seasons(3, season))
		line.Trend[1] = p
		return line
	}
	short, odd, many := rising(seasons(3, season)), set(2, 3, apiary), set(25, 2, apiary)
	short.Trend = short.Trend[:2]
	odd.Panels[1].Seasons = odd.Panels[1].Seasons[:2]
	negative := set(2, 3, apiary)
	negative.Panels[1].Seasons[0].Estimate = -1
	for want, f := range map[string]Figure{
		"trend 2, limits 3 to 4 at season 2":      bad(TrendPoint{3, 2, 4}),
		"trend 2, limits 0 to 4 at season 2":      bad(TrendPoint{0, 2, 4}),
		"trend 2, limits 1 to +Inf at season 2":   bad(TrendPoint{1, 2, inf}),
		"a trend of 2 points for 3 seasons":       short,
		"Apiary 2: 2 seasons of 3":                odd,
		"Apiary 2: season : estimate -1":          negative,
		"25 timelines of 2 seasons: give 1 to 24": many,
		"leaves no room for its timelines":        TimelineSet{Caption: Caption{Height: 60 * vg.Millimeter}, Seasons: many.Seasons, Panels: many.Panels[:24]},
	} {
		if _, err := f.page(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v, want one with %q", err, want)
		}
	}
}
