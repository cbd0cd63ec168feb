package workbook

import (
	"encoding/xml"
	"fmt"
	"io"
	"path"
	"strings"
)

// readSheets reads the list of sheets (ECMA-376, part 1, 18.2.27) and finds
// their parts.
func (b *Book) readSheets() error {
	home, err := b.workbookPart()
	if err != nil {
		return err
	}
	targets, err := b.targets(home)
	if err != nil {
		return err
	}
	err = b.each(home, func(_ *tokens, e xml.StartElement) error {
		switch e.Name.Local {
		case "workbookPr":
			b.from1904 = isTrue(attribute(e, "date1904"))
		case "sheet":
			target := targets[relationship(e)]
			if strings.Contains(target.kind, "/worksheet") {
				state := attribute(e, "state")
				b.sheets = append(b.sheets, Sheet{attribute(e, "name"), state == "hidden" || state == "veryHidden", target.part})
			}
		}
		return nil
	})
	if err == nil && len(b.sheets) == 0 {
		return fmt.Errorf("%w: it has no sheet", ErrDamaged)
	}
	return err
}

// relationship returns the name under which a sheet finds its part: the id
// with a prefix, beside the number sheetId and perhaps a bare id.
func relationship(e xml.StartElement) string {
	for _, a := range e.Attr {
		if a.Name.Local == "id" && a.Name.Space != "" {
			return a.Value
		}
	}
	return attribute(e, "id")
}

// workbookPart finds the main part, which is nearly always xl/workbook.xml.
func (b *Book) workbookPart() (string, error) {
	if b.parts["_rels/.rels"] != nil {
		main := ""
		err := b.each("_rels/.rels", func(_ *tokens, e xml.StartElement) error {
			if e.Name.Local == "Relationship" && strings.HasSuffix(attribute(e, "Type"), "/officeDocument") {
				main = partName(attribute(e, "Target"))
			}
			return nil
		})
		if err != nil {
			return "", err
		}
		if b.parts[main] != nil {
			if !strings.HasPrefix(main, "xl/") {
				return "", ErrNotWorkbook // a text document, or slides
			}
			return main, nil
		}
	}
	if b.parts["xl/workbook.xml"] == nil {
		return "", fmt.Errorf("%w: its list of sheets is missing", ErrDamaged)
	}
	return "xl/workbook.xml", nil
}

// target is a part as another part refers to it.
type target struct{ part, kind string }

// targets reads the parts that a part refers to, by their id.
func (b *Book) targets(from string) (map[string]target, error) {
	list := map[string]target{}
	dir, file := path.Split(from)
	rels := dir + "_rels/" + file + ".rels"
	if b.parts[partName(rels)] == nil {
		return nil, fmt.Errorf("%w: the part %q is missing", ErrDamaged, rels)
	}
	err := b.each(rels, func(_ *tokens, e xml.StartElement) error {
		if e.Name.Local != "Relationship" || attribute(e, "TargetMode") == "External" {
			return nil
		}
		to := strings.ReplaceAll(attribute(e, "Target"), `\`, "/")
		if !strings.HasPrefix(to, "/") {
			to = path.Join(dir, to)
		}
		list[attribute(e, "Id")] = target{partName(to), attribute(e, "Type")}
		return nil
	})
	return list, err
}

const mostTexts = 10_000_000 // shared texts, and styles

// readTexts reads the texts that the cells of all sheets share (18.4.9).
func (b *Book) readTexts() error {
	const part = "xl/sharedstrings.xml"
	if b.parts[part] == nil {
		return nil
	}
	return b.each(part, func(t *tokens, e xml.StartElement) error {
		if e.Name.Local != "si" {
			return nil
		}
		text, err := richText(t, b.limits.Text)
		if len(b.texts) >= mostTexts {
			return ErrTooManyTexts
		}
		b.texts = append(b.texts, text)
		return err
	})
}

// richText reads the text of an element that may be split into runs (18.4.8),
// without the pronunciation that may go with it.
func richText(t *tokens, most int) (string, error) {
	depth, skipped, length := len(t.open), 0, 0
	var runs []string
	inText := false
	for {
		token, err := t.next()
		if err != nil {
			if err == io.EOF {
				err = fmt.Errorf("%w: a text breaks off", ErrDamaged)
			}
			return "", err
		}
		switch e := token.(type) {
		case xml.StartElement:
			if e.Name.Local == "rPh" {
				skipped++
			}
			inText = e.Name.Local == "t" && skipped == 0
		case xml.EndElement:
			if e.Name.Local == "rPh" {
				skipped--
			}
			if inText = false; len(t.open) < depth {
				return unescaped(strings.Join(runs, "")), nil
			}
		case xml.CharData:
			if !inText {
				continue
			}
			if length += len(e); length > most {
				return "", fmt.Errorf("%w: more than %d KiB", ErrTextTooLong, most>>10)
			}
			runs = append(runs, string(e))
		}
	}
}
