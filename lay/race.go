package lay

import (
	"context"
	"math"
	"slices"
	"time"

	"clothwright/lay/pack"
	"clothwright/phrase"
	"clothwright/piece"
)

// try is one way of folding the cloth with what is cut of it, put to the search.
type try struct {
	cloth    Cloth
	shapes   []shape
	held     []spot
	problem  pack.Problem
	findings []piece.Finding // that do not stop it
	found    pack.Lay
}

// tries are the ways in which the cloth may be folded: one, or with one part single several. Without any the findings say why.
func (c *Cloth) tries(shapes []shape, o Options) ([]*try, []piece.Finding) {
	if c.Fold != PartSingle {
		t, fs := c.try(shapes, o)
		if t == nil {
			return nil, fs
		}
		return []*try{t}, nil
	}
	if !slices.ContainsFunc(shapes, func(s shape) bool { return s.layers == 2 }) {
		at := *c
		at.Fold, at.Doubled, at.Parted = Open, 0, nil
		t, fs := at.try(shapes, o)
		if t == nil {
			return nil, fs
		}
		t.findings = append(t.findings, piece.Found(piece.Info, "lay:opened", phrase.Of("%s: nothing of it is cut double, so it is laid open.", upper(c.title()))))
		return []*try{t}, nil
	}
	if len(o.Held) > 0 {
		shapes, fs := c.byHand(shapes, nil, o)
		if len(shapes) == 0 {
			return nil, fs
		}
		t, fs := c.try(shapes, o)
		if t == nil {
			return nil, fs
		}
		return []*try{t}, nil
	}
	var out []*try
	var why []piece.Finding
	for _, f := range c.foldings(shapes, o.Mark) {
		at := *c
		at.Doubled, at.Parted = f.doubled, partedAs(shapes, f.alone)
		t, fs := at.try(parted(shapes, f.alone), o)
		if t != nil {
			out = append(out, t)
		} else if why == nil {
			why = fs
		}
	}
	switch {
	case len(out) > 0:
		return out, nil
	case why == nil:
		why = []piece.Finding{c.noFolding(shapes, o)}
	}
	return nil, why
}

// try puts shapes to the search; it is nil when the findings stop it.
func (c *Cloth) try(shapes []shape, o Options) (*try, []piece.Finding) {
	t := &try{cloth: *c, shapes: shapes}
	t.held, t.findings = c.hold(shapes, o)
	t.findings = append(t.findings, c.clashes(t.held, o)...)
	if piece.Worst(t.findings) == piece.Stop {
		return nil, t.findings
	}
	t.problem = c.problem(shapes)
	if fs := c.tie(t.problem.Pieces, shapes, o.say); len(fs) > 0 {
		return nil, append(t.findings, fs...)
	}
	c.lock(&t.problem, t.held)
	return t, nil
}

// heats are how the budget is given out when the cloth may be folded in several ways: each part of it to so many of those that are best
// until then; what is left to the best. The one folded farthest, which is the first, runs in all of them: it is what the cloth
// would otherwise be folded to, and slow to get short, since all its pieces are in one another's way.
var heats = []struct {
	tries int
	part  float64 // of the budget, for each
}{{foldingsMost, 1. / 40}, {4, 1. / 8}}

// manyFold is how many times Steps the budget is when none is given and the cloth may be folded in several ways.
const manyFold = 3

// race searches with every try and returns the one with the shortest lay.
func race(ctx context.Context, tries []*try, o Options) (*try, error) {
	all := pack.Options{Seed: o.Seed, Steps: o.Steps, Time: o.Time, Now: o.Now, Workers: o.Workers, StopWhenFits: true}
	if all.Steps == 0 && all.Time == 0 {
		if all.Steps = Steps; len(tries) > 1 {
			all.Steps *= manyFold
		}
	}
	farthest := tries[0]
	used, steps, shortest := 0.0, int64(0), math.Inf(1)
	run := func(t *try, part float64) error {
		opt := all
		opt.Time = time.Duration(float64(all.Time) * part)
		if opt.Steps = int64(float64(all.Steps) * part); all.Steps > 0 {
			opt.Steps = max(1, opt.Steps)
		}
		from := used
		if o.Progress != nil {
			opt.Progress = func(p pack.Progress) {
				if p.Lay.Length < shortest {
					shortest = p.Lay.Length
					o.Progress(p.Lay.Length+t.cloth.head(), min(1, from+part*p.Done))
				}
			}
		}
		l, err := pack.Solve(ctx, t.problem, opt)
		if err != nil {
			return err
		}
		used += part
		steps += l.Steps
		if t.found.Places == nil || l.Length < t.found.Length {
			t.found = l
		}
		return nil
	}
	for _, h := range heats {
		if len(tries) == 1 {
			break
		}
		if at := slices.Index(tries, farthest); at >= h.tries {
			tries[at], tries[h.tries-1] = tries[h.tries-1], tries[at]
		}
		for _, t := range tries[:min(len(tries), h.tries)] {
			if err := run(t, h.part); err != nil {
				return nil, err
			}
		}
		slices.SortStableFunc(tries, func(a, b *try) int {
			switch { // those that have not been searched stay behind
			case (a.found.Places == nil) != (b.found.Places == nil):
				if a.found.Places == nil {
					return 1
				}
				return -1
			case a.found.Length < b.found.Length:
				return -1
			case a.found.Length > b.found.Length:
				return 1
			}
			return 0
		})
	}
	best := tries[0]
	if !(best.found.Places != nil && best.problem.MaxLength > 0 && best.found.Fits) {
		if err := run(best, 1-used); err != nil {
			return nil, err
		}
	}
	best.found.Steps = steps
	return best, nil
}
