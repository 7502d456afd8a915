package pack

import "math"

// dice is a small random source (SplitMix64, Steele, Lea and Flood 2014).
type dice struct{ state uint64 }

func (d *dice) next() uint64 {
	d.state += 0x9e3779b97f4a7c15
	z := d.state
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// unit is in [0, 1).
func (d *dice) unit() float64 { return float64(d.next()>>11) / (1 << 53) }

// upTo is in 0..n-1.
func (d *dice) upTo(n int) int { return int(float64(d.unit() * float64(n))) }

// bell is close to a standard normal number: the sum of four even ones.
func (d *dice) bell() float64 {
	return (d.unit() + d.unit() + d.unit() + d.unit() - 2) * math.Sqrt(3)
}

func (d *dice) shuffle(list []int) {
	for i := len(list) - 1; i > 0; i-- {
		j := d.upTo(i + 1)
		list[i], list[j] = list[j], list[i]
	}
}

// trial is a place tried for an item, with its cost.
type trial struct {
	spot spot
	cost float64
}

// mover finds better places for single items.
type mover struct {
	*field
	dice
	steps int64
	best  []trial // the cheapest so far, in order, at most keepTrials
	lines []line
}

// How many places are sampled for one move, and how many of them are walked to
// their nearest corner. Set by measurement.
const (
	farTrials    = 20 // anywhere in the strip
	cornerTrials = 15 // corners of the no-fit region of another item
	nearTrials   = 15 // round the present place
	keepTrials   = 3
)

// improve moves item k to the best place found if that costs less.
func (m *mover) improve(k int) bool {
	m.steps++
	now := m.spots[k]
	cost := m.cost(k, now.shape, now.x, now.y, math.Inf(1))
	if cost == 0 {
		return false
	}
	m.best = m.best[:0]
	m.sample(k, now)
	m.offer(trial{now, cost})
	found := trial{now, cost}
	for _, t := range m.best {
		if t = m.walk(k, t); t.cost < found.cost {
			found = t
			if t.cost == 0 {
				break
			}
		}
	}
	if found.cost >= cost {
		return false
	}
	m.lay(k, found.spot)
	return true
}

func (m *mover) sample(k int, now spot) {
	choices := m.items[k].choices
	for range farTrials {
		c := m.upTo(len(choices))
		r, ok := m.room(k, int32(c))
		if !ok {
			continue
		}
		m.try(k, m.onRung(k, spot{r.x0 + float64(m.unit()*(r.x1-r.x0)), r.y0 + float64(m.unit()*(r.y1-r.y0)), int32(c), choices[c].shape}))
	}
	for range cornerTrials {
		c := m.upTo(len(choices))
		if s, r, ok := m.corner(k, int32(c)); ok {
			choices[c].nearRungs(s, r, func(s spot) { m.try(k, s) })
		}
	}
	size := m.shapes[now.shape].reach
	for range nearTrials {
		c := now.choice
		if len(choices) > 1 && m.upTo(4) == 0 {
			c = int32(m.upTo(len(choices)))
		}
		r, ok := m.room(k, c)
		if !ok {
			continue
		}
		spread := size * 0.3
		x, y := r.clamp(now.x+float64(m.bell()*max(spread, choices[c].along.step)), now.y+float64(m.bell()*max(spread, choices[c].across.step)))
		m.try(k, m.onRung(k, spot{x, y, c, choices[c].shape}))
	}
}

// corner is a place in which item k would touch some other item in two points,
// or with a corner, if such a place drawn at random is in the strip. The box is the
// item's room.
func (m *mover) corner(k int, c int32) (spot, box, bool) {
	i := m.upTo(m.n)
	shape := m.items[k].choices[c].shape
	r, ok := m.room(k, c)
	if !ok || i == k {
		return spot{}, r, false
	}
	o := &m.spots[i]
	rel := m.relation(o.shape, shape)
	p := rel.nf.segs[m.upTo(len(rel.nf.segs))].a
	x := o.x + float64(rel.sign*(p.X-rel.shift.X))
	y := o.y + float64(rel.sign*(p.Y-rel.shift.Y))
	slack := m.problem.Width * fitSlack
	if x < r.x0-slack || x > r.x1+slack || y < r.y0-slack || y > r.y1+slack {
		return spot{}, r, false
	}
	x, y = r.clamp(x, y)
	return spot{x, y, c, shape}, r, true
}

// try costs a place and offers it.
func (m *mover) try(k int, s spot) {
	bound := math.Inf(1)
	if len(m.best) == keepTrials {
		bound = m.best[keepTrials-1].cost
	}
	m.offer(trial{s, m.cost(k, s.shape, s.x, s.y, bound)})
}

// offer keeps a trial if it is among the cheapest.
func (m *mover) offer(t trial) {
	n := len(m.best)
	if n == keepTrials {
		if t.cost >= m.best[n-1].cost {
			return
		}
		n--
	} else {
		m.best = append(m.best, t)
	}
	for n > 0 && m.best[n-1].cost > t.cost {
		m.best[n] = m.best[n-1]
		n--
	}
	m.best[n] = t
}

// line is the straight edge, near the present place, of a neighbour's no-fit
// region or of the strip: to move by depth along way is to be on it.
type line struct {
	way   Point
	depth float64 // positive: inside the region
}

// Limits of a walk.
const (
	walkSteps = 6
	walkLines = 8
)

// walk goes from a trial to the cheapest of the corners that the nearest edges of
// the regions around it make with one another, again and again while that
// pays. Between its corners the cost is nearly linear, so that its low points are
// corners: there the item touches two others.
func (m *mover) walk(k int, t trial) trial {
	r, ok := m.room(k, t.spot.choice)
	if !ok {
		return t
	}
	choice := &m.items[k].choices[t.spot.choice]
	for range walkSteps {
		if t.cost == 0 {
			break
		}
		m.gather(k, t.spot, r)
		next := t
		reach := 0.0
		for _, l := range m.lines {
			reach = max(reach, l.depth)
		}
		reach *= 4
		visit := func(d Point) {
			if math.Abs(d.X) > reach || math.Abs(d.Y) > reach {
				return
			}
			s := t.spot
			s.x, s.y = r.clamp(s.x+d.X, s.y+d.Y)
			choice.nearRungs(s, r, func(s spot) {
				if c := m.cost(k, s.shape, s.x, s.y, next.cost); c < next.cost {
					next = trial{s, c}
				}
			})
		}
		for i, a := range m.lines {
			if a.depth > 0 {
				visit(Point{float64(a.way.X * a.depth), float64(a.way.Y * a.depth)})
			}
			for _, b := range m.lines[:i] {
				det := cross(a.way, b.way)
				if math.Abs(det) < 1e-6 {
					continue
				}
				visit(Point{
					(float64(a.depth*b.way.Y) - float64(b.depth*a.way.Y)) / det,
					(float64(b.depth*a.way.X) - float64(a.depth*b.way.X)) / det,
				})
			}
		}
		if next.cost > t.cost*(1-1e-3) {
			if next.cost < t.cost {
				t = next
			}
			break
		}
		t = next
	}
	return t
}

// gather collects the lines round a place, the deepest first.
func (m *mover) gather(k int, s spot, r box) {
	m.lines = m.lines[:0]
	b := &m.shapes[s.shape].box
	gap := m.problem.Gap
	near := box{s.x - gap, s.y - gap, s.x + b.x1 + gap, s.y + b.y1 + gap}
	m.around(k, near, func(i int) {
		o := &m.spots[i]
		rel := m.relation(o.shape, s.shape)
		e, ok := rel.nf.exit(float64(rel.sign*(s.x-o.x))+rel.shift.X, float64(rel.sign*(s.y-o.y))+rel.shift.Y)
		if ok {
			m.note(line{Point{float64(e.way.X * rel.sign), float64(e.way.Y * rel.sign)}, e.depth + m.gapTo(i)})
		}
	})
	m.note(line{Point{1, 0}, r.x0 - s.x})
	m.note(line{Point{-1, 0}, s.x - r.x1})
	m.note(line{Point{0, 1}, r.y0 - s.y})
	m.note(line{Point{0, -1}, s.y - r.y1})
}

// note inserts a line in order of depth, dropping the least.
func (m *mover) note(l line) {
	n := len(m.lines)
	if n == walkLines {
		if l.depth <= m.lines[n-1].depth {
			return
		}
		n--
	} else {
		m.lines = append(m.lines, l)
	}
	for n > 0 && m.lines[n-1].depth < l.depth {
		m.lines[n] = m.lines[n-1]
		n--
	}
	m.lines[n] = l
}
