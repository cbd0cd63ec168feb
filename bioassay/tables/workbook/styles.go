package workbook

import (
	"encoding/xml"
	"strconv"
	"strings"
)

// style is what the format of a cell makes of its number.
type style uint8

const (
	plain        style = iota // shown as the digits it has
	shaped                    // shown rounded, as a percentage, with zeros before it …
	percentStyle              // shown as a percentage
	dayStyle                  // shown as a day, perhaps with the time of day
	timeStyle                 // shown as a time alone
)

// readStyles reads which formats show a number as a date (18.8.30 for those
// without a code, 18.8.31 for the others).
func (b *Book) readStyles() error {
	const part = "xl/styles.xml"
	if b.parts[part] == nil {
		return nil
	}
	codes := map[string]style{}
	inCells := false // within cellXfs, whose order the cells refer to
	return b.each(part, func(t *tokens, e xml.StartElement) error {
		switch e.Name.Local {
		case "numFmt":
			codes[attribute(e, "numFmtId")] = styleOf(attribute(e, "formatCode"))
		case "cellXfs", "cellStyleXfs", "dxfs":
			inCells = e.Name.Local == "cellXfs"
		case "xf":
			if !inCells {
				return nil
			}
			if len(b.styles) >= mostTexts {
				return ErrTooManyTexts
			}
			id := attribute(e, "numFmtId")
			s, ok := codes[id]
			if !ok {
				n, _ := strconv.Atoi(id)
				s = standardStyle(n)
			}
			b.styles = append(b.styles, s)
		}
		return nil
	})
}

// standardStyle is that of a format without a code of its own.
func standardStyle(id int) style {
	switch {
	case 18 <= id && id <= 21, 45 <= id && id <= 47:
		return timeStyle
	case 14 <= id && id <= 17, id == 22, 27 <= id && id <= 36, 50 <= id && id <= 58:
		return dayStyle
	case id == 9, id == 10:
		return percentStyle
	case id == 0, id == 1, id == 49:
		return plain
	}
	return shaped
}

// styleOf reads a format code. Letters count where they are neither quoted nor
// escaped nor in brackets, but for the brackets of times above a day.
func styleOf(code string) style {
	if strings.EqualFold(code, "general") || code == "" || code == "@" || code == "0" {
		return plain
	}
	day, month, clock, percent := false, false, false, false
	for _, c := range bareCode(code) {
		switch c {
		case 'y', 'd':
			day = true
		case 'm':
			month = true
		case 'h', 's':
			clock = true
		case '%':
			percent = true
		}
	}
	switch {
	case day, month && !clock:
		return dayStyle
	case clock:
		return timeStyle
	case percent:
		return percentStyle
	}
	return shaped
}

// bareCode is the first section of a format code in small letters, without
// whatever is shown as it stands.
func bareCode(code string) string {
	var out strings.Builder
	code = strings.ToLower(code)
	code = strings.ReplaceAll(strings.ReplaceAll(code, "general", ""), "am/pm", "h")
	for i := 0; i < len(code); i++ {
		switch code[i] {
		case ';':
			return out.String()
		case '\\', '_', '*':
			i++
		case '"':
			end := strings.IndexByte(code[i+1:], '"')
			if end < 0 {
				return out.String()
			}
			i += end + 1
		case '[':
			end := strings.IndexByte(code[i:], ']')
			if end < 0 {
				return out.String()
			}
			if inside := code[i+1 : i+end]; inside != "" && strings.Trim(inside, inside[:1]) == "" && strings.Contains("hms", inside[:1]) {
				out.WriteString("h")
			}
			i += end
		default:
			out.WriteByte(code[i])
		}
	}
	return out.String()
}
