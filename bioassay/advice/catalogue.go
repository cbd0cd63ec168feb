package advice

import (
	"embed"
	"fmt"
	"path"
	"slices"
	"strings"
	"sync"

	"golang.org/x/text/language"
)

//go:embed catalogue/*.toml
var catalogueFiles embed.FS

// Catalogue holds the words of one language.
type Catalogue struct {
	Language string // BCP 47
	Name     string // of the language, in the language

	tag      language.Tag
	list     listWords
	dates    dateWords
	headings map[string]string
	actives  map[string]string
	animals  map[string]string
	sources  map[string]string
	messages map[string]forms
}

// listWords join the words of a list: all of them, one of them, none of them.
type listWords struct{ Comma, And, Or, Nor string }

type dateWords struct {
	Day    string // pattern with day, month and year
	Month  string // pattern with month and year
	Months []string
}

// forms are the plural forms of a message by CLDR category, and perhaps a short
// one; a message without plural has "other" only.
type forms map[string]string

var loadCatalogues = sync.OnceValue(func() map[string]*Catalogue {
	all := map[string]*Catalogue{}
	files, err := catalogueFiles.ReadDir("catalogue")
	if err != nil {
		panic("advice: " + err.Error())
	}
	for _, f := range files {
		text, err := catalogueFiles.ReadFile(path.Join("catalogue", f.Name()))
		if err != nil {
			panic("advice: " + err.Error())
		}
		c, err := ReadCatalogue(f.Name(), text)
		if err != nil {
			panic("advice: " + err.Error())
		}
		all[c.Language] = c
	}
	return all
})

// Languages lists the languages that come with the program.
func Languages() []string {
	var list []string
	for name := range loadCatalogues() {
		list = append(list, name)
	}
	slices.Sort(list)
	return list
}

// CatalogueOf returns the catalogue of a language, "en" or "es", or of a
// regional kind of it, "es-AR".
func CatalogueOf(name string) (*Catalogue, error) {
	all := loadCatalogues()
	for tag := name; tag != ""; tag = tag[:max(0, strings.LastIndexByte(tag, '-'))] {
		if c, ok := all[tag]; ok {
			return c, nil
		}
	}
	return nil, fmt.Errorf("there are no messages in language %q; choose one of %s, or give a catalogue file", shown(name, mostName), strings.Join(Languages(), ", "))
}
