package tables

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"io"
)

// textGrid hands out the rows of a text.
type textGrid struct {
	source    source
	encoding  encoding
	mark      int64 // bytes before the text
	dirty     bool  // some cell may not be clean text
	mixed     bool  // it has UTF-8 and bytes that are not
	undefined bool  // some byte has no meaning in Windows-1252
	returns   bool  // some line ends in \r
	head      []byte
	delimiter rune
	skip      int // lines before the table

	csv   *csv.Reader
	fence *fence

	cursor     *bufio.Reader // reads the file again where a row could not be split
	cursorLine int           // on which it stands
}

const headBytes = 64 << 10 // of a text are looked at to tell how it is written

// openText finds out how a text is written and sets it to its first row.
func openText(src source, contents string, o Options) (*textGrid, *fault, error) {
	start, err := src.start(1024)
	if err != nil {
		return nil, nil, err
	}
	g := &textGrid{source: src}
	e, mark, isWide := twoByte(start)
	if isWide && !bytes.HasPrefix(start, []byte("\xFF\xFE\x00\x00")) {
		g.encoding, g.mark, g.dirty, g.returns = e, int64(mark), true, true
	} else if f := foreign(start, contents); f != nil {
		return nil, f, nil
	} else if f, err := g.survey(); f != nil || err != nil {
		return nil, f, err
	}
	g.head, err = io.ReadAll(io.LimitReader(g.text(nil), headBytes))
	if err != nil {
		return nil, nil, err
	}
	if len(bytes.TrimFunc(g.head, isBlank)) == 0 && int64(len(g.head)) < headBytes {
		return nil, emptyFault(), nil
	}
	if isWide && isBinary(g.head[:min(len(g.head), 1024)]) {
		return nil, &fault{BadEncoding, "this is not a text file", "give the CSV or XLSX file of the " + contents}, nil
	}
	g.delimiter, g.skip = delimiter(g.head)
	g.open(o.Progress)
	return g, nil, nil
}

func emptyFault() *fault { return &fault{EmptyFile, "the file is empty", "export the table again"} }

// survey passes over a text that is not in UTF-16 and decides on its encoding.
// Bytes that are not UTF-8 are Windows-1252 where nothing speaks against it.
func (g *textGrid) survey() (*fault, error) {
	v, err := look(g.source.reader())
	if err != nil {
		return nil, err
	}
	if !v.filled {
		return emptyFault(), nil
	}
	g.dirty, g.returns = v.controls || v.invalid, v.returns
	g.mixed, g.undefined = v.invalid && v.multibyte, v.undefined
	if v.invalid && !v.controls && !g.mixed && !v.undefined {
		g.encoding, g.dirty = windows1252Text, false
	}
	if start, _ := g.source.start(len(mark8)); string(start) == mark8 {
		g.mark = int64(len(mark8))
	}
	return nil, nil
}

// text reads the file from its first character, in UTF-8 with \n for breaks.
func (g *textGrid) text(tell func(read, total int64)) io.Reader {
	section := g.source.reader()
	section.Seek(g.mark, io.SeekStart) // within the file, so it cannot fail
	var r io.Reader = section
	if tell != nil {
		r = &told{r: r, tell: tell, read: g.mark, total: g.source.size}
	}
	r = decoded(r, g.encoding)
	if g.returns {
		r = &feeds{r: r}
	}
	return r
}

// open starts the reading of rows.
func (g *textGrid) open(tell func(read, total int64)) {
	g.fence = &fence{r: g.text(tell), most: MaxRowBytes}
	g.csv = csv.NewReader(bufio.NewReaderSize(g.fence, 64<<10))
	g.csv.Comma = g.delimiter
	g.csv.FieldsPerRecord = -1
	g.csv.TrimLeadingSpace = g.delimiter != '\t'
	g.csv.ReuseRecord = true
	g.cursor, g.cursorLine = nil, 0
}

// read returns the next row.
func (g *textGrid) read() ([]string, error) {
	for {
		g.fence.since = 0
		cells, err := g.csv.Read()
		if err == nil && g.skip > 0 && g.line(0) <= g.skip {
			continue
		}
		return cells, err
	}
}

// line returns the line of a cell.
func (g *textGrid) line(cell int) int {
	line, _ := g.csv.FieldPos(cell)
	return line
}

// lineText returns the beginning of a line.
func (g *textGrid) lineText(line int) string {
	lines := bytes.SplitN(g.head, []byte("\n"), line+1)
	if line > len(lines) {
		return ""
	}
	text := lines[line-1]
	return trim(string(text[:min(len(text), 4096)]))
}

// cellAt returns the number of the cell, from 1, at which the CSV reader gave
// up, by counting the delimiters outside quotes from the beginning of the row.
// Rows are asked for in rising order, so the file is read again once.
func (g *textGrid) cellAt(p *csv.ParseError) int {
	if g.cursor == nil {
		g.cursor, g.cursorLine = bufio.NewReader(g.text(nil)), 1
	}
	for g.cursorLine < p.StartLine {
		switch _, err := g.cursor.ReadSlice('\n'); {
		case err == nil:
			g.cursorLine++
		case !errors.Is(err, bufio.ErrBufferFull):
			return 1
		}
	}
	cell, inQuotes := 1, false
	for column := 1; g.cursorLine < p.Line || g.cursorLine == p.Line && column < p.Column; column++ {
		c, err := g.cursor.ReadByte()
		switch {
		case err != nil:
			return cell
		case c == '\n':
			g.cursorLine, column = g.cursorLine+1, 0
		case c == '"':
			inQuotes = !inQuotes
		case c == byte(g.delimiter) && !inQuotes:
			cell++
		}
	}
	return cell
}

// headerLine is the line of the header.
func (g *textGrid) headerLine() int {
	_, line := firstFilled(g.head)
	return line
}
