package corpus

import "strings"

// oddBooks are workbooks whose parts are odd or damaged.
func oddBooks() []File {
	good := head(1) + counts(2, "A", "1", "9", "2")
	changed := func(name string, change func(parts map[string]string)) File {
		b := plates(good)
		b.change = change
		return b.file("parts-" + name + ".xlsx")
	}
	const first = "xl/worksheets/sheet1.xml"
	replace := func(part, from, to string) func(map[string]string) {
		return func(p map[string]string) { p[part] = strings.ReplaceAll(p[part], from, to) }
	}
	return []File{
		changed("no-sheet-part", func(p map[string]string) { delete(p, first) }),
		changed("no-workbook", func(p map[string]string) { delete(p, "xl/workbook.xml") }),
		changed("no-links", func(p map[string]string) { delete(p, "xl/_rels/workbook.xml.rels") }),
		changed("no-root-links", func(p map[string]string) { delete(p, "_rels/.rels") }),
		changed("no-sheets", replace("xl/workbook.xml", "<sheet ", "<nothing ")),
		changed("sheet-breaks-off", func(p map[string]string) { p[first] = p[first][:len(p[first])-60] }),
		changed("sheet-empty", func(p map[string]string) { p[first] = "" }),
		changed("sheet-no-xml", func(p map[string]string) { p[first] = "assay,concentration\n" }),
		changed("sheet-crossed", replace(first, "</row></sheetData>", "</sheetData></row>")),
		changed("sheet-not-utf8", replace(first, ">A<", ">\xff<")),
		changed("sheet-in-latin1", replace(first, "UTF-8", "ISO-8859-1")),
		changed("sheet-entities", func(p map[string]string) {
			p[first] = strings.Replace(p[first], "<worksheet", `<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]><worksheet`, 1)
		}),
		changed("sheet-unknown-entity", replace(first, ">A<", ">&bomb;<")),
		changed("sheet-deep", replace(first, "<sheetData>", strings.Repeat("<x>", 10_000)+"<sheetData>")),
		changed("rows-backwards", replace(first, `<row r="2">`, `<row r="1">`)),
		changed("row-beyond-last", replace(first, `<row r="2">`, `<row r="9999999">`)),
		changed("row-not-a-number", replace(first, `<row r="2">`, `<row r="two">`)),
		changed("cell-of-other-row", replace(first, `r="C2"`, `r="C9"`)),
		changed("cells-backwards", replace(first, `r="C2"`, `r="A2"`)),
		changed("cell-name", replace(first, `r="C2"`, `r="2C"`)),
		changed("cell-beyond-last", replace(first, `r="D2"`, `r="ZZZZ2"`)),
		changed("unknown-type", replace(first, `r="C2"`, `r="C2" t="z"`)),
		changed("text-not-shared", replace(first, `<c r="C2"><v>9`, `<c r="C2" t="s"><v>9`)),
		changed("text-index-negative", replace(first, `<c r="C2"><v>9`, `<c r="C2" t="s"><v>-1`)),
		changed("style-not-there", replace(first, `<c r="C2">`, `<c r="C2" s="99">`)),
		changed("text-of-2-MB", replace(first, ">A<", ">"+strings.Repeat("x", 2<<20)+"<")),
		changed("comment-of-2-MB", replace(first, "<sheetData>", "<!--"+strings.Repeat("<", 2<<20)+"--><sheetData>")),
		changed("name-of-2-MB", replace(first, "<sheetData>", "<x"+strings.Repeat("y", 2<<20)+"/><sheetData>")),
		changed("text-in-pieces", replace(first, ">A<", ">"+strings.Repeat("x<!---->", 300_000)+"<")),
		changed("prefixed", func(p map[string]string) {
			s := strings.ReplaceAll(strings.ReplaceAll(p[first], "</", "</m:"), "<", "<m:")
			s = strings.ReplaceAll(strings.ReplaceAll(s, "<m:/m:", "</m:"), "<m:?", "<?")
			p[first] = strings.Replace(s, `xmlns="`, `xmlns:m="`, 1)
		}),
		changed("absolute-links", replace("xl/_rels/workbook.xml.rels", `"worksheets/`, `"/xl/worksheets/`)),
		changed("outside-links", replace("xl/_rels/workbook.xml.rels", `"worksheets/`, `"../../../../etc/`)),
		changed("backslashes", func(p map[string]string) {
			for name, data := range p {
				delete(p, name)
				p[strings.ReplaceAll(name, "/", `\`)] = data
			}
		}),
		changed("document", func(p map[string]string) {
			p["word/document.xml"] = p["xl/workbook.xml"]
			p["_rels/.rels"] = strings.ReplaceAll(p["_rels/.rels"], "xl/workbook.xml", "word/document.xml")
		}),
		changed("binary", func(p map[string]string) { p["xl/workbook.bin"] = "\x83\x01" }),
		{"open-document.ods", pack(map[string]string{"mimetype": "application/vnd.oasis.opendocument.spreadsheet", "content.xml": "<x/>"})},
		{"open-document-named.xlsx", pack(map[string]string{"mimetype": "application/vnd.oasis.opendocument.spreadsheet", "content.xml": "<x/>"})},
		plates(head(1, "_x0007_") + counts(2, "A", "1", "9", "2")).file("parts-bell-in-header.xlsx"),
		{"photos.zip", pack(map[string]string{"photo.jpg": "\xff\xd8"})},
		{"nothing.zip", pack(nil)},
		{"old.xls", compound("Workbook")},
		{"older.xls", compound("Book")},
		{"encrypted.xlsx", compound("EncryptedPackage")},
		{"letter.doc", compound("WordDocument")},
		{"compound-mark-alone.xls", []byte("\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1")},
	}
}

// compound is the beginning of a compound file with one stream.
func compound(stream string) []byte {
	data := append([]byte("\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1"), make([]byte, 504)...)
	for i := range len(stream) {
		data = append(data, stream[i], 0)
	}
	return append(data, make([]byte, 512)...)
}
