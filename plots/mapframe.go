package plots

import (
	"math"

	"gonum.org/v1/plot/vg"
)

const (
	highestMap             = 200 * vg.Millimeter // of a map of unstated height
	mapStrip     vg.Length = 20                  // under the map, for the scale and north
	sharingBand  vg.Length = 11                  // around a map that is not for sharing
	mapMargin              = 0.06                // of the extent, around the areas
	steadyNorth            = 10.0                // degrees by which north may turn and still have an arrow
	emptyReach             = 5.0                 // km around a lone point
	scaleBarPart           = 0.3                 // of the width of the map that a scale bar may take
)

// extent is what the map shows: as stated, or the areas and points with a margin.
func (m Map) extent() MapExtent {
	if m.Extent != (MapExtent{}) {
		return m.Extent
	}
	x, y := nothing, nothing
	for _, a := range m.Areas {
		for _, p := range a.Outline {
			x, y = x.with(p[0]), y.with(p[1])
		}
	}
	for _, p := range m.Points {
		x, y = x.with(p.At[0]), y.with(p.At[1])
	}
	around := mapMargin * max(x.hi-x.lo, y.hi-y.lo)
	if around == 0 {
		around = emptyReach
	}
	return MapExtent{x.lo - around, y.lo - around, x.hi + around, y.hi + around}
}

// mapFrame is the map in its place on the page.
type mapFrame struct {
	area
	west, south float64
	perKM       vg.Length
}

// at returns the place on the page.
func (f mapFrame) at(p XY) vg.Point {
	return vg.Point{X: f.left + vg.Length(p[0]-f.west)*f.perKM, Y: f.bottom + vg.Length(p[1]-f.south)*f.perKM}
}

// path returns places on the page.
func (f mapFrame) path(line []XY) []vg.Point {
	out := make([]vg.Point, len(line))
	for i, p := range line {
		out[i] = f.at(p)
	}
	return out
}

// place fits the map into the body of a sheet, above the strip.
func (m Map) place(body area) mapFrame {
	e := m.extent()
	wide, high := vg.Length(e.East-e.West), vg.Length(e.North-e.South)
	f := mapFrame{west: e.West, south: e.South}
	room := body.top - body.bottom - mapStrip
	f.perKM = min((body.right-body.left)/wide, room/high)
	f.left = (body.left + body.right - wide*f.perKM) / 2
	f.right = f.left + wide*f.perKM
	f.bottom = body.bottom + mapStrip + (room-high*f.perKM)/2
	f.top = f.bottom + high*f.perKM
	return f
}

func (m Map) page() (page, error) {
	if err := m.check(); err != nil {
		return page{}, err
	}
	band := vg.Length(0)
	if m.NotForSharing {
		band = sharingBand
	}
	inner := m.Caption
	inner.Width = m.width() - 2*band
	if m.Height != 0 {
		inner.Height -= 2 * band
	}
	s, f, err := m.layOut(inner)
	if err != nil {
		return page{}, err
	}
	if f.right-f.left < minData || f.top-f.bottom < minData {
		return page{}, errNoRoom(s.w, s.h, "leaves no room for its map", "make it larger or its texts shorter")
	}
	return page{s.w + 2*band, s.h + 2*band, func(p pen) {
		if m.NotForSharing {
			drawSharingBand(p, s.w+2*band, s.h+2*band)
		}
		moved := pen{shifted{p.canvas, vg.Point{X: band, Y: band}}}
		s.draw(moved)
		m.draw(moved, f)
	}}, nil
}

// layOut places the map, twice where only its size tells what the footer must say.
func (m Map) layOut(c Caption) (sheet, mapFrame, error) {
	e := m.extent()
	data := min(highestMap, (c.Width-2*margin)*vg.Length((e.North-e.South)/(e.East-e.West)))
	var f mapFrame
	var s sheet
	for again := range 2 {
		var err error
		s, err = c.sheet(keyBox{items: m.key()}, m.footerWords(again > 0 && !m.labelled(f)), data+mapStrip)
		if err != nil {
			return s, f, err
		}
		f = m.place(s.body)
	}
	return s, f, nil
}

// scaleBar is the length of the bar in km: as stated, or the largest of 1, 2 or 5
// times a power of ten that takes no more than its part of the map.
func (m Map) scaleBar() float64 {
	if m.ScaleKM > 0 {
		return m.ScaleKM
	}
	e := m.extent()
	limit := scaleBarPart * (e.East - e.West)
	unit := math.Pow(10, math.Floor(math.Log10(limit)))
	for _, k := range []float64{5, 2} {
		if k*unit <= limit {
			return k * unit
		}
	}
	return unit
}
