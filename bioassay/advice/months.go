package advice

import (
	"time"

	"vialwise/bioassay"
)

// addMonths returns the same day some months later, the last day of the month
// where that one is shorter.
func addMonths(d bioassay.Date, months int) bioassay.Date {
	first := time.Date(d.Year, d.Month+time.Month(months), 1, 0, 0, 0, 0, time.UTC)
	last := first.AddDate(0, 1, -1).Day()
	return bioassay.Date{Year: first.Year(), Month: first.Month(), Day: min(d.Day, last)}
}
