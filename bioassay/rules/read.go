package rules

import (
	"crypto/sha256"
	_ "embed"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"

	"github.com/BurntSushi/toml"

	"vialwise/bioassay"
)

// builtin holds the protocols and rule sets that come with the program.
//
//go:embed builtin.toml
var builtin string

// builtinName is what messages call that file.
const builtinName = "built-in rules"

// maxBytes is the size up to which a programme file is read.
const maxBytes = 1 << 20

// Builtin returns the protocols and rule sets that come with the program.
func Builtin() *bioassay.Programme {
	p := new(bioassay.Programme)
	if err := merge(p, builtinName, builtin); err != nil {
		panic("rules: " + err.Error()) // the embedded file is at fault
	}
	return p
}

// BuiltinText returns the file of the built-in protocols and rule sets, a model
// for a programme's own.
func BuiltinText() string { return builtin }

// Load reads a programme's file and adds it to the built-in protocols and rule
// sets. See [Read].
func Load(path string) (*bioassay.Programme, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("programme file: %w", err)
	}
	defer f.Close()
	return Read(path, f)
}

// Read reads a programme's file and adds it to the built-in protocols and rule
// sets; name is what messages and origins call it. A definition with the name
// of a built-in one must say replaces = true. A file with errors gives no
// programme but all the errors, as [Errors]. Any other error is that of r.
func Read(name string, r io.Reader) (*bioassay.Programme, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxBytes+1))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if len(data) > maxBytes {
		return nil, Errors{{File: name, Message: fmt.Sprintf("the file is longer than %d bytes", maxBytes), Remedy: "give a programme file, not a table"}}
	}
	p := Builtin()
	if err := merge(p, name, string(data)); err != nil {
		return nil, err
	}
	sum := sha256.Sum256(data)
	p.Digest = hex.EncodeToString(sum[:])
	return p, nil
}

// file is a programme file while it is being read.
type file struct {
	name string
	at   lines
	errs Errors
	into *bioassay.Programme

	protocols map[string]string // path of each protocol that the file defines
}

// fail records an error at a path.
func (f *file) fail(path, found, message, remedy string) {
	f.errs = append(f.errs, &Error{File: f.name, Line: f.at.of(path), Key: path, Found: found, Message: message, Remedy: remedy})
}

// origin is where a section stands.
func (f *file) origin(s *section) bioassay.Origin {
	return bioassay.Origin{File: f.name, Line: f.at.of(s.path)}
}

// merge adds the text of a file to a programme.
func merge(p *bioassay.Programme, name, text string) error {
	values := map[string]any{}
	if _, err := toml.Decode(text, &values); err != nil {
		return Errors{syntaxError(name, err)}
	}
	f := &file{name: name, at: indexLines(text), into: p, protocols: map[string]string{}}
	top := &section{file: f, values: values}
	f.readTop(top)
	top.close()
	if f.errs == nil {
		f.checkRuleSets()
	}
	if f.errs != nil {
		return f.errs.inOrder()
	}
	return nil
}

// syntaxError places what the TOML library could not read.
func syntaxError(name string, err error) *Error {
	e := &Error{File: name, Message: err.Error(), Remedy: "correct the line; texts stand in quotation marks, every key on a line of its own", Err: err}
	var p toml.ParseError
	if errors.As(err, &p) {
		e.Line, e.Key, e.Message = p.Position.Line, p.LastKey, p.Message
	}
	return e
}

// readTop reads the whole file.
func (f *file) readTop(top *section) {
	if name := top.text("name", false); name != "" {
		f.into.Name = name
	}
	if names := top.texts("fallback_rule_sets"); names != nil {
		f.into.Fallback = names
	}
	sets := newNames(f, "rule set", f.into.RuleSets, func(r bioassay.RuleSet) string { return r.Name })
	for _, s := range top.tables("rule_set") {
		if r, ok := readRuleSet(s); sets.admit(s, r.Name) && ok {
			f.into.RuleSets = replace(f.into.RuleSets, r, func(old bioassay.RuleSet) bool { return old.Name == r.Name })
		}
		s.close()
	}
	protocols := newNames(f, "protocol", f.into.Protocols, func(p bioassay.Protocol) string { return p.Name })
	for _, s := range top.tables("protocol") {
		if p, ok := readProtocol(s); protocols.admit(s, p.Name) && ok {
			f.protocols[p.Name] = s.path
			f.into.Protocols = replace(f.into.Protocols, p, func(old bioassay.Protocol) bool { return old.Name == p.Name })
		}
		s.close()
	}
	f.readOverrides(top.tables("override"))
	f.readCalendar(top)
	f.readMap(top)
	f.readNote(top)
	f.readAuthorised(top)
}

// replace puts an item in place of the one it matches, or at the end.
func replace[T any](list []T, item T, matches func(T) bool) []T {
	if i := slices.IndexFunc(list, matches); i >= 0 {
		list[i] = item
		return list
	}
	return append(list, item)
}

// checkRuleSets looks whether the rule sets that protocols name exist and go
// together.
func (f *file) checkRuleSets() {
	check := func(path, owner string, names []string) {
		if _, err := f.into.Rules(names); err != nil {
			var known []string
			for _, r := range f.into.RuleSets {
				known = append(known, r.Name)
			}
			f.fail(path, "", fmt.Sprintf("the rule sets of %s do not go together: %v", owner, err), "name rule sets among "+oneOf(known)+" that do not overlap")
		}
	}
	check("fallback_rule_sets", "assays without a known protocol", f.into.Fallback)
	for _, p := range f.into.Protocols {
		path := "" // of a built-in protocol, which a replaced rule set upsets
		if own, ok := f.protocols[p.Name]; ok {
			path = join(own, "rule_sets")
		}
		check(path, "protocol "+p.Name, p.RuleSets)
	}
}
