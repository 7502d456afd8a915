package truing

import (
	"errors"
	"strings"

	"clothwright/curve"
	"clothwright/phrase"
	"clothwright/piece"
)

// names finds names that are missing, said twice, or that a reference could not reach.
func (w *walk) names() {
	seen := map[string]bool{}
	for i := range w.p.Pieces {
		q := &w.p.Pieces[i]
		switch {
		case q.Name == "":
			w.sayOf(q, piece.Stop, "name:", phrase.Of("piece %d has no name; give it one", i+1))
		case strings.Contains(q.Name, "."):
			w.sayOf(q, piece.Stop, "name:"+q.Name, phrase.Of("%s: the name of a piece may not hold a point", q.Name))
		case seen[q.Name]:
			w.sayOf(q, piece.Stop, "name:"+q.Name, phrase.Of("%s: two pieces have this name; each needs its own", q.Name))
		}
		seen[q.Name] = true
		w.namesWithin(q)
	}
	clear(seen)
	for i := range w.p.Seams {
		s := &w.p.Seams[i]
		if s.Name == "" || seen[s.Name] {
			said := phrase.Of("%s: two seams have this name; each needs its own", s.Name)
			if s.Name == "" {
				said = phrase.Of("seam %d has no name; give it one", i+1)
			}
			w.say(piece.Stop, "name:"+s.Name, said, append(append([]piece.Ref(nil), s.A...), s.B...)...)
		}
		seen[s.Name] = true
	}
}

func (w *walk) namesWithin(q *piece.Piece) {
	var said []string
	check := func(kind, name string) {
		for _, s := range said {
			if s == name && name != "" {
				w.sayOf(q, piece.Stop, "name:"+q.Name+"."+name, phrase.Of("%s: two edges or lines of the piece have this name; each needs its own", refTo(q.Name, name)))
				return
			}
		}
		if name == "" && kind == "edge" {
			w.sayOf(q, piece.Stop, "name:"+q.Name+".", phrase.Of("%s: one of its edges has no name; give it one", q.Name))
		}
		said = append(said, name)
	}
	for k := range q.Edges {
		check("edge", q.Edges[k].Name)
	}
	for k := range q.Lines {
		check("line", q.Lines[k].Name)
	}
}

// pieces checks each piece by itself.
func (w *walk) pieces() {
	for i := range w.p.Pieces {
		q := &w.p.Pieces[i]
		w.stated(q)
		if w.outline(q) {
			w.grain(q)
			w.squareAtFold(q)
		}
		w.copied(q)
		for k := range q.Notches {
			w.notchPlace(q, &q.Notches[k])
		}
	}
}

// stated checks count, material and fold.
func (w *walk) stated(q *piece.Piece) {
	if q.Material == "" {
		w.sayOf(q, piece.Stop, "material:"+q.Name, phrase.Of("%s: its material is not stated", q.Name))
	}
	switch {
	case q.Count < 1:
		w.sayOf(q, piece.Stop, "count:"+q.Name, phrase.Of("%s: its count is %d; it must be 1 or more", q.Name, q.Count))
	case q.Pair && q.Count%2 != 0:
		w.sayOf(q, piece.Stop, "count:"+q.Name, phrase.Of("%s: it is cut in pairs, but its count is %d; it must be even", q.Name, q.Count))
	case q.Pair && q.OnFold:
		w.sayOf(q, piece.Stop, "count:"+q.Name, phrase.Of("%s: it is cut on the fold, so it cannot be cut in mirrored pairs as well", q.Name))
	}
	folds := 0
	for k := range q.Edges {
		if q.Edges[k].Finish == piece.Fold {
			folds++
		}
	}
	switch {
	case q.OnFold && folds != 1:
		w.sayOf(q, piece.Stop, "fold:"+q.Name, phrase.Of("%s: it is cut on the fold, but %d of its edges lie on the fold; it must be one", q.Name, folds))
	case !q.OnFold && folds > 0:
		w.sayOf(q, piece.Stop, "fold:"+q.Name, phrase.Of("%s: one of its edges lies on the fold, but the piece is not stated to be cut on the fold", q.Name))
	}
}

// outline draws the cut line of a copy of the piece and reports whether the outline is sound.
func (w *walk) outline(q *piece.Piece) bool {
	trial := *q
	if err := trial.Finish(); err != nil {
		refs := []piece.Ref{refTo(q.Name, "")}
		var f *piece.Fault
		if errors.As(err, &f) && f.Edge != "" {
			refs[0] = refTo(q.Name, f.Edge)
		}
		w.say(piece.Stop, "outline:"+q.Name, phrase.From(err), refs...)
		return false
	}
	for k := range q.Edges {
		e := &q.Edges[k]
		if l := w.lengthOf(q, k); l < TinyEdge {
			r := refTo(q.Name, e.Name)
			w.say(piece.Warn, "tiny:"+string(r), phrase.Of("%s: it is only %s long; an edge under %s is likely a slip of the draft", r, w.small(l), w.small(TinyEdge)), r)
		}
	}
	return true
}

func (w *walk) lengthOf(q *piece.Piece, k int) float64 {
	if x := w.at[refTo(q.Name, q.Edges[k].Name)]; x != nil && x.edge == &q.Edges[k] {
		return x.length
	}
	return q.Edges[k].Length()
}

// grain checks that the grainline is there and lies in the piece.
func (w *walk) grain(q *piece.Piece) {
	a, b := q.Grain[0], q.Grain[1]
	if !(a.Dist(b) > curve.Snap) {
		w.sayOf(q, piece.Stop, "grain:"+q.Name, phrase.Of("%s: it has no grainline", q.Name))
		return
	}
	seam := q.SeamLine()
	pts := seam.Flatten(0.1)
	if n := len(pts) - 1; n > 0 {
		pts = pts[:n]
	}
	const parts = 8
	for i := 0; i <= parts; i++ {
		at := a.Lerp(b, float64(i)/parts)
		if curve.Contains(pts, at) {
			continue
		}
		if _, off := seam.Nearest(at); off > grainOutside {
			w.sayOf(q, piece.Warn, "grain:"+q.Name, phrase.Of("%s: its grainline runs %s outside the piece", q.Name, w.small(off)))
			return
		}
	}
}

// unsaid finds edges that are neither sewn nor finished, and edges sewn too often or not often enough.
func (w *walk) unsaid() {
	for i := range w.p.Pieces {
		q := &w.p.Pieces[i]
		for k := range q.Edges {
			e := &q.Edges[k]
			if x := w.at[refTo(q.Name, e.Name)]; x != nil && x.edge == e {
				w.unsaidEdge(x)
			}
		}
		w.spare(q)
	}
}

// spare finds a piece of which more is cut than the seams take.
func (w *walk) spare(q *piece.Piece) {
	for k := range q.Edges {
		x := w.at[refTo(q.Name, q.Edges[k].Name)]
		for _, u := range x.use {
			if u.n < x.n && !x.badRef {
				w.say(piece.Stop, "pairs:"+q.Name, phrase.Of("%s: it is there %s, but the seams take it only %s; the counts of the pieces do not go together", x.ref, times(x.n), times(u.n)), x.ref)
				return // one edge tells of all
			}
		}
	}
}

func (w *walk) unsaidEdge(x *place) {
	r := string(x.ref)
	folds := x.edge.Finish == piece.Fold || x.edge.Finish == piece.TurnUp
	if len(x.use) == 0 && !x.badRef && x.edge.Finish == piece.Sewn {
		w.say(piece.Stop, "open:"+r, phrase.Of("%s: no seam takes this edge and it is not said how it is finished", r), x.ref)
	}
	for _, u := range x.use {
		switch {
		case folds:
			w.say(piece.Stop, "twice:"+r, phrase.Of("%s: it lies on a fold, so no seam can take it", r), x.ref)
			return
		case u.n > x.n:
			said := phrase.Of("%s: the seams take this edge %s, but it is cut %s", r, times(u.n), times(x.n))
			if u.layer != "" {
				said = phrase.Of("%s: the seams of the %s take this edge %s, but it is cut %s", r, u.layer, times(u.n), times(x.n))
			}
			w.say(piece.Stop, "twice:"+r, said, x.ref)
		}
	}
}

func times(n int) phrase.Said {
	switch n {
	case 1:
		return phrase.Of("once")
	case 2:
		return phrase.Of("twice")
	}
	return phrase.Of("%d times", n)
}

// copied compares a copy with its original.
func (w *walk) copied(q *piece.Piece) {
	if q.CopyOf == "" {
		return
	}
	o := w.p.Piece(q.CopyOf)
	if o == nil {
		w.sayOf(q, piece.Stop, "ref:"+q.CopyOf, phrase.Of("%s: it is a copy of %s, but there is no such piece", q.Name, q.CopyOf))
		return
	}
	if off := apart(q.SeamLine(), o.SeamLine()); off > CopyTolerance {
		w.sayOf(q, piece.Stop, "copy:"+q.Name, phrase.Of("%s: its seam line strays %s from that of %s, of which it is a copy; at most %s is allowed",
			q.Name, w.small(off), o.Name, w.small(CopyTolerance)))
	}
}

// apart is how far two outlines stray from each other at most. Copies drawn alike are told by their control points.
func apart(a, b curve.Path) float64 {
	if len(a) == len(b) {
		off := 0.0
		for i := range a {
			p, q := a[i].Controls(), b[i].Controls()
			for k := range p {
				off = max(off, p[k].Dist(q[k]))
			}
		}
		if off <= CopyTolerance {
			return off
		}
	}
	off := 0.0
	for _, q := range a.Flatten(CopyTolerance / 4) {
		_, d := b.Nearest(q)
		off = max(off, d)
	}
	for _, q := range b.Flatten(CopyTolerance / 4) {
		_, d := a.Nearest(q)
		off = max(off, d)
	}
	return off
}
