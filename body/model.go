package body

import (
	"math"
	"math/bits"
	"sync"
)

// AgeAxis is the axis of a Population that is the age in years. It is no measure: it is never doubted or estimated.
const AgeAxis Name = "age"

// Population is what is known of how the measures of a people go together: for each figure the means and covariances of
// the natural logarithms of its axes. At most 32 axes and two shapes. It must not be copied once in use, and may be used by many at once.
type Population struct {
	Source string
	Names  []Name // the axes: measures in mm, and AgeAxis in years
	Shapes []Shape

	once  sync.Once
	axis  map[Name]int
	great axes    // the great girths
	wide  []Shape // the shapes as doubts see them: see corpulence
	mu    sync.RWMutex
	known map[pattern]*given
}

// Shape is one figure of a population.
type Shape struct {
	Figure Figure
	People int       // how many it was computed from
	Mean   []float64 // of the logarithms, by axis
	Cov    []float64 // of the logarithms: the lower triangle, row by row
}

func (s *Shape) cov(i, j int) float64 {
	if i < j {
		i, j = j, i
	}
	return s.Cov[i*(i+1)/2+j]
}

// axes is a set of axes.
type axes uint32

func (a axes) has(i int) bool { return a>>i&1 != 0 }
func (a axes) count() int     { return bits.OnesCount32(uint32(a)) }

// first is the lowest axis of a set that is not empty.
func (a axes) first() int { return bits.TrailingZeros32(uint32(a)) }

// list is the axes in order.
func (a axes) list() []int {
	out := make([]int, 0, a.count())
	for ; a != 0; a &= a - 1 {
		out = append(out, bits.TrailingZeros32(uint32(a)))
	}
	return out
}

type pattern struct {
	shape int
	axes  axes
}

// given is what is known of a shape once the axes of a pattern are: the inverse of their covariance, and how each other axis
// follows from them.
type given struct {
	at     []int     // the axes, in order
	mean   []float64 // of at
	inv    []float64 // inverse of the covariance of at, full, row by row
	logDet float64   // of inv
	left   []float64 // by axis: standard deviation given the pattern, for the axes outside it
}

// patternsKept bounds the memory of the patterns: some 10 kB each. A workroom's cards have a handful.
const patternsKept = 512

func (p *Population) ready() {
	p.once.Do(func() {
		p.axis = make(map[Name]int, len(p.Names))
		for i, n := range p.Names {
			p.axis[n] = i
		}
		p.known = make(map[pattern]*given)
		for _, g := range greatGirths {
			if i, ok := p.axis[g]; ok {
				p.great |= 1 << i
			}
		}
		for i := range p.Shapes {
			p.wide = append(p.wide, p.widened(&p.Shapes[i]))
		}
	})
}

// corpulence is how much more clients vary in flesh than the survey's soldiers: that many times the variance is added along
// the direction in which the great girths grow together. From memory: the standard deviation of the waist in civilian health
// surveys is about one and a half times the soldiers', so that its variance is some 2.3 times theirs. It leaves a card with
// several girths as it is, and keeps a stout client with a slender wrist from being taken for a mistake.
const corpulence = 1.3

// greatGirths are the girths that grow together with flesh.
var greatGirths = []Name{"chest_girth", "waist_girth", "hip_girth", "upper_arm_girth_flexed", "upper_arm_girth"}

// widened is a shape with the spread of civilians along the direction of the great girths.
func (p *Population) widened(s *Shape) Shape {
	n := len(p.Names)
	along := make([]float64, n) // covariance with the sum of the great girths
	total := 0.0
	for _, g := range greatGirths {
		k, ok := p.axis[g]
		if !ok {
			return *s
		}
		for i := range along {
			along[i] += s.cov(i, k)
		}
	}
	for _, g := range greatGirths {
		total += along[p.axis[g]]
	}
	out := Shape{Figure: s.Figure, People: s.People, Mean: s.Mean, Cov: make([]float64, len(s.Cov))}
	at := 0
	for i := range n {
		for j := range i + 1 {
			out.Cov[at] = s.Cov[at] + corpulence*along[i]*along[j]/total
			at++
		}
	}
	return out
}

// shape is the survey's shape i, or counted on from the last of them the widened one.
func (p *Population) shape(i int) *Shape {
	if i < len(p.Shapes) {
		return &p.Shapes[i]
	}
	return &p.wide[i-len(p.Shapes)]
}

// given returns the inverse and spreads for a pattern, computed once while it is kept.
func (p *Population) given(shape int, a axes) *given {
	key := pattern{shape, a}
	p.mu.RLock()
	g := p.known[key]
	p.mu.RUnlock()
	if g != nil {
		return g
	}
	g = p.solve(p.shape(shape), a)
	p.mu.Lock()
	if len(p.known) >= patternsKept {
		clear(p.known)
	}
	p.known[key] = g
	p.mu.Unlock()
	return g
}

func (p *Population) solve(s *Shape, a axes) *given {
	at := a.list()
	k := len(at)
	g := &given{at: at, mean: make([]float64, k), inv: make([]float64, k*k), left: make([]float64, len(p.Names))}
	// L L' = covariance; then the inverse is M' M with M the inverse of L.
	l, m := make([]float64, k*k), make([]float64, k*k)
	for i := range at {
		g.mean[i] = s.Mean[at[i]]
		for j := 0; j <= i; j++ {
			v := s.cov(at[i], at[j])
			for c := 0; c < j; c++ {
				v -= float64(l[i*k+c] * l[j*k+c])
			}
			if i == j {
				l[i*k+i] = math.Sqrt(math.Max(v, 1e-9))
				g.logDet -= 2 * math.Log(l[i*k+i])
			} else {
				l[i*k+j] = v / l[j*k+j]
			}
		}
	}
	for c := 0; c < k; c++ {
		for i := c; i < k; i++ {
			v := 0.0
			if i == c {
				v = 1
			}
			for j := c; j < i; j++ {
				v -= float64(l[i*k+j] * m[j*k+c])
			}
			m[i*k+c] = v / l[i*k+i]
		}
	}
	for i := 0; i < k; i++ {
		for j := 0; j <= i; j++ {
			v := 0.0
			for c := i; c < k; c++ {
				v += float64(m[c*k+i] * m[c*k+j])
			}
			g.inv[i*k+j], g.inv[j*k+i] = v, v
		}
	}
	for x := range p.Names {
		if a.has(x) {
			continue
		}
		v := s.cov(x, x)
		for i := 0; i < k; i++ { // the forward solve of L y = cov(at, x): v - y'y
			y := 0.0
			for c := 0; c <= i; c++ {
				y += float64(m[i*k+c] * s.cov(at[c], x))
			}
			v -= float64(y * y)
		}
		g.left[x] = math.Sqrt(math.Max(v, 1e-8))
	}
	return g
}

// most axes a population may have.
const most = 32

// place is where a card lies in one shape: its deviations and what they say of each axis.
type place struct {
	g    *given
	s    *Shape
	r    [most]float64 // logarithm less mean, by place in g.at
	pull [most]float64 // g.inv r
	q    float64       // r' g.inv r: the squared distance from the middle
}

// locate puts the logarithms x (by axis) into shape i, looking only at the axes of a.
func (p *Population) locate(l *place, i int, a axes, x *[most]float64) {
	l.g, l.s = p.given(i, a), p.shape(i)
	k := len(l.g.at)
	for i, at := range l.g.at {
		l.r[i] = x[at] - l.g.mean[i]
	}
	l.q = 0
	for i := 0; i < k; i++ {
		v := 0.0
		row := l.g.inv[i*k : i*k+k]
		for j, c := range row {
			v += float64(c * l.r[j])
		}
		l.pull[i] = v
		l.q += float64(v * l.r[i])
	}
}

// alone is what the other axes of the place say of axis i (by place in g.at): the expected logarithm, its standard deviation,
// and the squared distance of the others from the middle.
func (l *place) alone(i int) (expected, sd, rest float64) {
	lambda := l.g.inv[i*len(l.g.at)+i]
	sd = 1 / math.Sqrt(lambda)
	expected = l.g.mean[i] + l.r[i] - l.pull[i]/lambda
	rest = math.Max(0, l.q-float64(l.pull[i]*l.pull[i])/lambda)
	return expected, sd, rest
}

// missing is what the whole place says of an axis x outside it: the expected logarithm and its standard deviation.
func (l *place) missing(x int) (expected, sd float64) {
	expected = l.s.Mean[x]
	for i, at := range l.g.at {
		expected += float64(l.s.cov(at, x) * l.pull[i])
	}
	return expected, l.g.left[x]
}

// strongest is the two measures of the place that say most about axis x outside it.
func (l *place) strongest(p *Population, x int) [2]Name {
	var out [2]Name
	var said [2]float64
	k := len(l.g.at)
	for i, at := range l.g.at {
		if p.Names[at] == AgeAxis {
			continue
		}
		b := 0.0
		for j, other := range l.g.at {
			b += float64(l.g.inv[i*k+j] * l.s.cov(other, x))
		}
		v := math.Abs(b) * math.Sqrt(l.s.cov(at, at))
		switch {
		case v > said[0]:
			said, out = [2]float64{v, said[0]}, [2]Name{p.Names[at], out[0]}
		case v > said[1]:
			said[1], out[1] = v, p.Names[at]
		}
	}
	return out
}

// stretchFreedom is how fast the spread grows for a body far from the middle, as the degrees of freedom of Student's
// distribution would have it.
const stretchFreedom = 15

// stretch is the factor on a standard deviation for a body whose k other axes lie at the squared distance q from the middle:
// 1 for nineteen in twenty (two standard deviations of such a distance), more for one whom the survey's people say little
// about, the very large above all.
func stretch(q float64, k int) float64 {
	ordinary := float64(k) + 2*math.Sqrt(2*float64(k))
	return math.Sqrt(math.Max(1, (stretchFreedom+q)/(stretchFreedom+ordinary)))
}

// likelihood is the logarithm of the density at the squared distance q over k axes with the given determinant: Student's
// with jointFreedom degrees of freedom, so that a body far from the middle is not judged to a hair.
func likelihood(q float64, k int, logDet float64) float64 {
	v := float64(jointFreedom)
	return lgamma((v+float64(k))/2) - lgamma(v/2) - float64(k)/2*math.Log(v*math.Pi) + logDet/2 -
		(v+float64(k))/2*math.Log1p(q/v)
}

const jointFreedom = 30

func lgamma(x float64) float64 { v, _ := math.Lgamma(x); return v }
