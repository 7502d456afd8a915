package truing

import (
	"cmp"
	"math"
	"math/bits"
	"slices"

	"clothwright/phrase"
	"clothwright/piece"
)

// notchPlace checks that a notch lies on an edge of its piece.
func (w *walk) notchPlace(q *piece.Piece, n *piece.Notch) {
	r := refTo(q.Name, n.Edge)
	x := w.at[r]
	if x == nil || x.edge == nil {
		w.sayOf(q, piece.Stop, "ref:"+string(r), phrase.Of("%s: notch %s lies on %s, but the piece has no such edge", q.Name, n.Name, n.Edge))
		return
	}
	if !(n.At >= -1e-6 && n.At <= x.length+1e-6) {
		w.say(piece.Stop, "notch:"+string(r), phrase.Of("%s: notch %s is set %s along the edge, which is %s long", r, n.Name, w.u.Fine(n.At), w.u.Fine(x.length)), r)
	}
}

// tick is a notch as met when walking along one side of a seam.
type tick struct {
	at    float64 // mm from the start of the walk
	notch *piece.Notch
	ref   piece.Ref
}

// longestWalk is how many edges a seam may have for its notches to be walked; the ways of walking double with each.
const longestWalk = 10

// notches walks both sides of a seam from the same end and compares the stretches between notches of the same name. A notch may
// also have its mate in a joint of the other side, as the one at the top of a sleeve that meets the shoulder seam.
func (w *walk) notches(s *piece.Seam, a, b side) {
	if !notched(a) && !notched(b) {
		return
	}
	if len(a)+len(b) > longestWalk {
		w.excuse(a, b)
		return
	}
	ta, tb := w.meet(s, a, b)
	mates := pairUp(ta, tb)
	mates = append(mates, atJoints(s, a, b, ta, tb, mates)...)
	if len(mates) == 0 {
		return
	}
	slices.SortStableFunc(mates, func(p, q [2]tick) int { return cmp.Compare(p[0].at, q[0].at) })
	for _, m := range mates {
		for _, t := range m {
			if t.notch != nil {
				w.mated[t.notch] = true
			}
		}
	}
	prev, from := [2]tick{}, phrase.Of("the start")
	for i, m := range append(mates, [2]tick{{at: a.length()}, {at: b.length()}}) {
		to := phrase.Of("the end")
		if i < len(mates) {
			to = phrase.Of("notch %s", m[0].name()+m[1].name())
			if m[0].name() == m[1].name() {
				to = phrase.Of("notch %s", m[0].name())
			}
		}
		if la, lb := m[0].at-prev[0].at, m[1].at-prev[1].at; !stretchFits(s, la, lb) {
			w.say(piece.Stop, "notch:"+s.Name, phrase.Of("%s: from %s to %s, %s measures %s and %s %s; the notches would not meet",
				s.Name, from, to, phrase.List(a.refs()), w.u.Fine(la), phrase.List(b.refs()), w.u.Fine(lb)), append(a.refs(), b.refs()...)...)
			return // one finding a seam
		}
		prev, from = m, to
	}
}

// name is that of the notch, empty for a joint.
func (t tick) name() string {
	if t.notch == nil {
		return ""
	}
	return t.notch.Name
}

// atJoints pairs the notches that have no mate of their name with the nearest joint or end of the other side, where the stretch to
// it from either end of the seam goes together.
func atJoints(s *piece.Seam, a, b side, ta, tb []tick, mates [][2]tick) [][2]tick {
	var out [][2]tick
	la, lb := a.length(), b.length()
	mated := func(n *piece.Notch) bool {
		return slices.ContainsFunc(mates, func(m [2]tick) bool { return m[0].notch == n || m[1].notch == n })
	}
	for half, ticks := range [2][]tick{ta, tb} {
		other := [2]side{b, a}[half]
		for _, t := range ticks {
			if t.notch.Name == "" || mated(t.notch) {
				continue
			}
			for _, at := range other.joints() {
				p := [2]tick{t, {at: at}}
				if half == 1 {
					p[0], p[1] = p[1], p[0]
				}
				if stretchFits(s, p[0].at, p[1].at) && stretchFits(s, la-p[0].at, lb-p[1].at) {
					out = append(out, p)
					break
				}
			}
		}
	}
	return out
}

// joints are the places along a side where an edge begins or ends, mm from the start.
func (s side) joints() []float64 {
	out := make([]float64, 1, len(s)+1)
	at := 0.0
	for _, x := range s {
		at += x.length
		out = append(out, at)
	}
	return out
}

// stretchFits reports whether part of a seam goes together: a plain one as the whole seam must, an eased one with anything between
// none and all of the fullness the seam may take.
func stretchFits(s *piece.Seam, la, lb float64) bool {
	const hair = 1e-6
	switch s.Kind {
	case piece.Eased:
		return lb-la >= -PlainTolerance-hair && lb-la <= most(s)+PlainTolerance+hair
	case piece.Ribbed:
		return math.Abs(lb-la*s.Intended) <= ribSlack(la*s.Intended)+hair
	}
	return math.Abs(lb-la) <= PlainTolerance+hair
}

// pairUp finds the mates on the two sides in the order of the walk along the first: the first of a name with the first of it.
func pairUp(a, b []tick) [][2]tick {
	var out [][2]tick
	taken := make([]bool, len(b))
	for _, x := range a {
		for k, y := range b {
			if !taken[k] && x.notch.Name != "" && x.notch.Name == y.notch.Name {
				taken[k] = true
				out = append(out, [2]tick{x, y})
				break
			}
		}
	}
	return out
}

// meet walks both sides the way they are sewn. A reference does not say from which end its edge is sewn, so the way is found: it
// is the one in which the most neighbours beside the seam's ends and joints belong together, and of those the one in which
// the notches miss each other least.
func (w *walk) meet(s *piece.Seam, a, b side) (ta, tb []tick) {
	best := struct {
		kin  int
		miss float64
		way  uint
	}{-1, math.Inf(1), 0}
	scale := 1.0
	if s.Kind == piece.Ribbed {
		scale = s.Intended
	}
	n := len(a) + len(b)
	for way := range uint(1) << n {
		kin := w.kinship(s, a, b, way)
		if kin < best.kin {
			continue
		}
		miss := 0.0
		for _, m := range pairUp(w.ticks(a, way), w.ticks(b, way>>len(a))) {
			miss += math.Abs(m[1].at - m[0].at*scale)
		}
		if kin > best.kin || miss < best.miss-1e-6 || miss < best.miss+1e-6 && bits.OnesCount(way) < bits.OnesCount(best.way) {
			best.kin, best.miss, best.way = kin, miss, way
		}
	}
	return w.ticks(a, best.way), w.ticks(b, best.way>>len(a))
}

// ticks lists the notches of a side in walking order; bit i of way says that edge i is walked from its end.
func (w *walk) ticks(s side, way uint) []tick {
	var out []tick
	from := 0.0
	for i, x := range s {
		for k := range x.piece.Notches {
			n := &x.piece.Notches[k]
			if x.edge == nil || n.Edge != x.edge.Name {
				continue
			}
			at := n.At
			if way>>i&1 == 1 {
				at = x.length - at
			}
			out = append(out, tick{from + at, n, x.ref})
		}
		from += x.length
	}
	slices.SortStableFunc(out, func(p, q tick) int { return cmp.Compare(p.at, q.at) })
	return out
}

func notched(s side) bool {
	for _, x := range s {
		for k := range x.piece.Notches {
			if x.edge != nil && x.piece.Notches[k].Edge == x.edge.Name {
				return true
			}
		}
	}
	return false
}

// excuse takes it that the notches of these edges have their mates, where that cannot be told.
func (w *walk) excuse(sides ...side) {
	for _, s := range sides {
		for _, t := range w.ticks(s, 0) {
			w.mated[t.notch] = true
		}
	}
}

// kinship counts the neighbours that belong together when a seam is walked in a way: those beside the joints within a side, and those
// beside the two ends.
func (w *walk) kinship(s *piece.Seam, a, b side, way uint) int {
	kin := 0
	bit := func(i int) bool { return way>>i&1 == 1 }
	for _, x := range [2]struct {
		s    side
		from int
	}{{a, 0}, {b, len(a)}} {
		for i := 0; i+1 < len(x.s); i++ {
			if w.continues(x.s[i], !bit(x.from+i), x.s[i+1], bit(x.from+i+1)) {
				kin += 2
			}
		}
	}
	kin += w.kin(s, beside(a[0], bit(0)), beside(b[0], bit(len(a))))
	kin += w.kin(s, beside(a[len(a)-1], !bit(len(a)-1)), beside(b[len(b)-1], !bit(len(a)+len(b)-1)))
	return kin
}

// beside is the edge next to x at its end or start; nil beside a line inside the piece.
func beside(x *place, atEnd bool) *place {
	if atEnd {
		return x.next
	}
	return x.prev
}

// continues reports whether the end of x given goes on into the end of y given when the garment is sewn: they are the two sides of one
// corner, or the edges beside them are sewn together, as the shoulders are between two armholes.
func (w *walk) continues(x *place, endX bool, y *place, endY bool) bool {
	p, q := beside(x, endX), beside(y, endY)
	return p != nil && q != nil && (p == y && q == x || meetInSeam(p, q, 1))
}

// kin says how surely two edges lie side by side beside the end of a seam: 4 when the seam says so, else 1 for each of a common seam
// and a common name.
func (w *walk) kin(s *piece.Seam, p, q *place) int {
	if p == nil || q == nil {
		return 0
	}
	for i := 0; i+1 < len(s.Smooth); i += 2 {
		if x, y := s.Smooth[i], s.Smooth[i+1]; x == p.ref && y == q.ref || x == q.ref && y == p.ref {
			return 4
		}
	}
	kin := 0
	if meetInSeam(p, q, 1) || meetInSeam(p, q, 0) {
		kin++
	}
	if p.edge.Name == q.edge.Name {
		kin++
	}
	return kin
}

// meetInSeam reports whether p and q are in one seam, on opposite sides when other is 1, on the same side when it is 0.
func meetInSeam(p, q *place, other int) bool {
	for _, i := range p.in {
		if slices.Contains(q.in, i^other) {
			return true
		}
	}
	return false
}

// unmated finds notches on sewn edges whose mate is missing.
func (w *walk) unmated() {
	for i := range w.p.Pieces {
		q := &w.p.Pieces[i]
		for k := range q.Notches {
			n := &q.Notches[k]
			x := w.at[refTo(q.Name, n.Edge)]
			if x == nil || len(x.use) == 0 || x.badRef || w.mated[n] {
				continue
			}
			if n.Name == "" {
				w.say(piece.Warn, "mate:"+string(x.ref), phrase.Of("%s: the notch %s along has no name, so its mate cannot be told", x.ref, w.u.Fine(n.At)), x.ref)
				continue
			}
			w.say(piece.Warn, "mate:"+n.Name, phrase.Of("%s: notch %s has no mate of that name on the edge it is sewn to, nor does it meet a seam there", x.ref, n.Name), x.ref)
		}
	}
}
