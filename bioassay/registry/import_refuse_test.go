package registry

import (
	"context"
	"errors"
	"strings"
	"testing"

	"vialwise/bioassay"
	"vialwise/bioassay/tables"
)

// Two names of the same characters are one name, also within a table.
func TestOneNameTwice(t *testing.T) {
	r := fresh(t)
	table, source := read(t, "f.csv", head+"\u00c41,,,,1,9,5,\nA\u03081,,,,1,9,6,\n")
	if len(table.Assays) != 2 {
		t.Fatalf("the reader sees %d assays", len(table.Assays))
	}
	_, err := r.Import(ctx, table, source, ImportOptions{})
	isKind(t, err, BadInput)
	if !strings.Contains(err.Error(), "f.csv:3") {
		t.Error(err)
	}
}

func TestImportRefuses(t *testing.T) {
	r := fresh(t)
	type (
		assay     = bioassay.Assay
		container = bioassay.Container
	)
	zero := 0.0
	for name, spoil := range map[string]func(*assay, *container){
		"no name":       func(a *assay, _ *container) { a.Name = "" },
		"no containers": func(a *assay, _ *container) { a.Containers = nil },
		"negative":      func(_ *assay, c *container) { c.Dead = -1 },
		"too many dead": func(_ *assay, c *container) { c.Dead, c.Moribund = 5, 5 },
		"infinite":      func(_ *assay, c *container) { c.Concentration = 1 / zero },
		"no number":     func(a *assay, _ *container) { a.ReadingHours = bioassay.Known(zero / zero) },
		"no such day":   func(a *assay, _ *container) { a.TestedOn = bioassay.Date{Year: 2031, Month: 2, Day: 30} },
		"not UTF-8":     func(_ *assay, c *container) { c.Note = "\xff" },
		"NUL":           func(a *assay, _ *container) { a.Unit = "ug\x00" },
		"NUL in extra":  func(_ *assay, c *container) { c.Extra = []bioassay.Field{{Name: "x", Value: "\x00"}} },
	} {
		a := assay{Name: "A", Containers: []container{{Exposed: 9, Concentration: 1}}}
		spoil(&a, &a.Containers[0])
		_, err := r.Import(ctx, &tables.Table{Assays: []assay{{Name: "good", Containers: []container{{Exposed: 9}}}, a}}, SourceOf("f.csv", nil), ImportOptions{})
		if !errors.Is(err, BadInput) {
			t.Errorf("%s: %v", name, err)
		}
	}
	nobody := *r
	nobody.options.Who = ""
	table, source := read(t, "f.csv", head+"A,,,,1,9,5,\n")
	_, err := nobody.Import(ctx, table, source, ImportOptions{})
	isKind(t, err, BadInput)
	if v := sound(t, r); v.Events != 0 || v.Assays != 0 {
		t.Errorf("%+v", v)
	}
}

func TestConflictsAreCapped(t *testing.T) {
	r := fresh(t)
	table := many(MaxConflicts+50, 1, 1)
	if _, err := r.Import(ctx, table, sourceOfMany(1, 1), ImportOptions{}); err != nil {
		t.Fatal(err)
	}
	for i := range table.Assays {
		table.Assays[i].Containers[0].Exposed++
	}
	res, err := r.Import(ctx, table, sourceOfMany(1, 2), ImportOptions{})
	isKind(t, err, Conflicting)
	if len(res.Conflicts) != MaxConflicts || res.MoreConflicts != 50 {
		t.Errorf("%d and %d", len(res.Conflicts), res.MoreConflicts)
	}
	if _, err := r.Import(ctx, table, sourceOfMany(1, 2), ImportOptions{Amend: true, Reason: "one more each"}); err != nil {
		t.Fatal(err)
	}
	if changes, err := r.Changes(ctx, 2); err != nil || len(changes) != MaxConflicts+50 {
		t.Errorf("%d changes, %v", len(changes), err)
	}
}

func TestProgressAndCancel(t *testing.T) {
	r := fresh(t)
	last, calls := 0, 0
	progress := func(done, total int) {
		if calls++; done <= last || total != 600 {
			t.Errorf("%d of %d after %d", done, total, last)
		}
		last = done
	}
	if _, err := r.Import(ctx, many(300, 2, 1), sourceOfMany(300, 1), ImportOptions{Progress: progress}); err != nil || last != 600 || calls < 3 {
		t.Errorf("%v, %d calls, ended at %d", err, calls, last)
	}
	stopping, stop := context.WithCancel(ctx)
	_, err := r.Import(stopping, many(300, 2, 2), sourceOfMany(300, 2), ImportOptions{Progress: func(done, _ int) {
		if done > 400 {
			stop()
		}
	}})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
	if v := sound(t, r); v.Assays != 300 {
		t.Errorf("%d assays after a cancelled import", v.Assays)
	}
}
