package doseresp

import (
	"fmt"
	"strings"
)

// nameOf returns the name of an enumerated value, or its number if it has none.
func nameOf[T ~uint8](names []string, v T) string {
	if int(v) < len(names) {
		return names[v]
	}
	return fmt.Sprintf("unknown(%d)", v)
}

// parseName finds an enumerated value by its name; what says which kind of
// name the caller asked for.
func parseName[T ~uint8](names []string, name, what string) (T, error) {
	for i, n := range names {
		if n == name {
			return T(i), nil
		}
	}
	return 0, fmt.Errorf("unknown %s %q; use one of %s", what, name, strings.Join(names, ", "))
}
