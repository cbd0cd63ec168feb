package tables

import (
	"bytes"
	"slices"
	"strings"
)

// delimiters are the signs that may stand between cells, the likeliest first.
// A vertical bar is recognised and refused: it is what hand-made lists have.
var delimiters = []rune{',', ';', '\t', '|'}

// delimiter finds the sign between the cells of a text in its header: the one
// that splits it into the most names that a table of this program has, or, if
// there are none of these, the most frequent. A first line such as "sep=;"
// names the sign, as spreadsheets write it, and is skipped.
func delimiter(head []byte) (sign rune, skip int) {
	header, number := firstFilled(head)
	line, _, _ := strings.Cut(header, "\n")
	if mark, ok := strings.CutPrefix(strings.Trim(strings.Trim(line, " "), `"`), "sep="); ok {
		if i := slices.IndexFunc(delimiters, func(d rune) bool { return string(d) == mark }); i >= 0 {
			return delimiters[i], number
		}
	}
	best, most := delimiters[0], [2]int{}
	for _, d := range delimiters {
		cells := splitHeader(header, d)
		score := [2]int{knownNames(cells), len(cells)}
		if slices.Compare(score[:], most[:]) > 0 {
			best, most = d, score
		}
	}
	return best, 0
}

// firstFilled returns the first line that shows something, with the lines that
// follow it inside an open quotation mark, and its number.
func firstFilled(head []byte) (line string, number int) {
	for rest := head; len(rest) > 0; {
		number++
		end := bytes.IndexByte(rest, '\n') + 1
		if end == 0 {
			end = len(rest)
		}
		if trim(string(rest[:end])) != "" {
			return string(rest), number
		}
		rest = rest[end:]
	}
	return "", number
}

// splitHeader splits the first row of a text at a sign, as the CSV reader will.
func splitHeader(text string, sign rune) []string {
	var cells []string
	var cell strings.Builder
	inQuotes, fresh := false, true
	for _, r := range text {
		switch {
		case r == '"' && (inQuotes || fresh):
			inQuotes, fresh = !inQuotes, false
		case r == '\n' && !inQuotes:
			return append(cells, trim(cell.String()))
		case r == sign && !inQuotes:
			cells = append(cells, trim(cell.String()))
			cell.Reset()
			fresh = true
		default:
			cell.WriteRune(r)
			fresh = fresh && isBlank(r)
		}
	}
	return append(cells, trim(cell.String()))
}

// knownNames counts the cells that are names of columns, of whatever table.
func knownNames(cells []string) int {
	n := 0
	for _, cell := range cells {
		if slices.ContainsFunc(layouts(), func(l layout) bool { return l.resolve(cell).known >= 0 }) {
			n++
		}
	}
	return n
}
