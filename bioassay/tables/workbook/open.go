package workbook

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"path"
	"strings"
)

// Limits bound what a workbook may hold.
type Limits struct {
	Unpacked int64 // bytes of all parts together
	Parts    int
	Columns  int // of a sheet
	Text     int // bytes of one text
}

// DefaultLimits are far above what a table of counts needs.
func DefaultLimits() Limits {
	return Limits{Unpacked: 1 << 30, Parts: 4096, Columns: 1000, Text: 1 << 20}
}

// Text that was packed to less than a hundredth is no table, once there is
// much of it: sheets of counts are packed to a tenth or a thirtieth (measured
// on tables of this project). Below the floor no harm can be done.
const (
	mostRatio  = 100
	ratioFloor = 16 << 20
)

// Book is an open workbook.
type Book struct {
	limits   Limits
	parts    map[string]*zip.File // by name in small letters
	left     int64                // bytes that may still be unpacked
	sheets   []Sheet
	texts    []string // shared by all sheets
	styles   []style
	from1904 bool
}

// Sheet is a sheet of a workbook.
type Sheet struct {
	Name   string
	Hidden bool
	part   string
}

// Open reads what all sheets share. The sheets themselves are read by Rows.
func Open(r io.ReaderAt, size int64, limits Limits) (*Book, error) {
	if err := compound(r, size); err != nil {
		return nil, err
	}
	archive, err := zip.NewReader(r, size)
	if err != nil {
		return nil, fmt.Errorf("%w: %v", ErrDamaged, err)
	}
	b := &Book{limits: limits, parts: map[string]*zip.File{}}
	if err := b.admit(archive.File); err != nil {
		return nil, err
	}
	for _, load := range []func() error{b.readSheets, b.readTexts, b.readStyles} {
		if err := load(); err != nil {
			return nil, err
		}
	}
	return b, nil
}

// Sheets returns the sheets in their order, without charts.
func (b *Book) Sheets() []Sheet { return b.sheets }

// admit checks the directory of the archive before anything is unpacked.
func (b *Book) admit(files []*zip.File) error {
	if len(files) > b.limits.Parts {
		return fmt.Errorf("%w: %d, at most %d", ErrTooManyParts, len(files), b.limits.Parts)
	}
	var packed, unpacked uint64
	for _, f := range files {
		if f.Flags&1 != 0 {
			return ErrEncrypted
		}
		packed += f.CompressedSize64
		if unpacked += f.UncompressedSize64; unpacked > uint64(b.limits.Unpacked) || f.UncompressedSize64 > uint64(b.limits.Unpacked) {
			return fmt.Errorf("%w: more than %d MiB", ErrUnpackedSize, b.limits.Unpacked>>20)
		}
		b.parts[partName(f.Name)] = f
	}
	if unpacked > ratioFloor && unpacked/mostRatio > packed {
		return fmt.Errorf("%w: %d MiB packed to less than a hundredth", ErrUnpackedSize, unpacked>>20)
	}
	b.left = b.limits.Unpacked
	return b.kind()
}

// kind tells a workbook from other archives.
func (b *Book) kind() error {
	switch {
	case b.parts["xl/workbook.bin"] != nil:
		return ErrBinaryFormat
	case b.parts["content.xml"] != nil && b.parts["mimetype"] != nil:
		return ErrOpenDocument
	case b.parts["[content_types].xml"] == nil && b.parts["xl/workbook.xml"] == nil:
		return ErrNotWorkbook
	}
	return nil
}

// partName is the form in which names of parts are compared.
func partName(name string) string {
	return strings.ToLower(strings.TrimPrefix(path.Clean(strings.ReplaceAll(name, `\`, "/")), "/"))
}

// open unpacks a part. What comes out is counted whatever the directory says.
func (b *Book) open(name string) (io.ReadCloser, error) {
	f := b.parts[partName(name)]
	if f == nil {
		return nil, fmt.Errorf("%w: the part %q is missing", ErrDamaged, name)
	}
	r, err := f.Open()
	if err != nil {
		return nil, fmt.Errorf("%w: %v", ErrDamaged, err)
	}
	return &unpacking{ReadCloser: r, left: &b.left, limit: b.limits.Unpacked}, nil
}

// unpacking is a part that stops when too much has come out of the archive.
type unpacking struct {
	io.ReadCloser
	left  *int64
	limit int64
	taken int64
}

func (u *unpacking) Read(p []byte) (int, error) {
	n, err := u.ReadCloser.Read(p)
	u.taken += int64(n)
	if *u.left -= int64(n); *u.left < 0 {
		return 0, fmt.Errorf("%w: more than %d MiB", ErrUnpackedSize, u.limit>>20)
	}
	if err != nil && err != io.EOF {
		err = fmt.Errorf("%w: %v", ErrDamaged, err)
	}
	return n, err
}

// Close closes the part. Its bytes are counted again when it is read again.
func (u *unpacking) Close() error {
	*u.left += u.taken
	u.taken = 0
	return u.ReadCloser.Close()
}

// compoundMark begins the container of old workbooks, and of those with a
// password.
var compoundMark = []byte("\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1")

// compoundSearched is how far the names in such a container are looked for.
const compoundSearched = 64 << 20

// compound returns the error of a compound file, or nil for other files. Its
// directory holds the names of its streams in UTF-16 ([MS-CFB], section 2.6).
func compound(r io.ReaderAt, size int64) error {
	mark := make([]byte, len(compoundMark))
	if _, err := r.ReadAt(mark, 0); err != nil && err != io.EOF {
		return err
	}
	if !bytes.Equal(mark, compoundMark) {
		return nil
	}
	data, err := io.ReadAll(io.NewSectionReader(r, 0, min(size, compoundSearched)))
	switch {
	case err != nil:
		return err
	case bytes.Contains(data, utf16Name("EncryptedPackage")):
		return ErrEncrypted
	case bytes.Contains(data, utf16Name("Workbook")), bytes.Contains(data, utf16Name("Book")):
		return ErrOldFormat
	}
	return ErrNotWorkbook
}

// utf16Name is a name as a compound file writes it, with its end.
func utf16Name(name string) []byte {
	var b []byte
	for i := range len(name) {
		b = append(b, name[i], 0)
	}
	return append(b, 0, 0)
}
