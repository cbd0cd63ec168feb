package corpus

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"hash/crc32"
	"io"
	"slices"
	"strings"
)

// book is a workbook in the making, part by part (ECMA-376, part 1).
type book struct {
	sheets []sheet
	texts  string // of the part of shared texts, without its root
	styles string // of cellXfs
	codes  string // of numFmts
	extra  string // within the element workbook
	change func(parts map[string]string)
}

type sheet struct {
	name, state string
	rows        string // within sheetData
	before      string // before sheetData
	after       string // after it
}

const (
	spaces = `xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"`
	rels   = `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">`
	office = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/"
	xmlTop = `<?xml version="1.0" encoding="UTF-8" standalone="yes"?>` + "\n"
)

// parts returns the parts of a workbook by name.
func (b book) parts() map[string]string {
	p := map[string]string{
		"[Content_Types].xml": xmlTop + `<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="xml" ContentType="application/xml"/></Types>`,
		"_rels/.rels":         xmlTop + rels + `<Relationship Id="rId1" Type="` + office + `officeDocument" Target="xl/workbook.xml"/></Relationships>`,
	}
	var list, links strings.Builder
	for i, s := range b.sheets {
		state := ""
		if s.state != "" {
			state = ` state="` + s.state + `"`
		}
		fmt.Fprintf(&list, `<sheet name="%s" sheetId="%d"%s r:id="rId%d"/>`, escape(s.name), i+1, state, i+1)
		fmt.Fprintf(&links, `<Relationship Id="rId%d" Type="%sworksheet" Target="worksheets/sheet%d.xml"/>`, i+1, office, i+1)
		p[fmt.Sprintf("xl/worksheets/sheet%d.xml", i+1)] = xmlTop + `<worksheet ` + spaces + `>` + s.before + `<sheetData>` + s.rows + `</sheetData>` + s.after + `</worksheet>`
	}
	p["xl/workbook.xml"] = xmlTop + `<workbook ` + spaces + `>` + b.extra + `<sheets>` + list.String() + `</sheets></workbook>`
	p["xl/_rels/workbook.xml.rels"] = xmlTop + rels + links.String() + `</Relationships>`
	if b.texts != "" {
		p["xl/sharedStrings.xml"] = xmlTop + `<sst ` + spaces + `>` + b.texts + `</sst>`
	}
	if b.styles != "" {
		p["xl/styles.xml"] = xmlTop + `<styleSheet ` + spaces + `>` + b.codes + `<cellXfs>` + b.styles + `</cellXfs></styleSheet>`
	}
	if b.change != nil {
		b.change(p)
	}
	return p
}

// file packs a workbook.
func (b book) file(name string) File { return File{name, pack(b.parts())} }

// pack makes an archive, with its parts in the order of their names.
func pack(parts map[string]string) []byte {
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	names := make([]string, 0, len(parts))
	for name := range parts {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		part, err := w.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate})
		if err == nil {
			_, err = part.Write([]byte(parts[name]))
		}
		if err != nil {
			panic(err) // memory does not fail
		}
	}
	if err := w.Close(); err != nil {
		panic(err)
	}
	return out.Bytes()
}

// lie makes an archive with one part whose directory tells another size than
// what comes out of it.
func lie(name, packed string, size uint64) []byte {
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	part, err := w.CreateRaw(&zip.FileHeader{Name: name, Method: zip.Deflate, CRC32: crc32.ChecksumIEEE(nil),
		CompressedSize64: uint64(len(packed)), UncompressedSize64: size})
	if err == nil {
		_, err = part.Write([]byte(packed))
	}
	if err == nil {
		err = w.Close()
	}
	if err != nil {
		panic(err)
	}
	return out.Bytes()
}

func escape(s string) string {
	var b bytes.Buffer
	if err := xml.EscapeText(&b, []byte(s)); err != nil {
		panic(err)
	}
	return b.String()
}

// row is a row of cells, given by what stands within the element row.
func row(number int, cells ...string) string {
	return fmt.Sprintf(`<row r="%d">%s</row>`, number, strings.Join(cells, ""))
}

// in is a cell of text.
func in(at, s string) string {
	return fmt.Sprintf(`<c r="%s" t="inlineStr"><is><t>%s</t></is></c>`, at, escape(s))
}

// num is a cell with a number.
func num(at, v string) string { return fmt.Sprintf(`<c r="%s"><v>%s</v></c>`, at, v) }

// styled is a number in a format.
func styled(at, v string, style int) string {
	return fmt.Sprintf(`<c r="%s" s="%d"><v>%s</v></c>`, at, style, v)
}

// typed is a cell of some other type.
func typed(at, kind, v string) string {
	return fmt.Sprintf(`<c r="%s" t="%s"><v>%s</v></c>`, at, kind, v)
}

// head is the smallest header, with more columns after it.
func head(number int, more ...string) string {
	cells := []string{}
	for i, name := range append([]string{"assay", "concentration", "exposed", "dead"}, more...) {
		cells = append(cells, in(fmt.Sprintf("%c%d", 'A'+i, number), name))
	}
	return row(number, cells...)
}

// counts is a row of counts, with more cells after them.
func counts(number int, assay, dose, exposed, dead string, more ...string) string {
	at := func(column string) string { return fmt.Sprintf("%s%d", column, number) }
	return row(number, append([]string{in(at("A"), assay), num(at("B"), dose), num(at("C"), exposed), num(at("D"), dead)}, more...)...)
}

// plates is a workbook of one sheet.
func plates(rows string) book { return book{sheets: []sheet{{name: "Plates", rows: rows}}} }

// The parts that Parts and Workbook speak of.
const (
	sheetPart  = "xl/worksheets/sheet1.xml"
	textsPart  = "xl/sharedStrings.xml"
	stylesPart = "xl/styles.xml"
)

// Workbook packs a workbook of one sheet from its parts; blank ones are absent.
func Workbook(sheet, texts, styles string) []byte {
	parts := plates("").parts()
	for name, data := range map[string]string{sheetPart: sheet, textsPart: texts, stylesPart: styles} {
		if data != "" {
			parts[name] = data
		}
	}
	return pack(parts)
}

// Parts returns the parts that Workbook takes, and false for what holds none.
func Parts(data []byte) (sheet, texts, styles string, ok bool) {
	r, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return "", "", "", false
	}
	read := func(name string) string {
		part, err := r.Open(name)
		if err != nil {
			return ""
		}
		defer part.Close()
		text, err := io.ReadAll(io.LimitReader(part, 1<<20))
		if err != nil {
			return ""
		}
		return string(text)
	}
	sheet = read(sheetPart)
	return sheet, read(textsPart), read(stylesPart), sheet != ""
}
