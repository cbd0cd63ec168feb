package registry

import (
	"encoding/json"

	"vialwise/bioassay"
)

// Filter chooses assays. An empty list lets all pass; otherwise one of its
// values must be met to the letter. The zero Filter lets all assays pass.
type Filter struct {
	Names      []string
	Apiaries   []string // codes
	Regions    []string // of the apiary, as the table of apiaries has it now
	Acaricides []string
	Protocols  []string
	Roles      []bioassay.Role
	From, To   bioassay.Date // days of collection, both included; assays without one do not pass
}

// condition returns the filter as a continued WHERE clause.
func (f Filter) condition() (clause string, args []any) {
	add := func(text string, value any) {
		clause += " AND " + text
		args = append(args, value)
	}
	among := func(column string, values []string) {
		if len(values) > 0 {
			add(column+" IN (SELECT value FROM json_each(?))", list(values))
		}
	}
	among("a.name", f.Names)
	among("v.apiary", f.Apiaries)
	among("v.acaricide", f.Acaricides)
	among("v.protocol", f.Protocols)
	var roles []string
	for _, r := range f.Roles {
		roles = append(roles, r.String())
	}
	among("v.role", roles)
	if len(f.Regions) > 0 {
		add("v.apiary IN (SELECT code FROM ("+currentApiaries+") WHERE region IN (SELECT value FROM json_each(?)))", list(f.Regions))
	}
	if !f.From.IsZero() {
		add("v.collected_on >= ?", f.From.String())
	}
	if !f.To.IsZero() {
		add("v.collected_on <= ?", f.To.String())
	}
	return clause, args
}

// list writes texts as a JSON array, cleaned as those that are stored.
func list(values []string) string {
	cleaned := make([]string, len(values))
	for i, v := range values {
		cleaned[i] = clean(v)
	}
	text, err := json.Marshal(cleaned)
	if err != nil {
		panic("registry: strings always marshal: " + err.Error())
	}
	return string(text)
}
