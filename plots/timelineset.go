package plots

// TimelineSet is the figure of several timelines, such as the apiaries or the
// regions of a programme, side by side on common axes.
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
	Seasons    []Season // one for each of TimelineSet.Seasons, their labels are not used
	Trend      []TrendPoint
	TrendWords string
}
