package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"

	"vialwise/bioassay/tables"
)

// input is a file to be read, with the hash of its bytes. A file on disk is
// not held in memory.
type input struct {
	content io.ReadSeeker
	sha256  string
	close   func() error
}

// openInput opens a file and computes its hash; - is the standard input.
func openInput(stdin io.Reader, file string) (*input, error) {
	in := &input{close: func() error { return nil }}
	if file == "-" {
		raw, err := io.ReadAll(io.LimitReader(stdin, tables.MaxBytes+1)) // one more, so that too long shows
		if err != nil {
			return nil, fmt.Errorf("cannot read the standard input: %w", err)
		}
		in.content = bytes.NewReader(raw)
	} else {
		f, err := os.Open(file)
		if err != nil {
			return nil, fmt.Errorf("cannot read the count table: %w; name a CSV file that exists", err)
		}
		in.content, in.close = f, f.Close
	}
	hash := sha256.New()
	if _, err := io.Copy(hash, in.content); err != nil {
		in.close()
		return nil, fmt.Errorf("cannot read the count table: %w; name a CSV file that exists", err)
	}
	in.sha256 = hex.EncodeToString(hash.Sum(nil))
	return in, in.rewind()
}

// rewind goes back to the beginning.
func (in *input) rewind() error {
	_, err := in.content.Seek(0, io.SeekStart)
	return err
}
