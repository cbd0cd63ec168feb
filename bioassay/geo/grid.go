package geo

import (
	"fmt"
	"math"
	"strconv"
)

// Grid divides the plane of a projection into squares of a side, and these
// into larger ones: a square of level 0 has the side of the grid, one of level
// j holds two by two of level j-1. A corner of squares of every level lies at
// the centre of the projection, so the squares follow from the centre and the
// side alone.
type Grid struct {
	Projection *Projection
	Side       float64 // of a square of level 0, km
}

// The bounds of the side in km, and of the level. The six decimals of a written
// outline hold the area of a square of 1 km within 0.02 %, of 10 km within
// 0.002 %.
const (
	SmallestSide = 1.0
	LargestSide  = 1000.0
	HighestLevel = 16
)

// NewGrid returns a grid, or an error that names the bounds of the side.
func NewGrid(p *Projection, side float64) (Grid, error) {
	if !(side >= SmallestSide && side <= LargestSide) {
		return Grid{}, fmt.Errorf("a grid with a side of %v km; choose one from %v to %v km", side, SmallestSide, LargestSide)
	}
	return Grid{p, side}, nil
}

// Cell is a square of a grid. Columns rise to the east and rows to the north;
// column 0 and row 0 begin at the centre.
type Cell struct{ Level, Column, Row int }

// Of returns the square of level 0 that holds a place. A place on a boundary
// belongs to the square east or north of it.
func (g Grid) Of(q Point) Cell { return g.At(g.Projection.Forward(q)) }

// At returns the square of level 0 that holds a place of the plane.
func (g Grid) At(xy XY) Cell {
	return Cell{0, int(math.Floor(xy[0] / g.Side)), int(math.Floor(xy[1] / g.Side))}
}

// Parent returns the square of the next level that holds a square.
func (c Cell) Parent() Cell { return Cell{c.Level + 1, c.Column >> 1, c.Row >> 1} }

// Up returns the square of a level that holds a square. It panics when the
// level is lower than that of the square.
func (c Cell) Up(level int) Cell {
	if level < c.Level {
		panic(fmt.Sprintf("geo: level %d above square %v", level, c))
	}
	by := level - c.Level
	return Cell{level, c.Column >> by, c.Row >> by}
}

// Children returns the four squares of the level below: southwest, southeast,
// northwest, northeast. It panics at level 0.
func (c Cell) Children() [4]Cell {
	if c.Level == 0 {
		panic("geo: the children of a square of level 0")
	}
	l, x, y := c.Level-1, 2*c.Column, 2*c.Row
	return [4]Cell{{l, x, y}, {l, x + 1, y}, {l, x, y + 1}, {l, x + 1, y + 1}}
}

// Holds reports whether a square is another, or one of the squares that the
// other lies in.
func (c Cell) Holds(other Cell) bool { return other.Level <= c.Level && other.Up(c.Level) == c }

// String returns the level, column and row, such as "L2C-3R14". ParseCell
// reads it.
func (c Cell) String() string { return fmt.Sprintf("L%dC%dR%d", c.Level, c.Column, c.Row) }

// ParseCell reads what Cell.String wrote, and nothing else.
func ParseCell(s string) (Cell, error) {
	var c Cell
	_, err := fmt.Sscanf(s, "L%dC%dR%d", &c.Level, &c.Column, &c.Row)
	if err != nil || c.Level < 0 || c.Level > HighestLevel || c.String() != s {
		return Cell{}, fmt.Errorf("%s is no square of a grid; one is written as in L2C-3R14", strconv.Quote(s))
	}
	return c, nil
}

// SideOf returns the side of a square in km.
func (g Grid) SideOf(c Cell) float64 { return math.Ldexp(g.Side, c.Level) }

// Area returns the area of a square in km², the same in the plane and on the
// Earth.
func (g Grid) Area(c Cell) float64 { return g.SideOf(c) * g.SideOf(c) }

// Square returns the bounds of a square in the plane.
func (g Grid) Square(c Cell) Frame {
	s := g.SideOf(c)
	return Frame{float64(c.Column) * s, float64(c.Row) * s, float64(c.Column+1) * s, float64(c.Row+1) * s}
}

// Path returns a square in the plane as a closed line, counterclockwise.
func (g Grid) Path(c Cell) []XY {
	f := g.Square(c)
	return []XY{{f.West, f.South}, {f.East, f.South}, {f.East, f.North}, {f.West, f.North}, {f.West, f.South}}
}

// Describe names the squares in words, such as "squares of 10 km".
func (g Grid) Describe() string {
	return "squares of " + strconv.FormatFloat(g.Side, 'f', -1, 64) + " km"
}
