package tables

import (
	"bytes"
	"encoding/csv"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"vialwise/bioassay"
)

func TestProtected(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"", ""}, {"A", "A"}, {"=1+1", "'=1+1"}, {"+1", "'+1"}, {"-x", "'-x"}, {"@a", "'@a"}, {"\tx", "'\tx"}, {"\rx", "'\rx"},
		{"'", "''"}, {"'tis", "''tis"}, {"'=x", "''=x"}, {"''", "'''"}, {"＝x", "'＝x"}, {"a=b", "a=b"}, {"−1", "−1"},
	} {
		if got := protected(c.text); got != c.want || unprotected(got) != c.text {
			t.Errorf("%q is written as %q and read back as %q, want %q", c.text, got, unprotected(got), c.want)
		}
	}
	if got := unprotected("'tis"); got != "'tis" {
		t.Errorf("an apostrophe that protects nothing was taken off: %q", got)
	}
}

// assays draws assays that a table can hold, with texts that begin with every
// sign that matters.
func assays(t *rapid.T) []bioassay.Assay {
	word := rapid.Custom(func(t *rapid.T) string {
		return trim(rapid.SampledFrom([]string{"", "=", "+", "-", "@", "'", "''", "'=", "\"", ",", ";", "＝", "ñ", "_x0041_", "0", "1,5", "sep=;", "#1"}).Draw(t, "start") +
			rapid.StringOf(rapid.RuneFrom([]rune("aB7 ,;'\"=\nñ_x-"))).Draw(t, "rest"))
	})
	day := rapid.Custom(func(t *rapid.T) bioassay.Date {
		if rapid.Bool().Draw(t, "undated") {
			return bioassay.Date{}
		}
		return bioassay.Date{Year: rapid.IntRange(1900, 2100).Draw(t, "year"), Month: 2, Day: rapid.IntRange(1, 28).Draw(t, "day")}
	})
	var list []bioassay.Assay
	for i := range rapid.IntRange(1, 3).Draw(t, "assays") {
		a := bioassay.Assay{Name: word.Draw(t, "name") + "a" + string(rune('0'+i)), Apiary: word.Draw(t, "apiary"), Unit: word.Draw(t, "unit"),
			CollectedOn: day.Draw(t, "collected"), Protocol: word.Draw(t, "protocol")}
		if rapid.Bool().Draw(t, "hours") {
			a.ExposureHours = bioassay.Known(rapid.Float64Range(0, maxHours).Draw(t, "exposure"))
		}
		for range rapid.IntRange(1, 3).Draw(t, "containers") {
			c := bioassay.Container{Label: word.Draw(t, "label"), Note: word.Draw(t, "note"), MiteSource: word.Draw(t, "source"),
				Concentration: rapid.SampledFrom([]float64{0, 1e-15, 0.1, 1.234, 1e15, 0.30000000000000004}).Draw(t, "dose"),
				Exposed:       rapid.IntRange(0, maxCount).Draw(t, "exposed"), TestedBlind: bioassay.Answer(rapid.IntRange(0, 2).Draw(t, "blind"))}
			if extra := word.Draw(t, "extra"); extra != "" {
				c.Extra = []bioassay.Field{{Name: "-x", Value: extra}}
			}
			a.Containers = append(a.Containers, c)
		}
		list = append(list, a)
	}
	return list
}

// What is written comes back as it was, in either kind of file, and no cell of
// it starts a formula. Lines of a workbook are rows, so they are not compared.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list := assays(t)
		var text, book, again bytes.Buffer
		if err := Write(&text, list); err != nil {
			t.Fatal(err)
		}
		if err := WriteWorkbook(&book, list); err != nil {
			t.Fatal(err)
		}
		if err := WriteWorkbook(&again, list); err != nil || !bytes.Equal(book.Bytes(), again.Bytes()) {
			t.Fatalf("equal assays made different workbooks: %v", err)
		}
		for name, data := range map[string][]byte{"text": text.Bytes(), "workbook": book.Bytes()} {
			back, err := Read(name, bytes.NewReader(data))
			if err != nil {
				t.Fatal(err)
			}
			for i := range list {
				if !reflect.DeepEqual(bare(list[i]), bare(back.Assays[i])) {
					t.Fatalf("%s: %+v\nbecame %+v", name, bare(list[i]), bare(back.Assays[i]))
				}
			}
		}
		rows, err := csv.NewReader(&text).ReadAll()
		for _, cell := range slices.Concat(rows...) {
			if startsFormula(cell) {
				t.Fatalf("the cell %q starts a formula", cell)
			}
		}
		if err != nil {
			t.Fatal(err)
		}
	})
}
