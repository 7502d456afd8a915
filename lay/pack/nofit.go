package pack

import (
	"math"
	"slices"
	"sync"
)

// nofit is the no-fit region of a resting shape a and a moving shape b: the
// offsets of b from a at which their insides overlap. It answers how deep an
// offset lies in it.
type nofit struct {
	segs []segment
	// parts are the convex sums whose union is the region. They take most room and
	// few pairs are ever asked for them, so they are worked out when they are.
	parts func() []convexSum
	// cells says for each where in near its list is: the segments that may be the
	// nearest of some offset in it, their count first. 0 stands for no list: no
	// offset in the cell is in the region or within the margin of it.
	cells []uint32
	near  []uint16
	box   box     // of the grid
	step  float64 // side of a cell
	scale float64 // 1 / step
	nx    int
	ny    int
}

// segment is a piece of the region's boundary with the region on its left.
type segment struct {
	a, b, dir Point
	length    float64
	// slit marks a boundary with the region on both sides, where the moving
	// shape fits in exactly without play.
	slit bool
}

// exit describes how an offset lies to the boundary's nearest point.
type exit struct {
	depth float64 // negative outside
	way   Point   // unit vector along which depth decreases
}

// newNofit works the region out. Offsets outside but within margin of it keep
// their distance; grid is the number of cells along its longer side.
func newNofit(a, b *shape, margin float64, grid int) *nofit {
	u := sumRegion(a, b)
	nf := &nofit{segs: u.boundary()}
	nf.parts = sync.OnceValue(func() []convexSum { return sumsOf(a, b) })
	nf.layGrid(margin, grid)
	return nf
}

// bytes is about how much memory the region takes.
func (nf *nofit) bytes() int64 {
	return int64(400 + 64*cap(nf.segs) + 4*cap(nf.cells) + 2*cap(nf.near))
}

// depth is how far the offset must move to leave the region; it is negative
// outside, where it is exact only within the margin and otherwise -Inf.
func (nf *nofit) depth(x, y float64) float64 {
	list := nf.listAt(x, y)
	if len(list) == 0 {
		return math.Inf(-1)
	}
	return nf.depthBy(x, y, list)
}

// depthBy is the depth by the nearest of the listed segments.
func (nf *nofit) depthBy(x, y float64, list []uint16) float64 {
	best, bestOff, bestIn := math.Inf(1), 0.0, false
	for _, k := range list {
		s := &nf.segs[k]
		px, py := x-s.a.X, y-s.a.Y
		t := float64(px*s.dir.X) + float64(py*s.dir.Y)
		off := float64(s.dir.X*py) - float64(s.dir.Y*px)
		d := float64(off * off)
		if t < 0 {
			d = float64(px*px) + float64(py*py)
		} else if t > s.length {
			px, py = x-s.b.X, y-s.b.Y
			d = float64(px*px) + float64(py*py)
		}
		if d > best*(1+tieBand) {
			continue
		}
		// At a corner both segments are equally near: the one that the offset
		// faces most squarely knows which side it is on.
		in := off >= 0 || s.slit
		if off < 0 {
			off = -off
		}
		if d < best*(1-tieBand) || off > bestOff {
			bestOff, bestIn = off, in
		}
		best = min(best, d)
	}
	if bestIn {
		return math.Sqrt(best)
	}
	return -math.Sqrt(best)
}

// tieBand is the relative difference of squared distances below which two
// segments count as equally near.
const tieBand = 1e-9

// exit is depth with the way out.
func (nf *nofit) exit(x, y float64) (exit, bool) {
	list := nf.listAt(x, y)
	if len(list) == 0 {
		return exit{}, false
	}
	q := Point{x, y}
	d := nf.depthBy(x, y, list)
	best, off := math.Inf(1), -1.0
	var way Point
	for _, k := range list {
		s := &nf.segs[k]
		p := q.Sub(s.a)
		t, across := dot(p, s.dir), cross(s.dir, p)
		foot, dist := s.a, math.Abs(across)
		switch {
		case t < 0:
			dist = norm(p)
		case t > s.length:
			foot = s.b
			dist = norm(q.Sub(s.b))
		default:
			foot = Point{s.a.X + float64(t*s.dir.X), s.a.Y + float64(t*s.dir.Y)}
		}
		if dist > best*(1+tieBand) || (dist >= best*(1-tieBand) && math.Abs(across) <= off) {
			continue
		}
		best, off = dist, math.Abs(across)
		way = Point{s.dir.Y, -s.dir.X}
		if (t < 0 || t > s.length) && dist > 0 {
			to := foot.Sub(q)
			if d < 0 {
				to = q.Sub(foot)
			}
			way = Point{to.X / dist, to.Y / dist}
		} else if s.slit && across < 0 {
			way = Point{-way.X, -way.Y}
		}
	}
	return exit{d, way}, true
}

func (nf *nofit) listAt(x, y float64) []uint16 {
	ix, iy := int((x-nf.box.x0)*nf.scale), int((y-nf.box.y0)*nf.scale)
	if uint(ix) >= uint(nf.nx) || uint(iy) >= uint(nf.ny) || x < nf.box.x0 || y < nf.box.y0 {
		return nil
	}
	at := nf.cells[iy*nf.nx+ix]
	if at == 0 {
		return nil
	}
	return nf.near[at+1 : at+1+uint32(nf.near[at])]
}

// layGrid fills the cells by halving squares: a square keeps of its parent's
// segments those that may be nearest somewhere in it.
func (nf *nofit) layGrid(margin float64, grid int) {
	b := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, s := range nf.segs {
		c := boxOf2(s.a, s.b)
		b = box{min(b.x0, c.x0), min(b.y0, c.y0), max(b.x1, c.x1), max(b.y1, c.y1)}
	}
	size := max(b.width(), b.height())
	b = b.grown(margin + float64(size*1e-6))
	nf.box = b
	nf.step = max(b.width(), b.height()) / float64(grid)
	nf.scale = 1 / nf.step
	nf.nx = min(grid, int(b.width()*nf.scale)+1)
	nf.ny = min(grid, int(b.height()*nf.scale)+1)
	nf.cells = make([]uint32, nf.nx*nf.ny)
	all := make([]uint16, len(nf.segs))
	for i := range all {
		all[i] = uint16(i)
	}
	side := 1
	for side < grid {
		side *= 2
	}
	nf.near = make([]uint16, 1, 4*len(nf.cells))
	f := gridFill{nf: nf, margin: margin}
	f.square(0, 0, side, all, 0)
	nf.near = slices.Clip(nf.near)
}

// gridFill carries the scratch lists of layGrid, one a level.
type gridFill struct {
	nf     *nofit
	margin float64
	lists  [][]uint16
	dists  []float64
}

// shortList is the list length from which halving a square further does not pay.
const shortList = 3

func (f *gridFill) square(ix, iy, side int, from []uint16, level int) {
	nf := f.nf
	if ix >= nf.nx || iy >= nf.ny {
		return
	}
	half := float64(side) * nf.step / 2
	c := Point{nf.box.x0 + float64(float64(ix)*nf.step) + half, nf.box.y0 + float64(float64(iy)*nf.step) + half}
	r := half * (math.Sqrt2 + 1e-6)
	f.dists = f.dists[:0]
	least := math.Inf(1)
	for _, k := range from {
		d := distance(c, nf.segs[k].a, nf.segs[k].b)
		f.dists = append(f.dists, d)
		least = min(least, d)
	}
	for len(f.lists) <= level {
		f.lists = append(f.lists, nil)
	}
	list := f.lists[level][:0]
	for i, k := range from {
		if f.dists[i] <= least+r+r {
			list = append(list, k)
		}
	}
	f.lists[level] = list
	if least > r+f.margin && nf.depthBy(c.X, c.Y, list) <= 0 {
		return
	}
	if side > 1 && len(list) > shortList {
		h := side / 2
		f.square(ix, iy, h, list, level+1)
		f.square(ix+h, iy, h, list, level+1)
		f.square(ix, iy+h, h, list, level+1)
		f.square(ix+h, iy+h, h, list, level+1)
		return
	}
	if side > 1 && least <= r+f.margin {
		// Near the boundary squares are halved to the end so that as many cells
		// as can be are known to be clear.
		h := side / 2
		f.square(ix, iy, h, list, level+1)
		f.square(ix+h, iy, h, list, level+1)
		f.square(ix, iy+h, h, list, level+1)
		f.square(ix+h, iy+h, h, list, level+1)
		return
	}
	mine := uint32(len(nf.near))
	nf.near = append(append(nf.near, uint16(len(list))), list...)
	for y := iy; y < min(iy+side, nf.ny); y++ {
		for x := ix; x < min(ix+side, nf.nx); x++ {
			nf.cells[y*nf.nx+x] = mine
		}
	}
}
