package bioassay

import "strings"

// The readers of files each have a list of their own kind of error, whose two
// methods these functions are.

// ErrorLines returns one line for each error.
func ErrorLines[E error](list []E) string {
	lines := make([]string, len(list))
	for i, e := range list {
		lines[i] = e.Error()
	}
	return strings.Join(lines, "\n")
}

// ErrorList returns the errors one by one, as [errors.Is] and [errors.As] look
// through them.
func ErrorList[E error](list []E) []error {
	errs := make([]error, len(list))
	for i, e := range list {
		errs[i] = e
	}
	return errs
}
