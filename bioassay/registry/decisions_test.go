package registry

import (
	"slices"
	"testing"
)

func TestDecisions(t *testing.T) {
	r := fresh(t)
	put(t, r, "f.csv", head+"A,,,,1,9,5,\nB,,,,1,9,5,\n", ImportOptions{})
	keep := Decision{Assay: "A", Code: "few-mites", Verdict: Keep, By: "Grace", Why: "all there were"}
	event, err := r.Decide(ctx, keep, "")
	if err != nil || event.Action != DecisionMade || event.Who != "Ada" {
		t.Fatalf("%+v %v", event, err)
	}
	if again, err := r.Decide(ctx, keep, ""); again != nil || err != nil {
		t.Errorf("the same again: %+v %v", again, err)
	}
	if none, err := r.Decide(ctx, Decision{Assay: "B", Code: "few-mites", Verdict: NoVerdict, By: "G", Why: "x"}, ""); none != nil || err != nil {
		t.Errorf("nothing to take back: %+v %v", none, err)
	}
	standing, err := r.Decisions(ctx)
	keep.At, keep.Event = event.At, event.ID
	if err != nil || !slices.Equal(standing, []Decision{keep}) {
		t.Errorf("%v %+v", err, standing)
	}
	for _, v := range []Verdict{Discard, NoVerdict} {
		if _, err := r.Decide(ctx, Decision{Assay: "A", Code: "few-mites", Verdict: v, By: "Ada", Why: "second thoughts"}, "Bo"); err != nil {
			t.Fatal(err)
		}
		standing, err := r.Decisions(ctx)
		if err != nil || (len(standing) > 0) != (v == Discard) {
			t.Errorf("%v %+v", err, standing)
		}
	}
	if every, err := r.AllDecisions(ctx); err != nil || len(every) != 3 || every[0] != keep || every[2].Verdict != NoVerdict {
		t.Errorf("%v %+v", err, every)
	}
	for _, bad := range []Decision{
		{Code: "x", Verdict: Keep, By: "G", Why: "y"}, {Assay: "a", Code: "x", Verdict: Keep, By: "G", Why: "y"},
	} {
		_, err := r.Decide(ctx, bad, "")
		isKind(t, err, NoSuchEntry)
	}
	for _, bad := range []Decision{
		{Assay: "A", Verdict: Keep, By: "G", Why: "y"}, {Assay: "A", Code: "x", Verdict: Keep, Why: "y"},
		{Assay: "A", Code: "x", Verdict: Keep, By: "G", Why: "\n"}, {Assay: "A", Code: "x", By: "G", Why: "y"},
		{Assay: "A", Code: "x", Verdict: Keep, By: "G", Why: "\xff"},
	} {
		_, err := r.Decide(ctx, bad, "")
		isKind(t, err, BadInput)
	}
	sound(t, r)
}

func TestBaselines(t *testing.T) {
	r := fresh(t)
	put(t, r, "f.csv", head+"B,,,,1,9,5,\nA,,,,1,9,5,\nC,,,,1,9,5,\n", ImportOptions{})
	b, err := r.DefineBaseline(ctx, "home", []string{"B", "A", "B"}, "two", "")
	if err != nil || b.Version != 1 || !slices.Equal(b.Assays, []string{"A", "B"}) || b.Outdated != nil || b.CreatedBy != "Ada" || b.CreatedAt == "" || b.Note != "two" {
		t.Fatalf("%+v %v", b, err)
	}
	if b, err = r.DefineBaseline(ctx, "home", []string{"A", "B"}, "two", ""); err != nil || b.Version != 1 {
		t.Errorf("the same again: %+v %v", b, err)
	}
	put(t, r, "g.csv", head+"A,,,,1,9,6,\n", ImportOptions{Amend: true, Reason: "miscounted"})
	if b, err = r.Baseline(ctx, "home", 0); err != nil || b.Version != 1 || !slices.Equal(b.Outdated, []string{"A"}) {
		t.Errorf("%+v %v", b, err)
	}
	if b, err = r.DefineBaseline(ctx, "home", []string{"A", "B"}, "two", ""); err != nil || b.Version != 2 || b.Outdated != nil {
		t.Errorf("%+v %v", b, err)
	}
	for version, dead := range map[int]int{1: 5, 2: 6, 0: 6} {
		entries := all(t, r.BaselineAssays(ctx, "home", version))
		if !slices.Equal(names(entries), []string{"A", "B"}) || entries[0].Containers[0].Dead != dead {
			t.Errorf("version %d: %+v", version, entries)
		}
	}
	list, err := r.Baselines(ctx)
	if err != nil || len(list) != 2 || list[1].Version != 2 || len(list[1].Assays) != 2 {
		t.Errorf("%v %+v", err, list)
	}
	_, err = r.Baseline(ctx, "home", 3)
	isKind(t, err, NoSuchEntry)
	for _, err := range r.BaselineAssays(ctx, "away", 0) {
		isKind(t, err, NoSuchEntry)
	}
	_, err = r.DefineBaseline(ctx, "home", []string{"D"}, "", "")
	isKind(t, err, NoSuchEntry)
	_, err = r.DefineBaseline(ctx, " ", []string{"A"}, "", "")
	isKind(t, err, BadInput)
	_, err = r.DefineBaseline(ctx, "home", nil, "", "")
	isKind(t, err, BadInput)
	sound(t, r)
}

func TestKeptResults(t *testing.T) {
	r := fresh(t)
	if err := r.KeepResults(ctx, "probit", "1.0", []Result{{"a", []byte("1")}, {"b", []byte("2")}}); err != nil {
		t.Fatal(err)
	}
	if err := r.KeepResults(ctx, "logit", "1.0", []Result{{"a", []byte("3")}}); err != nil {
		t.Fatal(err)
	}
	if err := r.KeepResults(ctx, "probit", "1.0", []Result{{"b", []byte("4")}}); err != nil {
		t.Fatal(err)
	}
	got, err := r.Results(ctx, "probit", "1.0", []string{"a", "b", "c"})
	if err != nil || len(got) != 2 || string(got["a"]) != "1" || string(got["b"]) != "4" {
		t.Errorf("%v %q", err, got)
	}
	if got, err := r.Results(ctx, "probit", "1.1", []string{"a"}); err != nil || len(got) != 0 {
		t.Errorf("of another version: %v %q", err, got)
	}
	if err := r.ForgetResults(ctx, "1.1"); err != nil {
		t.Fatal(err)
	}
	if got, err := r.Results(ctx, "logit", "1.0", []string{"a"}); err != nil || len(got) != 0 {
		t.Errorf("of an older version: %v %q", err, got)
	}
}
