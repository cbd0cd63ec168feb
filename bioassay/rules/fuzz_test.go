package rules

import (
	"errors"
	"strings"
	"testing"

	"vialwise/bioassay"
)

// FuzzRead: a file either gives a programme that judges an assay or errors with
// a message, a remedy and a line of the file.
func FuzzRead(f *testing.F) {
	f.Add(good)
	f.Add(builtin)
	f.Add("[[rule_set]]\nname.first = 1\n[rule_set.controls.deep]\nx = '''\n'''\n")
	f.Add("[protocol]\n[[rule_set.classes]]\nbands = [[{}]]\n")
	f.Fuzz(func(t *testing.T, text string) {
		p, err := Read("f", strings.NewReader(text))
		if err == nil {
			for _, q := range p.Protocols {
				p.Judge(bioassay.Assay{Name: "a", Protocol: q.Name, Unit: "ppm"}, nil)
			}
			p.Judge(bioassay.Assay{Name: "a"}, nil)
			return
		}
		var list Errors
		if p != nil || !errors.As(err, &list) || len(list) == 0 {
			t.Fatalf("%v, %v", p, err)
		}
		for _, e := range list {
			if e.Message == "" || e.Remedy == "" || e.Line < 0 || e.Line > strings.Count(text, "\n")+1 {
				t.Errorf("%+v", e)
			}
		}
	})
}
