package demo_test

import (
	"bytes"
	"strings"
	"testing"

	"vialwise/bioassay/demo"
	"vialwise/bioassay/rules"
	"vialwise/bioassay/tables"
)

// TestTablesAroundNotes: the settings and the tables about hives can be read, are
// about apiaries of the programme, and say that they are invented.
func TestTablesAroundNotes(t *testing.T) {
	places, err := tables.ReadApiaries("programme-apiaries.csv", bytes.NewReader(demo.ProgrammeApiaries()))
	if err != nil {
		t.Fatal(err)
	}
	known := map[string]bool{}
	for _, a := range places.Apiaries {
		known[a.Code] = true
	}
	p, err := rules.Read("programme.toml", bytes.NewReader(demo.ProgrammeSettings()))
	if err != nil {
		t.Fatal(err)
	}
	if p.Authorised == nil || len(p.Authorised.Actives) < 4 || p.Note.Contact == "" {
		t.Errorf("%+v", p.Authorised)
	}
	treated, _, err := tables.ReadTreatments("treatments.csv", bytes.NewReader(demo.Treatments()))
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range treated {
		if !known[x.Apiary] {
			t.Errorf("no apiary %q", x.Apiary)
		}
	}
	asked, _, err := tables.ReadHives("hives.csv", bytes.NewReader(demo.Hives()))
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range asked {
		if !known[x.Apiary] {
			t.Errorf("no apiary %q", x.Apiary)
		}
	}
	for name, raw := range map[string][]byte{"treatments": demo.Treatments(), "hives": demo.Hives()} {
		for i, line := range strings.Split(strings.TrimSpace(string(raw)), "\n") {
			if i > 0 && !strings.HasSuffix(line, "invented data") {
				t.Errorf("%s: %q does not say that it is invented", name, line)
			}
		}
	}
	if !strings.Contains(string(demo.ProgrammeSettings()), "Invented") {
		t.Error("the settings do not say that they are invented")
	}
}
