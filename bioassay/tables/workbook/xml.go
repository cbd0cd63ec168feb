package workbook

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
)

// tokens walks over the XML of a part. It checks that elements are closed and
// that no single text is longer than it may be.
type tokens struct {
	d     *xml.Decoder
	fence *fence
	part  io.Closer
	open  []string // local names of the elements that are open
	begun bool     // some element was seen
}

// fence is a reader that gives up when too much is read for one token.
type fence struct {
	r           io.Reader
	since, most int
}

func (f *fence) Read(p []byte) (int, error) {
	if f.since > f.most {
		return 0, fmt.Errorf("%w: more than %d KiB", ErrTextTooLong, f.most>>10)
	}
	n, err := f.r.Read(p)
	f.since += n
	return n, err
}

// tokens opens a part.
func (b *Book) tokens(name string) (*tokens, error) {
	part, err := b.open(name)
	if err != nil {
		return nil, err
	}
	f := &fence{r: part, most: b.limits.Text}
	t := &tokens{d: xml.NewDecoder(f), fence: f, part: part}
	t.d.CharsetReader = func(charset string, _ io.Reader) (io.Reader, error) {
		return nil, fmt.Errorf("its text is in the encoding %q", charset)
	}
	return t, nil
}

const deepest = 64 // elements within elements

// next returns the next token, and io.EOF after the last element is closed.
func (t *tokens) next() (xml.Token, error) {
	t.fence.since = 0
	token, err := t.d.RawToken()
	if err != nil {
		return nil, t.failure(err)
	}
	switch e := token.(type) {
	case xml.StartElement:
		t.begun = true
		if t.open = append(t.open, e.Name.Local); len(t.open) > deepest {
			return nil, fmt.Errorf("%w: elements lie too deep within each other", ErrDamaged)
		}
	case xml.EndElement:
		if len(t.open) == 0 || t.open[len(t.open)-1] != e.Name.Local {
			return nil, fmt.Errorf("%w: the element %q is closed and was not open", ErrDamaged, e.Name.Local)
		}
		t.open = t.open[:len(t.open)-1]
	case xml.Directive:
		return nil, fmt.Errorf("%w: it declares a document type", ErrDamaged)
	}
	return token, nil
}

// failure is the error of a part that cannot be read on.
func (t *tokens) failure(err error) error {
	switch {
	case err == io.EOF && (len(t.open) > 0 || !t.begun):
		return fmt.Errorf("%w: a part breaks off", ErrDamaged)
	case err == io.EOF:
		return io.EOF
	case errors.Is(err, ErrUnpackedSize), errors.Is(err, ErrTextTooLong), errors.Is(err, ErrDamaged):
		return err
	}
	return fmt.Errorf("%w: %v", ErrDamaged, err)
}

func (t *tokens) close() { t.part.Close() }

// attribute returns the value of an attribute, blank when it is absent.
func attribute(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// isTrue reads an attribute that is a yes or a no.
func isTrue(s string) bool { return s == "1" || s == "true" || s == "on" }

// each calls f for every element of a part.
func (b *Book) each(part string, f func(*tokens, xml.StartElement) error) error {
	t, err := b.tokens(part)
	if err != nil {
		return err
	}
	defer t.close()
	for {
		token, err := t.next()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
		if e, ok := token.(xml.StartElement); ok {
			if err := f(t, e); err != nil {
				return err
			}
		}
	}
}
