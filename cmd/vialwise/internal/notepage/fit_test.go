package notepage

import (
	"strings"
	"testing"

	"vialwise/bioassay/advice"
)

// TestPoints: a short note is printed at the largest size, a longer one smaller, and
// none below the smallest.
func TestPoints(t *testing.T) {
	short := advice.Page{Blocks: []advice.Block{{Heading: "Found", Lines: []string{"One line."}}}}
	if size := points(short); size != largest {
		t.Errorf("a short note is printed at %g points", size)
	}
	full := points(sample(t, "en"))
	if !(full < largest && full >= 9) {
		t.Errorf("a full note is printed at %g points", full)
	}
	endless := sample(t, "en")
	endless.Blocks[2].Lines = append(endless.Blocks[2].Lines, strings.Repeat("word ", 2000))
	if size := points(endless); size != smallest {
		t.Errorf("an endless note is printed at %g points", size)
	}
	marked := sample(t, "en")
	marked.Mark = strings.Repeat("invented ", 200)
	if points(marked) >= full {
		t.Error("a mark takes no room")
	}
}
