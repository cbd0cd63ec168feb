package render

import (
	_ "embed"
	"fmt"
	"io"
	"strconv"

	"vialwise/bioassay"
	"vialwise/bioassay/registry"
)

//go:embed verification.schema.json
var verificationSchema []byte

// VerificationSchema returns the JSON Schema of the json format of verify.
func VerificationSchema() []byte { return verificationSchema }

// Verification is what a verification found.
type Verification struct {
	Version  string // of this program
	Registry string // its file
	From     string // the export that it was restored from, blank for none
	Noted    string // a hash that was noted elsewhere, blank for none
	NotedAt  int64  // the event that has this hash, 0 for none
	*registry.Verification
}

// Sound reports whether nothing is wrong, and a noted hash is in the history.
func (v *Verification) Sound() bool {
	return len(v.Found()) == 0
}

// WriteVerification writes it in a format of Formats.
func WriteVerification(w io.Writer, v *Verification, format string) error {
	switch format {
	case "csv":
		return writeRows(w, verificationRows(v))
	case "json":
		return encodeJSON(w, newVerificationJSON(v))
	}
	return writeProse(w, format, withRows([]*table{verificationTable(v), problemTable(v)}))
}

func verificationTable(v *Verification) *table {
	t := &table{title: "Verification of " + v.Registry}
	if v.From != "" {
		t.title = "Restored " + v.Registry + " from " + v.From
	}
	for _, name := range []string{"Events", "Assays", "Versions", "Containers", "Apiaries", "Problems"} {
		t.column(name, true)
	}
	row := []string{}
	for _, n := range []int{v.Events, v.Assays, v.Revisions, v.Containers, v.Apiaries, len(v.Found())} {
		row = append(row, strconv.Itoa(n))
	}
	t.rows = [][]string{row}
	t.notes = verificationNotes(v)
	return t
}

func verificationNotes(v *Verification) (notes []string) {
	notes = []string{"Versions: of assays; an amendment makes one. Containers: of all versions."}
	if v.Sound() {
		notes = append(notes, "The registry is sound: the file is whole, every row is the one that was hashed when it was written, and the history is one unbroken chain.")
	} else {
		notes = append(notes, "Something is wrong. Keep the file aside, write nothing more to it, and go on from the newest backup or export that verifies.")
	}
	if v.NotedAt > 0 {
		since := bioassay.Plural(v.Events-int(v.NotedAt), "event") + " came after it"
		if int(v.NotedAt) == v.Events {
			since = "it is the newest"
		}
		notes = append(notes, fmt.Sprintf("The noted hash is that of event %d, and %s.", v.NotedAt, since))
	}
	if v.Sound() && v.Head.Hash != "" {
		notes = append(notes, "Hash of the newest event: "+v.Head.Hash,
			"It stands for the whole history. Note it elsewhere, on paper or with another lab, and compare it later with --head: that tells a history that was cut short or written anew from the true one.")
	}
	return notes
}

// Found are the problems of the registry, and that of a noted hash.
func (v *Verification) Found() []registry.Problem {
	list := v.Problems
	if v.Noted != "" && v.NotedAt == 0 {
		list = append(list[:len(list):len(list)], registry.Problem{Check: "head", Message: "no event has the noted hash " + v.Noted +
			": the history was cut short or written anew, or the hash is that of another registry"})
	}
	return list
}

func problemTable(v *Verification) *table {
	t := &table{title: "Problems"}
	t.column("Check", false)
	t.prose("What is wrong", 80)
	for _, p := range v.Found() {
		t.rows = append(t.rows, []string{p.Check, p.Message})
	}
	return t
}

// verificationRows has one row for each problem, or one without.
func verificationRows(v *Verification) [][]string {
	rows := [][]string{{"registry", "events", "assays", "versions", "containers", "apiaries", "head", "sound", "check", "message"}}
	problems := v.Found()
	if len(problems) == 0 {
		problems = make([]registry.Problem, 1)
	}
	for _, p := range problems {
		rows = append(rows, []string{v.Registry, strconv.Itoa(v.Events), strconv.Itoa(v.Assays), strconv.Itoa(v.Revisions), strconv.Itoa(v.Containers),
			strconv.Itoa(v.Apiaries), v.Head.Hash, strconv.FormatBool(v.Sound()), p.Check, p.Message})
	}
	return rows
}

type verificationJSON struct {
	Software   softwareJSON  `json:"software"`
	Registry   string        `json:"registry"`
	From       string        `json:"restored_from"`
	Sound      bool          `json:"sound"`
	Events     int           `json:"events"`
	Assays     int           `json:"assays"`
	Versions   int           `json:"versions"`
	Containers int           `json:"containers"`
	Apiaries   int           `json:"apiaries"`
	Head       string        `json:"head"`
	Noted      *notedJSON    `json:"noted"`
	Problems   []problemJSON `json:"problems"`
}

type notedJSON struct {
	Hash  string `json:"hash"`
	Event *int64 `json:"event"`
}

type problemJSON struct {
	Check   string `json:"check"`
	Message string `json:"message"`
}

func newVerificationJSON(v *Verification) verificationJSON {
	out := verificationJSON{
		Software: softwareJSON{"vialwise", v.Version}, Registry: v.Registry, From: v.From, Sound: v.Sound(),
		Events: v.Events, Assays: v.Assays, Versions: v.Revisions, Containers: v.Containers, Apiaries: v.Apiaries, Head: v.Head.Hash, Problems: []problemJSON{},
	}
	if v.Noted != "" {
		out.Noted = &notedJSON{Hash: v.Noted}
		if v.NotedAt > 0 {
			out.Noted.Event = &v.NotedAt
		}
	}
	for _, p := range v.Found() {
		out.Problems = append(out.Problems, problemJSON(p))
	}
	return out
}
