package tables

import (
	"slices"
	"strings"
	"testing"

	"vialwise/bioassay"
)

// warned returns the warnings of a table as "code: whole text".
func warned(table *Table) string {
	var list []string
	for _, w := range table.Warnings {
		list = append(list, string(w.Code)+": "+w.String())
	}
	return strings.Join(list, "\n")
}

// Whatever is not taken as it stands is said, once for each kind, with the
// first place.
func TestConversionsAreSaid(t *testing.T) {
	const spanish = "Ensayo;Dosis (ug/vial);Expuestos;Muertos;Fecha de prueba;Probado a ciegas;Banco\n" +
		"A;0;9;0;2031-04-09;sí;x\nA;0,5;9;2;2031/4/9;Sí;\nA;1,25;9;5;2031-04-09;no;\n"
	for _, c := range []struct{ name, text, want string }{
		{"nothing", least + "A,1,9,5\n", ""},
		{"Spanish", spanish, `unknown-column: f.csv:1: column 7 (Banco) is not known; it is kept and not used; nothing needs to be done if it is only a remark; if it says what a known column says, give it that name
alias: f.csv:1: 6 column names in other words taken for a known one, the first in column 1 (Ensayo): "Ensayo", read as assay; rename the columns if something else was meant
unit-from-header: f.csv:2: 1 unit taken from the brackets in the header: in column 2 (Dosis (ug/vial)), "Dosis (ug/vial)", read as ug/vial; add a column unit if it is another one
decimal-comma: f.csv:3: 2 numbers with a decimal comma read with a decimal point, the first in column 2 (Dosis (ug/vial)): "0,5", read as 0.5; nothing needs to be done if that is what was meant
year-first-date: f.csv:3: 1 date that is not ISO 8601 and begins with the year read as year, month, day: in column 5 (Fecha de prueba), "2031/4/9", read as 2031-04-09; write the dates as year-month-day, such as 2031-04-09
word: f.csv:2: 2 words of another language or spelling taken for a known one, the first in column 6 (Probado a ciegas): "sí", read as yes; nothing needs to be done if that is what was meant`},
		{"Windows-1252", "assay,apiary,concentration,exposed,dead\nA,Pe\xf1\xf3n,1,9,2\n", `encoding: f.csv: the file is not in UTF-8; it was read as Windows-1252; look at the names with accents, or save the file in UTF-8`},
		{"UTF-16", "\xff\xfe" + wideText(least+"A,1,9,2\n"), `encoding: f.csv: the file is not in UTF-8; it was read as UTF-16; look at the names with accents, or save the file in UTF-8`},
		{"apostrophe", "note," + least + "'=x,A,1,9,2\n", `protected-text: f.csv:2: 1 text with a protective apostrophe before a sign of a formula read without it: in column 1 (note), "'=x", read as =x; nothing needs to be done if that is what was meant`},
	} {
		if got := warned(mustRead(t, c.text)); got != c.want {
			t.Errorf("%s: got\n%s\nwant\n%s", c.name, got, c.want)
		}
	}
	a := mustRead(t, spanish).Assays[0]
	if a.Name != "A" || a.Unit != "ug/vial" || a.TestedOn != (bioassay.Date{Year: 2031, Month: 4, Day: 9}) || a.Containers[1].Concentration != 0.5 ||
		a.Containers[1].ConcentrationText != "0,5" || a.Containers[0].TestedBlind != bioassay.Yes || a.Containers[2].TestedBlind != bioassay.No {
		t.Errorf("got %+v", a)
	}
}

// Characters of Windows-1252 by hand from the encoding standard of the WHATWG.
func TestEncodings(t *testing.T) {
	const accents = "assay,apiary,concentration,exposed,dead\nA,Peñón €,1,9,2\n"
	windows := strings.NewReplacer("ñ", "\xf1", "ó", "\xf3", "€", "\x80").Replace(accents)
	unit := func(high, low byte) string { return string([]byte{low, high}) }
	wide := "\xff\xfe"
	for _, r := range accents {
		wide += unit(byte(r>>8), byte(r))
	}
	big := []byte(wide)
	for i := 0; i < len(big); i += 2 {
		big[i], big[i+1] = big[i+1], big[i]
	}
	for name, text := range map[string]string{"UTF-8": accents, "mark": "\ufeff" + accents, "Windows-1252": windows, "UTF-16, little": wide, "UTF-16, big": string(big)} {
		if got := mustRead(t, text).Assays[0].Apiary; got != "Peñón €" {
			t.Errorf("%s: %q", name, got)
		}
	}
	pair := "\xff\xfe" + wideText(least) + unit(0xD8, 0x3D) + unit(0xDC, 0x1D) + wideText(",1,9,2") // U+1F41D
	if got := mustRead(t, pair).Assays[0].Name; got != "\U0001F41D" {
		t.Errorf("pair: %q", got)
	}
}

// A character that a block of the first pass cuts is whole in the next.
func TestCharactersAtTheEdgeOfBlocks(t *testing.T) {
	for _, last := range []string{"ñ", "€", "\U0001F41D"} {
		for shift := range 8 {
			text := "note," + least + strings.Repeat("x", surveyBlock-len("note,"+least)-4+shift) + last + ",A,1,9,2\n"
			table := mustRead(t, text)
			if len(table.Warnings) > 0 || !strings.HasSuffix(table.Assays[0].Containers[0].Note, "x"+last) {
				t.Errorf("%s, shift %d: %v", last, shift, table.Warnings)
			}
		}
	}
}

// Every name of a column and every alias leads to its column, with and without
// accents, spaces and capitals, and no alias is the name of another column.
func TestAliases(t *testing.T) {
	for _, l := range []layout{countLayout, apiaryLayout} {
		seen := map[string]string{}
		for i, known := range l.known {
			for _, name := range append(l.aliases[known], known) {
				if before, ok := seen[name]; ok {
					t.Errorf("%s stands for %s and %s", name, before, known)
				}
				seen[name] = known
				for _, spelt := range []string{name, strings.ToUpper(name), strings.ReplaceAll(name, "_", " "), strings.ReplaceAll(name, "_", "-"), " " + name + "\u00a0", strings.ReplaceAll(name, "o", "ó")} {
					if r := l.resolve(spelt); r.known != i || r.alias != (name != known) {
						t.Errorf("%q is %+v, want %s", spelt, r, known)
					}
				}
			}
		}
		for known, doubtful := range l.synonyms {
			for _, name := range doubtful {
				if seen[name] != "" {
					t.Errorf("%s is in doubt for %s, and stands for %s", name, known, seen[name])
				}
			}
		}
		for name := range l.aliases {
			if !slices.Contains(l.known, name) {
				t.Errorf("aliases for %s, which is no column", name)
			}
		}
	}
}

func TestHeaderUnits(t *testing.T) {
	for _, c := range []struct{ name, unit string }{
		{"concentration (ug/vial)", "ug/vial"}, {"Dosis [µg/vial]", "µg/vial"}, {"dose ( mg/L )", "mg/L"}, {"concentration", ""}, {"concentration ()", ""},
	} {
		if r := countLayout.resolve(c.name); r.unit != c.unit {
			t.Errorf("%s: unit %q, want %q", c.name, r.unit, c.unit)
		}
	}
	for name, want := range map[string]string{"exposure (h)": "exposure_h", "Tiempo de lectura (horas)": "reading_h", "exposure (min)": "", "dead (n)": "", "exposure": ""} {
		got := ""
		if r := countLayout.resolve(name); r.known >= 0 {
			got = countNames[r.known]
		}
		if got != want {
			t.Errorf("%s is %q, want %q", name, got, want)
		}
	}
	// A column of units that agrees, or is blank, is in order.
	a := mustRead(t, "assay,dose (ug/vial),exposed,dead,unit\nA,1,9,2,ug/vial\nB,1,9,2,\n").Assays
	if a[0].Unit != "ug/vial" || a[1].Unit != "ug/vial" {
		t.Errorf("units %q and %q", a[0].Unit, a[1].Unit)
	}
}

// Delimiters by hand.
func TestDelimiter(t *testing.T) {
	for _, c := range []struct {
		head string
		want rune
		skip int
	}{
		{"assay,dead\n", ',', 0}, {"assay;dead\n", ';', 0}, {"assay\tdead\n", '\t', 0}, {"assay|dead", '|', 0}, {"\n \nassay;dead\n", ';', 0},
		{"\"assay\";\"dead, all\";exposed\n", ';', 0}, {"assay;dead;note, of, many, commas, more\n", ';', 0}, {"\"a;b;c\",assay\n", ',', 0},
		{"\"assay\nx;y;z\",dead\n", ',', 0}, {"hello", ',', 0}, {"", ',', 0}, {"a;b,c;d\n", ';', 0},
		{"sep=;\nassay,dead;x\n", ';', 1}, {"\n\"sep=\t\"\nassay\n", '\t', 2}, {"sep=!\nassay;dead\n", ',', 0},
	} {
		if got, skip := delimiter([]byte(c.head)); got != c.want || skip != c.skip {
			t.Errorf("%q: %q after %d lines, want %q after %d", c.head, got, skip, c.want, c.skip)
		}
	}
}

// A number in doubt is taken once another of the table shows the same mark,
// before or after it.
func TestNumbersInDoubt(t *testing.T) {
	for _, text := range []string{"A;1,234;9;5\nA;0,5;9;5\n", "A;0,5;9;5\nA;1,234;9;5\n"} {
		found := false
		for _, c := range mustRead(t, semi+text).Assays[0].Containers {
			found = found || c.Concentration == 1.234
		}
		if !found {
			t.Errorf("%q: 1,234 was not read as 1.234", text)
		}
	}
	if got := mustRead(t, semi+"A;1.234;9;5\nA;0.5;9;5\n").Assays[0].Containers[0].Concentration; got != 1.234 {
		t.Errorf("1.234 was read as %v", got)
	}
}

// Apiaries are read from the same kinds of files.
func TestApiariesOfOtherKinds(t *testing.T) {
	table, err := ReadApiaries("f.csv", strings.NewReader("Colmenar;Región;Latitud;Longitud\nN7;Coast;-41,25;174,5\n"))
	if err != nil {
		t.Fatal(err)
	}
	a := table.Apiaries[0]
	if a.Code != "N7" || a.Region != "Coast" || a.Latitude != bioassay.Known(-41.25) || a.Longitude != bioassay.Known(174.5) {
		t.Errorf("got %+v", a)
	}
	if len(table.Warnings) != 2 || table.Warnings[0].Code != AliasUsed || table.Warnings[1].Code != DecimalCommaRead {
		t.Errorf("warnings %v", table.Warnings)
	}
}

// Progress rises to the size of the file.
func TestProgress(t *testing.T) {
	text := manyRows(60_000)
	var last int64
	calls := 0
	o := Options{Progress: func(read, total int64) {
		calls++
		if read < last || total != int64(len(text)) {
			t.Errorf("%d of %d after %d", read, total, last)
		}
		last = read
	}}
	if _, err := ReadWith("f.csv", strings.NewReader(text), o); err != nil {
		t.Fatal(err)
	}
	if last != int64(len(text)) || calls < 2 {
		t.Errorf("the last of %d calls told %d of %d", calls, last, len(text))
	}
}

// What cannot be read twice is loaded, and gives the same table.
func TestPipes(t *testing.T) {
	text := least + "A,1,9,5\n"
	table, err := Read("f.csv", oneWay{strings.NewReader(text)})
	if err != nil || summary(table) != summary(mustRead(t, text)) {
		t.Errorf("got %v and %v", table, err)
	}
	// A file is read from where it stands.
	r := strings.NewReader("xxx" + text)
	r.Seek(3, 0)
	if table, err = Read("f.csv", r); err != nil || summary(table) != "A/1/9/5@2" {
		t.Errorf("got %v and %v", table, err)
	}
}

// oneWay hides that a reader can be read twice.
type oneWay struct{ r *strings.Reader }

func (o oneWay) Read(p []byte) (int, error) { return o.r.Read(p) }
