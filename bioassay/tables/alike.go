package tables

// alike reports whether an unknown name is probably a known one misspelt.
func alike(name, known string) bool {
	return distance(keyOf(name), known) <= max(1, len(known)/4)
}

// distance is the least number of characters to insert, delete or replace, or
// of neighbours to swap, that turns a into b (Damerau and Levenshtein, in the
// restricted form where no character is touched twice).
func distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	before, last, row := make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		before, last, row = last, row, before
		row[0] = i + 1
		for j := range y {
			cost := 1
			if x[i] == y[j] {
				cost = 0
			}
			row[j+1] = min(last[j+1]+1, row[j]+1, last[j]+cost)
			if i > 0 && j > 0 && x[i] == y[j-1] && x[i-1] == y[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
	}
	return row[len(y)]
}
