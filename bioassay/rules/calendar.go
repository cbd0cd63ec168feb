package rules

import (
	"fmt"
	"strconv"

	"vialwise/bioassay"
)

// readCalendar reads the seasons of a programme.
func (f *file) readCalendar(top *section) {
	s, ok := top.table("calendar")
	if !ok {
		return
	}
	c := &bioassay.Calendar{Hemisphere: bioassay.Hemisphere(s.choice("hemisphere", "north", "south"))}
	before := len(f.errs)
	for _, one := range s.tables("season") {
		start := bioassay.SeasonStart{Name: one.text("name", true)}
		start.Month, start.Day = one.monthDay("begins")
		c.Starts = append(c.Starts, start)
		one.close()
	}
	s.close()
	if len(f.errs) > before {
		return
	}
	if err := c.Check(); err != nil {
		s.fail("season", "", err.Error(), `write name = "..." and begins = "MM-DD" for each season, from January on`)
		return
	}
	f.into.Calendar = c
}

// monthDay reads a day of every year, "02-15".
func (s *section) monthDay(key string) (month, day int) {
	text := s.text(key, true)
	if text == "" {
		return 0, 0
	}
	ok := len(text) == len("02-15") && text[2] == '-'
	if ok {
		var errMonth, errDay error
		month, errMonth = strconv.Atoi(text[:2])
		day, errDay = strconv.Atoi(text[3:])
		ok = errMonth == nil && errDay == nil && fmt.Sprintf("%02d-%02d", month, day) == text
	}
	if !ok {
		s.fail(key, shown(text), "the value is not a day of the year", "write month and day, as in 02-15")
	}
	return month, day
}
