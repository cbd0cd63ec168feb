package atlas

import (
	"fmt"
	"slices"
	"strings"

	"vialwise/bioassay"
)

// writeCalendar writes a hemisphere, or the first days of the seasons.
func writeCalendar(c bioassay.Calendar) any {
	if len(c.Starts) == 0 {
		return c.Hemisphere.String()
	}
	var list []any
	for _, s := range c.Starts {
		list = append(list, s.String())
	}
	return list
}

func readCalendar(v any) (c bioassay.Calendar, err error) {
	switch v := v.(type) {
	case string:
		if v == bioassay.South.String() {
			c.Hemisphere = bioassay.South
		} else if v != bioassay.North.String() {
			return c, fmt.Errorf("%s %q is neither north nor south", memberSeasons, v)
		}
		return c, nil
	case []any:
		for _, one := range v {
			s, err := readStart(one)
			if err != nil {
				return c, err
			}
			c.Starts = append(c.Starts, s)
		}
		if len(v) == 0 {
			return c, fmt.Errorf("%s is empty", memberSeasons)
		}
		if err := c.Check(); err != nil {
			return c, fmt.Errorf("%s: %w", memberSeasons, err)
		}
		return c, nil
	}
	return c, fmt.Errorf("it lacks %s, by which its seasons are known", memberSeasons)
}

// readStart reads name and first day of a season; the name may have spaces.
func readStart(v any) (s bioassay.SeasonStart, err error) {
	text, _ := v.(string)
	if len(text) > len(" 02-15") {
		cut := len(text) - len(" 02-15")
		s.Name = text[:cut]
		fmt.Sscanf(text[cut:], " %02d-%02d", &s.Month, &s.Day)
	}
	if s.String() != text {
		return s, fmt.Errorf("%s: %v is no season; one is written as in early 02-15", memberSeasons, v)
	}
	return s, nil
}

func sameSeasons(a, b bioassay.Calendar) bool {
	return slices.Equal(a.Starts, b.Starts) && (len(a.Starts) > 0 || a.Hemisphere == b.Hemisphere)
}

// seasonWords names how a calendar divides the year.
func seasonWords(c bioassay.Calendar) string {
	if len(c.Starts) == 0 {
		return "the four of the " + c.Hemisphere.String()
	}
	var words []string
	for _, s := range c.Starts {
		words = append(words, s.String())
	}
	return strings.Join(words, ", ")
}
