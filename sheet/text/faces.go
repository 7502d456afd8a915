package text

import (
	"bytes"
	"math"
	"slices"
	"sync"
	"unicode"

	"github.com/go-fonts/dejavu/dejavusans"
	"github.com/go-fonts/dejavu/dejavusansbold"
	"github.com/go-fonts/dejavu/dejavusansmono"
	"github.com/go-text/typesetting/font"
	"github.com/go-text/typesetting/harfbuzz"
)

// units is the size of the em in all three faces.
const units = 2048

// face is a parsed typeface. Shaping and reading outlines use caches inside the library that are not safe for several
// goroutines, hence the lock.
type face struct {
	ttf   []byte
	once  sync.Once
	mu    sync.Mutex
	font  *font.Face
	shape *harfbuzz.Font
	buf   *harfbuzz.Buffer // kept because it remembers how to shape each script
	wide  map[rune]float64 // advance by rune, in em; filled as runes are met
}

var faces = [Faces]*face{{ttf: dejavusans.TTF}, {ttf: dejavusansbold.TTF}, {ttf: dejavusansmono.TTF}}

// names are the families a reader outside would know the faces by.
var names = [Faces]string{"DejaVu Sans", "DejaVu Sans", "DejaVu Sans Mono"}

// Family returns the family name of a face, such as "DejaVu Sans"; the bold has the family of the plain one.
func (f Face) Family() string { return names[f] }

// TTF returns a copy of the face's TrueType file.
func (f Face) TTF() []byte { return slices.Clone(faces[f].ttf) }

// get parses the face on first use and returns it locked; call its mu.Unlock.
func (f Face) get() *face {
	c := faces[f]
	c.once.Do(func() {
		p, err := font.ParseTTF(bytes.NewReader(c.ttf))
		if err != nil {
			panic("text: a built-in face cannot be read: " + err.Error())
		}
		c.font, c.shape, c.buf, c.wide = p, harfbuzz.NewFont(p), harfbuzz.NewBuffer(), map[rune]float64{}
	})
	c.mu.Lock()
	return c
}

// Has reports whether the face has a glyph for r.
func (f Face) Has(r rune) bool {
	c := f.get()
	defer c.mu.Unlock()
	_, ok := c.font.NominalGlyph(r)
	return ok
}

// Advance returns the width of r in em, rounded to thousandths as the PDF format stores it; a rune the face lacks has
// the width of its missing-glyph sign.
func (f Face) Advance(r rune) float64 {
	c := f.get()
	defer c.mu.Unlock()
	if w, ok := c.wide[r]; ok {
		return w
	}
	g, ok := c.font.NominalGlyph(r)
	if !ok {
		g = 0
	}
	w := math.Round(float64(c.font.HorizontalAdvance(g))*1000/units) / 1000
	c.wide[r] = w
	return w
}

// drawable reports whether any face has a glyph for r.
func drawable(r rune) bool {
	for f := range Face(Faces) {
		if f.Has(r) {
			return true
		}
	}
	return false
}

// choose returns the face to draw a whole word with: f if it has every rune, else the first that has, else f.
func choose(f Face, word []rune) Face {
	for _, g := range [...]Face{f, Sans, Bold, Mono} {
		if !slices.ContainsFunc(word, func(r rune) bool { return !ignorable(r) && !g.Has(r) }) {
			return g
		}
	}
	return f
}

// ignorable reports whether r is a sign without ink of its own: joiners, direction marks, variation selectors.
func ignorable(r rune) bool {
	return unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Variation_Selector, r)
}

// direct lists the scripts whose letters stand side by side unchanged, one glyph a rune.
var direct = []*unicode.RangeTable{
	unicode.Latin, unicode.Greek, unicode.Cyrillic, unicode.Armenian, unicode.Georgian, unicode.Common,
}

// plain reports whether r can be written as real text rune by rune: in the basic plane (the PDF fonts here cannot say
// more), of a script that needs no shaping, and no mark or joiner. Presence in a face is asked for separately.
func plain(r rune) bool {
	return r <= 0xFFFF && !unicode.Is(unicode.M, r) && !ignorable(r) && unicode.In(r, direct...)
}

// rightToLeft reports whether r belongs to a script written from right to left that is still in use.
func rightToLeft(r rune) bool {
	return unicode.In(r, unicode.Arabic, unicode.Hebrew, unicode.Syriac, unicode.Thaana, unicode.Nko, unicode.Adlam,
		unicode.Mandaic, unicode.Samaritan, unicode.Hanifi_Rohingya) && !unicode.Is(unicode.Nd, r)
}
