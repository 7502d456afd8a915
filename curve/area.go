package curve

// Area returns the signed area enclosed by p, in mm²: positive when p runs clockwise on the page. It is exact for lines and
// cubics up to rounding, by Green's theorem. A path that is not closed is closed by a straight line.
func Area(p Path) float64 {
	if len(p) == 0 {
		return 0
	}
	o := p.Start() // measured from a point of the path, so that a piece far from the origin loses no digits
	sum := 0.0
	for _, s := range p {
		a, d := s.c[0].Sub(o), s.c[3].Sub(o)
		if s.line {
			sum += float64(10 * a.Cross(d))
			continue
		}
		b, c := s.c[1].Sub(o), s.c[2].Sub(o)
		// The integral of (P × P')/2 over a cubic in Bernstein form.
		sum += float64(6*(a.Cross(b)+c.Cross(d))) + float64(3*(a.Cross(c)+b.Cross(c)+b.Cross(d))) + a.Cross(d)
	}
	return sum / 20
}
