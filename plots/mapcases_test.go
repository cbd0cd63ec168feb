package plots

import (
	"fmt"
	"math"

	"gonum.org/v1/plot/vg"
)

func squareAt(x, y, side float64) []XY {
	return []XY{{x, y}, {x + side, y}, {x + side, y + side}, {x, y + side}, {x, y}}
}

// region is an invented coast with an island that has a lake, and areas of every
// class and certainty. Nothing of it exists.
func region() Map {
	m := Map{
		Caption:  Caption{Title: "Amitraz, spring 2034", Subtitle: "Harbour Coast programme, against the baseline of 2029", Mark: "invented data", Width: TwoColumns},
		Quantity: "Mean resistance ratio at LC50",
		Classes:  []MapClass{{"susceptible (below 3)"}, {"low (3 to 5)"}, {"moderate (5 to 10)"}, {"high (above 10)"}},
		Fewest:   3, North: [2]float64{-1.1, 1.4},
		Projection: "Lambert azimuthal equal-area about 44.2° N 9.8° E (WGS 84)",
	}
	var shore []XY
	for i := range 121 {
		x := -90 + 1.5*float64(i)
		shore = append(shore, XY{x, -38 + 9*math.Sin(x/17) + 3*math.Sin(x/4.1)})
	}
	shore = append(shore, XY{90, 90}, XY{-90, 90})
	var island, lake []XY
	for i := range 40 {
		sin, cos := math.Sincos(float64(i) / 40 * 2 * math.Pi)
		island = append(island, XY{38 + (11+2*cos*sin)*cos, -56 + 7*sin})
		lake = append(lake, XY{34 + 2*cos, -56 + 1.5*sin})
	}
	m.Land = [][][]XY{{shore}, {island, lake}}
	m.Lines = [][]XY{{{-20, -30}, {-14, -5}, {-22, 20}, {-10, 48}, {-16, 95}}}
	area := func(x, y, side float64, class int, c MapCertainty, n int) {
		m.Areas = append(m.Areas, MapArea{Outline: squareAt(x, y, side), Class: class, Certainty: c, Label: fmt.Sprint(n)})
	}
	few := func(x, y, side float64) {
		m.Areas = append(m.Areas, MapArea{Outline: squareAt(x, y, side), Status: MapFew})
	}
	area(-60, -20, 20, 0, MapClear, 14)
	area(-40, -20, 10, 0, MapLikely, 4)
	area(-30, -20, 10, 1, MapLikely, 3)
	area(-40, -10, 10, 1, MapClear, 9)
	area(-30, -10, 10, 0, MapUnsure, 3)
	few(-20, -20, 10)
	area(-10, -20, 10, 2, MapClear, 6)
	area(-20, -10, 10, 1, MapUnsure, 5)
	area(-10, -10, 10, 2, MapLikely, 5)
	area(0, -20, 20, 3, MapClear, 21)
	area(20, -20, 10, 3, MapLikely, 4)
	area(30, -20, 10, 3, MapUnsure, 3)
	area(20, -10, 10, 2, MapUnsure, 4)
	few(30, -10, 10)
	area(-60, 0, 40, 0, MapClear, 17)
	few(-20, 0, 20)
	area(0, 0, 20, 2, MapClear, 8)
	area(20, 0, 20, 1, MapLikely, 7)
	few(-20, 20, 20)
	area(20, 20, 20, 0, MapUnsure, 3)
	area(30, -60, 10, 1, MapClear, 5)
	return m
}

func changed(change func(*Map)) Map {
	m := region()
	change(&m)
	return m
}

// maps are the ordinary, the extreme and the hostile maps.
func maps() map[string]Figure {
	return map[string]Figure{
		"map":        region(),
		"map-column": changed(func(m *Map) { m.Width = OneColumn }),
		"map-exact": changed(func(m *Map) {
			m.NotForSharing, m.Areas = true, nil
			for i := range 40 {
				a := float64(i)
				m.Points = append(m.Points, MapPoint{At: XY{50 * math.Sin(a*2.3), 30 * math.Cos(a*1.1)}, Class: i%5 - 1, Label: fmt.Sprintf("Pier %d", i+1)})
			}
		}),
		"map-tall":    changed(func(m *Map) { m.Extent = MapExtent{-12, -60, 12, 60} }),
		"map-flat":    changed(func(m *Map) { m.Extent = MapExtent{-80, -22, 80, -8} }),
		"map-stated":  changed(func(m *Map) { m.Width, m.Height, m.ScaleKM = 120*vg.Millimeter, 160*vg.Millimeter, 25 }),
		"map-north":   changed(func(m *Map) { m.North = [2]float64{-14, 12} }),
		"map-tiny":    changed(func(m *Map) { m.Extent, m.Width = MapExtent{-400, -300, 400, 300}, OneColumn }),
		"map-zoom":    changed(func(m *Map) { m.Extent = MapExtent{-14, -14, 5, -1} }),
		"map-two":     changed(func(m *Map) { m.Classes = m.Classes[:2]; m.Areas = m.Areas[:4] }),
		"map-nothing": Map{Areas: []MapArea{{Outline: squareAt(0, 0, 10), Status: MapFew}}},
		"map-lone":    Map{NotForSharing: true, Points: []MapPoint{{At: XY{3, 4}, Class: -1, Label: "<a> 瓦"}}},
		"map-hostile": changed(func(m *Map) {
			m.Title, m.Quantity, m.Projection = `<script>`, `"&'`, longest
			m.Classes = []MapClass{{longest}, {"]]>"}, {"瓦螨"}, {"a\x00b"}}
			m.Areas[0].Label = "a very long label"
		}),
	}
}
