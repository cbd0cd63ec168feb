package corpus

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"fmt"
	"strings"
)

// archives are workbooks damaged as archives, and bombs.
func archives() []File {
	good := pack(plates(head(1) + counts(2, "A", "1", "9", "2")).parts())
	flipped := bytes.Clone(good)
	at := bytes.Index(flipped, []byte("xl/worksheets/sheet1.xml")) + len("xl/worksheets/sheet1.xml") + 40
	flipped[at] ^= 0x55
	locked := bytes.Clone(good)
	for i := range locked { // the flag of encryption in every header, APPNOTE 4.4.4
		switch {
		case bytes.HasPrefix(locked[i:], []byte("PK\x03\x04")):
			locked[i+6] |= 1
		case bytes.HasPrefix(locked[i:], []byte("PK\x01\x02")):
			locked[i+8] |= 1
		}
	}
	many := plates(head(1) + counts(2, "A", "1", "9", "2")).parts()
	for i := range 5000 {
		many[fmt.Sprintf("xl/media/%d.xml", i)] = ""
	}
	return []File{
		{"zip-truncated.xlsx", good[:len(good)*2/3]},
		{"zip-head-alone.xlsx", good[:40]},
		{"zip-tail-alone.xlsx", good[len(good)/2:]},
		{"zip-flipped.xlsx", flipped},
		{"zip-locked.xlsx", locked},
		{"zip-prefixed.xlsx", append([]byte("PK\x03\x04 is how it begins"), good...)},
		{"zip-many-parts.xlsx", pack(many)},
		{"bomb-declared.xlsx", bomb(2 << 30)},
		{"bomb-spaces.xlsx", bomb(200 << 20)},
		{"bomb-rows.xlsx", bombOfRows()},
		{"bomb-lie.xlsx", bombThatLies()},
	}
}

// bomb is a workbook whose sheet is spaces, and says so. What is declared
// beyond a gigabyte need not be there for the directory to be refused.
func bomb(size int) []byte {
	parts := plates("").parts()
	if size >= 1<<30 {
		delete(parts, "xl/worksheets/sheet1.xml")
		data := lie("xl/worksheets/sheet1.xml", deflated(" ", 1<<20), uint64(size))
		return merge(pack(parts), data)
	}
	const part = "xl/worksheets/sheet1.xml"
	delete(parts, part)
	return merge(pack(parts), lie(part, deflated(" ", size), uint64(size)))
}

// deflated is a text repeated and packed.
func deflated(s string, times int) string {
	var out bytes.Buffer
	w, err := flate.NewWriter(&out, flate.BestCompression)
	block := []byte(strings.Repeat(s, 1<<12))
	for done := 0; err == nil && done < times; done += 1 << 12 {
		_, err = w.Write(block[:min(1<<12, times-done)*len(s)])
	}
	if err == nil {
		err = w.Close()
	}
	if err != nil {
		panic(err)
	}
	return out.String()
}

// bombOfRows is a sheet of three million equal rows.
func bombOfRows() []byte {
	parts := plates("").parts()
	const part = "xl/worksheets/sheet1.xml"
	delete(parts, part)
	body := `<row><c><v>1</v></c></row>`
	const times = 3_000_000
	return merge(pack(parts), lie(part, deflated(body, times), uint64(len(body)*times)))
}

// bombThatLies declares a kilobyte where two hundred megabytes come out.
func bombThatLies() []byte {
	parts := plates("").parts()
	const part = "xl/worksheets/sheet1.xml"
	delete(parts, part)
	return merge(pack(parts), lie(part, deflated("<x/>", 50<<20), 1024))
}

// merge makes one archive of two.
func merge(a, b []byte) []byte {
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, data := range [][]byte{a, b} {
		r, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
		if err != nil {
			panic(err)
		}
		for _, f := range r.File {
			if err := w.Copy(f); err != nil {
				panic(err)
			}
		}
	}
	if err := w.Close(); err != nil {
		panic(err)
	}
	return out.Bytes()
}
