package bioassay

import (
	"fmt"
	"time"
)

// Season is a quarter of the year, named as beekeepers speak of it.
type Season struct {
	Year int
	Name string // spring, summer, autumn or winter
}

// String returns year and name, such as "2031-spring".
func (s Season) String() string { return fmt.Sprintf("%d-%s", s.Year, s.Name) }

// quarters are the names from December on, by hemisphere.
var quarters = [...][4]string{
	North: {"winter", "spring", "summer", "autumn"},
	South: {"summer", "autumn", "winter", "spring"},
}

// SeasonOf returns the meteorological season of a day: in the north, spring is
// March to May, summer June to August, autumn September to November and winter
// December to February; in the south they are six months apart. The season
// that runs over the turn of the year belongs to the year in which it begins:
// January 2032 is 2031-winter in the north and 2031-summer in the south. The
// zero Date has no season and gives the zero Season.
func SeasonOf(d Date, h Hemisphere) Season {
	if d.IsZero() {
		return Season{}
	}
	year := d.Year
	if d.Month < time.March {
		year--
	}
	return Season{Year: year, Name: quarters[h][int(d.Month)%12/3]}
}
