package plots

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/draw"
	"image/png"
	"math"
)

// pngDPI is what journals commonly ask of pictures at least (common practice).
const pngDPI = 300

// encodePNG writes a picture that states its resolution, its title and its
// description.
func encodePNG(r *recording, info sheetInfo) ([]byte, error) {
	dots := func(v float64) int { return int(math.Ceil(v * pngDPI / 72)) }
	img := blank(dots(float64(info.w)), dots(float64(info.h)))
	r.replay(&imageCanvas{img: img, scale: pngDPI / 72.0, h: float64(info.h)})
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		return nil, fmt.Errorf("plots: writing PNG: %w", err)
	}
	const head = 8 + 12 + 13 // signature and header come first
	out := append([]byte(nil), b.Bytes()[:head]...)
	out = append(out, chunk("pHYs", resolution())...)
	out = append(out, chunk("iTXt", pngText("Title", info.name))...)
	out = append(out, chunk("iTXt", pngText("Description", info.description))...)
	return append(out, b.Bytes()[head:]...), nil
}

// blank returns a white picture.
func blank(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(img, img.Bounds(), image.White, image.Point{}, draw.Src)
	return img
}

// resolution is the content of the chunk pHYs: pixels per metre across and down.
func resolution() []byte {
	perMetre := uint32(math.Round(pngDPI / 0.0254))
	out := binary.BigEndian.AppendUint32(nil, perMetre)
	out = binary.BigEndian.AppendUint32(out, perMetre)
	return append(out, 1)
}

// pngText is the content of the chunk iTXt: uncompressed, in no stated language.
func pngText(keyword, s string) []byte {
	return append([]byte(keyword+"\x00\x00\x00\x00\x00"), s...)
}

// chunk frames a chunk of a PNG file (ISO/IEC 15948, 5.3).
func chunk(kind string, content []byte) []byte {
	out := binary.BigEndian.AppendUint32(nil, uint32(len(content)))
	out = append(append(out, kind...), content...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[4:]))
}
