package tables

import (
	"bytes"
	"errors"
	"fmt"
	"io"
)

// source is a file that can be read from its beginning more than once, so that
// it need not be held in memory: once to see what it is, once for its rows.
type source struct {
	at   io.ReaderAt
	from int64 // where the table begins
	size int64 // bytes from there on
}

// sourceOf returns r as a source. What cannot be read twice, such as a pipe, is
// loaded, as far as one byte beyond the limit.
func sourceOf(r io.Reader, limit int64) (source, error) {
	if s, ok := rewindable(r); ok {
		return s, nil
	}
	data, err := io.ReadAll(io.LimitReader(r, limit+1))
	return source{at: bytes.NewReader(data), size: int64(len(data))}, err
}

// rewindable reports whether r is a file, or like one.
func rewindable(r io.Reader) (source, bool) {
	at, ok := r.(io.ReaderAt)
	if !ok {
		return source{}, false
	}
	seeker, ok := r.(io.Seeker)
	if !ok {
		return source{}, false
	}
	here, err := seeker.Seek(0, io.SeekCurrent)
	if err != nil {
		return source{}, false
	}
	end, err := seeker.Seek(0, io.SeekEnd)
	if err != nil {
		return source{}, false
	}
	if _, err := seeker.Seek(here, io.SeekStart); err != nil || end < here {
		return source{}, false
	}
	return source{at: at, from: here, size: end - here}, true
}

// reader reads the source from its beginning.
func (s source) reader() *io.SectionReader { return io.NewSectionReader(s.at, s.from, s.size) }

// start returns the first bytes, at most n.
func (s source) start(n int) ([]byte, error) {
	head := make([]byte, min(int64(n), s.size))
	_, err := io.ReadFull(s.reader(), head)
	return head, err
}

// told is a reader that tells how far it has come.
type told struct {
	r           io.Reader
	tell        func(read, total int64)
	read, total int64
	next        int64 // tell again from here
}

const tellEvery = 1 << 20 // bytes

func (t *told) Read(p []byte) (int, error) {
	n, err := t.r.Read(p)
	if t.read += int64(n); t.read >= t.next || err == io.EOF {
		t.next = t.read + tellEvery
		t.tell(t.read, t.total)
	}
	return n, err
}

// errLongRow says that a row does not end where rows do.
var errLongRow = errors.New("the row is too long")

// fence is a reader that gives up when too much is read for one row, as happens
// after a quotation mark that is never closed. Its user sets since to 0 before
// each row.
type fence struct {
	r     io.Reader
	since int
	most  int
}

func (f *fence) Read(p []byte) (int, error) {
	if f.since > f.most {
		return 0, errLongRow
	}
	n, err := f.r.Read(p)
	f.since += n
	return n, err
}

// sizeFault is the fault of a file that is too long, or nil.
func sizeFault(size, limit int64) *fault {
	if size <= limit {
		return nil
	}
	return &fault{FileTooLarge, fmt.Sprintf("the file is longer than %d MiB", limit>>20), "split it into several files"}
}
