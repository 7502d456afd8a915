package lay

import (
	"math"
	"strings"

	"clothwright/curve"
	"clothwright/phrase"
	"clothwright/piece"
)

// Fold is how a cloth lies on the table.
type Fold string

// The ways of laying.
const (
	Lengthwise Fold = "lengthwise"  // folded once, selvedge on selvedge, right sides together
	PartSingle Fold = "part-single" // folded lengthwise so far as the folded pieces need, right sides together; the rest lies single, right side up
	Open       Fold = "open"        // one layer, right side up
	Crosswise  Fold = "crosswise"   // folded across at y = 0: two layers of the full width, whose nap runs opposite ways
	Tubular    Fold = "tubular"     // knitted in the round: two layers, a fold on either side, no selvedge
)

// Folds are all ways of laying.
var Folds = []Fold{Lengthwise, PartSingle, Open, Crosswise, Tubular}

// layers is how many layers lie on the table.
func (f Fold) layers() int {
	if f == Open {
		return 1
	}
	return 2
}

// Folded reports whether x = 0 is a fold that runs along the cloth.
func (f Fold) Folded() bool { return f == Lengthwise || f == PartSingle || f == Tubular }

// facing reports whether the layers lie with their right sides together, so that the wrong side of the upper one is up. A tube is
// knitted and lies right side out.
func (f Fold) facing() bool { return f == Lengthwise || f == PartSingle || f == Crosswise }

// Cloth is one cloth and how it is laid. Lengths are mm.
type Cloth struct {
	Material piece.Material // which pieces are cut from it
	Name     string         // for people
	Width    float64        // selvedge to selvedge; of a tube: as it lies flat
	Selvedge float64        // along each edge, not to be used; 0 for a tube
	Fold     Fold
	Both     bool    // of a tube: pieces on the fold may lie on either of its folds; else on the left one, as the record's readers expect
	Nap      bool    // nap, pile or a one-way print: every piece runs the same way
	Step     float64 // the shop sells by this length; 0 means to the millimetre
	Price    string  // per metre, exact decimal; empty when not known
	Gap      float64 // between two cuts, and from a fold to a cut beside it; 0 means ChalkGap, less than 0 means none
	Tilt     float64 // degrees off the grain that are allowed, 0 to 5

	// Doubled is, of cloth folded with one part single, how far the edge of the selvedge that is folded over lies from the fold; 0 for
	// what the pieces need. Parted are the pieces cut apart there, in the single part, though they could be cut through two layers; nil for
	// what takes least length. A plan's cloth has what was found in both, and laid again it is folded and parted alike.
	Doubled float64
	Parted  []Parted

	// Along and Across are the repeats of stripes and checks along and across the cloth, 0 for none. Matches says which
	// points of which pieces fall on the same place of the repeat.
	Along, Across float64
	Matches       []Match

	// ShrinkLong and ShrinkWide are the parts of length and width that washing takes, 0.04 for 4 %. When Wash is set the cloth is
	// washed before it is cut, so more is bought and less width is there; else the pieces are cut larger.
	ShrinkLong, ShrinkWide float64
	Wash                   bool

	// Flaws are places not to cut from: x from the left selvedge's inner edge across the open cloth, y from its end. Where
	// cloth lies folded across or as a tube, as it is seen from above. With one part single it is the left selvedge that is folded over.
	Flaws []curve.Rect

	// Length is that of a remnant, 0 for cloth bought by length.
	Length float64
}

// ChalkGap is the room in mm left between two cuts when the cloth says none. A place is read off the tape to the
// sixteenth of an inch or the millimetre, so that two neighbours may each be 0.8 mm off, and chalk and shears take room too.
// Common practice.
const ChalkGap = 2.0

// least is the room in mm always left between two cuts, so that neither flattening nor rounding lets two outlines overlap.
const least = 0.1

func (c *Cloth) gap() float64 {
	switch {
	case c.Gap == 0:
		return ChalkGap
	case c.Gap < least:
		return least
	}
	return c.Gap
}

// flat is the width as the cloth is cut: after washing, when it is washed first.
func (c *Cloth) flat() float64 {
	if c.Wash {
		return float64(c.Width*(1-c.ShrinkWide)) - 2*c.Selvedge
	}
	return c.Width - 2*c.Selvedge
}

// Usable is the width of the lay in mm: half of what lies between the selvedges when the cloth is folded lengthwise, and up to the
// other selvedge when it is folded with one part single.
func (c *Cloth) Usable() float64 {
	switch c.Fold {
	case Lengthwise:
		return c.flat() / 2
	case PartSingle:
		return c.flat() - c.Double()
	}
	return c.flat()
}

// Double is how much of the width of cloth folded with one part single lies double and can be used, mm from the fold. It is
// nought on other cloth.
func (c *Cloth) Double() float64 {
	if c.Fold != PartSingle {
		return 0
	}
	return math.Max(0, c.Doubled-c.Selvedge)
}

// enlarge is by how much pieces are cut larger, across and along.
func (c *Cloth) enlarge() (x, y float64) {
	if c.Wash {
		return 1, 1
	}
	return 1 / (1 - c.ShrinkWide), 1 / (1 - c.ShrinkLong)
}

// widthFor is the width selvedge to selvedge that a lay of this usable width needs.
func (c *Cloth) widthFor(usable float64) float64 {
	if c.Fold == Lengthwise {
		usable *= 2
	}
	return c.outer(usable)
}

// outer is the width of cloth as bought that has so much between its selvedges when it is cut.
func (c *Cloth) outer(flat float64) float64 {
	flat += 2 * c.Selvedge
	if c.Wash {
		flat /= 1 - c.ShrinkWide
	}
	return flat
}

// title is what a sentence calls the cloth.
func (c *Cloth) title() string {
	if c.Name != "" {
		return c.Name
	}
	return strings.ReplaceAll(string(c.Material), "_", " ")
}

// finite reports whether v is a number from lo to hi.
func finite(v, lo, hi float64) bool { return v >= lo && v <= hi } // false for NaN

// longest is the greatest length in mm that a cloth can have here.
const longest = 1e6

// check finds what is wrong with a cloth by itself.
func (c *Cloth) check(say func(float64) string) []piece.Finding {
	var out []piece.Finding
	stop := func(code string, said phrase.Said) {
		out = append(out, piece.Found(piece.Stop, "lay:"+code, phrase.Of("%s: %s", upper(c.title()), said)))
	}
	known := false
	for _, f := range Folds {
		known = known || c.Fold == f
	}
	if !known {
		stop("fold", phrase.Of("the way of laying is %q; lengthwise, part-single, open, crosswise and tubular are allowed.", string(c.Fold)))
	}
	sizes := []struct {
		code, what string
		v, lo, hi  float64
	}{
		{"width", phrase.Word("width"), c.Width, 1, longest}, {"selvedge", phrase.Word("selvedge"), c.Selvedge, 0, longest}, {"step", phrase.Word("shop's step"), c.Step, 0, longest},
		{"gap", phrase.Word("gap between cuts"), math.Max(c.Gap, 0), 0, 100}, {"repeat", phrase.Word("repeat along the cloth"), c.Along, 0, longest}, {"repeat", phrase.Word("repeat across the cloth"), c.Across, 0, longest},
		{"remnant", phrase.Word("remnant's length"), c.Length, 0, longest}, {"doubled", phrase.Word("distance of the selvedge folded over from the fold"), c.Doubled, 0, longest},
	}
	for _, s := range sizes {
		if !finite(s.v, s.lo, s.hi) {
			stop(s.code, phrase.Of("the %s is %s; %s to %s is allowed.", s.what, say(s.v), say(s.lo), say(s.hi)))
		}
	}
	if !finite(c.ShrinkLong, 0, 0.3) {
		stop("shrinkage", phrase.Of("it is said to shrink %g %% long; 0 to 30 %% is allowed.", 100*c.ShrinkLong))
	}
	if !finite(c.ShrinkWide, 0, 0.3) {
		stop("shrinkage", phrase.Of("it is said to shrink %g %% wide; 0 to 30 %% is allowed.", 100*c.ShrinkWide))
	}
	if !finite(c.Tilt, 0, 5) {
		stop("tilt", phrase.Of("a tilt of %g degrees off the grain is allowed; 0 to 5 is what cloth bears.", c.Tilt))
	}
	if len(out) > 0 {
		return out
	}
	if c.flat() <= 0 {
		stop("width", phrase.Of("%s wide with selvedges of %s leaves nothing to cut from.", say(c.Width), say(c.Selvedge)))
	}
	if most := c.flat()/2 + c.Selvedge; c.Fold == PartSingle && c.Doubled > 0 && !finite(c.Doubled, c.Selvedge+1, most) {
		stop("doubled", phrase.Of("the selvedge folded over is said to lie %s from the fold; more than its own width %s, and at most half the cloth, %s, is allowed.", say(c.Doubled), say(c.Selvedge), say(most)))
	}
	if c.Nap && c.Fold == Crosswise {
		stop("nap", phrase.Of("folded across, the nap of the upper layer runs against that of the lower; fold it lengthwise or lay it open."))
	}
	if c.Across > c.flat() {
		stop("repeat", phrase.Of("the repeat across is %s and only %s of width can be used; no second piece could be matched.", say(c.Across), say(c.flat())))
	}
	if c.Length > 0 && c.Along > c.Length {
		stop("repeat", phrase.Of("the repeat along is %s and the remnant is %s long; no second piece could be matched.", say(c.Along), say(c.Length)))
	}
	for i, f := range c.Flaws {
		if !(f.W() > 0 && f.H() > 0) || math.IsInf(f.W(), 0) || math.IsInf(f.H(), 0) {
			stop("flaw", phrase.Of("flaw %d has no size; it needs a width and a length.", i+1))
		}
	}
	return out
}

// upper begins a sentence.
func upper(s string) string {
	if s != "" && s[0] >= 'a' && s[0] <= 'z' {
		return string(s[0]-'a'+'A') + s[1:]
	}
	return s
}

// flawsLaid are the flaws as they lie in the lay.
func (c *Cloth) flawsLaid() []curve.Rect {
	middle := c.flat() / 2
	switch c.Fold {
	case Lengthwise:
	case PartSingle:
		middle = c.Double()
	default:
		return c.Flaws
	}
	out := make([]curve.Rect, 0, len(c.Flaws))
	for _, f := range c.Flaws {
		a, b := f.Min.X-middle, f.Max.X-middle
		if a < 0 && b > 0 { // across the fold
			a, b = 0, math.Max(-a, b)
		} else {
			a, b = math.Min(math.Abs(a), math.Abs(b)), math.Max(math.Abs(a), math.Abs(b))
		}
		out = append(out, curve.Rect{Min: curve.Point{X: a, Y: f.Min.Y}, Max: curve.Point{X: b, Y: f.Max.Y}})
	}
	return out
}
