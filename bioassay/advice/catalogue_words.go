package advice

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"

	"golang.org/x/text/feature/plural"

	"vialwise/bioassay"
)

// text returns a message with its placeholders filled, in the plural form of a
// count. Texts from outside are not searched for placeholders.
func (c *Catalogue) text(id message, count int, filled args) string {
	f, ok := c.messages[string(id)]
	if !ok {
		panic("advice: no message " + string(id))
	}
	return c.fill(id, cmp.Or(f[c.category(count)], f["other"]), filled)
}

// short returns the form of a message for a full page, or nothing.
func (c *Catalogue) short(id message, filled args) string {
	return c.fill(id, c.messages[string(id)][shortForm], filled)
}

func (c *Catalogue) fill(id message, pattern string, filled args) string {
	return placeholder.ReplaceAllStringFunc(pattern, func(p string) string {
		v, ok := filled[strings.Trim(p, "{}")]
		if !ok {
			panic("advice: message " + string(id) + " has nothing for " + p)
		}
		return c.word(v)
	})
}

var pluralNames = map[plural.Form]string{
	plural.Zero: "zero", plural.One: "one", plural.Two: "two", plural.Few: "few", plural.Many: "many", plural.Other: "other",
}

// category is the plural category of a whole number by the rules of CLDR.
func (c *Catalogue) category(count int) string {
	return pluralNames[plural.Cardinal.MatchPlural(c.tag, count, 0, 0, 0, 0)]
}

// word puts a value into words.
func (c *Catalogue) word(v any) string {
	switch v := v.(type) {
	case string:
		return v
	case number:
		return strconv.Itoa(int(v))
	case []string:
		return c.join(c.names(v), mostNames, c.list.And)
	case noneOf:
		return c.join(c.names(v), mostNames, c.list.Nor)
	case message:
		return c.text(v, 0, nil)
	case choices:
		return c.choices(v)
	case activeOf:
		return c.active(string(v))
	case animals:
		return cmp.Or(c.animals[string(v)], shown(string(v), mostName))
	case source:
		return c.source(string(v))
	case bases:
		return c.bases(v)
	case bioassay.Date:
		return c.day(v)
	case monthOf:
		return c.month(bioassay.Date(v))
	}
	panic(fmt.Sprintf("advice: no words for %T", v))
}

func (c *Catalogue) heading(id SectionID) string { return c.headings[string(id)] }

// active is the name of an active in the language; one that the program does
// not know stays as it was entered.
func (c *Catalogue) active(common string) string {
	return cmp.Or(c.actives[common], shown(common, mostName), "?")
}

// source names a source in the language; one that the catalogue does not know stays
// as it is written.
func (c *Catalogue) source(text string) string { return cmp.Or(c.sources[text], text) }

// bases lists rule sets with their sources.
func (c *Catalogue) bases(list bases) string {
	var words []string
	for _, b := range list[:min(len(list), mostBases)] {
		id, filled := message("basis"), args{"name": b.Name, "source": source(b.Source)}
		if b.Borrowed != "" {
			id, filled["animals"] = "basis-borrowed", animals(b.Borrowed)
		}
		words = append(words, shown(c.text(id, 0, filled), mostBasis))
	}
	if len(list) > mostBases {
		words = append(words, "…")
	}
	return strings.Join(words, "; ")
}

// The most names in a list; the rest are counted. A list of options may be
// short, one of what was found may not.
const (
	mostNames   = 9
	mostOptions = 4
)

func (c *Catalogue) names(list []string) []string {
	var words []string
	for _, name := range list {
		words = append(words, c.active(name))
	}
	return words
}

// join makes a list of words, the last after a conjunction.
func (c *Catalogue) join(words []string, most int, conjunction string) string {
	if extra := len(words) - most; extra > 0 {
		words = append(words[:most:most], c.text("more", extra, args{"n": number(extra)}))
	}
	if len(words) == 1 {
		return words[0]
	}
	last := len(words) - 1
	return strings.Join(words[:last], c.list.Comma) + conjunction + words[last]
}

// choices lists options with their groups, and with the conditions that nobody
// has answered.
func (c *Catalogue) choices(list choices) string {
	var words []string
	for _, o := range list {
		group := c.text("group-none", 0, nil)
		if o.Group.Code != "" {
			group = c.text("group", 0, args{"code": o.Group.Code})
		}
		filled := args{"active": activeOf(o.Acaricide), "group": group}
		if len(o.Conditions) == 0 {
			words = append(words, c.text("choice", 0, filled))
			continue
		}
		var conditions []string
		for _, k := range o.Conditions {
			var a args
			if k == OtherCondition {
				a = args{"text": o.Other}
			}
			conditions = append(conditions, c.text(message("condition-"+k.String()), 0, a))
		}
		filled["conditions"] = strings.Join(conditions, c.list.Comma)
		words = append(words, c.text("choice-if", 0, filled))
	}
	return c.join(words, mostOptions, c.list.Or)
}

func (c *Catalogue) day(d bioassay.Date) string {
	return strings.NewReplacer("{day}", strconv.Itoa(d.Day), "{month}", c.dates.Months[d.Month-1], "{year}", strconv.Itoa(d.Year)).Replace(c.dates.Day)
}

func (c *Catalogue) month(d bioassay.Date) string {
	return strings.NewReplacer("{month}", c.dates.Months[d.Month-1], "{year}", strconv.Itoa(d.Year)).Replace(c.dates.Month)
}
