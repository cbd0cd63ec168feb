package registry

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"vialwise/bioassay"
	"vialwise/bioassay/tables"
)

// drawAssay draws an assay of small numbers, so that equal ones are likely.
func drawAssay(t *rapid.T, name string) bioassay.Assay {
	a := bioassay.Assay{Name: name, Apiary: rapid.SampledFrom([]string{"", "N7", "Ñ8"}).Draw(t, "apiary"), Acaricide: "amitraz"}
	for range rapid.IntRange(1, 4).Draw(t, "containers") {
		a.Containers = append(a.Containers, bioassay.Container{
			Label:         rapid.SampledFrom([]string{"", "", "v1", "v2"}).Draw(t, "label"),
			Concentration: float64(rapid.IntRange(0, 2).Draw(t, "concentration")),
			Exposed:       9, Dead: rapid.IntRange(0, 2).Draw(t, "dead"),
			Note: rapid.SampledFrom([]string{"", "", "wet"}).Draw(t, "note"),
		})
	}
	return a
}

// contents imports tables in an order and returns what is then registered.
func contents(t *rapid.T, path string, files []*tables.Table, order []int) []string {
	r, err := Open(path, options())
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	for _, i := range order {
		if _, err := r.Import(ctx, files[i], SourceOf(fmt.Sprint(i), fmt.Append(nil, i)), ImportOptions{}); err != nil {
			t.Fatal(err)
		}
	}
	var got []string
	for e, err := range r.Assays(ctx, Filter{}) {
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, e.Name+" "+e.Content)
	}
	v, err := r.Verify(ctx, nil)
	if err != nil || !v.Sound() {
		t.Fatalf("%v %+v", err, v)
	}
	return got
}

// The order in which files are imported, and that of rows within them, does
// not matter to what is registered.
func TestImportOrderDoesNotMatter(t *testing.T) {
	dir, run := t.TempDir(), 0
	rapid.Check(t, func(t *rapid.T) {
		run++
		var pool []bioassay.Assay
		for i := range rapid.IntRange(1, 6).Draw(t, "assays") {
			pool = append(pool, drawAssay(t, fmt.Sprintf("A%d", i)))
		}
		files := make([]*tables.Table, rapid.IntRange(2, 4).Draw(t, "files"))
		for i := range files {
			files[i] = &tables.Table{}
			for _, a := range pool {
				if rapid.Bool().Draw(t, "in file") {
					shuffled := slices.Clone(a.Containers)
					rand.New(rand.NewPCG(uint64(i), uint64(run))).Shuffle(len(shuffled), func(x, y int) { shuffled[x], shuffled[y] = shuffled[y], shuffled[x] })
					a.Containers = shuffled
					files[i].Assays = append(files[i].Assays, a)
				}
			}
		}
		order := make([]int, len(files))
		for i := range order {
			order[i] = i
		}
		other := rapid.Permutation(order).Draw(t, "order")
		first := contents(t, filepath.Join(dir, fmt.Sprintf("%d-a.db", run)), files, order)
		second := contents(t, filepath.Join(dir, fmt.Sprintf("%d-b.db", run)), files, other)
		if !slices.Equal(first, second) {
			t.Fatalf("%v\n%v", first, second)
		}
	})
}

// Two versions are the same content if, and only if, no conflict is found.
func TestConflictsExplainEveryDifference(t *testing.T) {
	differ := 0
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawAssay(t, "A"), drawAssay(t, "A")
		conflicts := diffAssays(&a, &b)
		same := assayHashes(&a).content == assayHashes(&b).content
		if same != (len(conflicts) == 0) {
			t.Fatalf("same content %v, conflicts %v", same, conflicts)
		}
		for _, c := range conflicts {
			if c.Old == c.New {
				t.Fatalf("no conflict: %v", c)
			}
		}
		if !same {
			differ++
		}
	})
	if differ == 0 {
		t.Error("no two assays differed")
	}
}

// Every field of an assay and a container is content or spelling: changing one
// changes the right hashes.
func TestHashesCoverEveryField(t *testing.T) {
	base := func() bioassay.Assay { return many(1, 2, 1).Assays[0] }
	for name, c := range map[string]struct {
		change  func(*bioassay.Assay)
		content bool
	}{
		"name":        {func(a *bioassay.Assay) { a.Name += "x" }, false},
		"apiary":      {func(a *bioassay.Assay) { a.Apiary += "x" }, true},
		"population":  {func(a *bioassay.Assay) { a.Population += "x" }, true},
		"role":        {func(a *bioassay.Assay) { a.Role = bioassay.RoleBaseline }, true},
		"collected":   {func(a *bioassay.Assay) { a.CollectedOn.Day++ }, true},
		"tested":      {func(a *bioassay.Assay) { a.TestedOn = bioassay.Date{} }, true},
		"acaricide":   {func(a *bioassay.Assay) { a.Acaricide += "x" }, true},
		"protocol":    {func(a *bioassay.Assay) { a.Protocol += "x" }, true},
		"unit":        {func(a *bioassay.Assay) { a.Unit += "x" }, true},
		"exposure":    {func(a *bioassay.Assay) { a.ExposureHours = bioassay.Optional{} }, true},
		"reading":     {func(a *bioassay.Assay) { a.ReadingHours.Value = 0 }, true},
		"label":       {func(a *bioassay.Assay) { a.Containers[1].Label += "x" }, true},
		"dose":        {func(a *bioassay.Assay) { a.Containers[1].Concentration++ }, true},
		"exposed":     {func(a *bioassay.Assay) { a.Containers[1].Exposed++ }, true},
		"dead":        {func(a *bioassay.Assay) { a.Containers[1].Dead++ }, true},
		"moribund":    {func(a *bioassay.Assay) { a.Containers[1].Moribund++ }, true},
		"missing":     {func(a *bioassay.Assay) { a.Containers[1].Missing++ }, true},
		"mite source": {func(a *bioassay.Assay) { a.Containers[1].MiteSource += "x" }, true},
		"brood":       {func(a *bioassay.Assay) { a.Containers[1].CappedBrood = bioassay.No }, true},
		"blind":       {func(a *bioassay.Assay) { a.Containers[1].TestedBlind = bioassay.No }, true},
		"note":        {func(a *bioassay.Assay) { a.Containers[1].Note += "x" }, true},
		"extra":       {func(a *bioassay.Assay) { a.Containers[1].Extra = []bioassay.Field{{Name: "x", Value: "y"}} }, true},
		"one less":    {func(a *bioassay.Assay) { a.Containers = a.Containers[:1] }, true},
		"spelling":    {func(a *bioassay.Assay) { a.Containers[1].ConcentrationText += "0" }, false},
		"line":        {func(a *bioassay.Assay) { a.Containers[1].Source.Line++ }, false},
		"order":       {func(a *bioassay.Assay) { slices.Reverse(a.Containers) }, false},
	} {
		before, after := base(), base()
		c.change(&after)
		x, y := assayHashes(&before), assayHashes(&after)
		if x.record == y.record || (x.content != y.content) != c.content {
			t.Errorf("%s: record changed %v, content changed %v", name, x.record != y.record, x.content != y.content)
		}
		if conflicts := diffAssays(&before, &after); (len(conflicts) > 0) != c.content {
			t.Errorf("%s: conflicts %v", name, conflicts)
		}
	}
}
