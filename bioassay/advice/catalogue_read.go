package advice

import (
	"errors"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"
	"golang.org/x/text/language"
)

// catalogueFile is the layout of a catalogue file.
type catalogueFile struct {
	Language string            `toml:"language"`
	Name     string            `toml:"name"`
	List     listWords         `toml:"list"`
	Dates    dateWords         `toml:"dates"`
	Headings map[string]string `toml:"headings"`
	Actives  map[string]string `toml:"actives"`
	Animals  map[string]string `toml:"animals"`
	Sources  map[string]string `toml:"sources"`
	Messages map[string]any    `toml:"messages"`
}

// texts are the messages beside those of the rules, with their placeholders.
var texts = map[string][]string{
	"title": nil, "subtitle": {"apiary", "date"},
	"picture": nil, "picture-live": nil, "picture-likely-live": nil, "picture-likely-die": nil, "picture-die": nil, "picture-row": {"active", "n", "low", "high"},
	"basis": {"name", "source"}, "basis-borrowed": {"name", "source", "animals"}, "mark-invented": nil,
	"choice": {"active", "group"}, "choice-if": {"active", "group", "conditions"},
	"group": {"code"}, "group-none": nil, "more": {"n"},
	"condition-supers": nil, "condition-brood": nil, "condition-temperature": nil, "condition-other": {"text"},
	"reason-controls": nil, "reason-counts": nil, "reason-order": nil, "reason-none": nil, "reason-other": nil,
}

// wanted returns every message with its placeholders.
func wanted() map[string][]string {
	all := maps.Clone(texts)
	for _, r := range Rules() {
		all[r.ID] = r.Args
	}
	return all
}

// ReadCatalogue reads a catalogue file and checks that no message, heading or
// name is missing and that every message has its placeholders and no others.
func ReadCatalogue(name string, text []byte) (*Catalogue, error) {
	var f catalogueFile
	meta, err := toml.Decode(string(text), &f)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	r := &catalogueReader{name: name, file: f}
	for _, key := range meta.Undecoded() {
		if key[0] != "messages" { // whose plural forms are read below
			r.fail("%s is not known here; delete it", key)
		}
	}
	c := r.read()
	if r.errs != nil {
		return nil, errors.Join(r.errs...)
	}
	return c, nil
}

type catalogueReader struct {
	name string
	file catalogueFile
	errs []error
}

func (r *catalogueReader) fail(format string, args ...any) {
	r.errs = append(r.errs, fmt.Errorf("%s: "+format, append([]any{r.name}, args...)...))
}

func (r *catalogueReader) read() *Catalogue {
	tag, err := language.Parse(r.file.Language)
	if err != nil {
		r.fail("language: found %q; write a tag such as \"en\"", r.file.Language)
	}
	if r.file.Name == "" {
		r.fail("name is missing; add the name of the language")
	}
	if l := r.file.List; l.Comma == "" || l.And == "" || l.Or == "" || l.Nor == "" {
		r.fail("list needs comma, and, or, nor, such as \", \", \" and \", \" or \", \" or \"")
	}
	r.checkDates()
	var headings, names []string
	for _, id := range SectionIDs() {
		headings = append(headings, string(id))
	}
	for _, g := range Groups() {
		names = append(names, g.Actives...)
	}
	r.checkTable("headings", r.file.Headings, headings, true)
	r.checkTable("actives", r.file.Actives, names, true)
	r.checkTable("animals", r.file.Animals, nil, false)
	r.checkTable("sources", r.file.Sources, []string{GroupSource(), common}, false)
	return &Catalogue{
		Language: r.file.Language, Name: r.file.Name, tag: tag, list: r.file.List, dates: r.file.Dates,
		headings: r.file.Headings, actives: r.file.Actives, animals: r.file.Animals, sources: r.file.Sources, messages: r.messages(),
	}
}

func (r *catalogueReader) checkDates() {
	d := r.file.Dates
	if len(d.Months) != 12 {
		r.fail("dates.months: found %d names; write 12, from January on", len(d.Months))
	}
	r.checkPlaceholders("dates.day", d.Day, []string{"day", "month", "year"})
	r.checkPlaceholders("dates.month", d.Month, []string{"month", "year"})
}

// checkTable demands the keys of a table, and no others when closed.
func (r *catalogueReader) checkTable(table string, have map[string]string, want []string, closed bool) {
	for _, key := range want {
		if strings.TrimSpace(have[key]) == "" {
			r.fail("%s: %q is missing; translate it", table, key)
		}
	}
	for _, key := range slices.Sorted(maps.Keys(have)) {
		if closed && !slices.Contains(want, key) {
			r.fail("%s: %q is not known here; delete it", table, key)
		}
	}
}

func (r *catalogueReader) messages() map[string]forms {
	out := map[string]forms{}
	want := wanted()
	for _, id := range slices.Sorted(maps.Keys(want)) {
		value, ok := r.file.Messages[id]
		if !ok {
			r.fail("message %q is missing; translate it%s", id, withPlaceholders(want[id]))
			continue
		}
		out[id] = r.forms(id, value)
		for _, category := range slices.Sorted(maps.Keys(out[id])) {
			r.checkPlaceholders("message "+id+"."+category, out[id][category], want[id])
		}
	}
	for _, id := range slices.Sorted(maps.Keys(r.file.Messages)) {
		if _, ok := want[id]; !ok {
			r.fail("message %q is not known here; delete it", id)
		}
	}
	return out
}

// withPlaceholders adds to a remedy what a message must hold.
func withPlaceholders(names []string) string {
	if len(names) == 0 {
		return ""
	}
	return ", with {" + strings.Join(names, "}, {") + "}"
}

// categories are the plural categories of CLDR, and the form for a full page.
var categories = []string{"zero", "one", "two", "few", "many", "other", shortForm}

const shortForm = "short"

// forms reads a message: a text, or a table of texts by plural category with
// perhaps a short form.
func (r *catalogueReader) forms(id string, value any) forms {
	if text, ok := value.(string); ok {
		return forms{"other": text}
	}
	table, _ := value.(map[string]any)
	out := forms{}
	for _, category := range slices.Sorted(maps.Keys(table)) {
		text, ok := table[category].(string)
		if !ok || !slices.Contains(categories, category) {
			r.fail("message %q: %q is no text under one of %s", id, category, strings.Join(categories, ", "))
			continue
		}
		out[category] = text
	}
	if out["other"] == "" {
		r.fail("message %q has no form \"other\"; write one", id)
	}
	return out
}

var placeholder = regexp.MustCompile(`\{[^{}]*\}`)

// checkPlaceholders demands that a text has each placeholder, and no others.
func (r *catalogueReader) checkPlaceholders(where, text string, want []string) {
	var have []string
	for _, p := range placeholder.FindAllString(text, -1) {
		have = append(have, strings.Trim(p, "{}"))
	}
	for _, p := range want {
		if !slices.Contains(have, p) {
			r.fail("%s: placeholder {%s} is missing", where, p)
		}
	}
	for _, p := range have {
		if !slices.Contains(want, p) {
			r.fail("%s: placeholder {%s} is not known here", where, p)
		}
	}
	if strings.TrimSpace(text) == "" {
		r.fail("%s: the text is blank", where)
	}
}
