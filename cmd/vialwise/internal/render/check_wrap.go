package render

import "strings"

// prose adds a column of sentences, which a terminal wraps at a width.
func (t *table) prose(name string, width int) {
	if t.wrapped == nil {
		t.wrapped = map[int]int{}
	}
	t.wrapped[len(t.header)] = width
	t.column(name, false)
}

// wrapCells breaks the cells of sentences into lines, so that a row of the
// table becomes as many rows as its longest cell has lines.
func (t *table) wrapCells() {
	var rows [][]string
	for _, row := range t.rows {
		lines := make([][]string, len(row))
		most := 1
		for i, cell := range row {
			lines[i] = []string{cell}
			if width, ok := t.wrapped[i]; ok {
				lines[i] = strings.Split(strings.TrimSuffix(wrap(oneLine(cell), width, ""), "\n"), "\n")
			}
			most = max(most, len(lines[i]))
		}
		for n := range most {
			part := make([]string, len(row))
			for i := range row {
				if n < len(lines[i]) {
					part[i] = lines[i][n]
				}
			}
			rows = append(rows, part)
		}
	}
	t.rows = rows
}
