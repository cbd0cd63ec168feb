package geo

import (
	"encoding/json"
	"iter"
	"strings"
)

// text is a file that encoding/json has found to be valid. A place in it is the
// number of the byte at which a value begins. Values are found anew where they
// are asked for, so a coordinate costs no memory but its own, and every value
// has a place that an error can name.
type text []byte

// space returns the place of what follows white space.
func (t text) space(at int) int {
	for at < len(t) && (t[at] == ' ' || t[at] == '\n' || t[at] == '\t' || t[at] == '\r') {
		at++
	}
	return at
}

// end returns the place behind a value.
func (t text) end(at int) int {
	switch t[at] {
	case '"':
		return t.endOfString(at)
	case '{', '[':
		return t.endOfNested(at)
	}
	for at < len(t) && !strings.ContainsRune(",]} \n\t\r", rune(t[at])) {
		at++
	}
	return at
}

func (t text) endOfString(at int) int {
	for at++; t[at] != '"'; at++ {
		if t[at] == '\\' {
			at++
		}
	}
	return at + 1
}

func (t text) endOfNested(at int) int {
	depth := 0
	for {
		switch t[at] {
		case '"':
			at = t.endOfString(at)
			continue
		case '{', '[':
			depth++
		case '}', ']':
			if depth--; depth == 0 {
				return at + 1
			}
		}
		at++
	}
}

// elements yields the place of each element of the list that begins at a place.
func (t text) elements(at int) iter.Seq2[int, int] {
	return func(yield func(int, int) bool) {
		for i, at := 0, t.space(at+1); t[at] != ']'; i++ {
			if !yield(i, at) {
				return
			}
			at = t.next(at)
		}
	}
}

// next returns the place of what follows a value in a list or object: the next
// value or name, or the bracket that closes it.
func (t text) next(at int) int {
	at = t.space(t.end(at))
	if t[at] == ',' {
		at = t.space(at + 1)
	}
	return at
}

// members yields name and place of the value of each member of the object that
// begins at a place.
func (t text) members(at int) iter.Seq2[string, int] {
	return func(yield func(string, int) bool) {
		for at := t.space(at + 1); t[at] != '}'; {
			name := t.string(at)
			value := t.space(t.space(t.end(at)) + 1)
			if !yield(name, value) {
				return
			}
			at = t.next(value)
		}
	}
}

// string returns the string that begins at a place.
func (t text) string(at int) (s string) {
	if err := json.Unmarshal(t[at:t.end(at)], &s); err != nil {
		panic("geo: no string of a valid text: " + err.Error())
	}
	return s
}

// kind names a value by its first byte.
func (t text) kind(at int) string {
	switch t[at] {
	case '{':
		return "an object"
	case '[':
		return "a list"
	case '"':
		return "text"
	case 't', 'f':
		return "a truth value"
	case 'n':
		return "null"
	}
	return "a number"
}
