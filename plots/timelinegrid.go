package plots

import "gonum.org/v1/plot/vg"

// timelineGrid is where the panels of a TimelineSet stand.
type timelineGrid struct {
	columns, rows int
	cells         []timelineCell // by panel
	headings      int            // of groups
	up            span
	seasons       int
	head          vg.Length // above each panel, for its words
	words         vg.Length // width for them
	levels        []tick
	wide, high    vg.Length // of the data of a panel
	gutter        vg.Length // left of the first column
	area          area
}

// timelineCell is the place of a panel. A group begins a row, under its heading.
type timelineCell struct {
	column, row int
	headings    int  // of its own group and of those above
	lowest      bool // in its column
}

// cells places the panels on rows of at most so many columns.
func (t TimelineSet) cells(columns int) (cells []timelineCell, rows, headings int) {
	at := timelineCell{column: -1}
	for i, panel := range t.Panels {
		if at.column++; at.column == columns || i > 0 && t.beginsGroup(i) {
			at.column, at.row = 0, at.row+1
		}
		if t.beginsGroup(i) && clean(panel.Group) != "" {
			at.headings++
		}
		cells = append(cells, at)
	}
	above := map[int]int{}
	for i, c := range cells {
		above[c.column] = i
	}
	for _, i := range above {
		cells[i].lowest = true
	}
	return cells, at.row + 1, at.headings
}

// grid chooses the number of columns by the width of the figure.
func (t TimelineSet) grid() *timelineGrid {
	g := &timelineGrid{up: upOf(t.Baseline, t.courses()...), seasons: len(t.Seasons), head: bodySize * 1.5}
	g.columns = min(t.Across(), len(t.Panels))
	g.cells, g.rows, g.headings = t.cells(g.columns)
	g.words = (t.width()-2*margin-widestGutter)/vg.Length(g.columns) - panelGap
	for _, panel := range t.Panels {
		g.head = max(g.head, bodySize*1.5+panel.trendBlock(g.words).height())
	}
	return g
}

// trendBlock is the trend of a panel in words, as set.
func (panel TimelinePanel) trendBlock(limit vg.Length) block {
	return fitBlock(clean(panel.TrendWords), limit, footSize, footSize, false, 2)
}

// widestGutter is the room left of the first column, at most, known before the
// labels of its axis are.
const widestGutter vg.Length = 48

// groupHead is the room for the heading of a group, above its first row.
const groupHead = bodySize * 2.2

// panelFoot is the room for the labels of the seasons, under the last row.
const panelFoot = tickLength + 2.3*bodySize + gap

func (g *timelineGrid) needs() vg.Length {
	return vg.Length(g.rows)*(g.head+panelGood+panelGap) + vg.Length(g.headings)*groupHead + panelFoot
}

// place divides an area among the panels.
func (g *timelineGrid) place(a area) {
	g.area = a
	g.high = (a.top-a.bottom-panelFoot-vg.Length(g.headings)*groupHead)/vg.Length(g.rows) - g.head - panelGap
	up := func(v float64) vg.Length { return vg.Length((v-g.up.lo)/(g.up.hi-g.up.lo)) * g.high }
	g.levels = logTicks(g.up, func(t []tick) bool { return stacked(t, up) })
	widest := vg.Length(0)
	for _, t := range g.levels {
		widest = max(widest, tickWidth(t))
	}
	g.gutter = axisSize*1.3 + gap + widest + tickLength + 1
	g.wide = (a.right-a.left-g.gutter)/vg.Length(g.columns) - panelGap
}

// frame is where the i-th panel has its data.
func (g *timelineGrid) frame(i int) frame {
	column, row := vg.Length(g.cells[i].column), vg.Length(g.cells[i].row)
	f := frame{across: span{-0.5, float64(g.seasons) - 0.5}, up: g.up}
	f.axis = g.area.left + g.gutter + column*(g.wide+panelGap)
	f.left, f.right = f.axis+offset/2, f.axis+g.wide-offset
	f.top = g.area.top - row*(g.head+g.high+panelGap) - vg.Length(g.cells[i].headings)*groupHead - g.head
	f.bottom = f.top - g.high
	f.foot = f.bottom - offset/2
	return f
}

func (t TimelineSet) draw(p pen, g *timelineGrid) {
	for i, panel := range t.Panels {
		f := g.frame(i)
		g.drawAxes(p, f, g.cells[i].column == 0)
		if g.cells[i].lowest {
			t.drawSeasons(p, f)
		}
		drawBaseline(p, f, t.Baseline)
		panel.course().draw(p, f, panelPoint)
		top := f.top + g.head
		if group := clean(panel.Group); group != "" && t.beginsGroup(i) {
			heading := face(axisSize*1.15, true)
			p.write(heading, ink, f.axis, top+groupHead*0.25, atStart, shortened(heading, group, g.area.right-f.axis))
			p.across(text, hairline, nil, f.axis, g.area.right, top+groupHead*0.08)
		}
		p.write(face(bodySize, true), ink, f.axis, top-bodySize, atStart, shortened(face(bodySize, true), clean(panel.Name), g.words))
		p.writeBlock(panel.trendBlock(g.words), text, f.axis, top-bodySize*1.15, atStart)
	}
	name := fitBlock(timeQuantity(t.Quantity), g.frame(0).top-g.frame(len(t.Panels)-1).bottom+g.head, axisSize, footSize, false, 1)
	middle := (g.frame(0).top + g.frame(len(t.Panels)-1).bottom) / 2
	if len(name.lines) > 0 {
		p.writeUp(name.face, text, vg.Point{X: g.area.left + axisSize, Y: middle}, name.lines[0])
	}
}

// drawAxes draws the grid and the axes of a panel, with labels where it is the
// first of its row.
func (g *timelineGrid) drawAxes(p pen, f frame, labels bool) {
	l := panel{frame: f}
	for _, t := range g.levels {
		y := f.y(t.at)
		if t.label != "" {
			p.across(faint, hairline, nil, f.axis, f.right+offset, y)
		}
		if labels && t.label != "" {
			p.across(text, axisLine, nil, f.axis-tickLength, f.axis, y)
			l.writeTick(p, t, f.axis-tickLength-1, y-bodySize*0.35, atEnd)
		}
	}
	p.upright(text, axisLine, nil, f.axis, f.foot, f.top)
	p.across(text, axisLine, nil, f.axis, f.right+offset, f.foot)
	for i := range g.seasons {
		p.upright(text, hairline, nil, f.x(float64(i)), f.foot, f.foot-tickLength*0.55)
	}
}

// drawSeasons labels the seasons under a panel.
func (t TimelineSet) drawSeasons(p pen, f frame) {
	l := panel{frame: f, area: area{left: f.axis - panelGap, right: f.right + offset + panelGap - margin + 1}}
	l.marks = seasonLabels(t.Seasons).ticks(f.across, l.roomFor)
	l.dropCrowded()
	for _, k := range l.marks {
		if k.label == "" {
			continue
		}
		x := f.x(k.at)
		p.upright(text, axisLine, nil, x, f.foot, f.foot-tickLength)
		p.write(face(bodySize, false), text, x, l.tickBaseline(), atMiddle, k.label)
		p.write(face(bodySize, false), text, x, l.tickBaseline()-bodySize*1.15, atMiddle, k.under)
	}
}
