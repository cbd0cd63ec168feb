package tables

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"vialwise/bioassay"
)

// mustRead reads a table that is in order.
func mustRead(t testing.TB, text string) *Table {
	t.Helper()
	table, err := Read("f.csv", strings.NewReader(text))
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return table
}

func TestAllColumns(t *testing.T) {
	// Invented data, columns out of order.
	got := mustRead(t, `note,tested_blind,capped_brood,mite_source,reading_h,exposure_h,missing,moribund,dead,exposed,concentration,container,unit,protocol,acaricide,tested_on,collected_on,role,population,apiary,assay,shelf
"half, open",yes,no,brood,24,6.5,1,2,5,12,2.50,v1,ug/mL,vial-24,amitraz,2031-04-10,2031-04-09,Baseline,east,N7,A,top
`)
	want := []bioassay.Assay{{
		Name: "A", Apiary: "N7", Population: "east", Role: bioassay.RoleBaseline,
		CollectedOn: bioassay.Date{Year: 2031, Month: 4, Day: 9}, TestedOn: bioassay.Date{Year: 2031, Month: 4, Day: 10},
		Acaricide: "amitraz", Protocol: "vial-24", Unit: "ug/mL",
		ExposureHours: bioassay.Known(6.5), ReadingHours: bioassay.Known(24),
		Containers: []bioassay.Container{{
			Label: "v1", Concentration: 2.5, ConcentrationText: "2.50", Exposed: 12, Dead: 5, Moribund: 2, Missing: 1,
			MiteSource: "brood", CappedBrood: bioassay.No, TestedBlind: bioassay.Yes, Note: "half, open",
			Extra: []bioassay.Field{{Name: "shelf", Value: "top"}}, Source: bioassay.Origin{File: "f.csv", Line: 2},
		}},
	}}
	if !reflect.DeepEqual(got.Assays, want) {
		t.Errorf("got  %+v\nwant %+v", got.Assays, want)
	}
	if !slices.Equal(got.Unknown, []string{"shelf"}) {
		t.Errorf("unknown columns %v", got.Unknown)
	}
}

func TestSmallestTable(t *testing.T) {
	got := mustRead(t, least+"A,0,10,1\n")
	a := got.Assays[0]
	c := a.Containers[0]
	if a.Role != bioassay.RoleField || a.ExposureHours.Known || !a.CollectedOn.IsZero() || c.CappedBrood != bioassay.Unanswered || len(got.Warnings) > 0 {
		t.Errorf("got %+v", got)
	}
}

// Rows are written as assay/concentration/exposed/dead@line.
func summary(table *Table) string {
	var b strings.Builder
	for _, a := range table.Assays {
		for _, c := range a.Containers {
			b.WriteString(strings.Join([]string{a.Name, c.ConcentrationText,
				string(rune('0' + c.Exposed)), string(rune('0' + c.Dead))}, "/"))
			b.WriteString("@" + string(rune('0'+c.Source.Line)) + " ")
		}
	}
	return strings.TrimSpace(b.String())
}

func TestAccepted(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"no final break", least + "A,1,9,5", "A/1/9/5@2"},
		{"CRLF", "assay,concentration,exposed,dead\r\nA,1,9,5\r\n", "A/1/9/5@2"},
		{"lone CR", "assay,concentration,exposed,dead\rA,1,9,5\rA,2,9,6", "A/1/9/5@2 A/2/9/6@3"},
		{"mixed breaks", "assay,concentration,exposed,dead\r\nA,1,9,5\rA,2,9,6\nA,3,9,7", "A/1/9/5@2 A/2/9/6@3 A/3/9/7@4"},
		{"byte-order mark", "\ufeff" + least + "A,1,9,5\n", "A/1/9/5@2"},
		{"byte-order mark before a quote", "\ufeff\"assay\",concentration,exposed,dead\nA,1,9,5\n", "A/1/9/5@2"},
		{"blank lines", "\n" + least + "\nA,1,9,5\n\n\nA,2,9,6\n\n", "A/1/9/5@4 A/2/9/6@7"},
		{"rows of empty cells", least + ",,,\nA,1,9,5\n , ,\u00a0,\n   \n,,,,,,\n", "A/1/9/5@3"},
		{"header in capitals and spaces", " ASSAY ,\u00a0Concentration,Exposed\u200b, dead\nA,1,9,5\n", "A/1/9/5@2"},
		{"spaces around cells", least + " A\u00a0, 1 ,\u202f9,5\u3000\n", "A/1/9/5@2"},
		{"space before a quote", least + "A, \"1\",9,5\n", "A/1/9/5@2"},
		{"all quoted", "\"assay\",\"concentration\",\"exposed\",\"dead\"\n\"A\",\"1\",\"9\",\"5\"\n", "A/1/9/5@2"},
		{"empty cells before the header", ",,,\n\u00a0\n" + least + "A,1,9,5\n", "A/1/9/5@4"},
		{"commas after the header", "assay,concentration,exposed,dead,,\nA,1,9,5,,\nA,2,9,6\n", "A/1/9/5@2 A/2/9/6@3"},
		{"commas after a row", least + "A,1,9,5,,\n", "A/1/9/5@2"},
		{"counts of a spreadsheet", least + "A,1.0,9.0,5.00\n", "A/1.0/9/5@2"},
		{"leading zeros", least + "A,01,009,05\n", "A/01/9/5@2"},
		{"exponents", least + "A,1e3,9,5\nA,2.5E-2,9,5\nA,1e+1,9,5\nA,0e5,9,5\n", "A/1e3/9/5@2 A/2.5E-2/9/5@3 A/1e+1/9/5@4 A/0e5/9/5@5"},
		{"points at the ends", least + "A,.5,9,5\nA,5.,9.,5\n", "A/.5/9/5@2 A/5./9/5@3"},
		{"rows apart", least + "A,1,9,5\nB,1,9,5\nA,2,9,6\n", "A/1/9/5@2 A/2/9/6@4 B/1/9/5@3"},
		{"names in any script", least + "Ærø 7,1,9,5\nダニ,1,9,5\n", "Ærø 7/1/9/5@2 ダニ/1/9/5@3"},
		{"names that differ in case", least + "A,1,9,5\na,1,9,5\n", "A/1/9/5@2 a/1/9/5@3"},
		{"name that looks like a number", least + "7,1,9,5\n", "7/1/9/5@2"},
		{"quoted comma, quote and break", least + "\"A, \"\"b\"\"\nc\",1,9,5\nA,1,9,5\n", "A, \"b\"\nc/1/9/5@2 A/1/9/5@4"},
		{"# in a name", least + "#1,1,9,5\n", "#1/1/9/5@2"},
		{"largest and smallest", least + "A,1e15,9,5\nA,1e-15,9,5\n", "A/1e15/9/5@2 A/1e-15/9/5@3"},
		{"role, date and hours inherited", "role,tested_on,exposure_h," + least + ",,,A,1,9,5\nbaseline,2031-04-09,24,A,2,9,5\n,,,A,3,9,5\nBASELINE,2031-04-09,24.0,A,4,9,5\n", "A/1/9/5@2 A/2/9/5@3 A/3/9/5@4 A/4/9/5@5"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := summary(mustRead(t, c.text)); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
		})
	}
}

func TestInheritedFields(t *testing.T) {
	a := mustRead(t, "role,unit,"+least+",,A,1,9,5\nbaseline,ug/mL,A,2,9,5\n").Assays[0]
	if a.Role != bioassay.RoleBaseline || a.Unit != "ug/mL" {
		t.Errorf("got %+v", a)
	}
}

func TestAnswers(t *testing.T) {
	for text, want := range map[string]bioassay.Answer{"yes": bioassay.Yes, "TRUE": bioassay.Yes, "1": bioassay.Yes,
		"No": bioassay.No, "false": bioassay.No, "0": bioassay.No, "": bioassay.Unanswered} {
		a := mustRead(t, "tested_blind,"+least+text+",A,1,9,5\n").Assays[0]
		if got := a.Containers[0].TestedBlind; got != want {
			t.Errorf("%q read as %v, want %v", text, got, want)
		}
	}
}

func TestUnknownColumnsAreKept(t *testing.T) {
	table := mustRead(t, "Shelf,assay,concentration,exposed,dead,batch\nT,A,1,9,5,\n,A,2,9,5,b 2\n,A,3,9,5,\n")
	c := table.Assays[0].Containers
	if want := []bioassay.Field{{Name: "Shelf", Value: "T"}}; !slices.Equal(c[0].Extra, want) {
		t.Errorf("first row keeps %v", c[0].Extra)
	}
	if want := []bioassay.Field{{Name: "batch", Value: "b 2"}}; !slices.Equal(c[1].Extra, want) {
		t.Errorf("second row keeps %v", c[1].Extra)
	}
	if c[2].Extra != nil || !slices.Equal(table.Unknown, []string{"Shelf", "batch"}) {
		t.Errorf("third row keeps %v; unknown %v", c[2].Extra, table.Unknown)
	}
}

func TestWarnings(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       []string // line and code
		says       string   // a part of the first message and cure
	}{
		{"nothing", least + "A,1,9,5\nA,1,9,5\n", nil, ""},
		{"unknown", "assay,concentration,exposed,dead,shelf\nA,1,9,5,\n", []string{"1 unknown-column"}, "column 5 (shelf) is not known"},
		{"unprintable", "assay,concentration,exposed,dead,\"a \u009b\n b\"\nA,1,9,5,\n", []string{"1 unknown-column"}, `column 5 ("a \u009b b") is not known`},
		{"misspelt", "assay,concentration,exposed,dead,moribnud\nA,1,9,5,\n", []string{"1 unknown-column"}, "rename it to moribund"},
		{"misspelt with a space", "assay,concentration,exposed,dead,Colected on\nA,1,9,5,\n", []string{"1 unknown-column"}, "rename it to collected_on"},
		{"known but for a space", "assay,concentration,exposed,dead,Collected on,MITE-SOURCE\nA,1,9,5,,\n", nil, ""},
		{"like one that is there", "assay,concentration,exposed,dead,notez,note\nA,1,9,5,,\n", []string{"1 unknown-column"}, "nothing needs to be done"},
		{"blank rows", least + "A,1,9,5\n,,,\n,,,\n", []string{"3 blank-row"}, "2 rows of empty cells"},
		{"blank line is no row", least + "\nA,1,9,5\n", nil, ""},
		{"same container twice", "container," + least + "v1,A,1,9,5\nv1,A,2,9,5\nv1,B,1,9,5\nv2,A,1,9,5\nv1,A,1.0,9,6\n", []string{"6 duplicate-row"}, `container "v1" at this concentration of assay "A" is also on line 2`},
		{"replicates without label", "container," + least + ",A,1,9,5\n,A,1,9,5\n", nil, ""},
		{"none exposed", least + "A,1,0,0\n", []string{"2 nothing-exposed"}, "carries no information"},
		{"all missing", "missing," + least + "9,A,1,9,0\n", []string{"2 nothing-exposed"}, "carries no information"},
		{"some missing, which the analysis reports", "missing," + least + "0,A,1,9,0\n2,A,1,9,0\n1,A,1,9,0\n", nil, ""},
		{"tested before collected", "collected_on,tested_on," + least + "2031-04-09,,A,1,9,0\n,2031-04-08,A,1,9,0\n", []string{"3 tested-before-collected"}, "before its mites were collected on 2031-04-09"},
		{"tested on the day", "collected_on,tested_on," + least + "2031-04-09,2031-04-09,A,1,9,0\n", nil, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			var got []string
			ws := mustRead(t, c.text).Warnings
			for _, w := range ws {
				got = append(got, string(rune('0'+w.Line))+" "+string(w.Code))
				if w.File != "f.csv" || w.Message == "" || w.Cure == "" {
					t.Errorf("not a full warning: %+v", w)
				}
			}
			if !slices.Equal(got, c.want) {
				t.Errorf("got %v, want %v", got, c.want)
			}
			if len(ws) > 0 && !strings.Contains(ws[0].String(), c.says) {
				t.Errorf("%q is not in %q", c.says, ws[0])
			}
		})
	}
}

func TestManyWarningsAreCut(t *testing.T) {
	ws := mustRead(t, least+strings.Repeat("A,1,0,0\n", maxWarningsEach+3)).Warnings
	last := ws[len(ws)-1]
	if len(ws) != maxWarningsEach+1 || last.Code != MoreWarnings || !strings.Contains(last.Message, "3 further warnings of the kind nothing-exposed") {
		t.Errorf("%d warnings, the last is %v", len(ws), last)
	}
}

// Distances by hand.
func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{{"", "", 0}, {"dead", "dead", 0}, {"", "dead", 4}, {"daed", "dead", 1}, {"deed", "dead", 1}, {"dea", "dead", 1},
		{"ddead", "dead", 1}, {"note", "unit", 3}, {"kitten", "sitting", 3}, {"größe", "grösse", 2}} {
		if got := distance(c.a, c.b); got != c.want {
			t.Errorf("%q to %q is %d, want %d", c.a, c.b, got, c.want)
		}
	}
}
