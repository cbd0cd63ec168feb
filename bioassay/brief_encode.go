package bioassay

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"

	"vialwise/doseresp"
)

// briefFormat is the first byte of an encoded Brief. It changes with the layout.
const briefFormat = 1

// numbers are the fields of a Brief that are encoded as 64 bits, in order.
func (b *Brief) numbers() []*float64 {
	return []*float64{
		&b.LC50.Estimate, &b.LC50.Lower, &b.LC50.Upper, &b.Log, &b.LogSE,
		&b.Ratio.Estimate, &b.Ratio.Lower, &b.Ratio.Upper,
		&b.Fraction.Estimate, &b.Fraction.Lower, &b.Fraction.Upper, &b.FractionP,
	}
}

func (b *Brief) whole() []*int { return []*int{&b.Mites, &b.Controls, &b.Concentrations, &b.DF} }

func (b *Brief) flags() []*bool { return []*bool{&b.Posterior, &b.WholeShift, &b.Single} }

// MarshalBinary returns a Brief as bytes, of which UnmarshalBinary makes an equal
// one: for results that are kept beside the counts.
func (b *Brief) MarshalBinary() ([]byte, error) {
	out := []byte{briefFormat, byte(b.Status), byte(b.Censored), byte(b.RatioCensored), byte(b.Difference), byte(b.Natural)}
	flags := byte(0)
	for i, f := range b.flags() {
		if *f {
			flags |= 1 << i
		}
	}
	out = append(out, flags)
	for _, n := range b.whole() {
		out = binary.AppendVarint(out, int64(*n))
	}
	for _, x := range b.numbers() {
		out = binary.LittleEndian.AppendUint64(out, math.Float64bits(*x))
	}
	for _, p := range b.Bands {
		out = binary.LittleEndian.AppendUint64(out, math.Float64bits(p))
	}
	return out, nil
}

// errBrief says that bytes are no Brief of this layout.
var errBrief = errors.New("bioassay: not an encoded Brief of this version")

// UnmarshalBinary reads what MarshalBinary wrote.
func (b *Brief) UnmarshalBinary(data []byte) error {
	const head = 7
	if len(data) < head || data[0] != briefFormat {
		return errBrief
	}
	*b = Brief{
		Status: doseresp.Status(data[1]), Censored: doseresp.Censoring(data[2]), RatioCensored: doseresp.Censoring(data[3]),
		Difference: doseresp.Difference(data[4]), Natural: Natural(data[5]),
	}
	if data[2] > byte(doseresp.Unplaced) || data[3] > byte(doseresp.Unplaced) || data[4] > byte(doseresp.Undecided) || data[5] > byte(NaturalBelow) {
		return errBrief
	}
	for i, f := range b.flags() {
		*f = data[6]&(1<<i) != 0
	}
	rest := data[head:]
	for _, n := range b.whole() {
		x, size := binary.Varint(rest)
		if size <= 0 {
			return errBrief
		}
		*n, rest = int(x), rest[size:]
	}
	numbers := b.numbers()
	if len(rest)%8 != 0 || len(rest) < 8*len(numbers) {
		return fmt.Errorf("%w: %d bytes of numbers", errBrief, len(rest))
	}
	for _, x := range numbers {
		*x, rest = math.Float64frombits(binary.LittleEndian.Uint64(rest)), rest[8:]
	}
	for ; len(rest) > 0; rest = rest[8:] {
		b.Bands = append(b.Bands, math.Float64frombits(binary.LittleEndian.Uint64(rest)))
	}
	return nil
}
