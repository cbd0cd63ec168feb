package plots

import (
	"bytes"
	"image/color"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"

	"vialwise/internal/needs"
)

// A reader of another make finds the texts and every font in the file.
func TestPDFHasItsTextsAndFonts(t *testing.T) {
	name := filepath.Join(t.TempDir(), "figure.pdf")
	c := with(ordinary(), func(c *Curve) { c.Title = "Ανθεκτικότητα, Κρήτη"; c.Mark = "瓦" })
	if err := os.WriteFile(name, file(t, c, PDF), 0o600); err != nil {
		t.Fatal(err)
	}
	said, err := exec.Command(needs.Tool(t, "pdftotext", "reads a file with it"), name, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Ανθεκτικότητα, Κρήτη", "Amitraz (µg/vial)", "natural mortality", "[74E6]"} {
		if !strings.Contains(string(said), want) {
			t.Errorf("%q is not among the texts %q", want, said)
		}
	}
	fonts, err := exec.Command(needs.Tool(t, "pdffonts", "reads a file with it"), name).Output()
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(fonts)), "\n")[2:]
	if len(lines) != 2 {
		t.Errorf("fonts %q, want the regular and the bold", lines)
	}
	for _, l := range lines {
		if !strings.Contains(l, "yes") {
			t.Errorf("not embedded: %s", l)
		}
	}
}

// Texts of the PDF lie where they are anchored.
func TestPDFAnchors(t *testing.T) {
	name := filepath.Join(t.TempDir(), "figure.pdf")
	if err := os.WriteFile(name, file(t, ordinary(), PDF), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(needs.Tool(t, "pdftotext", "reads a file with it"), "-bbox", name, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	_, l, err := ordinary().arrange()
	if err != nil {
		t.Fatal(err)
	}
	const tolerance = 0.3 // of a point; the box of a word includes the space beside its letters
	for word, want := range map[string]struct{ part, x float64 }{
		"100":     {1, float64(l.frame.axis - tickLength - 1)},
		"control": {0.5, float64(l.frame.control)},
		"Apiary":  {0, float64(margin)},
	} {
		m := regexp.MustCompile(`xMin="([\d.]+)" yMin="[\d.]+" xMax="([\d.]+)" yMax="[\d.]+">` + word + "<").FindSubmatch(out)
		if m == nil {
			t.Errorf("%q is not in the file", word)
			continue
		}
		from, _ := strconv.ParseFloat(string(m[1]), 64)
		to, _ := strconv.ParseFloat(string(m[2]), 64)
		if got := from + want.part*(to-from); math.Abs(got-want.x) > tolerance {
			t.Errorf("%q is anchored at %g, want %g", word, got, want.x)
		}
	}
}

// The PDF has the size of the figure, and its date is fixed.
func TestPDFSizeAndDate(t *testing.T) {
	doc := string(file(t, ordinary(), PDF))
	for _, want := range []string{"%PDF-1.", "/MediaBox [0 0 240.94 198.43]", "D:20000101000000"} {
		if !strings.Contains(doc, want) {
			t.Errorf("%q is not in the file", want)
		}
	}
}

// The picture has 300 dots per inch, says so, and describes itself.
func TestPNGSizeAndWords(t *testing.T) {
	data := file(t, ordinary(), PNG)
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	// 85 and 70 mm of 25.4 mm to 300 dots are 1003.9 and 826.8 dots.
	if b := img.Bounds(); b.Dx() != 1004 || b.Dy() != 827 {
		t.Errorf("size %v, want 1004 by 827", b)
	}
	if !bytes.Contains(data, []byte("pHYs\x00\x00\x2e\x23\x00\x00\x2e\x23\x01")) { // 11811 per metre
		t.Error("the resolution is not stated")
	}
	if !bytes.Contains(data, []byte("Title\x00\x00\x00\x00\x00Apiary 14, spring 2031")) || !bytes.Contains(data, []byte("LC50 1.32 µg/vial")) {
		t.Error("the title or the description is missing")
	}
}

// picture draws on a picture of 100 by 100 points, 4 dots each.
func picture(draw func(canvas)) func(x, y float64) color.RGBA {
	img := blank(400, 400)
	draw(&imageCanvas{img: img, scale: 4, h: 100})
	return func(x, y float64) color.RGBA { return img.RGBAAt(int(x*4), int((100-y)*4)) }
}

// Shapes cover what they should, and no more.
func TestRaster(t *testing.T) {
	paper, full := color.RGBA{255, 255, 255, 255}, color.RGBA{0x11, 0x11, 0x11, 255}
	corner := path([]vg.Point{{X: 20, Y: 20}, {X: 50, Y: 20}, {X: 50, Y: 60}}, false)
	at := picture(func(c canvas) {
		c.stroke(corner, stroke{colour: ink, width: 4})
		c.stroke(path([]vg.Point{{X: 20, Y: 80}, {X: 60, Y: 80}}, false), stroke{ink, 2, []vg.Length{10, 5}})
		c.fill(circle(vg.Point{X: 80, Y: 40}, 10), ink)
	})
	for _, k := range []struct {
		what string
		x, y float64
		want color.RGBA
	}{
		{"on the line", 30, 20, full}, {"beside it", 30, 23, paper}, {"at the joint", 50.2, 20.2, full},
		{"upright part", 50, 40, full}, {"before the end", 19, 20, paper},
		{"in a dash", 25, 80, full}, {"in a gap", 32, 80, paper}, {"in the next dash", 37, 80, full}, {"in the last gap", 47, 80, paper},
		{"in the disc", 80, 40, full}, {"in it near the rim", 86.5, 46.5, full}, {"beyond the rim", 87.5, 47.5, paper},
	} {
		if got := at(k.x, k.y); got != k.want {
			t.Errorf("%s: %v, want %v", k.what, got, k.want)
		}
	}
}

// Dashes have the lengths asked for, round corners too.
func TestDashes(t *testing.T) {
	line := polygon{{0, 0}, {7, 0}, {7, 7}, {7, 20}}
	total := 0.0
	pieces := dashed(line, []vg.Length{3, 2}, 1)
	for i, p := range pieces {
		length := 0.0
		for j := 1; j < len(p); j++ {
			length += math.Hypot(p[j].x-p[j-1].x, p[j].y-p[j-1].y)
		}
		if total += length; i < len(pieces)-1 && math.Abs(length-3) > 1e-9 {
			t.Errorf("dash %d is %g long", i, length)
		}
	}
	if len(pieces) != 6 || math.Abs(total-17) > 1e-9 { // 27 = 5 (3 + 2) + 2
		t.Errorf("%d dashes of %g in all, want 6 of 17", len(pieces), total)
	}
}

// Text stands where it is anchored, and upward text reads upwards.
func TestRasterText(t *testing.T) {
	dark := func(at func(x, y float64) color.RGBA, x0, x1, y0, y1 float64) bool {
		for x := x0; x < x1; x += 0.25 {
			for y := y0; y < y1; y += 0.25 {
				if at(x, y).R < 128 {
					return true
				}
			}
		}
		return false
	}
	f := face(10, false)
	for _, k := range []struct {
		anchor float64
		up     bool
		box    [4]float64 // where the H must be: its first stem
	}{
		{atStart, false, [4]float64{50, 53, 50, 57}},
		{atEnd, false, [4]float64{42.5, 46, 50, 57}},
		{atStart, true, [4]float64{43, 50, 50, 53}},
	} {
		at := picture(func(c canvas) {
			c.write(lettering{face: f, colour: ink, at: vg.Point{X: 50, Y: 50}, anchor: k.anchor, up: k.up, s: "H"})
		})
		if !dark(at, k.box[0], k.box[1], k.box[2], k.box[3]) {
			t.Errorf("anchor %g, up %v: the letter is not at %v", k.anchor, k.up, k.box)
		}
		if dark(at, 60, 99, 1, 99) || dark(at, 1, 40, 1, 99) || dark(at, 1, 99, 60, 99) || dark(at, 1, 99, 1, 49.5) {
			t.Errorf("anchor %g, up %v: ink elsewhere", k.anchor, k.up)
		}
	}
}

func TestFormatNames(t *testing.T) {
	for _, f := range []Format{SVG, InlineSVG, PDF, PNG} {
		if got, err := ParseFormat(f.String()); err != nil || got != f {
			t.Errorf("format %v is read as %v, %v", f, got, err)
		}
	}
	if _, err := ParseFormat("gif"); err == nil || !strings.Contains(err.Error(), "svg, inline-svg, pdf, png") {
		t.Errorf("error %v, want one that names the formats", err)
	}
}
