package bioassay

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

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

// String returns name and day, such as "early 02-15".
func (s SeasonStart) String() string { return fmt.Sprintf("%s %02d-%02d", s.Name, s.Month, s.Day) }

// in is the day on which the season begins in a year.
func (s SeasonStart) in(year int) Date {
	return Date{Year: year, Month: time.Month(s.Month), Day: s.Day}
}

// meteorological are the seasons of a hemisphere by rising day of the year.
func meteorological(h Hemisphere) []SeasonStart {
	names := quarters[h]
	return []SeasonStart{{names[1], 3, 1}, {names[2], 6, 1}, {names[3], 9, 1}, {names[0], 12, 1}}
}

func (c Calendar) starts() []SeasonStart {
	if len(c.Starts) > 0 {
		return c.Starts
	}
	return meteorological(c.Hemisphere)
}

// Of returns the season of a day, the zero Season of the zero Date.
func (c Calendar) Of(d Date) Season {
	if d.IsZero() {
		return Season{}
	}
	starts := c.starts()
	season := Season{Year: d.Year - 1, Name: starts[len(starts)-1].Name}
	for _, s := range starts {
		if d.Compare(s.in(d.Year)) >= 0 {
			season = Season{Year: d.Year, Name: s.Name}
		}
	}
	return season
}

// Begin returns the first day of a season, the zero Date for a season that the
// calendar does not know.
func (c Calendar) Begin(s Season) Date {
	for _, start := range c.starts() {
		if start.Name == s.Name {
			return start.in(s.Year)
		}
	}
	return Date{}
}

// Compare returns -1, 0 or +1 as a begins before, with or after b. Seasons that
// the calendar does not know come first.
func (c Calendar) Compare(a, b Season) int { return c.Begin(a).Compare(c.Begin(b)) }

// mostSeasons is the number of seasons that Between returns at most.
const mostSeasons = 4000

// Between returns every season from one to another, both included; none where
// the first is the later one or the calendar does not know one of them.
func (c Calendar) Between(from, to Season) (out []Season) {
	if c.Begin(from).IsZero() || c.Begin(to).IsZero() {
		return nil
	}
	starts := c.starts()
	i := slices.IndexFunc(starts, func(s SeasonStart) bool { return s.Name == from.Name })
	for year := from.Year; len(out) < mostSeasons; {
		s := Season{Year: year, Name: starts[i].Name}
		if c.Compare(s, to) > 0 {
			return out
		}
		out = append(out, s)
		if i++; i == len(starts) {
			i, year = 0, year+1
		}
	}
	return out
}

// ParseSeason reads a season as String writes it, "2031-spring".
func (c Calendar) ParseSeason(text string) (Season, error) {
	year, name, ok := strings.Cut(text, "-")
	var s Season
	if _, err := fmt.Sscanf(year, "%d", &s.Year); err != nil || !ok || fmt.Sprint(s.Year) != year {
		return Season{}, fmt.Errorf("season %q is not written as year and name, such as %s", text, Season{2031, c.starts()[0].Name})
	}
	s.Name = name
	if c.Begin(s).IsZero() {
		var names []string
		for _, start := range c.starts() {
			names = append(names, start.Name)
		}
		return Season{}, fmt.Errorf("season %q: the calendar has no %q; its seasons are %s", text, name, strings.Join(names, ", "))
	}
	return s, nil
}

// Check reports what keeps the seasons of a programme from being a calendar: no
// name or one given twice, a day that not every year has, or an order that is not
// that of the year.
func (c Calendar) Check() error {
	const year = 2031 // no leap year
	named := map[string]bool{}
	for i, s := range c.Starts {
		day := s.in(year)
		switch {
		case strings.TrimSpace(s.Name) == "":
			return fmt.Errorf("season %d has no name", i+1)
		case named[s.Name]:
			return fmt.Errorf("two seasons are named %q", s.Name)
		case DateOf(day.Time()) != day:
			return fmt.Errorf("season %q cannot begin on %02d-%02d, a day that not every year has", s.Name, s.Month, s.Day)
		case i > 0 && c.Starts[i-1].in(year).Compare(day) >= 0:
			return fmt.Errorf("season %q begins on %02d-%02d, not after season %q; list them as they follow one another from January on", s.Name, s.Month, s.Day, c.Starts[i-1].Name)
		}
		named[s.Name] = true
	}
	return nil
}

// HemisphereOfAll returns the hemisphere in which apiaries stand, north where none
// has a latitude. It fails where they stand in both, since one word for a season
// would then mean two times of the year.
func HemisphereOfAll(apiaries []Apiary) (Hemisphere, error) {
	var sides [2][]Apiary
	for _, a := range apiaries {
		if a.Latitude.Known {
			h := HemisphereOf(a.Latitude.Value)
			sides[h] = append(sides[h], a)
		}
	}
	few, many := North, South
	if len(sides[North]) > len(sides[South]) {
		few, many = South, North
	}
	if len(sides[few]) == 0 {
		if len(sides[many]) == 0 {
			return North, nil
		}
		return many, nil
	}
	return North, fmt.Errorf("on the %s side of the equator, where seasons differ, are %s, and %s on the %s side; look at the coordinates of the former first (is a sign missing, or are latitude and longitude exchanged?), and if they are right say which hemisphere names the seasons with --hemisphere, or track one half at a time",
		few, Codes(sides[few]), Plural(len(sides[many]), "apiary"), many)
}
