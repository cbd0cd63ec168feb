package render

import (
	"bufio"
	"bytes"
	"encoding/json"
	"io"
)

// checkJSON is the answer without its assays, which are written one by one.
type checkJSON struct {
	Software  softwareJSON      `json:"software"`
	Programme string            `json:"programme"`
	Moribund  string            `json:"moribund"`
	Level     number            `json:"level"`
	Summary   tallyJSON         `json:"summary"`
	RuleSets  []ruleSetJSON     `json:"rule_sets"`
	Idle      []findingJSON     `json:"idle_overrides"`
	Files     []checkedFileJSON `json:"files"`
}

type tallyJSON struct {
	Files      int `json:"files"`
	Rows       int `json:"rows"`
	Assays     int `json:"assays"`
	Usable     int `json:"usable"`
	Doubtful   int `json:"doubtful"`
	Overridden int `json:"overridden"`
	Discarded  int `json:"discarded"`
	Errors     int `json:"errors"`
}

type ruleSetJSON struct {
	Name     string `json:"name"`
	Title    string `json:"title"`
	Source   string `json:"source"`
	Borrowed string `json:"borrowed_from"`
}

type checkedFileJSON struct {
	File     string           `json:"file"`
	SHA256   *string          `json:"sha256"`
	Summary  tallyJSON        `json:"summary"`
	Errors   []tableErrorJSON `json:"errors"`
	Warnings []warningJSON    `json:"warnings"`
	Hint     string           `json:"hint"`
	Cleaned  *cleanedJSON     `json:"cleaned"`
}

type tableErrorJSON struct {
	Code    string `json:"code"`
	Sheet   string `json:"sheet"`
	Line    int    `json:"line"`
	Column  int    `json:"column"`
	Name    string `json:"column_name"`
	Found   string `json:"found"`
	Message string `json:"message"`
	Remedy  string `json:"remedy"`
}

type cleanedJSON struct {
	Copy    string `json:"copy"`
	List    string `json:"list"`
	Changes int    `json:"changes"`
	Note    string `json:"note"`
}

type checkedAssayJSON struct {
	File        string         `json:"file"`
	Line        int            `json:"line"`
	Assay       string         `json:"assay"`
	Apiary      string         `json:"apiary"`
	Population  string         `json:"population"`
	Role        string         `json:"role"`
	CollectedOn string         `json:"collected_on"`
	TestedOn    string         `json:"tested_on"`
	Acaricide   string         `json:"acaricide"`
	Protocol    string         `json:"protocol"`
	Unit        string         `json:"unit"`
	Containers  int            `json:"containers"`
	Treated     countJSON      `json:"treated"`
	Controls    countJSON      `json:"controls"`
	Missing     int            `json:"missing"`
	Rules       string         `json:"rules"`
	Verdict     string         `json:"verdict"`
	Usable      bool           `json:"usable"`
	Reasons     []string       `json:"reasons"`
	Overrides   []overrideJSON `json:"overrides"`
	Findings    []findingJSON  `json:"findings"`
	Single      *singleJSON    `json:"single"`
}

type singleJSON struct {
	Concentration number           `json:"concentration"`
	Exposed       int              `json:"exposed"`
	Dead          int              `json:"dead"`
	Survivors     int              `json:"survivors"`
	Survival      intervalJSON     `json:"survival"`
	Mortality     intervalJSON     `json:"mortality"`
	Corrected     *intervalJSON    `json:"corrected_mortality"`
	Class         *singleClassJSON `json:"class"`
	NoClass       string           `json:"no_class"`
	Statement     string           `json:"statement"`
}

type singleClassJSON struct {
	Class     string `json:"class"`
	Lowest    string `json:"lowest"`
	Highest   string `json:"highest"`
	At        string `json:"at"`
	Corrected bool   `json:"corrected"`
	RuleSet   string `json:"rule_set"`
	Source    string `json:"source"`
	Borrowed  string `json:"borrowed_from"`
}

// writeCheckJSON writes the assays one by one, for there may be very many.
func writeCheckJSON(w io.Writer, c *Check) error {
	head, err := indented(newCheckJSON(c), "")
	if err != nil {
		return err
	}
	out := bufio.NewWriterSize(w, 1<<16)
	out.Write(bytes.TrimSuffix(head, []byte("\n}")))
	out.WriteString(",\n  \"assays\": [")
	between := "\n    "
	for i := range c.Assays {
		one, err := indented(newCheckedAssayJSON(&c.Assays[i]), "    ")
		if err != nil {
			return err
		}
		out.WriteString(between)
		out.Write(one)
		between = ",\n    "
	}
	if len(c.Assays) > 0 {
		out.WriteString("\n  ")
	}
	out.WriteString("]\n}\n")
	return out.Flush() // with the first error of all writes
}

// indented is a value as encodeJSON writes it, after a prefix and without the
// line break at the end.
func indented(value any, prefix string) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent(prefix, "  ")
	err := e.Encode(value)
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), err
}
