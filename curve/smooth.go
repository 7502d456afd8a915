package curve

import "math"

// Knot is a mark a curve runs through, with the direction in which it passes, if that is given. Dir need not be of length 1.
type Knot struct {
	At  Point
	Dir *Point
}

// Smooth returns a curve through the marks in order whose direction never jumps. leave and arrive give the directions of
// travel at the first and last mark; nil leaves an end free, which then bends about as much as its neighbour (curl 1).
// Two marks with free ends give a straight line. Marks that repeat the one before are passed over; fewer than two
// different marks give the empty path.
//
// The method is that of J. D. Hobby, Smooth, easy to compute interpolating splines, Discrete and Computational Geometry 1,
// 1986: the directions at the marks solve a system of linear equations in which the curvature of neighbouring arcs agrees
// to first order, all tensions being 1.
func Smooth(marks []Point, leave, arrive *Point) Path {
	knots := make([]Knot, len(marks))
	for i, m := range marks {
		knots[i].At = m
	}
	if len(knots) > 0 {
		knots[0].Dir = leave
		knots[len(knots)-1].Dir = arrive
	}
	return SmoothThrough(knots)
}

// SmoothThrough is Smooth with directions that may be given at any mark. A given direction is kept exactly and divides the
// curve there: what lies beyond it has no influence on what lies before.
func SmoothThrough(knots []Knot) Path {
	var run []Knot
	var out Path
	for _, k := range knots {
		if k.Dir != nil && *k.Dir == (Point{}) {
			k.Dir = nil
		}
		if n := len(run); n > 0 && run[n-1].At == k.At {
			if run[n-1].Dir == nil {
				run[n-1].Dir = k.Dir
			}
			continue
		}
		run = append(run, k)
	}
	for i := 0; i+1 < len(run); {
		j := i + 1
		for j+1 < len(run) && run[j].Dir == nil {
			j++
		}
		out = append(out, hobby(run[i:j+1])...)
		i = j
	}
	return out
}

// hobby draws one stretch with directions given at its ends only, if there.
func hobby(k []Knot) Path {
	n := len(k) - 1
	if n == 1 && k[0].Dir == nil && k[1].Dir == nil {
		return Path{Line(k[0].At, k[1].At)}
	}
	d := make([]float64, n)     // chord lengths
	way := make([]float64, n)   // chord directions
	psi := make([]float64, n+1) // turn of the chord at each mark
	for i := range d {
		c := k[i+1].At.Sub(k[i].At)
		d[i], way[i] = c.Norm(), c.Angle()
		if i > 0 {
			psi[i] = turn(way[i] - way[i-1])
		}
	}
	// Rows a·θ[i-1] + b·θ[i] + c·θ[i+1] = r, where θ is the turn from the chord to the curve on leaving mark i, and the
	// turn from the curve to the chord on arriving is φ = -ψ-θ.
	a, b, c, r := make([]float64, n+1), make([]float64, n+1), make([]float64, n+1), make([]float64, n+1)
	b[0] = 1
	if k[0].Dir != nil {
		r[0] = turn(k[0].Dir.Angle() - way[0])
	} else {
		c[0], r[0] = 1, -psi[1] // curl 1: both ends of the first arc bend alike, θ0 = φ1
	}
	for i := 1; i < n; i++ {
		a[i], c[i] = 1/d[i-1], 1/d[i]
		b[i] = 2 * (a[i] + c[i])
		r[i] = -float64(2*psi[i]*a[i]) - float64(psi[i+1]*c[i])
	}
	b[n] = 1
	if k[n].Dir != nil {
		r[n] = turn(k[n].Dir.Angle() - way[n-1]) // psi[n] is 0, so θ[n] = -φ[n]
	} else {
		a[n], r[n] = 1, 0
	}
	if k[n].Dir == nil && n == 1 {
		a[n] = 1 // one arc with a free end: it arrives as it left, mirrored
	}
	theta := tridiagonal(a, b, c, r)
	out := make(Path, n)
	for i := range out {
		leave, arrive := theta[i], -psi[i+1]-theta[i+1]
		rho, sigma := velocity(leave, arrive), velocity(arrive, leave)
		u, v := unitAt(way[i]+leave), unitAt(way[i]-arrive)
		if i == 0 && k[0].Dir != nil {
			u = k[0].Dir.Unit() // exactly as given
		}
		if i == n-1 && k[n].Dir != nil {
			v = k[n].Dir.Unit()
		}
		out[i] = Cubic(k[i].At, k[i].At.Add(u.Mul(rho*d[i]/3)), k[i+1].At.Sub(v.Mul(sigma*d[i]/3)), k[i+1].At)
	}
	return out
}

// velocity is Hobby's formula for the length of a handle, as a fraction of a third of the chord, on the side that turns by
// theta from the chord, the other side turning by phi.
func velocity(theta, phi float64) float64 {
	st, ct := math.Sincos(theta)
	sp, cp := math.Sincos(phi)
	root5 := math.Sqrt(5)
	top := 2 + float64(math.Sqrt2*(st-float64(sp/16))*(sp-float64(st/16))*(ct-cp))
	bottom := 1 + float64(0.5*(root5-1)*ct) + float64(0.5*(3-root5)*cp)
	return math.Min(4, top/bottom)
}

func unitAt(angle float64) Point {
	sin, cos := math.Sincos(angle)
	return Point{cos, sin}
}

// turn brings an angle into [-π, π].
func turn(a float64) float64 { return math.Remainder(a, 2*math.Pi) }

// tridiagonal solves a·x[i-1] + b·x[i] + c·x[i+1] = r by elimination. The rows of a spline are dominated by b, so no
// exchange of rows is needed; a row that vanishes leaves its unknown at 0.
func tridiagonal(a, b, c, r []float64) []float64 {
	n := len(b)
	for i := 1; i < n; i++ {
		if b[i-1] == 0 {
			continue
		}
		m := a[i] / b[i-1]
		b[i] -= float64(m * c[i-1])
		r[i] -= float64(m * r[i-1])
	}
	x := make([]float64, n)
	for i := n - 1; i >= 0; i-- {
		v := r[i]
		if i+1 < n {
			v -= float64(c[i] * x[i+1])
		}
		if b[i] != 0 {
			x[i] = v / b[i]
		}
	}
	return x
}
