// Package bitmap draws one page of a drawing as dots and writes it as a PNG file (W3C Portable Network Graphics), small
// enough to send in a message: an A4 page of [Phone] dots across has 20 to 70 kB.
//
// Everything is ink on white paper. Words are drawn as outlines from the faces that the PDF has in it, lines with their
// own width, clips and turned groups as in the other writers. How much of a dot an outline covers is counted in whole
// numbers (16 lines to a dot, 256 steps along each), so that the same page gives the same bytes on every processor.
// Each of red, green and blue has 16 steps: enough for the eye on black type, and most pages then fit into a palette.
//
// A PNG file cannot be searched, copied from or printed to size: it goes beside the PDF file, not in its place. Its
// resolution is in it (pHYs), so that a reader who prints it gets the page's size.
package bitmap

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"

	"clothwright/sheet/drawing"
)

// Phone is how many dots across a page is to have for a message: the common width of a telephone's screen held upright
// (common practice). An A4 page has 130 dots to the inch then, and its body type is 16 dots high.
const Phone = 1080

// Most is how many dots a picture may have in all: larger ones are refused by many programs that show messages, and would
// fill a small machine's memory (common practice, no source).
const Most = 40_000_000

// longest is the most dots along one side.
const longest = 1 << 15

// Write writes the page to w, dots wide. It fails with a sentence for the user when the page has no size or the picture
// would be too large, and with w's error when w fails.
func Write(w io.Writer, p *drawing.Page, dots int) error {
	b, err := Bytes(p, dots)
	if err != nil {
		return err
	}
	_, err = w.Write(b)
	return err
}

// Bytes returns the page as a PNG file, dots wide. See [Write] for its errors.
func Bytes(p *drawing.Page, dots int) ([]byte, error) {
	picture, err := Draw(p, dots)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&out, indexed(picture)); err != nil {
		return nil, fmt.Errorf("the picture could not be written: %w", err)
	}
	return sized(out.Bytes(), float64(picture.Rect.Dx())/p.W), nil
}

// Draw draws the page, dots wide and as high as the page asks for.
func Draw(p *drawing.Page, dots int) (*image.NRGBA, error) {
	if !(p.W > 0 && p.H > 0) {
		return nil, fmt.Errorf("the page is %g x %g mm: both sides must be more than 0", p.W, p.H)
	}
	high := math.Round(float64(dots) * p.H / p.W)
	if dots < 1 || high < 1 || dots > longest || high > longest || float64(dots)*high > Most {
		most := math.Floor(math.Min(math.Min(longest, longest*p.W/p.H), math.Sqrt(Most*p.W/p.H)))
		return nil, fmt.Errorf("a picture of a page of %g x %g mm cannot be %d dots wide; %.0f to %.0f dots are allowed", p.W, p.H, dots, math.Max(1, math.Ceil(p.W/p.H/2)), most)
	}
	c := newCanvas(dots, int(high))
	c.items(p.Items, c.fit(p.W, p.H), nil)
	return c.picture, nil
}

// step is between two of the 16 steps of a channel.
const step = 17

// indexed is the picture in 16 steps a channel, with a palette where its colours fit into one.
func indexed(from *image.NRGBA) image.Image {
	at := map[color.NRGBA]uint8{}
	var palette color.Palette
	small := image.NewPaletted(from.Rect, nil)
	fits := true
	for i := 0; i < len(from.Pix); i += 4 {
		px := from.Pix[i : i+4 : i+4]
		for k := range 3 {
			px[k] = uint8((int(px[k]) + step/2) / step * step)
		}
		if !fits {
			continue
		}
		c := color.NRGBA{px[0], px[1], px[2], 255}
		n, known := at[c]
		if !known {
			if len(palette) == 256 {
				fits = false
				continue
			}
			n = uint8(len(palette))
			at[c] = n
			palette = append(palette, c)
		}
		small.Pix[i/4] = n
	}
	if !fits {
		return from
	}
	small.Palette = palette
	return small
}

// sized puts the resolution into a PNG file: a pHYs chunk behind the header, which has 33 bytes with the signature.
func sized(file []byte, dotsPerMM float64) []byte {
	const header = 33
	chunk := binary.BigEndian.AppendUint32(nil, 9)
	chunk = append(chunk, "pHYs"...)
	n := uint32(math.Round(dotsPerMM * 1000))
	chunk = binary.BigEndian.AppendUint32(chunk, n)
	chunk = binary.BigEndian.AppendUint32(chunk, n)
	chunk = append(chunk, 1) // the unit is the metre
	chunk = binary.BigEndian.AppendUint32(chunk, crc32.ChecksumIEEE(chunk[4:]))
	return append(append(append([]byte{}, file[:header]...), chunk...), file[header:]...)
}
