package truing

import (
	"math"
	"slices"

	"clothwright/phrase"
	"clothwright/piece"
)

// side is one side of a seam.
type side []*place

func (s side) refs() []piece.Ref {
	out := make([]piece.Ref, len(s))
	for i, x := range s {
		out[i] = x.ref
	}
	return out
}

// length is that of the edges end to end.
func (s side) length() float64 {
	sum := 0.0
	for _, x := range s {
		sum += x.length
	}
	return sum
}

// side follows the references of one side of a seam.
func (w *walk) side(s *piece.Seam, refs []piece.Ref) (out side, ok bool) {
	ok = true
	for _, r := range refs {
		x := w.at[r]
		if x == nil {
			w.noSuch(s.Name, r)
			ok = false
			continue
		}
		out = append(out, x)
	}
	if len(refs) == 0 {
		w.say(piece.Stop, "seam:"+s.Name, phrase.Of("%s: one side of the seam names no edge", s.Name), append(append([]piece.Ref(nil), s.A...), s.B...)...)
		ok = false
	}
	return out, ok
}

func (w *walk) noSuch(where string, r piece.Ref) {
	said := phrase.Of("%s: it names %s, but there is no such edge or line", where, r)
	if w.p.Piece(r.Piece()) == nil {
		said = phrase.Of("%s: it names %s, but there is no piece %s", where, r, r.Piece())
	}
	w.say(piece.Stop, "ref:"+string(r), said, r)
}

// seam checks the lengths of a seam's sides, what they leave of the counts, their notches and the corners across them.
func (w *walk) seam(s *piece.Seam) {
	a, okA := w.side(s, s.A)
	b, okB := w.side(s, s.B)
	if !okA || !okB {
		for _, x := range append(a, b...) {
			x.badRef = true
		}
		return
	}
	fit, whole := w.lengths(s, a, b)
	if fit.level != piece.OK {
		w.say(fit.level, "seam:"+s.Name, fit.said, append(a.refs(), b.refs()...)...)
	}
	if fit.level != piece.Stop && !whole {
		w.notches(s, a, b)
	} else {
		w.excuse(a, b)
	}
	w.corners(s, a, b)
}

// verdict is how two lengths go together.
type verdict struct {
	level piece.Level
	miss  float64 // mm that the second length is off what is wanted
	said  phrase.Said
}

// lengths compares the two sides and notes how many of each edge the seam uses up. A side is as often in the garment as its
// pieces are cut, one on the fold twice. Where the sides are equally often there, or one is more often there than the seam
// uses it, one is compared with one. Where one whole edge takes both halves of the other, as a band that
// goes round the body takes both fronts, whole says so and all there is is compared.
func (w *walk) lengths(s *piece.Seam, a, b side) (fit verdict, whole bool) {
	least, most := math.MaxInt, 0
	for _, x := range append(append(side(nil), a...), b...) {
		n := uses(x, a, b)
		least, most = min(least, n), max(most, n)
	}
	fit = w.compare(s, a.refs(), b.refs(), a.length(), b.length())
	if least != most && fit.level != piece.OK {
		all := func(side side) float64 {
			sum := 0.0
			for _, x := range side {
				sum += x.length * float64(uses(x, a, b))
			}
			return sum
		}
		f := w.compare(s, a.refs(), b.refs(), all(a), all(b))
		if whole = math.Abs(f.miss) < math.Abs(fit.miss); whole {
			fit = f
		} else {
			least = most // the length is wrong; let the counts be
		}
	}
	for _, x := range append(append(side(nil), a...), b...) {
		n := least
		if whole || least == most {
			n = uses(x, a, b)
		}
		x.take(s.Layer, n)
	}
	return fit, whole
}

// uses is how many of an edge one side of the seam can take: half of them when it is sewn to its own mirror image.
func uses(x *place, a, b side) int {
	if slices.Contains(a, x) && slices.Contains(b, x) {
		return max(1, x.n/2)
	}
	return x.n
}

func (x *place) take(layer string, n int) {
	if x.edge == nil {
		return // a line may be sewn to again and again
	}
	for i := range x.use {
		if x.use[i].layer == layer {
			x.use[i].n += n
			return
		}
	}
	x.use = append(x.use, use{layer, n})
}

// most is the fullness that an eased seam may take.
func most(s *piece.Seam) float64 {
	if s.Most > 0 {
		return s.Most
	}
	return s.Intended + PlainTolerance
}

// ribSlack is by how much a rib of the wanted length may differ.
func ribSlack(want float64) float64 { return max(RibTolerance*want, RibLeast) }

// compare judges the lengths la and lb of the two sides by the kind of the seam.
func (w *walk) compare(s *piece.Seam, a, b []piece.Ref, la, lb float64) verdict {
	const hair = 1e-6 // what arithmetic loses
	both := func() phrase.Said {
		return phrase.Of("%s: %s measures %s and %s %s", s.Name, phrase.List(a), w.u.Fine(la), phrase.List(b), w.u.Fine(lb))
	}
	d := lb - la
	v := verdict{level: piece.OK, miss: d}
	switch s.Kind {
	case piece.Plain:
		if math.Abs(d) > PlainTolerance+hair {
			v.level = piece.Stop
			v.said = phrase.Of("%s, a difference of %s; in a plain seam at most %s is allowed", both(), w.small(math.Abs(d)), w.small(PlainTolerance))
		}
	case piece.Eased:
		v.miss = d - s.Intended
		ease := func() phrase.Said {
			return phrase.Of("%s, %s to ease in; %s was meant", both(), w.small(d), w.small(s.Intended))
		}
		switch {
		case d < -EaseShort:
			v.level, v.said = piece.Stop, phrase.Of("%s, so the second is %s too short to be eased in; it may not be the shorter", both(), w.small(-d))
		case d > most(s)+PlainTolerance+hair:
			v.level, v.said = piece.Stop, phrase.Of("%s and at most %s can be", ease(), w.small(most(s)))
		case d > most(s)+hair:
			v.level, v.said = piece.Warn, phrase.Of("%s and at most %s should be", ease(), w.small(most(s)))
		case d < s.Intended-PlainTolerance-hair:
			v.level, v.said = piece.Warn, ease()
		}
	case piece.Ribbed:
		want := la * s.Intended
		v.miss = lb - want
		switch {
		case !(s.Intended > 0):
			v.level, v.said = piece.Stop, phrase.Of("%s: a rib seam must say how long the rib is to its edge; it says %g", s.Name, s.Intended)
		case math.Abs(v.miss) > ribSlack(want)+hair:
			v.level = piece.Stop
			v.said = phrase.Of("%s, a ratio of %.3f; %.3f was meant, which is %s", both(), lb/la, s.Intended, w.u.Fine(want))
		}
	default:
		v.level, v.said = piece.Stop, phrase.Of("%s: its kind is %q; a seam must be plain, eased or rib", s.Name, string(s.Kind))
	}
	if math.IsNaN(lb-la) || math.IsNaN(s.Intended) {
		v.level, v.said = piece.Stop, phrase.Of("%s: a length in it is not a number", s.Name)
	}
	return v
}
