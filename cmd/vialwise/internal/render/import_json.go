package render

import (
	_ "embed"

	"vialwise/bioassay"
	"vialwise/bioassay/registry"
)

//go:embed imports.schema.json
var importsSchema []byte

// ImportsSchema returns the JSON Schema of the json format of import.
func ImportsSchema() []byte { return importsSchema }

type importsJSON struct {
	Software softwareJSON       `json:"software"`
	Registry string             `json:"registry"`
	Made     bool               `json:"made"`
	DryRun   bool               `json:"dry_run"`
	Who      string             `json:"who"`
	Amend    bool               `json:"amend"`
	Reason   string             `json:"reason"`
	Files    []importedFileJSON `json:"files"`
}

type importedFileJSON struct {
	File       string           `json:"file"`
	SHA256     *string          `json:"sha256"`
	Holds      string           `json:"holds"`
	Outcome    Outcome          `json:"outcome"`
	New        int              `json:"new"`
	Same       int              `json:"same"`
	Changed    int              `json:"changed"`
	Containers int              `json:"containers"`
	Event      *int64           `json:"event"`
	Earlier    *earlierJSON     `json:"earlier"`
	Conflicts  []conflictJSON   `json:"conflicts"`
	More       int              `json:"more_conflicts"`
	Errors     []tableErrorJSON `json:"errors"`
	Hint       string           `json:"hint"`
	Failure    string           `json:"failure"`
	Places     string           `json:"places"`
	Warnings   []warningJSON    `json:"warnings"`
}

type earlierJSON struct {
	Event int64  `json:"event"`
	At    string `json:"at"`
	Who   string `json:"who"`
	File  string `json:"file"`
}

type conflictJSON struct {
	Kind       registry.Subject `json:"kind"`
	Name       string           `json:"name"`
	Container  string           `json:"container"`
	Column     string           `json:"column"`
	Registered sideJSON         `json:"registered"`
	Imported   sideJSON         `json:"imported"`
}

// sideJSON is one side of a conflict.
type sideJSON struct {
	Value string `json:"value"`
	File  string `json:"file"`
	Line  int    `json:"line"`
}

func newSideJSON(value string, at bioassay.Origin) sideJSON { return sideJSON{value, at.File, at.Line} }

func newImportsJSON(i *Imports) importsJSON {
	out := importsJSON{
		Software: softwareJSON{"vialwise", i.Version}, Registry: i.Registry, Made: i.Made, DryRun: i.DryRun,
		Who: i.Who, Amend: i.Amend, Reason: i.Reason, Files: []importedFileJSON{},
	}
	for n := range i.Files {
		out.Files = append(out.Files, newImportedFileJSON(&i.Files[n]))
	}
	return out
}

func newImportedFileJSON(f *ImportedFile) importedFileJSON {
	r := f.result()
	out := importedFileJSON{
		File: f.File, Holds: string(f.Holds), Outcome: f.Outcome, New: r.New, Same: r.Same, Changed: r.Changed, Containers: r.Containers,
		Conflicts: []conflictJSON{}, More: r.MoreConflicts, Errors: tableErrorsJSON(f.Errors), Hint: f.Hint, Failure: f.Failure, Places: f.Places, Warnings: warningsJSON(f.warnings()),
	}
	if f.SHA256 != "" {
		out.SHA256 = &f.SHA256
	}
	if n := f.event(); n > 0 {
		out.Event = &n
	}
	if e := r.Earlier; e != nil {
		out.Earlier = &earlierJSON{e.ID, e.At, e.Who, e.Source.Name}
	}
	for _, c := range r.Conflicts {
		out.Conflicts = append(out.Conflicts, conflictJSON{c.Kind, c.Name, c.Container, c.Field, newSideJSON(c.Old, c.OldAt), newSideJSON(c.New, c.NewAt)})
	}
	return out
}
