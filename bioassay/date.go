package bioassay

import (
	"cmp"
	"fmt"
	"time"
)

// Date is a day of the civil calendar, without time or zone. The zero Date
// means that no date was recorded.
type Date struct {
	Year  int
	Month time.Month
	Day   int
}

// ParseDate reads an ISO 8601 calendar date, four-digit year, two-digit month,
// two-digit day: "2031-04-09". Every other way of writing a date is refused,
// because 03/04/2031 is two different days in two countries.
func ParseDate(s string) (Date, error) {
	if len(s) != len("2031-04-09") {
		return Date{}, fmt.Errorf("date %q is not written as year-month-day (2031-04-09)", s)
	}
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return Date{}, fmt.Errorf("date %q is not a calendar day written as year-month-day (2031-04-09)", s)
	}
	return DateOf(t), nil
}

// DateOf returns the calendar day of t in the zone of t.
func DateOf(t time.Time) Date {
	year, month, day := t.Date()
	return Date{year, month, day}
}

// IsZero reports whether no date was recorded.
func (d Date) IsZero() bool { return d == Date{} }

// String returns the ISO 8601 form, or nothing for the zero Date.
func (d Date) String() string {
	if d.IsZero() {
		return ""
	}
	return fmt.Sprintf("%04d-%02d-%02d", d.Year, int(d.Month), d.Day)
}

// Compare returns -1, 0 or +1 as d is before, the same as, or after other.
func (d Date) Compare(other Date) int {
	return cmp.Or(cmp.Compare(d.Year, other.Year),
		cmp.Compare(d.Month, other.Month), cmp.Compare(d.Day, other.Day))
}

// MarshalText returns the ISO 8601 form, or nothing for the zero Date.
func (d Date) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads what MarshalText wrote.
func (d *Date) UnmarshalText(text []byte) (err error) {
	if len(text) == 0 {
		*d = Date{}
		return nil
	}
	*d, err = ParseDate(string(text))
	return err
}

// Time returns the beginning of the day in UTC.
func (d Date) Time() time.Time { return time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, time.UTC) }
