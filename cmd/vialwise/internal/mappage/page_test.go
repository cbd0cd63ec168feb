package mappage

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"
)

// samplePage is a map of squares in a row, of two acaricides and three seasons.
func samplePage(areas int) *Page {
	p := &Page{
		Title: "Resistance map", Lead: "An invented region.", Mark: "Invented data.", Version: "test", Level: "95 %",
		Frame: Frame{-10, -10, float64(10*areas) + 10, 60}, ScaleKM: 20, Projection: "Lambert azimuthal equal-area",
		Land:       []Path{{{{-5, -5}, {float64(10 * areas), -5}, {float64(10 * areas), 50}, {-5, 50}}}},
		Shores:     []Path{{{{-5, -5}, {float64(10 * areas), -5}, {float64(10 * areas), 50}, {-5, 50}, {-5, -5}}}},
		Acaricides: []string{"amitraz", "tau-fluvalinate <b>"}, Seasons: []string{"2031-spring", "2031-autumn", "2032-spring"},
		Baselines: []string{"amitraz, 5 assays", "tau-fluvalinate, 5 assays"},
		Classes:   []Class{{"low", "#fde0c5"}, {"moderate", "#eb7a52"}, {"high", "#7d1d3f"}}, Few: "fewer than 3 apiaries tested",
		Notes: []string{"A note."},
	}
	for i := range areas {
		x := float64(10 * i)
		p.Areas = append(p.Areas, Area{fmt.Sprint(i), fmt.Sprintf("square %d", i+1), Path{{{x, 0}, {x + 10, 0}, {x + 10, 10}, {x, 10}}}})
	}
	for a := range p.Acaricides {
		var seasons [][]Fact
		for s := range p.Seasons {
			var facts []Fact
			for i := range areas {
				if (i+s+a)%4 == 0 {
					continue
				}
				k := (i + s) % 3
				shares := []float64{0.1, 0.1, 0.1}
				shares[k] = 0.8
				f := Fact{Area: i, Apiaries: 3 + i%5, Ratio: math.Pow(4, float64(k)), Lower: math.NaN(), Upper: math.NaN(), Class: k, Certainty: Certainty(i % 3), Shares: shares}
				if f.Apiaries > 3 {
					f.Lower, f.Upper = f.Ratio/2, f.Ratio*2
				}
				facts = append(facts, f)
			}
			seasons = append(seasons, facts)
		}
		p.Facts = append(p.Facts, seasons)
	}
	return p
}

func written(t testing.TB, p *Page) string {
	t.Helper()
	var b bytes.Buffer
	if err := p.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// TestWriteStatic holds what the page shows without scripts.
func TestWriteStatic(t *testing.T) {
	page := written(t, samplePage(6))
	for _, want := range []string{
		"<b id=\"title\">amitraz, 2032-spring</b>", // the newest season
		"tau-fluvalinate &lt;b&gt;", `tau-fluvalinate \u003cb\u003e`,
		`<th scope="row">square 1</th><td class="n">3</td><td class="n">16.0</td><td>high</td><td>unsure</td><td>low 10 %, moderate 10 %, high 80 %</td>`,
		`class="area few" data-area="2"`, `<text x="15" y="55" font-size="2.5">3</text><text x="25" y="55" font-size="2.5">1</text><text x="35" y="55" font-size="2.5"></text>`, `<span class="box k2"><b>3</b></span>high`, "The bar is 20 km long", "Invented data.",
	} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	if strings.Contains(page, "Not for sharing") || strings.Contains(page, "tau-fluvalinate <b>") || strings.Contains(page, "ZgotmplZ") {
		t.Error("the page holds what it must not")
	}
	if again := written(t, samplePage(6)); again != page {
		t.Error("the same map gave other bytes")
	}
}

// TestWriteNewest goes back to a season with facts.
func TestWriteNewest(t *testing.T) {
	p := samplePage(6)
	p.Facts[0][2] = nil
	if page := written(t, p); !strings.Contains(page, "amitraz, 2031-autumn</b>") {
		t.Error("not the newest season with a fact")
	}
}

// TestWriteExact marks a page that holds places.
func TestWriteExact(t *testing.T) {
	p := samplePage(6)
	p.NotForSharing, p.Points = true, []Point{{5, 5, "A01"}}
	page := written(t, p)
	if !strings.Contains(page, "Not for sharing") || !strings.Contains(page, "<title>A01</title>") {
		t.Error("an exact map is not marked")
	}
}

func TestWriteRefuses(t *testing.T) {
	if err := new(Page).Write(new(bytes.Buffer)); err == nil {
		t.Error("an empty map was written")
	}
	p := samplePage(3)
	p.Facts[0][0][0].Area = 7
	defer func() {
		if recover() == nil {
			t.Error("a fact of no area was written")
		}
	}()
	_ = p.Write(new(bytes.Buffer))
}

// TestSignificant compares with numbers rounded by hand.
func TestSignificant(t *testing.T) {
	for x, want := range map[float64]string{1: "1.00", 0.01234: "0.0123", 9.996: "10.0", 1234.5: "1230", 0: "0", math.Inf(1): "∞", 99.96: "100"} {
		if got := significant(x); got != want {
			t.Errorf("%g: %s, want %s", x, got, want)
		}
	}
}
