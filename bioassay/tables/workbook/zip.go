package workbook

import (
	"archive/zip"
	"bytes"
	"errors"
	"io"
	"io/fs"
	"slices"
	"strings"
)

// steadyZip writes the parts of an archive in the order of their names, without
// times, so that equal workbooks are equal bytes. The library hands them over
// in the order of a map.
type steadyZip struct {
	w     io.Writer
	parts []part
}

type part struct {
	name string
	data *bytes.Buffer
}

// Create adds a part.
func (z *steadyZip) Create(name string) (io.Writer, error) {
	p := part{name, &bytes.Buffer{}}
	z.parts = append(z.parts, p)
	return p.data, nil
}

// AddFS is for other users of the library's interface.
func (z *steadyZip) AddFS(fs.FS) error { return errors.New("folders are not added to a workbook") }

// Close writes the archive. The list of types stands first, where some readers
// look for it.
func (z *steadyZip) Close() error {
	slices.SortFunc(z.parts, func(a, b part) int { return strings.Compare(a.name, b.name) })
	out := zip.NewWriter(z.w)
	for _, p := range z.parts {
		w, err := out.CreateHeader(&zip.FileHeader{Name: p.name, Method: zip.Deflate})
		if err != nil {
			return err
		}
		if _, err := p.data.WriteTo(w); err != nil {
			return err
		}
	}
	return out.Close()
}
