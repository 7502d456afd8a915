package lay

import (
	"math"

	"clothwright/curve"
)

// Offcut is a rectangle of cloth that is left over, as it lies in the lay.
type Offcut struct {
	At     curve.Rect
	Layers int
}

// OffcutLeast is the shorter side in mm from which an offcut is worth keeping: a welt or a pocket facing can be cut from it.
// Common practice.
const OffcutLeast = 150.0

// offcutsMost is how many offcuts a plan names.
const offcutsMost = 6

// offcutGrid is the side of the squares in mm by which the cloth is looked over.
const offcutGrid = 10.0

// offcuts finds the largest free rectangles, one after the other, up to the end of the cloth bought.
func (p *Plan) offcuts() []Offcut {
	end := p.Bought
	if p.Cloth.Wash {
		end *= 1 - p.Cloth.ShrinkLong
	}
	if p.Cloth.Fold == Crosswise {
		end /= 2
	}
	nx, ny := int(p.Usable/offcutGrid+1e-9), int(end/offcutGrid+1e-9)
	if nx < 1 || ny < 1 || nx*ny > 1<<22 {
		return nil
	}
	g := grid{nx, ny, make([]bool, nx*ny)}
	for _, q := range p.Places {
		g.cover(q.Shape)
	}
	for _, f := range p.Cloth.flawsLaid() {
		g.cover([]curve.Point{f.Min, {X: f.Max.X, Y: f.Min.Y}, f.Max, {X: f.Min.X, Y: f.Max.Y}})
	}
	if c := &p.Cloth; c.Fold == PartSingle { // no offcut is half double, half single
		g.cover([]curve.Point{{X: c.Double()}, {X: c.single()}, {X: c.single(), Y: end}, {X: c.Double(), Y: end}})
	}
	var out []Offcut
	for len(out) < offcutsMost {
		x0, y0, x1, y1 := g.largest()
		r := curve.Rect{Min: curve.Point{X: float64(x0) * offcutGrid, Y: float64(y0) * offcutGrid}, Max: curve.Point{X: float64(x1) * offcutGrid, Y: float64(y1) * offcutGrid}}
		if math.Min(r.W(), r.H()) < OffcutLeast {
			break
		}
		layers := 1
		if p.doubleAt(r) {
			layers = 2
		}
		out = append(out, Offcut{r, layers})
		for y := y0; y < y1; y++ {
			for x := x0; x < x1; x++ {
				g.taken[y*nx+x] = true
			}
		}
	}
	return out
}

// grid is the cloth in squares.
type grid struct {
	nx, ny int
	taken  []bool
}

// cover takes every square that the outline touches or holds.
func (g *grid) cover(ring []curve.Point) {
	box := curve.Bounds(ring...)
	clamp := func(v float64, n int) int { return max(0, min(n-1, int(math.Floor(v/offcutGrid)))) }
	for y := clamp(box.Min.Y, g.ny); y <= clamp(box.Max.Y, g.ny) && float64(y)*offcutGrid <= box.Max.Y; y++ {
		for x := clamp(box.Min.X, g.nx); x <= clamp(box.Max.X, g.nx) && float64(x)*offcutGrid <= box.Max.X; x++ {
			at := curve.Point{X: (float64(x) + 0.5) * offcutGrid, Y: (float64(y) + 0.5) * offcutGrid}
			if !g.taken[y*g.nx+x] && curve.Contains(ring, at) {
				g.taken[y*g.nx+x] = true
			}
		}
	}
	for i, a := range ring {
		g.edge(a, ring[(i+1)%len(ring)])
	}
}

// edge takes every square that the line from a to b meets.
func (g *grid) edge(a, b curve.Point) {
	box := curve.Bounds(a, b)
	x0, x1 := int(math.Floor(box.Min.X/offcutGrid)), int(math.Floor(box.Max.X/offcutGrid))
	y0, y1 := int(math.Floor(box.Min.Y/offcutGrid)), int(math.Floor(box.Max.Y/offcutGrid))
	for y := max(0, y0); y <= min(g.ny-1, y1); y++ {
		for x := max(0, x0); x <= min(g.nx-1, x1); x++ {
			at := curve.Point{X: float64(x) * offcutGrid, Y: float64(y) * offcutGrid}
			if (curve.Rect{Min: at, Max: at.Add(curve.Point{X: offcutGrid, Y: offcutGrid})}).Meets(a, b) {
				g.taken[y*g.nx+x] = true
			}
		}
	}
}

// largest finds the largest rectangle of free squares whose sides are long enough to keep, by the heights of free columns.
func (g *grid) largest() (x0, y0, x1, y1 int) {
	short := int(OffcutLeast / offcutGrid)
	best := 0
	high := make([]int, g.nx+1)
	type bar struct{ from, high int }
	for y := 0; y < g.ny; y++ {
		for x := 0; x < g.nx; x++ {
			high[x]++
			if g.taken[y*g.nx+x] {
				high[x] = 0
			}
		}
		stack := []bar{}
		for x := 0; x <= g.nx; x++ {
			from := x
			for len(stack) > 0 && stack[len(stack)-1].high >= high[x] {
				b := stack[len(stack)-1]
				stack = stack[:len(stack)-1]
				from = b.from
				if area := b.high * (x - b.from); area > best && b.high >= short && x-b.from >= short {
					best, x0, y0, x1, y1 = area, b.from, y+1-b.high, x, y+1
				}
			}
			stack = append(stack, bar{from, high[x]})
		}
	}
	return x0, y0, x1, y1
}
