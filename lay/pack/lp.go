package pack

import "math"

// program is a linear program: the least value of one of its unknowns under
// rows a*x >= b, each with few unknowns. It is solved by a primal-dual
// interior-point method with predictor and corrector (Mehrotra 1992). The
// unknowns near one another in number share rows, so that the matrix of the
// normal equations is narrow and is factored within its envelope.
type program struct {
	unknowns int
	goal     int // the unknown whose value is to be least
	rows     []row
	stop     func() bool // asked before each iteration
}

// row asks that the sum of coef*x be at least bound.
type row struct {
	at    [4]int32 // unknowns, -1 for none
	coef  [4]float64
	bound float64
}

func (r *row) of(x []float64) float64 {
	s := 0.0
	for k, at := range r.at {
		if at >= 0 {
			s += float64(r.coef[k] * x[at])
		}
	}
	return s
}

func (r *row) spread(y float64, into []float64) {
	for k, at := range r.at {
		if at >= 0 {
			into[at] += float64(r.coef[k] * y)
		}
	}
}

// interior is the state of the method: unknowns x, slacks s, prices y.
type interior struct {
	*program
	x, s, y    []float64
	dx, ds, dy []float64
	rp, rc     []float64
	rhs        []float64
	matrix     envelope
}

// Limits of the method: relative accuracy of slacks and prices, and iterations.
const (
	lpIterations = 40
	lpAccuracy   = 1e-9
)

// solve starts from x, near which slacks count as unit long, and returns the
// solution, or false if it was not reached.
func (p *program) solve(x []float64, unit float64) ([]float64, bool) {
	m := len(p.rows)
	in := interior{program: p, x: x,
		s: make([]float64, m), y: make([]float64, m), dx: make([]float64, p.unknowns), ds: make([]float64, m), dy: make([]float64, m),
		rp: make([]float64, m), rc: make([]float64, m), rhs: make([]float64, p.unknowns)}
	in.matrix.shape(p)
	for i := range p.rows {
		r := &p.rows[i]
		in.s[i] = max(r.of(x)-r.bound, unit*0.1)
		in.y[i] = unit * 0.1 / (in.s[i] * math.Sqrt(float64(m)))
	}
	for range lpIterations {
		gap, off := in.residuals(unit)
		if gap <= lpAccuracy*unit && off <= lpAccuracy*unit {
			return in.x, true
		}
		if p.stop != nil && p.stop() || !in.step() {
			return nil, false
		}
	}
	return nil, false
}

// residuals returns the mean product of slack and price, and how far rows and
// prices are from what they must be.
func (in *interior) residuals(unit float64) (gap, off float64) {
	m := len(in.rows)
	for i := range in.rhs {
		in.rhs[i] = 0
	}
	in.rhs[in.goal] = 1
	for i := range in.rows {
		r := &in.rows[i]
		in.rp[i] = r.bound - r.of(in.x) + in.s[i]
		off = max(off, math.Abs(in.rp[i]))
		gap += float64(in.s[i] * in.y[i])
		r.spread(-in.y[i], in.rhs)
	}
	for _, v := range in.rhs {
		off = max(off, math.Abs(v)*unit*1e-3)
	}
	return gap / float64(m), off
}

// step makes one predictor and one corrector step; in.rhs holds the residual of
// the prices.
func (in *interior) step() bool {
	m := len(in.rows)
	in.matrix.clear()
	for i := range in.rows {
		in.matrix.add(&in.rows[i], in.y[i]/in.s[i])
	}
	if !in.matrix.factor() {
		return false
	}
	mu := 0.0
	for i := range in.rows {
		v := float64(in.s[i] * in.y[i])
		mu += v
		in.rc[i] = -v
	}
	mu /= float64(m)
	in.direction()
	ps, py := in.reach(1)
	after := 0.0
	for i := range in.rows {
		after += float64((in.s[i] + float64(ps*in.ds[i])) * (in.y[i] + float64(py*in.dy[i])))
	}
	ratio := after / float64(m) / mu
	centre := float64(mu * float64(ratio*float64(ratio*ratio)))
	for i := range in.rows {
		in.rc[i] = centre - float64(in.s[i]*in.y[i]) - float64(in.ds[i]*in.dy[i])
	}
	in.direction()
	ps, py = in.reach(0.995)
	if !(ps > 1e-10) || !(py > 1e-10) {
		return false
	}
	for k := range in.x {
		in.x[k] += float64(ps * in.dx[k])
	}
	for i := range in.rows {
		in.s[i] += float64(ps * in.ds[i])
		in.y[i] += float64(py * in.dy[i])
	}
	return true
}

// direction solves for dx, ds and dy given rp, rc and the price residual in rhs.
func (in *interior) direction() {
	for k := range in.dx {
		in.dx[k] = -in.rhs[k]
	}
	for i := range in.rows {
		in.rows[i].spread((in.rc[i]+float64(in.y[i]*in.rp[i]))/in.s[i], in.dx)
	}
	in.matrix.solve(in.dx)
	for i := range in.rows {
		in.ds[i] = in.rows[i].of(in.dx) - in.rp[i]
		in.dy[i] = (in.rc[i] - float64(in.y[i]*in.ds[i])) / in.s[i]
	}
}

// reach is how far slacks and prices can go, up to 1, keeping a part of the way
// to zero.
func (in *interior) reach(part float64) (ps, py float64) {
	ps, py = 1, 1
	for i := range in.rows {
		if in.ds[i] < 0 {
			ps = min(ps, -part*in.s[i]/in.ds[i])
		}
		if in.dy[i] < 0 {
			py = min(py, -part*in.y[i]/in.dy[i])
		}
	}
	return ps, py
}

// envelope is a symmetric positive matrix, of which each row is kept from its
// first entry that is not zero to the diagonal.
type envelope struct {
	first []int
	rows  [][]float64
}

func (e *envelope) shape(p *program) {
	e.first = make([]int, p.unknowns)
	e.rows = make([][]float64, p.unknowns)
	for i := range e.first {
		e.first[i] = i
	}
	for i := range p.rows {
		for _, a := range p.rows[i].at {
			for _, b := range p.rows[i].at {
				if a >= 0 && b >= 0 {
					e.first[a] = min(e.first[a], int(b))
				}
			}
		}
	}
	for i, f := range e.first {
		e.rows[i] = make([]float64, i-f+1)
	}
}

func (e *envelope) clear() {
	for _, r := range e.rows {
		clear(r)
	}
}

// add adds d times the outer product of a row's coefficients.
func (e *envelope) add(r *row, d float64) {
	for j, a := range r.at {
		if a < 0 {
			continue
		}
		v := float64(d * r.coef[j])
		for k, b := range r.at {
			if b >= 0 && b <= a {
				e.rows[a][int(b)-e.first[a]] += float64(v * r.coef[k])
			}
		}
	}
}

// factor replaces the matrix by its Cholesky factor. It makes up for unknowns
// that nothing holds by a trifle on the diagonal.
func (e *envelope) factor() bool {
	for i, ri := range e.rows {
		fi := e.first[i]
		top := ri[i-fi]
		for j := fi; j < i; j++ {
			rj, fj := e.rows[j], e.first[j]
			lo := max(fi, fj)
			a, b := ri[lo-fi:j-fi], rj[lo-fj:j-fj]
			s := ri[j-fi]
			for k, v := range a {
				s -= float64(v * b[k])
			}
			ri[j-fi] = s / rj[j-fj]
		}
		s := top
		for _, v := range ri[:i-fi] {
			s -= float64(v * v)
		}
		if s <= top*1e-13 {
			s = top*1e-13 + 1e-300
		}
		if !(s > 0) || math.IsInf(s, 0) {
			return false
		}
		ri[i-fi] = math.Sqrt(s)
	}
	return true
}

// solve replaces v by the solution with right side v.
func (e *envelope) solve(v []float64) {
	for i, ri := range e.rows {
		f := e.first[i]
		s := v[i]
		for k, c := range ri[:i-f] {
			s -= float64(c * v[f+k])
		}
		v[i] = s / ri[i-f]
	}
	for i := len(e.rows) - 1; i >= 0; i-- {
		ri, f := e.rows[i], e.first[i]
		v[i] /= ri[i-f]
		for k, c := range ri[:i-f] {
			v[f+k] -= float64(c * v[i])
		}
	}
}
