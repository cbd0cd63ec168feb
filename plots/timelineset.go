package plots

import (
	"fmt"

	"gonum.org/v1/plot/vg"
)

// TimelineSet is the figure of several timelines, such as the apiaries or the
// regions of a programme, side by side on common axes: at most 24.
type TimelineSet struct {
	Caption
	Quantity string     // name of the vertical axis
	Seasons  []string   // labels of the horizontal axis
	Baseline [2]float64 // range of the susceptible; zero for none
	Panels   []TimelinePanel
}

// TimelinePanel is one of the timelines.
type TimelinePanel struct {
	Name       string
	Group      string   // heading over the panels that follow one another with it, such as a region; blank for none
	Seasons    []Season // one for each of TimelineSet.Seasons, their labels are not used
	Trend      []TrendPoint
	TrendWords string // set under the name
}

// maxPanels is the number of timelines that one page of print holds.
const maxPanels = 24

func (t TimelineSet) withTexts(do func(string) string) Figure {
	t.Caption, t.Quantity, t.Seasons = t.Caption.withTexts(do), do(t.Quantity), throughAll(t.Seasons, do)
	t.Panels = append([]TimelinePanel(nil), t.Panels...)
	for i := range t.Panels {
		one := &t.Panels[i]
		one.Name, one.Group, one.TrendWords = do(one.Name), do(one.Group), do(one.TrendWords)
	}
	return t
}

func (t TimelineSet) words() (name, description string) {
	say := sayBaseline(t.Baseline)
	for i, panel := range t.Panels {
		s := clean(panel.Name) + ": "
		if g := clean(panel.Group); g != "" && t.beginsGroup(i) {
			s = g + ". " + s
		}
		if w := clean(panel.TrendWords); w != "" {
			s += w + "; "
		}
		for i, season := range panel.Seasons {
			if i > 0 {
				s += "; "
			}
			if i < len(t.Seasons) {
				s += clean(t.Seasons[i]) + " "
			}
			s += sayEstimate(season.Censored, season.Estimate, season.Lower, season.Upper)
		}
		say = append(say, s)
	}
	subject := timeQuantity(t.Quantity) + " by season, " + count(len(t.Panels), "timeline")
	return t.name(subject), t.tell(subject, say...)
}

func (t TimelineSet) check() error {
	if len(t.Seasons) == 0 || len(t.Panels) == 0 || len(t.Panels) > maxPanels {
		return fmt.Errorf("plots: %d timelines of %d seasons: give 1 to %d timelines and at least one season", len(t.Panels), len(t.Seasons), maxPanels)
	}
	for _, panel := range t.Panels {
		who := clean(panel.Name) + ": "
		if len(panel.Seasons) != len(t.Seasons) {
			return fmt.Errorf("plots: %s%d seasons of %d: give one for each label", who, len(panel.Seasons), len(t.Seasons))
		}
		if err := panel.course().check(who); err != nil {
			return err
		}
	}
	return checkBaseline(t.Baseline)
}

// beginsGroup says that a panel is the first of its group.
func (t TimelineSet) beginsGroup(i int) bool {
	return i == 0 || t.Panels[i].Group != t.Panels[i-1].Group
}

// Across is the number of panels that stand side by side at most.
func (t TimelineSet) Across() int { return max(1, int((t.width()-2*margin)/panelWide)) }

func (panel TimelinePanel) course() course { return course{panel.Seasons, panel.Trend} }

func (t TimelineSet) courses() []course {
	out := make([]course, len(t.Panels))
	for i, panel := range t.Panels {
		out[i] = panel.course()
	}
	return out
}

func (t TimelineSet) page() (page, error) {
	if err := t.check(); err != nil {
		return page{}, err
	}
	g := t.grid()
	s, err := t.sheet(keyBox{items: timeKey(t.Baseline, t.courses()...)}, timeFooter(g.up, t.courses()...), g.needs())
	if err != nil {
		return page{}, err
	}
	if g.place(s.body); g.high < minPanel {
		return page{}, errNoRoom(s.w, s.h, "leaves no room for its timelines", "make it larger or show fewer")
	}
	return page{s.w, s.h, func(p pen) { s.draw(p); t.draw(p, g) }}, nil
}

// Sizes of the small panels.
const (
	panelWide  vg.Length = 104 // least width with its share of the gaps
	panelGood  vg.Length = 50  // height for which a page of unstated height grows
	minPanel   vg.Length = 30
	panelGap   vg.Length = 8
	panelPoint vg.Length = 1.7
)
