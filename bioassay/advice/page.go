package advice

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// Page is a note as a renderer lays it out: blocks of plain lines, the rows of
// the picture, and the small print. Nothing in it is escaped for HTML.
type Page struct {
	Language   string // for the renderer's language mark, such as "es"
	Title      string
	Subtitle   string
	Blocks     []Block
	Picture    PagePicture
	SmallPrint []string
	Mark       string // at the very end, of invented data
}

// Block is a heading with its lines.
type Block struct {
	ID      SectionID
	Heading string
	Lines   []string
}

// PagePicture is the picture with its heading and the words of its key; no rows, no
// picture.
type PagePicture struct {
	Heading                          string
	Live, LikelyLive, LikelyDie, Die string
	Rows                             []Picture
}

// Page returns the note as a page.
func (n Note) Page() Page {
	p := Page{Language: n.Language, Title: n.Title, Subtitle: n.Subtitle, Mark: n.mark}
	if len(n.Pictures) > 0 {
		p.Picture = n.picture
		p.Picture.Rows = n.Pictures
	}
	for _, s := range n.Sections {
		if s.ID == SectionPrint {
			p.SmallPrint = s.lines()
			continue
		}
		p.Blocks = append(p.Blocks, Block{s.ID, s.Heading, s.lines()})
	}
	return p
}

func (s Section) lines() []string {
	lines := make([]string, len(s.Statements))
	for i, t := range s.Statements {
		lines[i] = t.Text
	}
	return lines
}

// The widths of the plain text, in characters.
const (
	textWidth = 72
	barUnit   = 2 // mites to a mark of a bar
)

// Text returns the note as plain text, with the picture as bars after what was
// found.
func (n Note) Text() string {
	p := n.Page()
	var b strings.Builder
	b.WriteString(p.Title + "\n" + p.Subtitle + "\n")
	for i, block := range p.Blocks {
		b.WriteString("\n" + strings.ToUpper(block.Heading) + "\n")
		for _, line := range block.Lines {
			b.WriteString(wrapped("- ", line))
		}
		if i == 0 && len(p.Picture.Rows) > 0 {
			b.WriteString("\n" + p.Picture.Heading + "\n")
			for _, row := range p.Picture.Rows {
				b.WriteString("  [" + row.bar() + "]\n" + wrapped("  ", row.Caption))
			}
			b.WriteString(wrapped("  ", p.Picture.key()))
		}
	}
	b.WriteString("\n" + strings.Repeat("-", textWidth) + "\n")
	for _, line := range p.SmallPrint {
		b.WriteString(wrapped("", line))
	}
	if p.Mark != "" {
		b.WriteString(p.Mark + "\n")
	}
	return b.String()
}

// key says what the marks of a bar stand for.
func (p PagePicture) key() string {
	return fmt.Sprintf("# %s; = %s; - %s; . %s", p.Live, p.LikelyLive, p.LikelyDie, p.Die)
}

// bar draws 100 mites: # up to the low end of the doubt, = up to the likely
// number, - up to the high end.
func (p Picture) bar() string {
	var b strings.Builder
	for at := 0; at < 100; at += barUnit {
		switch {
		case at < p.Low:
			b.WriteByte('#')
		case at < p.Likely:
			b.WriteByte('=')
		case at < p.High:
			b.WriteByte('-')
		default:
			b.WriteByte('.')
		}
	}
	return b.String()
}

// wrapped breaks a line at spaces, further lines indented like the first.
func wrapped(mark, text string) string {
	indent := strings.Repeat(" ", len(mark))
	var b strings.Builder
	line := mark
	for i, word := range strings.Fields(text) {
		switch {
		case i == 0:
			line += word
		case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > textWidth:
			b.WriteString(line + "\n")
			line = indent + word
		default:
			line += " " + word
		}
	}
	return b.String() + line + "\n"
}
