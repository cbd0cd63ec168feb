package registry

import (
	"bytes"
	"context"
	"errors"
	"reflect"
	"slices"
	"strings"
	"testing"

	"vialwise/bioassay"
	"vialwise/bioassay/demo"
	"vialwise/bioassay/tables"
)

var ctx = context.Background()

const head = "assay,apiary,acaricide,container,concentration,exposed,dead,note\n" // invented counts below

// What comes out is what went in, with the file it came from.
func TestRoundTrip(t *testing.T) {
	r := withDemo(t)
	table, err := tables.Read("counts.csv", bytes.NewReader(demo.Counts()))
	if err != nil {
		t.Fatal(err)
	}
	slices.SortFunc(table.Assays, func(a, b bioassay.Assay) int { return strings.Compare(a.Name, b.Name) })
	entries := all(t, r.Assays(ctx, Filter{}))
	var got []bioassay.Assay
	for _, e := range entries {
		got = append(got, e.Assay)
		if e.Number != 1 || e.Event != 2 || e.ID == 0 || len(e.Content) != 64 {
			t.Fatalf("%+v", e)
		}
	}
	if !reflect.DeepEqual(got, table.Assays) {
		t.Errorf("%d assays came back differently", len(got))
	}
	apiaries, err := r.Apiaries(ctx)
	want, err2 := tables.ReadApiaries("apiaries.csv", bytes.NewReader(demo.Apiaries()))
	if err := errors.Join(err, err2); err != nil {
		t.Fatal(err)
	}
	slices.SortFunc(want.Apiaries, func(a, b bioassay.Apiary) int { return strings.Compare(a.Code, b.Code) })
	if !reflect.DeepEqual(apiaries, want.Apiaries) {
		t.Errorf("apiaries\n%+v\nwant\n%+v", apiaries, want.Apiaries)
	}
	sound(t, r)
}

// Every field of the domain is kept, also those the demo has not.
func TestRoundTripOfEveryField(t *testing.T) {
	want := bioassay.Assay{
		Name: "Añ 1", Apiary: "N7", Population: "west", Role: bioassay.RoleBaseline,
		CollectedOn: bioassay.Date{Year: 2031, Month: 2, Day: 28}, TestedOn: bioassay.Date{Year: 2031, Month: 3, Day: 1},
		Acaricide: "amitraz", Protocol: "vial", Unit: "ug/mL", ExposureHours: bioassay.Known(0), ReadingHours: bioassay.Known(24.5),
		Containers: []bioassay.Container{
			{Label: "c,1", Concentration: 0.30000000000000004, ConcentrationText: "0.300", Exposed: 12, Dead: 3, Moribund: 2, Missing: 1, MiteSource: "brood",
				CappedBrood: bioassay.Yes, TestedBlind: bioassay.No, Note: "two\nlines \"quoted\"", Extra: []bioassay.Field{{Name: "a", Value: "1"}, {Name: "<b>", Value: "\u2028 é"}},
				Source: bioassay.Origin{File: "f.csv", Line: 9}},
			{Concentration: 1e-300, Exposed: 1 << 40, Source: bioassay.Origin{File: "f.csv", Line: 3}},
		},
	}
	for a, i := reflect.ValueOf(want), 0; i < a.NumField(); i++ {
		if a.Field(i).IsZero() {
			t.Errorf("field %s of an assay is not tried", a.Type().Field(i).Name)
		}
	}
	for c, i := reflect.ValueOf(want.Containers[0]), 0; i < c.NumField(); i++ {
		if c.Field(i).IsZero() {
			t.Errorf("field %s of a container is not tried", c.Type().Field(i).Name)
		}
	}
	r := fresh(t)
	if _, err := r.Import(ctx, &tables.Table{Assays: []bioassay.Assay{want}}, SourceOf("f.csv", nil), ImportOptions{}); err != nil {
		t.Fatal(err)
	}
	if got := all(t, r.Assays(ctx, Filter{})); len(got) != 1 || !reflect.DeepEqual(got[0].Assay, want) {
		t.Errorf("got\n%+v\nwant\n%+v", got, want)
	}
	sound(t, r)
}

func TestSameRowsAreSkipped(t *testing.T) {
	r := fresh(t)
	text := head + "A,N7,amitraz,v1,2.50,10,5,\nA,N7,amitraz,v2,0,10,1,é\nB,N7,amitraz,v1,1,10,5,\n"
	if res := put(t, r, "f.csv", text, ImportOptions{}); res.New != 2 || res.Containers != 3 || res.Event == nil || res.Earlier != nil {
		t.Fatalf("%+v", res)
	}
	before := sound(t, r).Head
	again := put(t, r, "g.csv", text, ImportOptions{})
	if again.Same != 2 || again.New+again.Changed != 0 || again.Event != nil || again.Earlier == nil || again.Earlier.Source.Name != "f.csv" {
		t.Errorf("%+v", again)
	}
	// Other order of columns and rows, another spelling of the number, and the
	// accent as a character of its own (U+0301).
	other := "concentration,exposed,dead,container,note,assay,apiary,acaricide\n1.0,10,5,v1,,B,N7,amitraz\n0.0,10,1,v2,e\u0301,A,N7,amitraz\n2.5,10,5,v1,,A,N7,amitraz\n"
	if res := put(t, r, "h.csv", other, ImportOptions{}); res.Same != 2 || res.Event != nil {
		t.Errorf("%+v", res)
	}
	if after := sound(t, r).Head; after != before {
		t.Errorf("the history went from %+v to %+v", before, after)
	}
	if got := all(t, r.Assays(ctx, Filter{Names: []string{"A"}})); got[0].Containers[0].ConcentrationText != "2.50" {
		t.Errorf("spelled %q", got[0].Containers[0].ConcentrationText)
	}
}

func TestChangedRows(t *testing.T) {
	r := fresh(t)
	put(t, r, "f.csv", head+"A,N7,amitraz,v1,2,10,5,\nA,N7,amitraz,v2,0,10,1,\nB,N7,amitraz,v1,1,10,5,\n", ImportOptions{})
	text := head + "A,N8,amitraz,v1,2,10,6,\nA,N8,amitraz,v3,4,10,9,\nB,N7,amitraz,v1,1,10,5,\nC,N7,amitraz,v1,1,10,5,\n"
	table, source := read(t, "g.csv", text)
	want := []string{
		`assay "A": apiary was N7 (f.csv:2), is now N8 (g.csv:2)`,
		`assay "A", container v1: dead was 5 (f.csv:2), is now 6 (g.csv:2)`,
		`assay "A", container v2: container was concentration 0, exposed 10, dead 1 (f.csv:3), is now nothing`,
		`assay "A", container v3: container was nothing, is now concentration 4, exposed 10, dead 9 (g.csv:3)`,
	}
	check := func(res *ImportResult) {
		t.Helper()
		var got []string
		for _, c := range res.Conflicts {
			got = append(got, c.String())
		}
		if !slices.Equal(got, want) || res.New != 1 || res.Same != 1 || res.Changed != 1 || res.MoreConflicts != 0 {
			t.Errorf("%+v\n%s", res, strings.Join(got, "\n"))
		}
	}
	res, err := r.Import(ctx, table, source, ImportOptions{})
	isKind(t, err, Conflicting)
	check(res)
	dry, err := r.Import(ctx, table, source, ImportOptions{DryRun: true})
	if err != nil {
		t.Error(err)
	}
	check(dry)
	if got := names(all(t, r.Assays(ctx, Filter{}))); !slices.Equal(got, []string{"A", "B"}) {
		t.Errorf("after a refused import there are %v", got)
	}
	_, err = r.Import(ctx, table, source, ImportOptions{Amend: true, Reason: " "})
	isKind(t, err, BadInput)

	res = put(t, r, "g.csv", text, ImportOptions{Amend: true, Reason: "miscounted", Who: "Grace"})
	check(res)
	if got := names(all(t, r.Assays(ctx, Filter{}))); !slices.Equal(got, []string{"A", "B", "C"}) {
		t.Errorf("after the amendment there are %v", got)
	}
	if got := all(t, r.Assays(ctx, Filter{Names: []string{"A"}})); len(got) != 1 || got[0].Number != 2 || got[0].Apiary != "N8" {
		t.Errorf("after the amendment A is %+v", got)
	}
	versions := all(t, r.Versions(ctx, "A"))
	if len(versions) != 2 || versions[0].Apiary != "N7" || versions[1].Apiary != "N8" || versions[1].Number != 2 || versions[0].ID != versions[1].ID {
		t.Errorf("versions %+v", versions)
	}
	history, err := r.History(ctx)
	if err != nil || len(history) != 2 || history[1].Who != "Grace" || history[1].Reason != "miscounted" || history[1].Source != source ||
		history[1].At != "2031-04-09T08:00:04Z" || history[0].Who != "Ada" {
		t.Errorf("%v %+v", err, history)
	}
	changes, err := r.Changes(ctx, 2)
	if err != nil || len(changes) != 4 || changes[1] != (Change{OfAssay, "A", "v1", "dead", "5", "6"}) {
		t.Errorf("%v %+v", err, changes)
	}
	sound(t, r)
}

// Amending back is a third version, not the first one.
func TestAmendBack(t *testing.T) {
	r := fresh(t)
	first, second := head+"A,N7,amitraz,,2,10,5,\n", head+"A,N7,amitraz,,2,10,6,\n"
	put(t, r, "f.csv", first, ImportOptions{})
	put(t, r, "g.csv", second, ImportOptions{Amend: true, Reason: "x"})
	put(t, r, "f.csv", first, ImportOptions{Amend: true, Reason: "y"})
	v := all(t, r.Versions(ctx, "A"))
	if len(v) != 3 || v[0].Content != v[2].Content || v[0].Content == v[1].Content {
		t.Errorf("%+v", v)
	}
	sound(t, r)
}

func TestApiariesAreImportedAlike(t *testing.T) {
	r := fresh(t)
	imported := func(text string, o ImportOptions) (*ImportResult, error) {
		table, err := tables.ReadApiaries("a.csv", strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		return r.ImportApiaries(ctx, table, SourceOf("a.csv", []byte(text)), o)
	}
	const head = "apiary,region,latitude,longitude,shelf\n" // invented places
	if res, err := imported(head+"N7,Coast,-41.25,174.5,top\nN8,Hills,,,\n", ImportOptions{}); err != nil || res.New != 2 {
		t.Fatal(res, err)
	}
	res, err := imported(head+"N7,Coast,-41.5,174.5,\nN8,Hills,,,\n", ImportOptions{})
	isKind(t, err, Conflicting)
	if res.Same != 1 || len(res.Conflicts) != 2 || res.Conflicts[0].String() != `apiary "N7": latitude was -41.25 (a.csv:2), is now -41.5 (a.csv:2)` {
		t.Errorf("%+v", res)
	}
	if _, err := imported(head+"N7,Coast,-41.5,174.5,\n", ImportOptions{Amend: true, Reason: "moved"}); err != nil {
		t.Error(err)
	}
	list, err := r.Apiaries(ctx)
	if err != nil || len(list) != 2 || list[0].Latitude != bioassay.Known(-41.5) || list[0].Extra != nil || list[1].Latitude.Known {
		t.Errorf("%v %+v", err, list)
	}
	sound(t, r)
}

func TestAlikeNames(t *testing.T) {
	r := fresh(t)
	put(t, r, "f.csv", head+"A1,N7,amitraz,,2,10,5,\nA2,N8,amitraz,,2,10,5,\n", ImportOptions{})
	res := put(t, r, "g.csv", head+"a 1,n7,amitraz,,2,10,6,\nＡ２,N8,amitraz,,2,10,6,\nA3,n7,amitraz,,2,10,7,\nB3,n7,amitraz,,2.0,10,7,\n", ImportOptions{})
	var got []string
	for _, w := range res.Warnings {
		got = append(got, string(w.Code)+" "+w.Message)
	}
	want := []string{
		`same-counts assay "B3" has the counts, days and apiary of "A3", one by one`,
		`alike-name assay "a 1" differs from "A1" only in case, spaces or forms of letters`,
		`alike-name assay "Ａ２" differs from "A2" only in case, spaces or forms of letters`,
		`alike-apiary apiary "n7" differs from "N7" only in case, spaces or forms of letters`,
	}
	if !slices.Equal(got, want) || res.New != 4 || res.Warnings[0].Line != 5 {
		t.Errorf("%q", got)
	}
	// A name that is there already is not new, whatever it resembles.
	if res := put(t, r, "h.csv", head+"A4,n7,amitraz,,2,10,8,\n", ImportOptions{}); len(res.Warnings) > 0 {
		t.Errorf("%v", res.Warnings)
	}
	// The same assay under another name, in another file and order of columns.
	res = put(t, r, "i.csv", "apiary,assay,concentration,exposed,dead,acaricide\nN8,Z,2,10,5,amitraz\n", ImportOptions{})
	if len(res.Warnings) != 1 || res.Warnings[0].Code != SameCounts || !strings.Contains(res.Warnings[0].Message, `"A2"`) {
		t.Errorf("%v", res.Warnings)
	}
	if res := put(t, r, "j.csv", head+"A5,,,,2,10,5,\nA6,,,,2,10,5,\na5,,,,2,10,9,\n", ImportOptions{DryRun: true}); len(res.Warnings) != 2 {
		t.Errorf("within a file: %v", res.Warnings)
	}
}
