package tables

import (
	"fmt"
	"strings"
)

// Decimal commas. In a table with commas between its cells the decimal mark is
// the point, and nothing is asked. In one with semicolons or tabs, and in the
// text cells of a workbook, it may be either, and the rules are these:
//
//   - A number such as 0,5 or 12,25 or 0.125 shows its mark: it cannot be a
//     group of thousands. The first of them decides for the whole table.
//   - A number with the other mark is an error that names both lines.
//   - A number such as 1,234 or 1.234, one to three digits without leading zero
//     and three behind the mark, may be a thousand or one and a bit. It is taken
//     for a decimal if the table shows that mark elsewhere, and is an error if
//     the table shows the other mark, or none.
//   - A count is never written with three digits behind a mark.

// marks is what is known of the decimal mark of a table.
type marks struct {
	shown   [2]*Error   // the first number that shows its mark, by mark
	pending [2][]*Error // numbers that do not, by mark
}

const (
	pointMark = 0
	commaMark = 1
)

// decimalMark finds the only mark of a cell that has the shape of a number.
// plain is the number with a point; ambiguous says that the mark may separate
// thousands.
func decimalMark(s string) (mark int, plain string, ambiguous, ok bool) {
	at := strings.IndexAny(s, ".,")
	if at < 0 {
		return 0, s, false, false
	}
	m := mantissa(s)
	if at >= len(m) {
		return 0, s, false, false
	}
	whole, fraction := strings.TrimLeft(m[:at], "-−"), m[at+1:]
	if !digitsOnly(whole) || !digitsOnly(fraction) || whole+fraction == "" || m != s && !isExponent(s[len(m)+1:]) {
		return 0, s, false, false
	}
	ambiguous = len(fraction) == 3 && len(whole) >= 1 && len(whole) <= 3 && whole[0] != '0'
	if s[at] == ',' {
		return commaMark, s[:at] + "." + s[at+1:], ambiguous, true
	}
	return pointMark, s, ambiguous, true
}

// marksCount reports whether the decimal mark of a cell of the current row is
// in question.
func (s *sheet) marksCount(cell int) bool {
	if s.book != nil {
		return s.book.isText(cell)
	}
	return s.text.delimiter != ',' && cell < len(s.header.names)
}

// parseMarked parses a number of the current row.
func parseMarked[T any](s *sheet, cell int, text string, parse func(string) (T, *fault)) (T, *fault) {
	mark, plain, ambiguous, ok := decimalMark(text)
	if !ok {
		return parse(text)
	}
	v, f := parse(plain)
	if f == nil {
		f = s.weigh(cell, mark, ambiguous)
	}
	if f == nil && mark == commaMark {
		s.note(DecimalCommaRead, cell, text, plain)
	}
	return v, f
}

// weigh compares the mark of a number with those before it.
func (s *sheet) weigh(cell, mark int, ambiguous bool) *fault {
	other := s.marks.shown[1-mark]
	switch {
	case other != nil && ambiguous:
		return groupFault(other)
	case other != nil:
		return &fault{MixedDecimals, fmt.Sprintf("the table writes decimals with a %s here and with a %s in %s, %s",
			markNames[mark], markNames[1-mark], other.where(), shownCell(other.Found)), "write all decimals with the same mark"}
	case s.marks.shown[mark] != nil:
		return nil
	}
	where := s.at(cell)
	if ambiguous {
		if len(s.marks.pending[mark]) < s.limits.errors {
			s.marks.pending[mark] = append(s.marks.pending[mark], where)
		}
		return nil
	}
	s.marks.shown[mark] = where
	s.marks.pending[mark] = nil
	s.dropPending(1-mark, groupFault(where))
	return nil
}

var markNames = [...]string{pointMark: "point", commaMark: "comma"}

// groupFault is the fault of a number that may be a group of thousands, given
// the number that shows another decimal mark, if there is one.
func groupFault(shown *Error) *fault {
	why, decimals := "no other number of the table shows which", "with a zero behind them"
	if shown != nil {
		why = fmt.Sprintf("the table writes decimals otherwise in %s, %s", shown.where(), shownCell(shown.Found))
		decimals = "with the mark that stands there"
	}
	return &fault{ThousandsMark, "the mark may separate thousands or decimals, and " + why,
		"write it without a mark between the digits, or, if these are decimals, " + decimals}
}

// dropPending turns numbers whose mark is in doubt into errors.
func (s *sheet) dropPending(mark int, f *fault) {
	pending := s.marks.pending[mark]
	s.marks.pending[mark] = nil
	for _, where := range pending {
		s.add(where, f)
	}
}
