package draft

import (
	"sort"

	"clothwright/tape"
)

// House is the habits of one workroom: its tape, what it adds to which edge, its ribs, the zips on its shelf
// and the cloth it buys. Lengths are millimetres.
type House struct {
	Name       string
	Tape       tape.Tape
	Paper      string             // "A4" or "Letter"
	Roll       float64            // width of the plotter's roll, 0 when there is none
	Allowances map[string]float64 // by kind of edge; "other" for every kind not named
	Ribs       map[string]RibHabit
	ReadyBand  float64   // height of the ready band as bought
	RibTube    float64   // flat width of the rib by the metre (a tube counts double), 0 when not stocked
	RibSeam    float64   // allowance on each long edge of a rib
	RibStretch float64   // how much longer the rib gets when pulled to first firm resistance: 0.5 is half as long again
	Zips       []float64 // separating zips on the shelf, rising
	Cloths     []Cloth
}

// RibHabit is how one rib is cut against the seam it is sewn to.
type RibHabit struct {
	Ratio float64 // rib length over seam length
	Least float64 // a script may lower the ratio to this, where it must
	Most  float64 // or raise it to this
}

// Cloth is one cloth as it lies in the shop or on the shelf.
type Cloth struct {
	Material string
	Name     string
	Width    float64 // mm, selvedge to selvedge
	Selvedge float64 // mm along each edge that cannot be used
	Fold     string  // "lengthwise", "part-single", "open", "crosswise", "tubular"
	Doubled  float64 // of cloth with one part single: how far from the fold the edge of the selvedge folded over lies; 0 for what the pieces need
	Both     bool    // of a tube: pieces on the fold may lie on either of its folds
	Nap      bool    // every piece runs the same way
	Step     float64 // the shop sells by this length, mm
	Price    string  // per metre, exact decimal, in the house's currency; empty when not stated

	RepeatLong, RepeatWide float64 // mm, of stripes or checks, along and across the cloth; 0 for none
	Gap                    float64 // mm to leave between two cuts; 0 for the lay's own
	Tilt                   float64 // degrees off the grain that are allowed
	ShrinkLong, ShrinkWide float64 // parts of length and width that washing takes: 0.04 is 4 in 100
	WashFirst              bool    // washed before it is cut; else the pieces are cut larger
	Flaws                  []Flaw
	Remnant                float64 // mm, the length there is of it; 0 for cloth bought by length
}

// Flaw is a place not to cut from, in mm: x from the left selvedge's inner edge, y from the cloth's end.
type Flaw struct{ X, Y, Wide, Long float64 }

// Allowance is what the house adds outside a kind of edge.
func (h *House) Allowance(kind string) float64 {
	if a, ok := h.Allowances[kind]; ok {
		return a
	}
	return h.Allowances["other"]
}

// ZipFor is the longest zip on the shelf that is not longer than the edge; ok is false when there is none.
func (h *House) ZipFor(edge float64) (length float64, ok bool) {
	i := sort.SearchFloat64s(h.Zips, edge+0.5)
	if i == 0 {
		return 0, false
	}
	return h.Zips[i-1], true
}

// AllowanceKinds are the kinds of edge a house may give an allowance for, with what each is.
var AllowanceKinds = []struct{ Kind, What string }{
	{"shoulder", "shoulder seams"},
	{"side", "side seams"},
	{"armhole", "armholes and sleeve caps"},
	{"sleeve", "sleeve seams"},
	{"neck", "necklines"},
	{"zip", "front edges, where the zip is set"},
	{"hem", "the edge the hem rib is sewn to"},
	{"cuff", "the sleeve hem, where the cuff is sewn"},
	{"block", "the foot and the inner side of the front block"},
	{"facing", "the inner edge of the facing"},
	{"pocket", "welts and pocket bags"},
	{"turned", "an edge that is turned in and stitched"},
	{"padding", "padding, where it is caught in a seam"},
	{"other", "every edge not named here"},
}

// Standard is a house for those who have not written their own: an inch tape in eighths and half-inch seams.
// Every figure is common practice, no source, but the rib ratios, which lie in the bands of the Sewing & Craft
// Alliance leaflet on ribbing (2/3 to 3/4 of the edge at a neck or cuff).
func Standard() House {
	const in = tape.Inch
	return House{
		Name: "standard", Tape: tape.Tape{Unit: tape.IN, Step: in / 8}, Paper: "A4", Roll: 914.4,
		Allowances: map[string]float64{"other": in / 2, "padding": 0},
		Ribs: map[string]RibHabit{
			"cuff":   {Ratio: 0.70, Least: 2.0 / 3, Most: 0.90},
			"hem":    {Ratio: 0.80, Least: 0.70, Most: 0.95},
			"collar": {Ratio: 0.90, Least: 0.80, Most: 0.98},
		},
		ReadyBand: 3 * in, RibTube: 0, RibSeam: in / 2, RibStretch: 0.6,
		Zips: []float64{14 * in, 16 * in, 18 * in, 20 * in, 22 * in, 24 * in, 26 * in, 28 * in, 30 * in},
		Cloths: []Cloth{
			{Material: "shell", Name: "shell cloth", Width: 45 * in, Selvedge: in / 2, Fold: "lengthwise", Step: 36 * in / 8},
			{Material: "lining", Name: "lining", Width: 54 * in, Selvedge: in / 2, Fold: "lengthwise", Step: 36 * in / 8},
			{Material: "padding", Name: "fusible fleece", Width: 45 * in, Selvedge: 0, Fold: "lengthwise", Step: 36 * in / 8},
		},
	}
}
