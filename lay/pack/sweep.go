package pack

import (
	"cmp"
	"slices"
)

// fewPairs is the number of pairs of edges up to which all of them are gone through as they come.
const fewPairs = 2000

// nearEdges visits, by the numbers of their first corners, all pairs of an edge of a and one of b whose boxes come within by of
// one another, in some order. It stops when visit returns false.
func nearEdges(a, b []Point, by float64, visit func(i, j int) bool) {
	clip := boxOf(a).grown(by).shared(boxOf(b).grown(by))
	ea, eb := edgesIn(a, clip), edgesIn(b, clip)
	if len(ea)*len(eb) <= fewPairs {
		for i := range ea {
			grown := ea[i].box.grown(by)
			for j := range eb {
				if grown.meets(eb[j].box) && !visit(int(ea[i].at), int(eb[j].at)) {
					return
				}
			}
		}
		return
	}
	sortEdges(ea)
	sortEdges(eb)
	var openA, openB []edgeBox
	for len(ea) > 0 || len(eb) > 0 {
		if len(eb) == 0 || len(ea) > 0 && ea[0].box.x0 <= eb[0].box.x0 {
			e := ea[0]
			ea = ea[1:]
			openA = append(openA, e)
			if openB = stillOpen(openB, e.box.x0-by); !against(e, openB, by, visit) {
				return
			}
			continue
		}
		e := eb[0]
		eb = eb[1:]
		openB = append(openB, e)
		if openA = stillOpen(openA, e.box.x0-by); !against(e, openA, by, func(j, i int) bool { return visit(i, j) }) {
			return
		}
	}
}

// edgeBox is an edge, by the number of its first corner, and its box.
type edgeBox struct {
	box box
	at  int32
}

func edgesIn(pts []Point, clip box) []edgeBox {
	var out []edgeBox
	for i, p := range pts {
		q := pts[0]
		if i+1 < len(pts) {
			q = pts[i+1]
		}
		if b := boxOf2(p, q); b.meets(clip) {
			out = append(out, edgeBox{b, int32(i)})
		}
	}
	return out
}

func sortEdges(es []edgeBox) {
	slices.SortFunc(es, func(a, b edgeBox) int { return cmp.Or(cmp.Compare(a.box.x0, b.box.x0), cmp.Compare(a.at, b.at)) })
}

// stillOpen drops edges that end before x.
func stillOpen(open []edgeBox, x float64) []edgeBox {
	out := open[:0]
	for _, e := range open {
		if e.box.x1 >= x {
			out = append(out, e)
		}
	}
	return out
}

func against(e edgeBox, open []edgeBox, by float64, visit func(i, j int) bool) bool {
	for _, o := range open {
		if e.box.y0-by <= o.box.y1 && o.box.y0-by <= e.box.y1 && !visit(int(e.at), int(o.at)) {
			return false
		}
	}
	return true
}

// shared is the box that two boxes have in common; it may be empty.
func (b box) shared(c box) box {
	return box{max(b.x0, c.x0), max(b.y0, c.y0), min(b.x1, c.x1), min(b.y1, c.y1)}
}

// selfMeeting finds two edges, by the number of their first corner, that meet
// where they should not.
func selfMeeting(pts []Point) (int, int, bool) {
	n := len(pts)
	edges := edgesIn(pts, boxOf(pts))
	if n*n > fewPairs {
		sortEdges(edges)
	}
	bi, bj := -1, -1
	note := func(i, j int) { // the first pair in the order of the corners, whatever order they are met in
		if i > j {
			i, j = j, i
		}
		if bi < 0 || i < bi || i == bi && j < bj {
			bi, bj = i, j
		}
	}
	var open []edgeBox
	for _, e := range edges {
		if n*n > fewPairs {
			open = stillOpen(open, e.box.x0)
		}
		for _, o := range open {
			if e.box.y0 > o.box.y1 || o.box.y0 > e.box.y1 || e.box.x0 > o.box.x1 || o.box.x0 > e.box.x1 {
				continue
			}
			i, j := int(o.at), int(e.at)
			if meetsWrongly(pts, min(i, j), max(i, j)) {
				note(i, j)
			}
		}
		open = append(open, e)
	}
	return max(bi, 0), max(bj, 0), bi >= 0
}

// meetsWrongly tells whether edges i < j of an outline meet elsewhere than in a
// corner that they share.
func meetsWrongly(pts []Point, i, j int) bool {
	n := len(pts)
	a, b, c, d := pts[i], pts[(i+1)%n], pts[j], pts[(j+1)%n]
	switch {
	case j == i+1:
		return backtracks(a, b, d)
	case (j+1)%n == i:
		return backtracks(c, d, b)
	}
	return touches(a, b, c, d)
}
