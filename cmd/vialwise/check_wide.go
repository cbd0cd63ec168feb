package main

import (
	"errors"
	"fmt"
	"io"

	"vialwise/bioassay"
	"vialwise/bioassay/tables"
)

// openMapping reads the mapping of bench sheets, nil without one.
func openMapping(path string) (*tables.Mapping, error) {
	if path == "" {
		return nil, nil
	}
	m, err := tables.ReadMappingFile(path)
	if err != nil {
		return nil, err
	}
	return &m, nil
}

// draftMapping writes the mapping of a bench sheet, drafted from its header.
func draftMapping(stdin io.Reader, file string, output *outputFlags, stdout io.Writer) error {
	in, err := openInput(stdin, file)
	if err != nil {
		return err
	}
	defer in.close()
	m, err := draft(in, file)
	if err != nil {
		return err
	}
	return output.deliver(stdout, func(w io.Writer) error {
		_, err := w.Write(m.Text(file))
		return err
	})
}

func draft(in *input, file string) (tables.Mapping, error) {
	header, err := tables.ReadHeader(file, in.content)
	if err != nil {
		return tables.Mapping{}, err
	}
	return tables.DraftMapping(header, file)
}

// hint says what else a file may be than the count table that it is not. A
// file whose header lacks columns may be a bench sheet.
func (c *checker) hint(in *input, file string, errs tables.Errors) string {
	if c.wide != nil || !errors.Is(errs, tables.MissingColumn) && !errors.Is(errs, tables.NoTableSheet) && !errors.Is(errs, tables.DuplicateColumn) {
		return ""
	}
	if err := in.rewind(); err != nil {
		return ""
	}
	m, err := draft(in, file)
	if err != nil || len(m.Replicates) == 0 {
		return ""
	}
	return fmt.Sprintf("This looks like a bench sheet with %s in each row. To read it so, run: vialwise check --draft-mapping %s > mapping.toml; look at the file mapping.toml; then run: vialwise check --mapping mapping.toml %[2]s",
		bioassay.Plural(len(m.Replicates), "container"), file)
}
