package registry

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"vialwise/bioassay"
	"vialwise/bioassay/tables"
)

func TestFilter(t *testing.T) {
	r := fresh(t)
	put(t, r, "f.csv", "assay,apiary,role,collected_on,acaricide,protocol,concentration,exposed,dead\n"+ // invented
		"A,N7,field,2031-03-31,amitraz,vial,1,9,5\n"+
		"B,N7,baseline,2031-04-01,coumaphos,vial,1,9,5\n"+
		"C,Ñ8,field,2031-06-30,amitraz,strip jar,1,9,5\n"+
		"D,,field,,amitraz,vial,1,9,5\n", ImportOptions{})
	const places = "apiary,region\nN7,Coast\nÑ8,Hills\nN9,Coast\n"
	apiaries, err := tables.ReadApiaries("a.csv", strings.NewReader(places))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := r.ImportApiaries(ctx, apiaries, SourceOf("a.csv", []byte(places)), ImportOptions{}); err != nil {
		t.Fatal(err)
	}
	day := func(s string) bioassay.Date {
		d, err := bioassay.ParseDate(s)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	check := func(f Filter, want ...string) {
		t.Helper()
		if got := names(all(t, r.Assays(ctx, f))); !slices.Equal(got, want) {
			t.Errorf("%+v gives %v, want %v", f, got, want)
		}
	}
	check(Filter{}, "A", "B", "C", "D")
	check(Filter{Apiaries: []string{"N7"}}, "A", "B")
	check(Filter{Apiaries: []string{"n7"}})
	check(Filter{Apiaries: []string{"N\u03038"}}, "C") // the tilde as a character of its own
	check(Filter{Regions: []string{"Coast"}}, "A", "B")
	check(Filter{Regions: []string{"Coast", "Hills"}, Acaricides: []string{"amitraz"}}, "A", "C")
	check(Filter{Protocols: []string{"strip jar", "x"}}, "C")
	check(Filter{Roles: []bioassay.Role{bioassay.RoleBaseline}}, "B")
	check(Filter{To: day("2031-04-01")}, "A", "B")
	check(Filter{Names: []string{"D", "B"}}, "B", "D")
	check(Filter{From: day("2031-04-01")}, "B", "C")
	check(Filter{From: day("2031-03-31"), To: day("2031-06-29")}, "A", "B")
	check(Filter{Names: []string{"') OR 1 --"}})

	// An amended region moves its assays.
	const moved = "apiary,region\nN7,Hills\n"
	apiaries, err = tables.ReadApiaries("a.csv", strings.NewReader(moved))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := r.ImportApiaries(ctx, apiaries, SourceOf("a.csv", []byte(moved)), ImportOptions{Amend: true, Reason: "wrong side of the river"}); err != nil {
		t.Fatal(err)
	}
	check(Filter{Regions: []string{"Coast"}})
	check(Filter{Regions: []string{"Hills"}}, "A", "B", "C")
}

// TestHeads: heads and what fills them are the whole assays, whatever was amended in
// between.
func TestHeads(t *testing.T) {
	const assays = 2*entriesAtOnce + 1
	r := fresh(t)
	if _, err := r.Import(ctx, many(assays, 3, 1), sourceOfMany(assays, 1), ImportOptions{}); err != nil {
		t.Fatal(err)
	}
	whole, heads := all(t, r.Assays(ctx, Filter{})), all(t, r.Heads(ctx, Filter{}))
	amended := many(assays, 3, 1)
	amended.Assays[7].Containers[1].Dead++
	if _, err := r.Import(ctx, amended, sourceOfMany(assays, 2), ImportOptions{Amend: true, Reason: "miscounted"}); err != nil {
		t.Fatal(err)
	}
	var entries []*Entry
	for i := range heads {
		if heads[i].Containers != nil {
			t.Fatalf("%q has containers", heads[i].Name)
		}
		entries = append(entries, &heads[i])
	}
	if err := r.Fill(ctx, entries); err != nil {
		t.Fatal(err)
	}
	if len(heads) != assays || !reflect.DeepEqual(heads, whole) {
		t.Errorf("%d of %d, or others", len(heads), len(whole))
	}
	r.Close()
	if err := r.Fill(ctx, entries); err == nil {
		t.Error("a closed registry was read")
	}
}

// Reading can stop early, and goes on from one state while others write.
func TestStreamIsOneState(t *testing.T) {
	r := fresh(t)
	if _, err := r.Import(ctx, many(50, 2, 1), sourceOfMany(50, 1), ImportOptions{}); err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, err := range r.Assays(ctx, Filter{}) {
		if err != nil {
			t.Fatal(err)
		}
		if seen++; seen == 10 {
			if _, err := r.Import(ctx, many(50, 2, 2), sourceOfMany(50, 2), ImportOptions{}); err != nil {
				t.Fatal(err)
			}
		}
	}
	if seen != 50 {
		t.Errorf("saw %d assays", seen)
	}
	for range r.Assays(ctx, Filter{}) {
		break
	}
	if got := len(all(t, r.Assays(ctx, Filter{}))); got != 100 {
		t.Errorf("then %d", got)
	}
	if err := r.Close(); err != nil {
		t.Fatal(err)
	}
	for _, err := range r.Assays(ctx, Filter{}) {
		if err == nil {
			t.Error("a closed registry was read")
		}
	}
}
