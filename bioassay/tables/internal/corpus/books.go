package corpus

import (
	"fmt"
	"strings"
)

// days are the styles of cells in which style 1 is a day, 2 a time, 3 a
// percentage, 4 a day in a format of its own, 5 a rounded number, 6 text.
const (
	days  = `<xf numFmtId="0"/><xf numFmtId="14"/><xf numFmtId="20"/><xf numFmtId="9"/><xf numFmtId="164"/><xf numFmtId="2"/><xf numFmtId="49"/>`
	codes = `<numFmts count="1"><numFmt numFmtId="164" formatCode="[$-C0A]d&quot; de &quot;mmmm;@"/></numFmts>`
)

// books are workbooks whose cells are odd.
func books() []File {
	note := func(name string, cell string) File {
		b := plates(head(1, "note") + counts(2, "A", "1", "9", "2", cell))
		b.styles, b.codes = days, codes
		return b.file("book-" + name + ".xlsx")
	}
	dose := func(name, cell string) File {
		b := plates(head(1) + row(2, in("A2", "A"), cell, num("C2", "9"), num("D2", "2")))
		b.styles, b.codes = days, codes
		return b.file("book-" + name + ".xlsx")
	}
	dated := func(name, extra, cell string) File {
		b := plates(head(1, "collected_on") + counts(2, "A", "1", "9", "2", cell))
		b.styles, b.codes, b.extra = days, codes, extra
		return b.file("book-" + name + ".xlsx")
	}
	return []File{
		plates(head(1) + counts(2, "A", "0.5", "9", "2")).file("book.xlsx"),
		plates(head(3) + counts(7, "A", "0.5", "9", "10")).file("book-far-down.xlsx"),
		dose("number-as-text", in("B2", "0.5")),
		dose("decimal-comma-text", in("B2", "0,5")),
		dose("comma-in-doubt-text", in("B2", "1,234")),
		dose("number-with-unit", in("B2", "1 ug")),
		dose("rounded", styled("B2", "1.23456", 5)),
		dose("seventeen-digits", num("B2", "0.10000000000000001")),
		dose("exponent", num("B2", "1E-3")),
		dose("percent", styled("B2", "0.05", 3)),
		dose("day-for-dose", styled("B2", "46054", 1)),
		dose("time-for-dose", styled("B2", "0.5", 2)),
		dose("true-for-dose", typed("B2", "b", "1")),
		dose("error", typed("B2", "e", "#DIV/0!")),
		dose("formula", `<c r="B2"><f>1/2</f><v>0.5</v></c>`),
		dose("formula-unstored", `<c r="B2"><f>1/2</f></c>`),
		dose("formula-empty-result", `<c r="B2"><f>1/2</f><v></v></c>`),
		dose("formula-text-result", `<c r="B2" t="str"><f>""</f><v></v></c>`),
		dose("no-number", num("B2", "1.2.3")),
		dose("huge", num("B2", "1E308")),
		dose("not-finite", num("B2", "INF")),
		note("day-in-note", styled("E2", "46054", 1)),
		note("number-in-note", styled("E2", "7.5", 0)),
		note("error-in-note", typed("E2", "e", "#N/A")),
		note("unstored-in-note", `<c r="E2"><f>A1</f></c>`),
		note("escape-in-note", in("E2", "_x001B_[2J")),
		note("escaped-low-line", in("E2", "_x005F_x001B_")),
		note("formula-like", in("E2", "=1+1")),
		note("spaces", `<c r="E2" t="inlineStr"><is><t xml:space="preserve">  two  </t></is></c>`),
		note("rich", `<c r="E2" t="inlineStr"><is><r><t>half </t></r><r><rPr><b/></rPr><t>open</t></r><rPh><t>no</t></rPh></is></c>`),
		dated("day", "", styled("E2", "47947", 1)),
		dated("day-in-own-format", "", styled("E2", "47947", 4)),
		dated("day-from-1904", `<workbookPr date1904="1"/>`, styled("E2", "46485", 1)),
		dated("day-with-time", "", styled("E2", "47947.5", 1)),
		dated("day-unformatted", "", num("E2", "47947")),
		dated("day-as-text", "", in("E2", "9/4/2031")),
		dated("day-iso-type", "", typed("E2", "d", "2031-04-09T00:00:00")),
		dated("day-negative", "", styled("E2", "-5", 1)),
		dated("day-60", "", styled("E2", "60", 1)),
		merged("header", "A1:B1", ""), merged("title-above", "A1:D1", "title"), merged("cells", "A2:A3", ""), merged("beside", "H1:I4", ""),
		merged("nonsense", "A1", "nonsense"),
		twoSheets("two-tables", sheet{name: "2031", rows: head(1) + counts(2, "A", "1", "9", "2")}, sheet{name: "2032", rows: head(1) + counts(2, "B", "1", "9", "2")}),
		twoSheets("two-with-one-assay", sheet{name: "2031", rows: head(1) + counts(2, "A", "1", "9", "2")}, sheet{name: "2032", rows: head(1) + counts(2, "A", "1", "9", "2")}),
		twoSheets("error-in-second", sheet{name: "2031", rows: head(1) + counts(2, "A", "1", "9", "2")}, sheet{name: "2032", rows: head(2) + counts(3, "B", "1", "9", "12")}),
		twoSheets("remarks-beside", sheet{name: "Remarks", rows: row(1, in("A1", "read on Monday"))}, sheet{name: "Counts", rows: head(1) + counts(2, "A", "1", "9", "2")}),
		twoSheets("no-table", sheet{name: "Remarks", rows: row(1, in("A1", "read on Monday"))}, sheet{name: "Empty"}),
		twoSheets("hidden-table", sheet{name: "Counts", state: "veryHidden", rows: head(1) + counts(2, "A", "1", "9", "2")}, sheet{name: "Empty"}),
		twoSheets("chart-beside", sheet{name: "Counts", rows: head(1) + counts(2, "A", "1", "9", "2")}, sheet{name: "Empty", rows: ""}),
		plates("").file("book-empty.xlsx"),
		plates(head(1)).file("book-header-alone.xlsx"),
		plates(head(1) + row(2) + row(3, `<c r="A3"/><c r="D3" s="1"/>`)).file("book-blank-rows.xlsx"),
		plates(row(1, in("A1", "hello"))).file("book-no-header.xlsx"),
		plates(head(1) + `<row r="2" hidden="1">` + in("A2", "A") + num("B2", "1") + num("C2", "9") + num("D2", "2") + `</row>`).file("book-hidden-row.xlsx"),
		book{sheets: []sheet{{name: "Plates", before: `<cols><col min="2" max="3" hidden="1"/></cols>`, rows: head(1) + counts(2, "A", "1", "9", "2")}}}.file("book-hidden-columns.xlsx"),
		plates(head(1) + counts(2, "A", "1", "9", "2", in("F2", "x"))).file("book-beside-table.xlsx"),
		plates(head(1) + counts(2, "A", "1", "9", "2", in("XFD2", "x"))).file("book-last-column.xlsx"),
		plates(head(1) + counts(1048576, "A", "1", "9", "2")).file("book-last-row.xlsx"),
		plates(strings.ReplaceAll(head(1)+counts(2, "A", "1", "9", "2"), ` r="`, ` x="`)).file("book-without-names.xlsx"),
		func() File {
			b := plates(row(1, typed("A1", "s", "0"), typed("B1", "s", "1"), typed("C1", "s", "2"), typed("D1", "s", "3")) + counts(2, "A", "1", "9", "2"))
			b.texts = `<si><t>assay</t></si><si><t>concentration</t></si><si><t>exposed</t></si><si><t>dead</t></si>`
			return b.file("book-shared-texts.xlsx")
		}(),
	}
}

// merged is a workbook with a merged block.
func merged(name, block, how string) File {
	s := sheet{name: "Plates", after: `<mergeCells count="1"><mergeCell ref="` + block + `"/></mergeCells>`}
	switch how {
	case "title":
		s.rows = row(1, in("A1", "Counts")) + head(2) + counts(3, "A", "1", "9", "2")
	case "nonsense":
		s.after = `<mergeCells><mergeCell ref="A0:??"/></mergeCells>`
		s.rows = head(1) + counts(2, "A", "1", "9", "2")
	default:
		s.rows = head(1) + counts(2, "A", "1", "9", "2") + counts(3, "A", "2", "9", "5")
		if strings.HasPrefix(block, "A1:B1") {
			s.rows = row(1, in("A1", "assay"), in("C1", "exposed"), in("D1", "dead")) + counts(2, "A", "1", "9", "2")
		}
	}
	return book{sheets: []sheet{s}}.file(fmt.Sprintf("book-merged-%s.xlsx", name))
}

func twoSheets(name string, a, b sheet) File {
	return book{sheets: []sheet{a, b}}.file("book-" + name + ".xlsx")
}
