package advice

import (
	"cmp"
	"slices"
	"strings"
)

// MostWords is the number of words of title, headings, statements and picture
// that one page of A4 or Letter holds in large type. The small print is set
// smaller and does not count.
const MostWords = 280

// Words counts the words of the page without the small print.
func (n Note) Words() int {
	p := n.Page()
	count := len(strings.Fields(p.Title)) + len(strings.Fields(p.Subtitle)) + len(strings.Fields(p.Picture.Heading))
	for _, b := range p.Blocks {
		count += len(strings.Fields(b.Heading))
		for _, line := range b.Lines {
			count += len(strings.Fields(line))
		}
	}
	for _, row := range p.Picture.Rows {
		count += len(strings.Fields(row.Caption))
	}
	return count
}

// fit makes room on a page that is too full: first by the short forms of the
// sentences, then it takes off the statements whose rule is the most to spare,
// and last the lower rows of the picture. What was found, what to do and every
// caution stay, so a note on many acaricides may still be longer.
func (n *Note) fit() {
	if n.Words() > MostWords {
		n.shorten()
	}
	for n.Words() > MostWords {
		rule := n.mostSpare()
		switch {
		case rule != "":
			n.drop(rule)
		case len(n.Pictures) > 1:
			n.Pictures = n.Pictures[:len(n.Pictures)-1]
		default:
			return
		}
	}
}

func (n *Note) shorten() {
	for _, s := range n.Sections {
		for i := range s.Statements {
			s.Statements[i].Text = cmp.Or(s.Statements[i].short, s.Statements[i].Text)
		}
	}
}

// mostSpare is the rule of a statement that can best be spared, or nothing.
func (n Note) mostSpare() string {
	var rules []Rule
	for _, s := range n.Sections {
		for _, t := range s.Statements {
			if r := ruleOf(t.Rule); r.Spare > 0 {
				rules = append(rules, r)
			}
		}
	}
	if len(rules) == 0 {
		return ""
	}
	return slices.MaxFunc(rules, func(a, b Rule) int { return cmp.Compare(a.Spare, b.Spare) }).ID
}

// drop moves the statements of a rule to LeftOut.
func (n *Note) drop(rule string) {
	gone := func(t Statement) bool { return t.Rule == rule }
	for i := range n.Sections {
		s := &n.Sections[i]
		for _, t := range s.Statements {
			if gone(t) {
				n.LeftOut = append(n.LeftOut, t)
			}
		}
		s.Statements = slices.DeleteFunc(s.Statements, gone)
	}
	n.Sections = slices.DeleteFunc(n.Sections, func(s Section) bool { return len(s.Statements) == 0 })
}
