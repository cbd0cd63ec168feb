package plots

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
)

func survivors(rows ...SurvivorsRow) Survivors {
	return Survivors{Caption: Caption{Title: "Of 100 mites, how many would likely live?"}, Rows: rows}
}

var resistantRow = SurvivorsRow{Name: "amitraz", Likely: 71, Low: 58, High: 82, Caption: "about 71, perhaps 58 to 82."}

// pictures are pictures of survivors.
func pictures() map[string]Figure {
	unclear := SurvivorsRow{Name: "coumaphos", Likely: 18, Low: 3, High: 47, Caption: "about 18, perhaps 3 to 47."}
	spanish := survivors(SurvivorsRow{Likely: 1, High: 4, Caption: "tau-fluvalinato: alrededor de 1, quizá de 0 a 4."}, SurvivorsRow{Name: "cumafós", Likely: 100, Low: 96, High: 100, Caption: "alrededor de 100, quizá de 96 a 100."})
	spanish.Title, spanish.Words = "De cada 100 varroas, ¿cuántas quedarían vivas?", SurvivorsWords{"quedan vivas", "quizá vivan", "quizá mueran", "mueren"}
	spanish.Width, spanish.Mark = 150*vg.Millimeter, "datos inventados"
	small := survivors(resistantRow)
	small.Width = 60 * vg.Millimeter
	return map[string]Figure{
		"survivors": survivors(resistantRow), "survivors-two": survivors(resistantRow, unclear), "survivors-wide": spanish, "survivors-small": small,
		"survivors-plain": Survivors{Rows: []SurvivorsRow{{}}},
	}
}

// ovals counts the bodies of mites among the fills and strokes of a picture, by
// the number of closed ovals in a path of each colour.
func ovals(t *testing.T, s Survivors) map[string]int {
	t.Helper()
	g, err := s.page()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]int{}
	count := func(what string, p vg.Path) {
		for _, k := range p {
			if k.Type == vg.CloseComp {
				out[what]++
			}
		}
	}
	canvas := newStrokes()
	fills := &fillsOf{}
	g.draw(pen{canvas})
	g.draw(pen{fills})
	for _, p := range canvas.paths[miteDead] {
		count("dead", p)
	}
	for i, p := range fills.paths {
		switch fills.colours[i] {
		case miteBody:
			count("dark", p)
		case miteFaint:
			count("pale", p)
		}
	}
	for _, p := range canvas.paths[white] {
		out["striped"] += len(p) / 6 // three lines of two ends on each
	}
	return out
}

// The dark mites are the likely number, the striped ones the doubt, and all are
// 100; the key adds one of each.
func TestSurvivorsAreCounted(t *testing.T) {
	for _, r := range []SurvivorsRow{{Likely: 71, Low: 58, High: 82}, {Likely: 18, Low: 3, High: 47}, {}, {Likely: 100, Low: 100, High: 100}, {Likely: 50, Low: 0, High: 100}} {
		got := ovals(t, survivors(r))
		want := map[string]int{"dark": r.Likely + 2, "striped": r.Likely - r.Low + 1, "pale": r.High - r.Likely + 1, "dead": 100 - r.High + 1}
		for what, n := range want {
			if got[what] != n {
				t.Errorf("%d (%d to %d): %d mites are %s, want %d", r.Likely, r.Low, r.High, got[what], what, n)
			}
		}
	}
}

// The mites of a row stand apart, twenty across and five down.
func TestMitesStandApart(t *testing.T) {
	l := survivors(resistantRow).layOut(300, 11, 1, room)
	fills := &fillsOf{}
	l.rows[0].drawMites(pen{fills}, 0, 0)
	pitch := l.rows[0].pitch
	canvas := newStrokes()
	l.rows[0].drawMites(pen{canvas}, 0, 0)
	down, across := map[int]bool{}, map[int]bool{}
	for _, p := range canvas.paths[miteDead] {
		for _, k := range p {
			if k.Type == vg.MoveComp && len(p) == len(miteBodies(make([]vg.Point, 18), 1)) { // the bodies
				down[int(math.Round(float64(k.Pos.Y)))] = true
				across[int(math.Round(float64(k.Pos.X)))] = true
			}
		}
	}
	if len(down) != 1 || len(across) != 18 {
		t.Errorf("18 dead of the last row stand in %d rows and %d columns", len(down), len(across))
	}
	if 2*miteHalfWide+2*legLength > 1 || 2*miteHalfHigh+legLength > miteLeading {
		t.Error("mites touch")
	}
	if wide := pitch * (mitesAcross + miteAisle); wide > 300 {
		t.Errorf("the grid is %g wide", wide)
	}
}

// Bodies stand out on paper as marks must (WCAG 2.1, 1.4.11: 3), and the living
// are told from the dead in grey too.
func TestMitesStandOut(t *testing.T) {
	if got := contrast(miteBody, white); got < 7 {
		t.Errorf("bodies at contrast %.2f", got)
	}
	if got := contrast(miteBody, miteFaint); got < 3 {
		t.Errorf("stripes at contrast %.2f", got)
	}
	if got := contrast(miteDead, white); got < 3 {
		t.Errorf("dead ones at contrast %.2f", got)
	}
	for name, m := range deficiencies {
		if got := (seen(white, m) + 0.05) / (seen(miteBody, m) + 0.05); got < 7 {
			t.Errorf("%s: bodies at contrast %.2f", name, got)
		}
	}
}

func TestSurvivorsTellTheRow(t *testing.T) {
	name, got := survivors(resistantRow, SurvivorsRow{Name: "thymol", Likely: 2, High: 6}, SurvivorsRow{Name: "x", Caption: "x: none."}).words()
	if want := "Of 100 mites, how many would likely live?"; name != want {
		t.Errorf("name %q, want %q", name, want)
	}
	for _, want := range []string{"amitraz: about 71, perhaps 58 to 82.", "thymol: 2 of 100, perhaps 0 to 6.", " x: none."} {
		if !strings.Contains(got, want) {
			t.Errorf("description %q lacks %q", got, want)
		}
	}
}

func TestWhatSurvivorsCannotDraw(t *testing.T) {
	for want, s := range map[string]Survivors{
		"without a row":                       {},
		"row 1 of the survivors: 3, 4 to 5":   survivors(SurvivorsRow{Likely: 3, Low: 4, High: 5}),
		"row 2 of the survivors: 3, 1 to 101": survivors(resistantRow, SurvivorsRow{Likely: 3, Low: 1, High: 101}),
		"has no room for its rows":            {Caption: Caption{Height: 40}, Rows: []SurvivorsRow{resistantRow}},
		"has no room for its text":            {Caption: Caption{Width: 40}, Rows: []SurvivorsRow{resistantRow}},
	} {
		if _, err := s.page(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v, want one with %q", err, want)
		}
	}
}
