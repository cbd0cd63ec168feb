package registry

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"hash"
	"slices"
	"strconv"

	"vialwise/bioassay"
)

// tuple is a row of fields as bytes to be hashed: each field with its length
// before it, so that no two rows look the same.
type tuple []byte

func (t tuple) text(s string) tuple {
	t = strconv.AppendInt(t, int64(len(s)), 10)
	t = append(t, ':')
	return append(append(t, s...), ',')
}

func (t tuple) texts(list ...string) tuple {
	for _, s := range list {
		t = t.text(s)
	}
	return t
}

func (t tuple) int(n int64) tuple {
	var digits [20]byte
	return t.text(string(strconv.AppendInt(digits[:0], n, 10)))
}

// float adds the shortest digits that give the number back.
func (t tuple) float(v float64) tuple {
	var digits [32]byte
	return t.text(string(strconv.AppendFloat(digits[:0], v, 'g', -1, 64)))
}

// hash returns the SHA-256 of the bytes in hexadecimal.
func (t tuple) hash() string {
	sum := sha256.Sum256(t)
	return hex.EncodeToString(sum[:])
}

func optionalText(o bioassay.Optional) string {
	if !o.Known {
		return ""
	}
	return strconv.FormatFloat(o.Value, 'g', -1, 64)
}

// hashes are those of one object: of what it says, and of how it is kept.
type hashes struct{ content, record string }

// assayHashes hashes an assay that has been cleaned.
//
// The content hash is blind to the name, to the order of the containers, to the
// spelling of a concentration and to the origin, none of which changes what was
// counted.
func assayHashes(a *bioassay.Assay) hashes {
	head := make(tuple, 0, 256)
	for _, f := range assayFields {
		head = head.text(f.text(a))
	}
	record := make(tuple, 0, len(head)+128*len(a.Containers)).text(a.Name)
	record = append(record, head...)
	contents := make([]string, len(a.Containers))
	for i := range a.Containers {
		c := &a.Containers[i]
		content := containerContent(make(tuple, 0, 128), c)
		contents[i] = string(content)
		record = append(record, content...)
		record = record.text(c.ConcentrationText).int(int64(c.Source.Line))
	}
	slices.Sort(contents)
	for _, c := range contents {
		head = append(head, c...)
	}
	return hashes{head.hash(), record.hash()}
}

// containerContent adds what a container says.
func containerContent(t tuple, c *bioassay.Container) tuple {
	return t.text(c.Label).float(c.Concentration).
		int(int64(c.Exposed)).int(int64(c.Dead)).int(int64(c.Moribund)).int(int64(c.Missing)).
		texts(c.MiteSource, c.CappedBrood.String(), c.TestedBlind.String(), c.Note, extraText(c.Extra))
}

// apiaryHashes hashes an apiary that has been cleaned.
func apiaryHashes(a *bioassay.Apiary) hashes {
	t := make(tuple, 0, 128)
	for _, f := range apiaryFields {
		t = t.text(f.text(a))
	}
	content := t.hash()
	return hashes{content, t.text(a.Code).int(int64(a.Source.Line)).hash()}
}

// extraText writes the cells of unknown columns, nothing when there are none.
func extraText(fields []bioassay.Field) string {
	if len(fields) == 0 {
		return ""
	}
	pairs := make([][2]string, len(fields))
	for i, f := range fields {
		pairs[i] = [2]string{f.Name, f.Value}
	}
	text, err := json.Marshal(pairs)
	if err != nil {
		panic("registry: strings always marshal: " + err.Error())
	}
	return string(text)
}

// parseExtra reads what extraText wrote, and nothing else.
func parseExtra(text string) ([]bioassay.Field, error) {
	if text == "" {
		return nil, nil
	}
	var pairs [][2]string
	if err := json.Unmarshal([]byte(text), &pairs); err != nil {
		return nil, fmt.Errorf("extra cells %q: %w", text, err)
	}
	fields := make([]bioassay.Field, len(pairs))
	for i, p := range pairs {
		fields[i] = bioassay.Field{Name: p[0], Value: p[1]}
	}
	if back := extraText(fields); back != text {
		return nil, fmt.Errorf("extra cells %q are not written as the registry writes them", text)
	}
	return fields, nil
}

// bytes is text without a conversion.
func (t tuple) bytes(b []byte) tuple {
	t = strconv.AppendInt(t, int64(len(b)), 10)
	t = append(t, ':')
	return append(append(t, b...), ',')
}

// summer hashes many rows without holding them.
type summer struct{ hash.Hash }

func newSummer() *summer { return &summer{sha256.New()} }

func (s *summer) add(t tuple) { s.Write(t) }

func (s *summer) hash() string { return hex.EncodeToString(s.Sum(nil)) }
