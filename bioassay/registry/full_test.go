package registry

import (
	"fmt"
	"testing"
)

// A file that may not grow stands for a full disk on every system: the import
// fails with a clear error at any fill, and nothing is lost.
func TestNoRoom(t *testing.T) {
	r := fresh(t)
	put(t, r, "f.csv", head+"A,,,,1,9,5,\n", ImportOptions{})
	r.db.SetMaxOpenConns(1) // the limit is the connection's
	var pages int
	if err := r.db.QueryRow("PRAGMA page_count").Scan(&pages); err != nil {
		t.Fatal(err)
	}
	failed := 0
	for room := 1; room < 1<<12; room *= 2 {
		if _, err := r.db.Exec(fmt.Sprintf("PRAGMA max_page_count = %d", pages+room)); err != nil {
			t.Fatal(err)
		}
		_, err := r.Import(ctx, many(200, 20, 1), sourceOfMany(200, 1), ImportOptions{})
		if err == nil {
			break
		}
		failed++
		isKind(t, err, DiskFull)
		if v := sound(t, r); v.Assays != 1 || v.Events != 1 {
			t.Fatalf("with room for %d pages: %+v", room, v)
		}
	}
	if v := sound(t, r); v.Assays != 201 || failed < 4 {
		t.Errorf("failed %d times, then %+v", failed, v)
	}
}
