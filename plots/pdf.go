package plots

import (
	"bytes"
	"fmt"
	"image/color"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"gonum.org/v1/plot/vg"
)

// pdfDate is the date of every file, because the clock is no part of a figure.
var pdfDate = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

// encodePDF writes a document of one page of the size of the figure, with the
// glyphs it uses. It is not tagged: the title and the description are in its
// properties.
func encodePDF(r *recording, info sheetInfo) ([]byte, error) {
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "pt", Size: fpdf.SizeType{Wd: float64(info.w), Ht: float64(info.h)}})
	f.SetCreationDate(pdfDate)
	f.SetModificationDate(pdfDate)
	f.SetCatalogSort(true)
	f.SetProducer("vialwise", true)
	f.SetTitle(info.name, true)
	f.SetSubject(info.description, true)
	if info.language != "" {
		f.SetLang(info.language)
	}
	f.SetMargins(0, 0, 0)
	f.SetAutoPageBreak(false, 0)
	for _, bold := range []bool{false, true} {
		if runes := r.runes(bold); len(runes) > 0 {
			f.AddUTF8FontFromBytes(pdfFamily, pdfStyle(bold), subsetOf(append(runes, ' '), bold))
		}
	}
	f.AddPage()
	r.replay(&pdfCanvas{f, float64(info.h)})
	var b bytes.Buffer
	if err := f.Output(&b); err != nil {
		return nil, fmt.Errorf("plots: writing PDF: %w", err)
	}
	return b.Bytes(), nil
}

const pdfFamily = "vialwisesans"

func pdfStyle(bold bool) string {
	if bold {
		return "B"
	}
	return ""
}

// pdfCanvas draws on a page that counts from the top.
type pdfCanvas struct {
	f *fpdf.Fpdf
	h float64
}

func (c *pdfCanvas) stroke(p vg.Path, s stroke) {
	c.f.SetDrawColor(int(s.colour.R), int(s.colour.G), int(s.colour.B))
	c.f.SetAlpha(float64(s.colour.A)/0xFF, "Normal")
	c.f.SetLineWidth(float64(s.width))
	dash := make([]float64, len(s.dash))
	for i, d := range s.dash {
		dash[i] = float64(d)
	}
	c.f.SetDashPattern(dash, 0)
	c.trace(p)
	c.f.DrawPath("D")
}

func (c *pdfCanvas) fill(p vg.Path, k color.NRGBA) {
	c.f.SetFillColor(int(k.R), int(k.G), int(k.B))
	c.f.SetAlpha(float64(k.A)/0xFF, "Normal")
	c.trace(p)
	c.f.DrawPath("F")
}

func (c *pdfCanvas) write(l lettering) {
	c.f.SetFont(pdfFamily, pdfStyle(isBold(l.face)), float64(l.face.Font.Size))
	c.f.SetTextColor(int(l.colour.R), int(l.colour.G), int(l.colour.B))
	c.f.SetAlpha(1, "Normal")
	x, y, s := float64(l.at.X), c.h-float64(l.at.Y), visual(l.s)
	if l.up {
		c.f.TransformBegin()
		c.f.TransformRotate(90, x, y)
	}
	c.f.Text(x-l.anchor*c.f.GetStringWidth(s), y, s)
	if l.up {
		c.f.TransformEnd()
	}
}

// trace repeats a path.
func (c *pdfCanvas) trace(p vg.Path) {
	xy := func(pt vg.Point) (x, y float64) { return float64(pt.X), c.h - float64(pt.Y) }
	for _, k := range p {
		x, y := xy(k.Pos)
		switch k.Type {
		case vg.MoveComp:
			c.f.MoveTo(x, y)
		case vg.LineComp:
			c.f.LineTo(x, y)
		case vg.CurveComp:
			x0, y0 := xy(k.Control[0])
			x1, y1 := xy(k.Control[1])
			c.f.CurveBezierCubicTo(x0, y0, x1, y1, x, y)
		case vg.CloseComp:
			c.f.ClosePath()
		default:
			panic("plots: a path with an arc")
		}
	}
}
