package bioassay

// Calendar says in which season a day lies: the meteorological seasons of a
// hemisphere, or those that a programme has defined.
type Calendar struct {
	Hemisphere Hemisphere
	Starts     []SeasonStart // by rising day of the year; nil for the meteorological seasons
}

// SeasonStart is the first day of a season of a programme, in every year. The
// season lasts until the next one begins; the one that runs over the turn of
// the year belongs to the year in which it begins.
type SeasonStart struct {
	Name  string
	Month int
	Day   int
}

// Of returns the season of a day, the zero Season of the zero Date.
func (c Calendar) Of(d Date) Season {
	if len(c.Starts) == 0 || d.IsZero() {
		return SeasonOf(d, c.Hemisphere)
	}
	season := Season{Year: d.Year - 1, Name: c.Starts[len(c.Starts)-1].Name}
	for _, s := range c.Starts {
		if int(d.Month) > s.Month || int(d.Month) == s.Month && d.Day >= s.Day {
			season = Season{Year: d.Year, Name: s.Name}
		}
	}
	return season
}
