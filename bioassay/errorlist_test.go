package bioassay_test

import (
	"errors"
	"slices"
	"testing"

	"vialwise/bioassay"
)

// TestErrorLists: a list says all its errors, one a line, and gives them in order.
func TestErrorLists(t *testing.T) {
	a, b := errors.New("a"), errors.New("b")
	if got := bioassay.ErrorLines([]error{a, b}); got != "a\nb" {
		t.Errorf("%q", got)
	}
	if got := bioassay.ErrorList([]error{a, b}); !slices.Equal(got, []error{a, b}) {
		t.Errorf("%v", got)
	}
	if got := bioassay.ErrorLines([]error(nil)); got != "" {
		t.Errorf("%q of no error", got)
	}
}
