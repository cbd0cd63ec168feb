package registry

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
)

// recordedTables are those that nobody may change.
var recordedTables = []string{"events", "sources", "assays", "assay_revisions", "containers", "apiaries", "apiary_revisions",
	"changes", "decisions", "baselines", "baseline_assays"}

// full is a registry with rows in every table.
func full(t testing.TB) *Registry {
	t.Helper()
	r := withDemo(t)
	text := "shelf," + head + "top,Zeta,N7,amitraz,v1,2,10,5,\n"
	put(t, r, "f.csv", text, ImportOptions{})
	put(t, r, "g.csv", strings.Replace(text, ",5,", ",6,", 1), ImportOptions{Amend: true, Reason: "miscounted"})
	if _, err := r.Decide(ctx, Decision{Assay: "Zeta", Code: "few-mites", Verdict: Keep, By: "Grace", Why: "all there were"}, ""); err != nil {
		t.Fatal(err)
	}
	if _, err := r.DefineBaseline(ctx, "home", []string{"Zeta"}, "first", ""); err != nil {
		t.Fatal(err)
	}
	return r
}

func TestRecordIsAppendOnly(t *testing.T) {
	r := full(t)
	for _, table := range recordedTables {
		var n int
		if err := r.db.QueryRow("SELECT count(*) FROM " + table).Scan(&n); err != nil || n == 0 {
			t.Errorf("%s: %d rows, %v", table, n, err)
		}
		d, err := describeTable(ctx, r.db, table)
		if err != nil {
			t.Fatal(err)
		}
		last := d.columns[len(d.columns)-1].name
		for _, statement := range []string{
			fmt.Sprintf("UPDATE %s SET %s = %s", table, last, last),
			"DELETE FROM " + table,
			fmt.Sprintf("INSERT OR REPLACE INTO %s SELECT * FROM %s LIMIT 1", table, table),
		} {
			if _, err := r.db.Exec(statement); err == nil || !strings.Contains(err.Error(), "append-only") {
				t.Errorf("%s: %v", statement, err)
			}
		}
	}
	tables, err := recordTables(ctx, r.db)
	if err != nil || len(tables) != len(recordedTables) {
		t.Errorf("the record has %d tables, %d are tried: %v", len(tables), len(recordedTables), err)
	}
	sound(t, r)
}

// edit lifts the guards of a table, changes it, and puts the guards back.
func edit(t *testing.T, path, table, statement string) {
	t.Helper()
	db := raw(t, path)
	rows, err := db.Query("SELECT sql FROM sqlite_schema WHERE type = 'trigger' AND tbl_name = ?", table)
	if err != nil {
		t.Fatal(err)
	}
	var guards []string
	for rows.Next() {
		var text string
		if err := rows.Scan(&text); err != nil {
			t.Fatal(err)
		}
		guards = append(guards, text)
	}
	rows.Close()
	db.Close()
	lift := []string{"DROP TRIGGER " + table + "_no_update", "DROP TRIGGER " + table + "_no_delete", statement}
	do(t, path, append(lift, guards...)...)
}

// Every edit behind the registry's back is noticed, by the check that is
// there for it.
func TestVerifyNoticesEdits(t *testing.T) {
	whole := full(t)
	copyOf := func(t *testing.T, name string) string {
		path := t.TempDir() + "/" + name + ".db"
		if err := whole.Backup(ctx, path); err != nil {
			t.Fatal(err)
		}
		return path
	}
	cases := []struct{ table, statement, check string }{
		{"containers", "UPDATE containers SET dead = dead + 1 WHERE revision_id = 3 AND position = 1", "assays"},
		{"containers", "UPDATE containers SET concentration_text = concentration_text || '0' WHERE revision_id = 3", "assays"},
		{"containers", "UPDATE containers SET line = 1 WHERE revision_id = 3 AND position = 2", "assays"},
		{"containers", "UPDATE containers SET extra = replace(extra, ',', ', ') WHERE extra <> ''", "assays"},
		{"containers", "DELETE FROM containers WHERE revision_id = 3 AND position = 2", "assays"},
		{"assay_revisions", "UPDATE assay_revisions SET apiary = 'elsewhere' WHERE revision_id = 3", "assays"},
		{"assay_revisions", "UPDATE assay_revisions SET content_hash = record_hash WHERE revision_id = 3", "assays"},
		{"assay_revisions", "DELETE FROM assay_revisions WHERE number = 2", "history"},
		{"assay_revisions", "UPDATE assay_revisions SET number = 3 WHERE number = 2", "assays"},
		{"assays", "UPDATE assays SET name = name || 'x' WHERE assay_id = 3", "assays"},
		{"apiaries", "UPDATE apiaries SET code = code || 'x' WHERE apiary_id = 2", "apiaries"},
		{"apiary_revisions", "UPDATE apiary_revisions SET latitude = 1 WHERE apiary_id = 2", "apiaries"},
		{"assays", "INSERT INTO assays VALUES (99999, 2, 'more')", "assays"},
		{"apiaries", "INSERT INTO apiaries VALUES (99999, 1, 'more')", "apiaries"},
		{"assays", "UPDATE assays SET event_id = 3 WHERE assay_id = 3", "history"},
		{"events", "UPDATE events SET who = 'Eve' WHERE event_id = 2", "history"},
		{"events", "UPDATE events SET at = '2030' WHERE event_id = 2", "history"},
		{"events", "UPDATE events SET reason = 'none' WHERE event_id = 4", "history"},
		{"events", "UPDATE events SET format = 9 WHERE event_id = 4", "history"},
		{"events", "DELETE FROM events WHERE event_id = 4", "history"},
		{"events", "DELETE FROM events WHERE event_id = (SELECT max(event_id) FROM events)", "history"},
		{"sources", "UPDATE sources SET name = 'x.csv' WHERE event_id = 2", "history"},
		{"sources", "DELETE FROM sources WHERE event_id = 2", "history"},
		{"changes", "UPDATE changes SET before = '4'", "history"},
		{"decisions", "UPDATE decisions SET verdict = 'discard'", "history"},
		{"baselines", "UPDATE baselines SET name = 'away'", "history"},
		{"baseline_assays", "DELETE FROM baseline_assays", "history"},
		{"baseline_assays", "UPDATE baseline_assays SET revision_id = 999999", "references"},
	}
	for i, c := range cases {
		path := copyOf(t, fmt.Sprint(i))
		edit(t, path, c.table, c.statement)
		v, err := opened(t, path).Verify(ctx, nil)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.ContainsFunc(v.Problems, func(p Problem) bool { return p.Check == c.check }) {
			t.Errorf("%s: %+v", c.statement, v.Problems)
		}
	}
	t.Run("guards", func(t *testing.T) {
		path := copyOf(t, "guards")
		do(t, path, "DROP TRIGGER containers_no_update", "CREATE TABLE more (x)")
		v, err := opened(t, path).Verify(ctx, nil)
		if err != nil || len(v.Problems) != 2 || v.Problems[0].Check != "schema" {
			t.Errorf("%v %+v", err, v)
		}
	})
	t.Run("unedited", func(t *testing.T) {
		if v := sound(t, opened(t, copyOf(t, "same"))); v.Events != 6 || v.Containers == 0 || v.Apiaries == 0 || v.Revisions != v.Assays+1 {
			t.Errorf("%+v", v)
		}
	})
}

// The hash of an event covers each of its fields, the hash before among them,
// so that no link of the chain can be exchanged.
func TestHashOfAnEvent(t *testing.T) {
	e := entry{Event: Event{ID: 7, At: "2031", Who: "Ada", Action: DecisionMade, Reason: "why"}, format: 1, digest: "d", previous: "p"}
	seen := map[string]int{e.chained(): -1}
	for i, change := range []func(*entry){
		func(e *entry) { e.ID++ }, func(e *entry) { e.At += "x" }, func(e *entry) { e.Who += "x" }, func(e *entry) { e.Action += "x" },
		func(e *entry) { e.Reason += "x" }, func(e *entry) { e.format++ }, func(e *entry) { e.digest += "x" }, func(e *entry) { e.previous += "x" },
		func(e *entry) { e.digest, e.previous = "", "dp" }, // fields do not run into each other
	} {
		changed := e
		change(&changed)
		if other, twice := seen[changed.chained()]; twice {
			t.Errorf("changes %d and %d give one hash", other, i)
		}
		seen[changed.chained()] = i
	}
}

// A damaged page is found by the verification, wherever it is.
func TestVerifyNoticesDamage(t *testing.T) {
	r := full(t)
	path := r.path + ".copy"
	if err := r.Backup(ctx, path); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	const page = 4096
	tried := 0
	for at := page; at+page <= len(data); at += 7 * page {
		damaged := slices.Clone(data)
		for i := range 600 {
			damaged[at+i] ^= 0x5a
		}
		broken := fmt.Sprintf("%s.%d", path, at)
		if err := os.WriteFile(broken, damaged, 0o644); err != nil {
			t.Fatal(err)
		}
		tried++
		r, err := Open(broken, options())
		if err != nil {
			isKind(t, err, Corrupt)
			continue
		}
		v, err := r.Verify(ctx, nil)
		if err != nil || v.Sound() {
			t.Errorf("damage at %d: %v %+v", at, err, v)
		}
		r.Close()
	}
	if tried < 5 {
		t.Errorf("only %d pages tried", tried)
	}
}
