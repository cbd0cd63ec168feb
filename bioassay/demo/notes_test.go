package demo

import (
	"bytes"
	"strings"
	"testing"

	"vialwise/bioassay/rules"
	"vialwise/bioassay/tables"
)

// TestTablesAroundNotes: the settings and the tables about hives can be read, are
// about apiaries of the programme, and say that they are invented.
func TestTablesAroundNotes(t *testing.T) {
	p, err := rules.Read("programme.toml", bytes.NewReader(ProgrammeSettings()))
	if err != nil {
		t.Fatal(err)
	}
	if p.Authorised == nil || len(p.Authorised.Actives) < 4 || p.Note.Contact == "" {
		t.Errorf("%+v", p.Authorised)
	}
	treated, _, err := tables.ReadTreatments("treatments.csv", bytes.NewReader(Treatments()))
	if err != nil {
		t.Fatal(err)
	}
	asked, _, err := tables.ReadHives("hives.csv", bytes.NewReader(Hives()))
	if err != nil {
		t.Fatal(err)
	}
	var named []string
	for _, x := range treated {
		named = append(named, x.Apiary)
	}
	for _, x := range asked {
		named = append(named, x.Apiary)
	}
	known := readProgrammeApiaries(t)
	for _, apiary := range named {
		if _, ok := known[apiary]; !ok {
			t.Errorf("no apiary %q", apiary)
		}
	}
	for name, raw := range map[string][]byte{"treatments": Treatments(), "hives": Hives()} {
		for i, line := range strings.Split(strings.TrimSpace(string(raw)), "\n") {
			if i > 0 && !strings.HasSuffix(line, "invented data") {
				t.Errorf("%s: %q does not say that it is invented", name, line)
			}
		}
	}
	if !strings.Contains(string(ProgrammeSettings()), "Invented") {
		t.Error("the settings do not say that they are invented")
	}
}
