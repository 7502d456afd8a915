// Package truing says what must agree before the scissors, and whether it does.
//
// True walks a pattern and returns findings in plain sentences with their figures: seams whose two sides do not go together,
// notches that do not meet, outlines that turn a corner where two pieces are joined, a garment too tight for its body,
// outlines that cannot be cut, and whatever the pattern leaves unsaid. A finding of level piece.Stop means: do not cut. An
// empty answer means that everything checked agrees. Codes lists every finding there is.
//
// Truing reads only the pattern. It changes nothing, draws each cut line afresh rather than trust the one that is
// kept, and gives the same findings in the same order for the same pattern. What the garment script itself had
// to say (Pattern.Said) is not repeated here.
package truing

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"clothwright/phrase"
	"clothwright/piece"
)

// Unit says lengths in the user's unit; a tape.Tape is one. Format rounds to the workroom's tape, Fine to a finer division.
type Unit interface {
	Format(mm float64) string
	Fine(mm float64) string
}

// Tolerances and limits, in mm and radians. All are common practice in the workroom unless their line says otherwise.
const (
	PlainTolerance  = 1.0                 // by which the sides of a plain seam may differ
	EaseShort       = 0.1                 // by which the eased side may fall short of the other, for what arithmetic loses
	RibTolerance    = 0.01                // share of the rib's length by which it may differ
	RibLeast        = 2.0                 // mm by which it may differ in any case: it is chalked to the tape's marks
	KinkWarn        = 3 * math.Pi / 180   // corner in a joined outline that the eye begins to see
	KinkStop        = 8 * math.Pi / 180   // corner that shows in the finished garment
	SquareMeant     = 12 * math.Pi / 180  // off square at a fold by more than this is a point that is wanted, as a V neck
	TinyEdge        = 3.0                 // an edge shorter than this is more likely a slip than a seam
	CopyTolerance   = 0.1                 // by which the seam line of a copy may stray from its original
	ZipLong         = 0.5                 // by which a zip may be longer than its edge
	ZipStep         = 50.8                // zips for jackets are stocked about every 2 in
	grainOutside    = 0.5                 // by which a grainline drawn on the border may stray out
	lengthTolerance = PlainTolerance / 10 // in which a stated length may differ from the measured one
)

// True returns everything that does not agree, the gravest first.
func True(p *piece.Pattern, u Unit) []piece.Finding {
	w := newWalk(p, u)
	w.names()
	w.pieces()
	for i := range p.Seams {
		w.seam(&p.Seams[i])
	}
	w.unsaid()
	w.unmated()
	w.worn()
	w.notions()
	slices.SortStableFunc(w.found, func(a, b piece.Finding) int { return b.Level.Rank() - a.Level.Rank() })
	return w.found
}

// walk is one pass over a pattern.
type walk struct {
	p     *piece.Pattern
	u     Unit
	at    map[piece.Ref]*place
	mated map[*piece.Notch]bool
	found []piece.Finding
}

// place is an edge, or a line inside a piece, that a seam or a notion may name.
type place struct {
	ref    piece.Ref
	piece  *piece.Piece
	edge   *piece.Edge // nil for a line inside
	prev   *place      // the edges before and after it round the piece; nil for a line inside
	next   *place
	length float64
	n      int   // how many of it there are in the garment
	use    []use // by layer, how many of them are sewn
	in     []int // twice the number of each seam it is in, and 1 more on the second side
	badRef bool  // a seam that names it could not be followed, so that its use is not known
}

// use counts the edges sewn in one layer.
type use struct {
	layer string
	n     int
}

func newWalk(p *piece.Pattern, u Unit) *walk {
	n := 0
	for i := range p.Pieces {
		n += len(p.Pieces[i].Edges) + len(p.Pieces[i].Lines)
	}
	w := &walk{p: p, u: u, at: make(map[piece.Ref]*place, n), mated: map[*piece.Notch]bool{}}
	places := make([]place, 0, n)
	add := func(x place) {
		places = append(places, x)
		if _, taken := w.at[x.ref]; !taken {
			w.at[x.ref] = &places[len(places)-1]
		}
	}
	for i := range p.Pieces {
		q := &p.Pieces[i]
		halves := q.Count
		if q.OnFold {
			halves *= 2
		}
		first := len(places)
		for k := range q.Edges {
			e := &q.Edges[k]
			add(place{ref: refTo(q.Name, e.Name), piece: q, edge: e, length: e.Length(), n: halves})
		}
		for k, edges := 0, places[first:]; k < len(edges); k++ {
			edges[k].next = &edges[(k+1)%len(edges)]
			edges[k].prev = &edges[(k+len(edges)-1)%len(edges)]
		}
		for k := range q.Lines {
			add(place{ref: refTo(q.Name, q.Lines[k].Name), piece: q, length: q.Lines[k].Path.Length(), n: halves})
		}
	}
	for i := range p.Seams {
		for half, refs := range [2][]piece.Ref{p.Seams[i].A, p.Seams[i].B} {
			for _, r := range refs {
				if x := w.at[r]; x != nil {
					x.in = append(x.in, 2*i+half)
				}
			}
		}
	}
	return w
}

func refTo(pieceName, edgeName string) piece.Ref { return piece.Ref(pieceName + "." + edgeName) }

// say records a finding about the places named.
func (w *walk) say(level piece.Level, code string, said phrase.Said, refs ...piece.Ref) {
	f := piece.Found(level, code, said)
	for _, r := range refs {
		if w.at[r] != nil && w.at[r].edge != nil && !slices.Contains(f.Edges, r) {
			f.Edges = append(f.Edges, r)
		}
		if name := r.Piece(); w.p.Piece(name) != nil && !slices.Contains(f.Pieces, name) {
			f.Pieces = append(f.Pieces, name)
		}
	}
	w.found = append(w.found, f)
}

// sayOf records a finding about a whole piece.
func (w *walk) sayOf(q *piece.Piece, level piece.Level, code string, said phrase.Said) {
	w.found = append(w.found, piece.Found(level, code, said, q.Name))
}

// small says a length of which tenths of a millimetre matter: "2.3 mm", and to a tape in inches "2.3 mm (1/16 in)".
func (w *walk) small(mm float64) string {
	s := fmt.Sprintf("%.1f mm", mm)
	if f := w.u.Fine(mm); strings.HasSuffix(f, " in") && f != "0 in" {
		return s + " (" + f + ")"
	}
	return s
}

func degrees(rad float64) string { return fmt.Sprintf("%.1f°", rad*180/math.Pi) }
