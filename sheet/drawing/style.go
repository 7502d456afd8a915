package drawing

import "clothwright/sheet/text"

// Color is red, green and blue, 0 to 255 each.
type Color struct{ R, G, B uint8 }

// The colours of every sheet. Contrast with white paper in the sense of WCAG 2: black 21, Dark 9.7, Accent 7.4, Mid 4.5
// (computed); words are set in these only. Light and Pale are for rules and grounds.
var (
	Black  = Color{0, 0, 0}
	Dark   = Color{0x44, 0x44, 0x44} // secondary words
	Mid    = Color{0x76, 0x76, 0x76} // construction lines, the smallest side notes
	Light  = Color{0xBD, 0xBD, 0xBD} // rules in tables
	Pale   = Color{0xEF, 0xEF, 0xEF} // grounds
	White  = Color{0xFF, 0xFF, 0xFF}
	Accent = Color{0x9E, 0x2A, 0x2B} // deep red: a stop, a warning, the one thing to look at
)

// Cap is how a line ends.
type Cap uint8

const (
	Butt   Cap = iota // square, at the end point
	Round             // with a half circle beyond it
	Square            // square, half a width beyond it
)

// Style is how a path is drawn. A style without width draws no line, one without fill fills nothing.
type Style struct {
	Width float64   // of the line in mm; 0 draws none
	Color Color     // of the line
	Dash  []float64 // lengths in mm drawn and skipped in turn; nil draws a whole line
	Fill  *Color    // nil leaves the inside as it is
	Cap   Cap
}

// The four line weights, in mm.
const (
	HairWidth   = 0.18
	ThinWidth   = 0.35
	MediumWidth = 0.5
	ThickWidth  = 0.7
)

// Ready styles, black. Derive others with the methods of Style.
var (
	Hair   = Style{Width: HairWidth, Cap: Round}   // dimension and construction lines
	Thin   = Style{Width: ThinWidth, Cap: Round}   // seam lines, frames
	Medium = Style{Width: MediumWidth, Cap: Round} // cut lines
	Thick  = Style{Width: ThickWidth, Cap: Round}  // the one line that matters
)

// In returns the style in another colour.
func (s Style) In(c Color) Style { s.Color = c; return s }

// Dashed returns the style with dashes: lengths in mm drawn and skipped in turn. Its ends become square, since round
// ones would fill the gaps.
func (s Style) Dashed(lengths ...float64) Style { s.Dash, s.Cap = lengths, Butt; return s }

// Filled returns the style with its inside filled.
func (s Style) Filled(c Color) Style { s.Fill = &c; return s }

// Solid is a fill without a line.
func Solid(c Color) Style { return Style{Fill: &c} }

// Anchor says which point of a line of words, or side of a column, its place means.
type Anchor uint8

const (
	Start  Anchor = iota // the left end
	Middle               // the middle
	End                  // the right end
)

// Type is how words are set.
type Type struct {
	Size    float64 // height of the em in mm; capitals are 0.73 of it
	Bold    bool
	Mono    bool // figures of equal width; has no bold
	Color   Color
	Anchor  Anchor
	Turn    float64 // radians about the place, clockwise on the page
	Leading float64 // from baseline to baseline in a paragraph, in em; 0 means 1.35
}

// Ready types, black.
var (
	Title   = Type{Size: 6.5, Bold: true}
	Heading = Type{Size: 4.2, Bold: true}
	Body    = Type{Size: 3.2}
	Strong  = Type{Size: 3.2, Bold: true}
	Small   = Type{Size: 2.6, Color: Dark}
	Tiny    = Type{Size: 2.1, Color: Dark} // labels on marks only; not for reading
)

// Sized returns the type in another size in mm.
func (t Type) Sized(mm float64) Type { t.Size = mm; return t }

// In returns the type in another colour.
func (t Type) In(c Color) Type { t.Color = c; return t }

// At returns the type with another anchor.
func (t Type) At(a Anchor) Type { t.Anchor = a; return t }

// Turned returns the type turned by rad about its place, clockwise on the page.
func (t Type) Turned(rad float64) Type { t.Turn = rad; return t }

// Heavy returns the type in bold.
func (t Type) Heavy() Type { t.Bold = true; return t }

// Face returns the typeface that draws the type.
func (t Type) Face() text.Face {
	switch {
	case t.Mono:
		return text.Mono
	case t.Bold:
		return text.Bold
	}
	return text.Sans
}

// Lay lays out one line of words in the type.
func (t Type) Lay(words string) text.Line { return text.Lay(t.Face(), t.Size, words) }

// Measure returns the width of one line of words in mm.
func (t Type) Measure(words string) float64 { return text.Measure(t.Face(), t.Size, words) }

// Wrap breaks words into lines at most width mm wide.
func (t Type) Wrap(words string, width float64) []string {
	return text.Wrap(t.Face(), t.Size, words, width)
}

// Pitch is the distance from one baseline to the next in a paragraph, in mm.
func (t Type) Pitch() float64 {
	if t.Leading == 0 {
		return 1.35 * t.Size
	}
	return t.Leading * t.Size
}

// drop is the distance from a paragraph's top to its first baseline: half the leading, then the ascent.
func (t Type) drop() float64 {
	return (t.Pitch()-(text.Ascent+text.Descent)*t.Size)/2 + text.Ascent*t.Size
}
