package rules

import (
	"fmt"
	"regexp"
)

// names keeps the definitions of one kind apart.
type names struct {
	file    *file
	what    string
	builtin map[string]bool
	seen    map[string]int // line of each definition in this file
}

func newNames[T any](f *file, what string, before []T, nameOf func(T) string) *names {
	n := &names{file: f, what: what, builtin: map[string]bool{}, seen: map[string]int{}}
	for _, item := range before {
		n.builtin[nameOf(item)] = true
	}
	return n
}

var plainName = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)

// admit checks the name of a definition, and that it replaces a built-in one
// only if it says so.
func (n *names) admit(s *section, name string) bool {
	replaces := s.flag("replaces")
	before := len(n.file.errs)
	switch {
	case name == "": // reported as missing
	case !plainName.MatchString(name):
		s.fail("name", shown(name), "the name is not plain", "write lower-case letters and digits, words joined by hyphens, such as our-vial")
	case n.seen[name] > 0:
		s.fail("name", shown(name), fmt.Sprintf("the %s is also defined on line %d", n.what, n.seen[name]), "rename or delete one of the two")
	case n.builtin[name] && !replaces:
		s.fail("name", shown(name), fmt.Sprintf("there is a built-in %s of that name", n.what), "choose another name, or add replaces = true if yours is to stand in its place")
	case replaces && !n.builtin[name]:
		s.fail("replaces", "", fmt.Sprintf("there is no built-in %s %q to replace", n.what, name), "delete the line, or correct the name")
	}
	if name != "" && n.seen[name] == 0 {
		n.seen[name] = n.file.at.of(s.path)
	}
	return name != "" && len(n.file.errs) == before
}
