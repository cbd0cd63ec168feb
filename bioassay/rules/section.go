package rules

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"vialwise/bioassay"
)

// section is a table of the file while it is being read. Every key that is
// asked for counts as known; close reports the rest.
type section struct {
	file   *file
	path   string
	values map[string]any
	known  []string
}

// fail records an error at a key of the section, or at the section itself.
func (s *section) fail(key, found, message, remedy string) {
	path := s.path
	if key != "" {
		path = join(s.path, key)
	}
	s.file.fail(path, found, message, remedy)
}

// take returns the value of a key.
func (s *section) take(key string) (any, bool) {
	s.known = append(s.known, key)
	v, ok := s.values[key]
	return v, ok
}

// wrongType records that a value is of another kind than wanted.
func (s *section) wrongType(key string, v any, want string) {
	s.fail(key, shown(v), "the value is not "+want, "write "+want)
}

// shown writes a value briefly for a message.
func shown(v any) string {
	text := fmt.Sprint(v)
	if s, ok := v.(string); ok {
		text = fmt.Sprintf("%q", s)
	}
	if len(text) > 60 {
		text = text[:57] + "..."
	}
	return text
}

// text returns a text, trimmed. A required one must not be blank.
func (s *section) text(key string, required bool) string {
	v, ok := s.take(key)
	text, isText := v.(string)
	switch {
	case ok && !isText:
		s.wrongType(key, v, "a text in quotation marks")
	case required && strings.TrimSpace(text) == "":
		remedy := fmt.Sprintf("add %s = \"...\"", key)
		if key == "source" {
			remedy = `add source = "...", or "common practice" where there is none`
		}
		s.fail(key, "", "there is no "+key, remedy)
	case strings.ContainsFunc(text, unprintable):
		s.fail(key, shown(text), "the text holds a control character or a line break", "write it on one line")
	}
	return strings.TrimSpace(text)
}

// number returns a number between two limits.
func (s *section) number(key string, least, most float64) bioassay.Optional {
	v, ok := s.take(key)
	if !ok {
		return bioassay.Optional{}
	}
	var x float64
	switch n := v.(type) {
	case int64:
		x = float64(n)
	case float64:
		x = n
	default:
		s.wrongType(key, v, "a number without quotation marks")
		return bioassay.Optional{}
	}
	if !(x >= least && x <= most) {
		s.fail(key, shown(v), fmt.Sprintf("the number is not between %g and %g", least, most), "correct it")
		return bioassay.Optional{}
	}
	return bioassay.Known(x)
}

// whole returns a whole number between two limits, 0 when there is none.
func (s *section) whole(key string, least, most float64) int {
	x := s.number(key, least, most)
	if x.Known && x.Value != math.Trunc(x.Value) {
		s.fail(key, fmt.Sprintf("%g", x.Value), "the number is not whole", "correct it")
	}
	return int(x.Value)
}

// flag returns true or false, false when there is none.
func (s *section) flag(key string) bool {
	v, ok := s.take(key)
	b, isFlag := v.(bool)
	if ok && !isFlag {
		s.wrongType(key, v, "true or false without quotation marks")
	}
	return b
}

// date returns a calendar day, written bare or in quotation marks.
func (s *section) date(key string) bioassay.Date {
	v, ok := s.take(key)
	switch d := v.(type) {
	case time.Time:
		if d.Location().String() == "date-local" {
			return bioassay.DateOf(d)
		}
	case string:
		if day, err := bioassay.ParseDate(d); err == nil {
			return day
		}
	}
	if ok {
		s.fail(key, shown(v), "the value is not a calendar day", "write it as 2031-04-09")
	}
	return bioassay.Date{}
}

// texts returns a list of texts.
func (s *section) texts(key string) []string {
	v, ok := s.take(key)
	if !ok {
		return nil
	}
	list, isList := v.([]any)
	out := []string{}
	for _, item := range list {
		text, isText := item.(string)
		isList = isList && isText
		out = append(out, text)
	}
	if !isList {
		s.wrongType(key, v, `a list of texts, such as ["a", "b"]`)
		return nil
	}
	return out
}

// choice returns the position of a text among those allowed, 0 when there is
// none.
func (s *section) choice(key string, allowed ...string) int {
	text := s.text(key, false)
	if text == "" {
		return 0
	}
	i := slices.Index(allowed, text)
	if i < 0 {
		s.fail(key, shown(text), "the value is none of the known ones", "write "+oneOf(allowed))
		return 0
	}
	return i
}

func oneOf(words []string) string {
	words = slices.DeleteFunc(slices.Clone(words), func(w string) bool { return w == "" })
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

// table returns a table within the section.
func (s *section) table(key string) (*section, bool) {
	v, ok := s.take(key)
	if !ok {
		return nil, false
	}
	values, isTable := v.(map[string]any)
	if !isTable {
		s.wrongType(key, v, "a table")
		return nil, false
	}
	return &section{file: s.file, path: join(s.path, key), values: values}, true
}

// tables returns the tables of an array.
func (s *section) tables(key string) []*section {
	v, ok := s.take(key)
	if !ok {
		return nil
	}
	var list []map[string]any
	switch array := v.(type) {
	case []map[string]any:
		list = array
	case []any:
		for _, item := range array {
			values, isTable := item.(map[string]any)
			if !isTable {
				s.wrongType(key, item, "a table in braces")
				return nil
			}
			list = append(list, values)
		}
	default:
		s.wrongType(key, v, fmt.Sprintf("an array of tables, each begun by [[%s]]", key))
	}
	var out []*section
	for i, values := range list {
		out = append(out, &section{file: s.file, path: fmt.Sprintf("%s[%d]", join(s.path, key), i+1), values: values})
	}
	return out
}

// close reports the keys nobody asked for.
func (s *section) close() {
	for _, key := range slices.Sorted(maps.Keys(s.values)) {
		if !slices.Contains(s.known, key) {
			s.fail(key, "", "the key is not known here", "the keys known here are "+strings.Join(slices.Compact(slices.Sorted(slices.Values(s.known))), ", "))
		}
	}
}
