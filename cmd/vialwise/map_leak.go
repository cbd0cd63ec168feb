package main

import (
	"bytes"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"unicode"
)

// leak refuses a map that names an apiary, a contact or an assay in any file that
// is text: however a name came there, it must not go out. Names without a digit
// and short ones are words that may stand there with another meaning.
func leak(made []artefact, known *tracked) error {
	names := tellingNames(known)
	for _, a := range made {
		if strings.HasSuffix(a.name, ".pdf") {
			continue
		}
		if name, ok := named(a.data, names); ok {
			return fmt.Errorf("the map was not written: its file %s would hold %q, the name of an apiary, contact or assay; if it is the name of an acaricide, a band or the programme, choose another", a.name, name)
		}
	}
	return nil
}

// named finds the first of some names that stands in a text with no letter or
// number before or after it. Only where all words of a name are words of the text
// is it looked for as a whole.
func named(text []byte, names []string) (string, bool) {
	apart := func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsNumber(r) }
	words := map[string]bool{}
	for word := range bytes.FieldsFuncSeq(text, apart) {
		if !words[string(word)] {
			words[string(word)] = true
		}
	}
	for _, name := range names {
		foreign := slices.ContainsFunc(strings.FieldsFunc(name, apart), func(word string) bool { return !words[word] })
		if !foreign && regexp.MustCompile(`(?:^|[^\pL\pN])`+regexp.QuoteMeta(name)+`(?:$|[^\pL\pN])`).Match(text) {
			return name, true
		}
	}
	return "", false
}

// shortestTelling is the number of characters from which a name is looked for.
const shortestTelling = 3

func tellingNames(known *tracked) []string {
	names := map[string]bool{}
	for _, a := range known.apiaries {
		names[a.Code], names[a.ContactCode] = true, true
	}
	for _, s := range known.Tracking.Series {
		names[s.Apiary] = true
	}
	for _, r := range known.Tracking.Baselines {
		for _, a := range r.Assays {
			names[a.Assay.Name], names[a.Assay.Population], names[a.Assay.Apiary] = true, true, true
		}
	}
	return slices.DeleteFunc(slices.Sorted(maps.Keys(names)), func(s string) bool {
		return len(s) < shortestTelling || !strings.ContainsFunc(s, unicode.IsDigit) || !strings.ContainsFunc(s, unicode.IsLetter)
	})
}
