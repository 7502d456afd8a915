package curve

import "math"

// Affine is a linear map with a move: x' = XX·x + XY·y + DX, y' = YX·x + YY·y + DY. The zero Affine sends everything to
// the origin; start from Identity.
type Affine struct{ XX, XY, YX, YY, DX, DY float64 }

// Identity leaves every point where it is.
func Identity() Affine { return Affine{XX: 1, YY: 1} }

// Translate moves by v.
func Translate(v Point) Affine { return Affine{1, 0, 0, 1, v.X, v.Y} }

// Rotate turns about the origin by rad, clockwise on the page when positive. Whole quarter turns are exact.
func Rotate(rad float64) Affine {
	sin, cos := math.Sincos(rad)
	if q := rad / (math.Pi / 2); q == math.Round(q) && math.Abs(q) < 1<<20 {
		sin, cos = math.Round(sin), math.Round(cos)
	}
	return Affine{cos, -sin, sin, cos, 0, 0}
}

// RotateAbout turns about the given point by rad, clockwise on the page when positive.
func RotateAbout(rad float64, about Point) Affine {
	return Translate(about.Mul(-1)).Then(Rotate(rad)).Then(Translate(about))
}

// Scale stretches by sx across and sy down, about the origin.
func Scale(sx, sy float64) Affine { return Affine{sx, 0, 0, sy, 0, 0} }

// MirrorX mirrors left to right about the upright line at x.
func MirrorX(x float64) Affine { return Affine{-1, 0, 0, 1, 2 * x, 0} }

// MirrorLine mirrors about the line through a with direction dir, which need not be of length 1 but not zero.
func MirrorLine(a, dir Point) Affine {
	u := dir.Unit()
	xx := float64(u.X*u.X) - float64(u.Y*u.Y)
	xy := 2 * float64(u.X*u.Y)
	m := Affine{xx, xy, xy, -xx, 0, 0}
	d := a.Sub(m.Apply(a))
	m.DX, m.DY = d.X, d.Y
	return m
}

// Then returns the map that does m first and n after it.
func (m Affine) Then(n Affine) Affine {
	return Affine{
		XX: float64(n.XX*m.XX) + float64(n.XY*m.YX), XY: float64(n.XX*m.XY) + float64(n.XY*m.YY),
		YX: float64(n.YX*m.XX) + float64(n.YY*m.YX), YY: float64(n.YX*m.XY) + float64(n.YY*m.YY),
		DX: float64(n.XX*m.DX) + float64(n.XY*m.DY) + n.DX,
		DY: float64(n.YX*m.DX) + float64(n.YY*m.DY) + n.DY,
	}
}

// Apply returns where m sends p.
func (m Affine) Apply(p Point) Point {
	return Point{float64(m.XX*p.X) + float64(m.XY*p.Y) + m.DX, float64(m.YX*p.X) + float64(m.YY*p.Y) + m.DY}
}

// Det is the factor by which m multiplies areas; negative when m mirrors.
func (m Affine) Det() float64 { return float64(m.XX*m.YY) - float64(m.XY*m.YX) }
