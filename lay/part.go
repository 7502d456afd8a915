package lay

import (
	"cmp"
	"math"
	"slices"

	"clothwright/curve"
	"clothwright/phrase"
	"clothwright/piece"
)

// Parted says that so many cuts of a piece, of all that could be made through two layers, are made as one and its mirror in the
// single part of the cloth.
type Parted struct {
	Job, Piece string
	Cuts       int
}

// folding is one way of folding cloth with one part single: how far the folded selvedge's edge lies from the fold, and which
// pieces are cut as one and its mirror from the single part rather than through both layers of the double.
type folding struct {
	doubled float64
	alone   []int   // of each shape, how many of its cuts
	guess   float64 // of the length, mm
}

// How many foldings are tried, and how many of one depth of fold: the guess orders them, the search decides.
const (
	foldingsMost = 10
	foldingsSame = 3
)

// For guesses alone: filled is about how much of its part pieces fill; stacked is how long pieces of which no two lie abreast
// come out, of their lengths together, since their hollows take up one another's corners.
const (
	filled  = 0.85
	stacked = 0.75
)

// foldings are the foldings worth trying, first the one folded farthest, then the most hopeful. None means that some piece fits nowhere.
func (c *Cloth) foldings(shapes []shape, mark float64) []folding {
	if c.Doubled > 0 && c.Parted != nil {
		return c.asParted(shapes)
	}
	var out, most []folding
	for _, d := range c.depths(shapes, mark) {
		var some []folding
		at := *c
		at.Doubled = d
		if least, _, ok := at.bounds(shapes); ok { // folded so far as can be, whatever is guessed of it
			most = []folding{{doubled: d, alone: least}}
		}
		for _, all := range []bool{false, true} {
			some = append(some, at.balanced(shapes, all)...)
		}
		some = slices.DeleteFunc(some, func(f folding) bool { return !doubles(shapes, f.alone) })
		slices.SortStableFunc(some, func(a, b folding) int { return cmp.Compare(a.guess, b.guess) })
		some = slices.CompactFunc(some, func(a, b folding) bool { return slices.Equal(a.alone, b.alone) })
		out = append(out, some[:min(len(some), foldingsSame)]...)
	}
	slices.SortStableFunc(out, func(a, b folding) int { return cmp.Compare(a.guess, b.guess) })
	out = slices.DeleteFunc(out, func(f folding) bool {
		return len(most) > 0 && f.doubled == most[0].doubled && slices.Equal(f.alone, most[0].alone)
	})
	return append(most, out[:min(len(out), foldingsMost-len(most))]...)
}

// doubles reports whether anything is left that is cut double: to fold cloth for nothing is no way of laying it.
func doubles(shapes []shape, alone []int) bool {
	for i := range shapes {
		if shapes[i].layers == 2 && shapes[i].count > alone[i] {
			return true
		}
	}
	return false
}

// asParted is the folding that the cloth itself names, if the pieces fit it.
func (c *Cloth) asParted(shapes []shape) []folding {
	least, most, ok := c.bounds(shapes)
	if !ok {
		return nil
	}
	f := folding{doubled: c.Doubled, alone: make([]int, len(shapes))}
	for i := range shapes {
		for _, p := range c.Parted {
			if p.Job == shapes[i].job && p.Piece == shapes[i].p.Name && shapes[i].layers == 2 {
				f.alone[i] = p.Cuts
			}
		}
		f.alone[i] = max(least[i], min(most[i], f.alone[i]))
	}
	return []folding{f}
}

// partedAs names what is cut apart, for a plan's cloth.
func partedAs(shapes []shape, alone []int) []Parted {
	out := []Parted{}
	for i, n := range alone {
		if n > 0 {
			out = append(out, Parted{shapes[i].job, shapes[i].p.Name, n})
		}
	}
	return out
}

// depths are the distances of the folded selvedge's edge from the fold that are worth trying: what one or two of the pieces that
// are cut double need, rounded up to the tape, what leaves the single part wide enough for one or two others, rounded down, and all but
// the whole width, when the pieces need that.
func (c *Cloth) depths(shapes []shape, mark float64) []float64 {
	if c.Doubled > 0 {
		return []float64{c.Doubled}
	}
	if !(mark > 0) {
		mark = 1
	}
	g, s, flat := c.gap(), c.Selvedge, c.flat()
	var double, single []float64
	for i := range shapes {
		x := &shapes[i]
		w := x.size.X
		if x.onFold {
			double = append(double, w)
			continue
		}
		double = append(double, w+g)
		single = append(single, w, 2*w+g)
	}
	var out []float64
	add := func(raw float64) {
		if raw > s && raw <= flat/2+s {
			out = append(out, raw)
		}
	}
	for i, a := range double {
		add(math.Ceil((a+s)/mark-1e-9) * mark)
		for _, b := range double[:i+1] {
			add(math.Ceil((a+b+g+s)/mark-1e-9) * mark)
		}
	}
	add(math.Floor((flat/2+s)/mark+1e-9) * mark) // all but selvedge on selvedge
	for _, a := range single {
		add(math.Floor((flat-s-a)/2/mark+s/mark+1e-9) * mark)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// balanced moves cuts between the double and the single part of cloth whose fold is given, one at a time while the guessed length gets
// less, from all in one of them; it returns every state met.
func (c *Cloth) balanced(shapes []shape, alone bool) []folding {
	least, most, ok := c.bounds(shapes)
	if !ok {
		return nil
	}
	now := folding{doubled: c.Doubled, alone: slices.Clone(least)}
	if alone {
		now.alone = slices.Clone(most)
	}
	now.guess = c.guess(shapes, now.alone)
	out := []folding{now}
	for {
		better := now
		for i := range shapes {
			for _, by := range []int{-1, 1} {
				n := now.alone[i] + by
				if n < least[i] || n > most[i] {
					continue
				}
				try := slices.Clone(now.alone)
				try[i] = n
				if v := c.guess(shapes, try); v < better.guess-near {
					better = folding{c.Doubled, try, v}
				}
			}
		}
		if better.guess >= now.guess {
			return out
		}
		now = better
		out = append(out, now)
	}
}

// bounds are how many cuts of each shape may be least and most made in the single part; ok is false when some piece fits neither.
func (c *Cloth) bounds(shapes []shape) (least, most []int, ok bool) {
	double, single := c.Double(), c.Usable()-c.single()
	g := c.gap()
	least, most = make([]int, len(shapes)), make([]int, len(shapes))
	for i := range shapes {
		x := &shapes[i]
		w := x.size.X
		in2, in1 := w+g <= double+near, w <= single+near
		if x.onFold {
			in2, in1 = w <= double+near, false
		}
		switch {
		case !in2 && !in1:
			return nil, nil, false
		case x.onFold || x.layers == 1:
		case !in2:
			least[i], most[i] = x.count, x.count
		case in1:
			most[i] = x.count
		}
	}
	return least, most, true
}

// guess is a length that a folding may take: by the areas in either part, and by the pieces of which no two lie abreast.
func (c *Cloth) guess(shapes []shape, alone []int) float64 {
	double, single := c.Double(), math.Max(0, c.Usable()-c.single())
	var area, high [2]float64 // of the double and the single part
	either := 0.0
	put := func(part int, x *shape, n int, wide float64) {
		if n == 0 {
			return
		}
		area[part] += float64(n) * x.area
		if 2*x.size.X > wide {
			high[part] += float64(stacked*float64(n)) * x.size.Y
		}
		high[part] = math.Max(high[part], x.size.Y)
	}
	for i := range shapes {
		x := &shapes[i]
		w := x.size.X
		switch {
		case x.layers == 2:
			put(0, x, x.count-alone[i], double)
			put(1, x, 2*alone[i], single)
		case w > single:
			put(0, x, x.count, double)
		case w+c.gap() > double:
			put(1, x, x.count, single)
		default:
			either += float64(x.count) * x.area
		}
	}
	out := math.Max(high[0], high[1])
	out = math.Max(out, (area[0]+area[1]+either)/(double+single)/filled)
	for k, wide := range []float64{double, single} {
		if area[k] > 0 {
			out = math.Max(out, area[k]/wide/filled)
		}
	}
	return out
}

// parted are the shapes of a folding: those cut alone become one and its mirror image.
func parted(shapes []shape, alone []int) []shape {
	var out []shape
	for i := range shapes {
		s, n := shapes[i], alone[i]
		s.count -= n
		if s.count > 0 {
			out = append(out, s)
		}
		if n == 0 {
			continue
		}
		one := s
		one.id, one.count, one.layers, one.apart = s.id+"/one", n, 1, true
		other := one.mirrored()
		other.id = s.id + "/other"
		other.exact, other.rough = scaled(s.exact, -1, 1), scaled(s.rough, -1, 1)
		if s.own && !s.p.Pair {
			one.count *= 2
			out = append(out, one)
			continue
		}
		out = append(out, one, other)
	}
	number := map[Key]int{}
	for i := range out {
		k := Key{Job: out[i].job, Piece: out[i].p.Name, Part: out[i].part.N}
		out[i].copy = number[k]
		number[k] += out[i].count
	}
	return out
}

// noFolding says which piece keeps cloth from being folded with one part single, and what would do.
func (c *Cloth) noFolding(shapes []shape, o Options) piece.Finding {
	g := c.gap()
	need := func(s *shape) (double float64) { // of the usable width, when the piece is cut double
		w := s.size.X
		if s.onFold {
			return w
		}
		return w + g
	}
	if c.Doubled > 0 {
		double, single := c.Double(), math.Max(0, c.Usable()-c.single())
		for i := range shapes {
			s := &shapes[i]
			if w := s.size.X; need(s) > double+near && (s.onFold || w > single+near) {
				return c.wide(s, phrase.Of("%s is %s wide, and %s folded over to %s from the fold has %s double and %s single to use: fold it over to another distance, or leave that to the program.",
					titleOf(s.p), o.say(w), c.title(), o.say(c.Doubled), o.say(double), o.say(single)))
			}
		}
	}
	// The widest piece on the fold, and the widest of the others.
	var fold, other *shape
	for i := range shapes {
		s := &shapes[i]
		if s.onFold && (fold == nil || need(s) > need(fold)) {
			fold = s
		}
		if !s.onFold && (other == nil || need(s) > need(other)) {
			other = s
		}
	}
	least, worst := 0.0, other
	if fold != nil {
		least = need(fold)
	}
	if fold != nil && 2*least > c.flat() || other == nil {
		worst = fold
	}
	wide := 2 * least
	if other != nil {
		w := curve.Bounds(other.exact...).W()
		wide = math.Max(wide, math.Min(2*need(other), 2*least+c.Selvedge+w))
	}
	return c.wide(worst, phrase.Of("%s is %s wide, and %s folded so that its other pieces fit has no part, double or single, that is as wide: cloth %s wide would do.",
		titleOf(worst.p), o.say(curve.Bounds(worst.exact...).W()), c.title(), o.say(math.Ceil(c.outer(wide))+1)))
}

func (c *Cloth) wide(s *shape, said phrase.Said) piece.Finding {
	return piece.Found(piece.Stop, "lay:too-wide", said, s.p.Name)
}
