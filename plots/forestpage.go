package plots

import (
	"math"

	"gonum.org/v1/plot/vg"
)

const (
	rowPad       vg.Length = 3.2 // between the names of two rows
	manyRows               = 40  // above, rows are set tight so that 100 go on a page of A4
	namePart               = 0.4 // of the width for names, at most
	minRatioData vg.Length = 60  // width of the data area
)

// rowStyle is how rows are set.
type rowStyle struct {
	size  vg.Length // of the type
	pad   vg.Length
	lines int // of a name at most
}

func (r Forest) rowStyle() rowStyle {
	if len(r.Ratios) > manyRows {
		return rowStyle{footSize, 0, 1}
	}
	return rowStyle{keySize, rowPad, 2}
}

// forestRow is a row ready to be set.
type forestRow struct {
	Ratio
	name   block
	height vg.Length
	middle vg.Length // above the bottom of the page
}

// forestLayout is where everything goes.
type forestLayout struct {
	panel
	rows  []forestRow
	names vg.Length // x at which names begin
	ends  vg.Length // x at which numbers end
}

// setRows sets the names within limit and returns their width and height.
func (r Forest) setRows(limit vg.Length) (rows []forestRow, wide, total vg.Length) {
	style := r.rowStyle()
	for _, k := range r.Ratios {
		row := forestRow{Ratio: k, name: fitName(clean(k.Name), limit, style.size, footSize, style.lines)}
		row.height = max(row.name.height(), style.size) + style.pad
		for _, s := range row.name.lines {
			wide = max(wide, room(row.name.face, s))
		}
		rows = append(rows, row)
		total += row.height
	}
	return rows, wide, total
}

// widestNumbers is the room of the numbers at the ends of the rows.
func (r Forest) widestNumbers() vg.Length {
	w := vg.Length(0)
	for _, k := range r.Ratios {
		w = max(w, room(face(r.rowStyle().size, false), k.numbers()))
	}
	return w
}

// nameLimit is the room for names: at most what the data and the numbers leave.
func (r Forest) nameLimit(inner vg.Length) vg.Length {
	return min(namePart*inner, inner-r.widestNumbers()-minRatioData-4*gap-2*offset)
}

func (r Forest) page() (page, error) {
	if err := r.check(); err != nil {
		return page{}, err
	}
	across := r.across()
	inner := r.Caption.width() - 2*margin
	limit := r.nameLimit(inner)
	plan := plan{across: across, xLabel: r.quantity(), xTicks: logTicks}
	below, label := plan.xHeight(inner)
	rows, names, total := r.setRows(max(limit, keySize))
	s, err := r.Caption.sheet(keyBox{items: r.key()}, r.footerWords(across), below+total+2*gap)
	if err != nil {
		return page{}, err
	}
	if limit < minData {
		return page{}, errNoRoom(s.w, s.h, "leaves no room for names beside the data", "make it wider")
	}
	if r.Height == 0 { // only as high as the rows, whatever is usual
		s.body.top, s.h = s.body.top-spare(s, below+total+2*gap), s.h-spare(s, below+total+2*gap)
	}
	if s.body.top-s.body.bottom < below+total {
		return page{}, errNoRoom(s.w, s.h, "leaves no room for its rows", "leave the height out or draw the ratios in parts")
	}
	l := forestLayout{panel: panel{plan: plan, area: s.body, xBlock: label}, names: s.body.left, ends: s.body.right}
	l.frame = frame{
		across: across, axis: s.body.left + names + gap, foot: s.body.bottom + below, top: s.body.top,
		left: s.body.left + names + gap + offset, right: s.body.right - r.widestNumbers() - gap - offset,
	}
	l.marks = logTicks(across, l.roomFor)
	l.dropCrowded()
	l.spread(rows, total)
	return page{s.w, s.h, func(p pen) { s.draw(p); r.draw(p, l) }}, nil
}

// spare is the height of the body beyond what its data need.
func spare(s sheet, data vg.Length) vg.Length {
	return max(0, s.body.top-s.body.bottom-data)
}

// spread gives the rows their places; a higher page sets them further apart.
func (l *forestLayout) spread(rows []forestRow, total vg.Length) {
	f := l.frame
	more := (f.top - f.foot - gap - total) / vg.Length(len(rows))
	top := f.top
	for i := range rows {
		rows[i].height += max(0, more)
		rows[i].middle = top - rows[i].height/2
		top -= rows[i].height
	}
	l.rows = rows
}

// draw draws the rows over the axis.
func (r Forest) draw(p pen, l forestLayout) {
	f := l.frame
	for i, row := range l.rows {
		if i%2 == 1 {
			p.box(stripe, l.names-2, row.middle-row.height/2, l.ends+2, row.middle+row.height/2)
		}
	}
	if r.hasVariation() {
		p.box(bandGrey, f.x(math.Log10(r.Variation[0])), f.foot, f.x(math.Log10(r.Variation[1])), f.top)
	}
	for _, t := range l.marks {
		if t.label != "" {
			p.upright(faint, hairline, nil, f.x(t.at), f.foot, f.top)
		}
	}
	p.upright(text, axisLine, nil, f.x(0), f.foot, f.top)
	p.across(text, axisLine, nil, f.axis, f.right+offset, f.foot)
	for _, t := range l.marks {
		l.drawTick(p, t)
	}
	p.writeBlock(l.xBlock, text, l.labelCentre(), f.foot-tickLength-gap-bodySize, atMiddle)
	for _, row := range l.rows {
		r.drawRow(p, l, row)
	}
}

// drawRow draws a ratio with its name and numbers.
func (r Forest) drawRow(p pen, l forestLayout, row forestRow) {
	f := l.frame
	p.writeBlock(row.name, ink, l.names, row.middle+row.name.height()/2-0.06*row.name.face.Font.Size, atStart)
	size := r.rowStyle().size
	p.write(face(size, false), text, l.ends, row.middle-size*0.35, atEnd, row.numbers())
	if math.IsNaN(row.Estimate) {
		return
	}
	side := r.side(row.Ratio)
	low, high := row.Censored.limits(row.Estimate, row.Lower, row.Upper)
	if !math.IsNaN(low) && !math.IsNaN(high) {
		f.drawInterval(p, stroke{sideColour(side), limitLine * 0.8, nil}, row.middle, logOf(low), math.Log10(high), 1.8)
	}
	markSide(p, vg.Point{X: f.x(math.Log10(row.Estimate)), Y: row.middle}, side)
}
