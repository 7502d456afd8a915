package desk

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"clothwright/book"
	"clothwright/job"
	"clothwright/tape"
)

// cutter drafts a job file as far as it is filled in.
type cutter func(f *book.JobFile) (*job.Result, error)

// adjust puts what the fittings taught on a job file. What is no length of the body is put on last, since it can only be said when
// the rest is drafted.
func (m *Made) adjust(f *book.JobFile, as []book.Adjustment, cut cutter) error {
	m.Left = f.Adjust(as)
	m.Left = slices.DeleteFunc(m.Left, func(a book.Adjustment) bool {
		return strings.HasSuffix(a.Measure, book.Slope) || strings.HasPrefix(a.Measure, book.Styled)
	})
	for _, a := range as {
		if name, styled := strings.CutPrefix(a.Measure, book.Styled); styled && a.MM != 0 {
			done, err := restyle(f, name, a, cut)
			if err != nil {
				return err
			}
			if !done {
				m.Left = append(m.Left, a)
			}
		}
	}
	left, err := lower(f, slices.DeleteFunc(slices.Clone(as), func(a book.Adjustment) bool { return !strings.HasSuffix(a.Measure, book.Slope) }), cut)
	if err != nil {
		return err
	}
	m.Left = append(m.Left, left...)
	gone := map[string]bool{}
	for _, a := range m.Left {
		gone[a.Measure] = true
	}
	for _, a := range as {
		if !gone[a.Measure] {
			m.Carried = append(m.Carried, a)
		}
	}
	return nil
}

// restyle changes a choice of style that is a length. It says no, and changes nothing, where the garment has no such choice, the
// length would be out of its range, or the choice has no part in this style, as a collar's height has none where the band is
// bought ready.
func restyle(f *book.JobFile, name string, a book.Adjustment, cut cutter) (bool, error) {
	was, err := cut(f)
	if err != nil {
		return false, err
	}
	mm, ok := was.Job.Style[name].(float64)
	if !ok {
		return false, nil
	}
	for _, o := range was.Job.Garment.Options {
		if o.Name == name && (mm+a.MM < o.Least || mm+a.MM > o.Most) {
			return false, nil
		}
	}
	style, notes := f.Style[name], len(f.Notes)
	_, chosen := f.Style[name]
	f.AdjustStyle(name, mm, a)
	now, err := cut(f)
	if err == nil && !sameShapes(was, now) {
		return true, nil
	}
	f.Notes = f.Notes[:notes]
	if delete(f.Style, name); chosen {
		f.Style[name] = style
	}
	return false, nil
}

// sameShapes says whether two drafts have the same seam lines.
func sameShapes(a, b *job.Result) bool {
	if len(a.Pattern.Pieces) != len(b.Pattern.Pieces) {
		return false
	}
	for i := range a.Pattern.Pieces {
		if !slices.Equal(a.Pattern.Pieces[i].SeamLine(), b.Pattern.Pieces[i].SeamLine()) {
			return false
		}
	}
	return true
}

// shoulder is how one drafted shoulder lies: how far its end is from the neck, across and below it, in mm.
type shoulder struct{ run, drop float64 }

// shouldersOf reads the shoulders off the drafted front's shoulder edge, by side; ok is false for a garment that has no such edge.
func shouldersOf(r *job.Result) (out map[string]shoulder, ok bool) {
	out = map[string]shoulder{}
	for _, side := range []string{"left", "right"} {
		p := r.Pattern.Piece("front_" + side)
		if p == nil {
			p = r.Pattern.Piece("front")
		}
		if p == nil || p.Edge("shoulder") == nil {
			return nil, false
		}
		e := p.Edge("shoulder").Path
		neck, end := e.Start(), e.End()
		if math.Abs(end.X) < math.Abs(neck.X) { // x is counted from the centre line, and the neck is nearer to it
			neck, end = end, neck
		}
		out[side] = shoulder{run: math.Abs(end.X - neck.X), drop: end.Y - neck.Y}
	}
	return out, true
}

// lower carries pins at the shoulders' ends as slopes. A pin of d mm is to let the end of that shoulder lie d mm lower than it would
// without the pin; a draft without it says where that is, whether the slope was measured or the garment's rule stood in for it. The
// slope that does it is the angle below the level whose tangent is (drop + d) / run, by plane trigonometry, drop and run being how far
// the drafted end lies below the neck and beside it. The next draft is then looked at, and the tangent searched for where the
// garment reckons the slope over another run than the drafted one, as for a shoulder that was extended. Where no slope lets the end
// lie as was pinned, to half a division of the house's tape, the pins are returned, to be made by hand.
func lower(f *book.JobFile, as []book.Adjustment, cut cutter) (left []book.Adjustment, err error) {
	wanted := map[string]float64{} // mm lower, by side
	said := map[string][]string{}
	for _, a := range as {
		for _, side := range []string{"left", "right"} {
			if s, _, one := strings.Cut(a.Measure, "."); !one || s == side {
				wanted[side] += a.MM
				said[side] = append(said[side], a.Said...)
			}
		}
	}
	if wanted["left"] == 0 && wanted["right"] == 0 {
		return nil, nil
	}
	was, err := cut(f)
	if err != nil {
		return nil, err
	}
	base, ok := shouldersOf(was)
	if !ok {
		return as, nil
	}
	near := was.Job.House.Tape.Step/2 + 1e-6
	aim := map[string]*search{}
	for side, b := range base {
		aim[side] = &search{to: b.drop + wanted[side], tan: (b.drop + wanted[side]) / b.run, high: math.Inf(1)}
	}
	for range 12 {
		for _, a := range aim {
			if !(a.tan > 0 && a.tan <= 1) {
				return as, nil
			}
		}
		g := *f
		g.Measures, g.Left, g.Right, g.Notes = slices.Clone(f.Measures), slices.Clone(f.Left), slices.Clone(f.Right), slices.Clone(f.Notes)
		slopes(&g, aim, wanted, said)
		now, err := cut(&g)
		if err != nil {
			return as, nil
		}
		got, ok := shouldersOf(now)
		if !ok {
			return as, nil
		}
		good := true
		for side, a := range aim {
			good = a.look(got[side].drop, near) && good
		}
		if good {
			*f = g
			return nil, nil
		}
	}
	return as, nil
}

// search is for the tangent of a slope with which a shoulder's end lies at the wanted depth.
type search struct {
	to        float64 // mm below the neck
	tan       float64 // that is tried
	low, high float64 // tangents that are known to be too small and too large
}

// degrees is the slope below the level.
func (s *search) degrees() float64 { return math.Atan(s.tan) * 180 / math.Pi }

// look says whether the end lies near enough; if not, another tangent is tried: in proportion, or midway once both ways are known.
func (s *search) look(drop, near float64) bool {
	switch {
	case math.Abs(drop-s.to) <= near:
		return true
	case drop < s.to:
		s.low = s.tan
	default:
		s.high = s.tan
	}
	if s.low > 0 && !math.IsInf(s.high, 1) {
		s.tan = (s.low + s.high) / 2
	} else {
		s.tan *= s.to / drop
	}
	return false
}

// slopes sets the slopes that pins ask for: of both sides at once where they are alike, else of the sides that were pinned.
func slopes(f *book.JobFile, to map[string]*search, wanted map[string]float64, said map[string][]string) {
	why := func(side string, mm float64, said []string) string {
		what := fmt.Sprintf("%s%s: the shoulder's end lower by %g mm", side, book.Slope, math.Round(mm*1000)/1000)
		return book.AfterFitting(what, book.Adjustment{Said: said})
	}
	own := func(ms []book.Measure) bool {
		return slices.ContainsFunc(ms, func(m book.Measure) bool { return m.Name == book.Slope })
	}
	if *to["left"] == *to["right"] && wanted["left"] == wanted["right"] && !own(f.Left) && !own(f.Right) {
		f.SetSlope("", to["left"].degrees(), why("", wanted["left"], said["left"]))
		return
	}
	for _, side := range []string{"left", "right"} {
		if wanted[side] != 0 {
			f.SetSlope(side, to[side].degrees(), why(side+".", wanted[side], said[side]))
		}
	}
}

// pinned is what was ever pinned of this client's garment: what a draft carries, in words, and what it does not, as it was said.
func pinned(ctx context.Context, b *book.Book, j book.Job, d book.Draft) (drafted, byHand []string, err error) {
	as, hand, err := b.Adjustments(ctx, j.ClientID, j.Garment, 0)
	if err != nil {
		return nil, nil, err
	}
	for _, a := range as {
		if math.Abs(a.MM) < 0.005 { // pinned and pinned back
			continue
		}
		var in []string
		for _, said := range a.Said {
			if book.Tells(d.File, said) {
				in = append(in, said)
			} else {
				byHand = append(byHand, said)
			}
		}
		switch {
		case len(in) == len(a.Said):
			drafted = append(drafted, CarriedWords(a)+": "+strings.Join(in, ", "))
		case len(in) > 0:
			drafted = append(drafted, strings.Join(in, ", "))
		}
	}
	for _, p := range hand {
		byHand = append(byHand, p.Said)
	}
	return drafted, byHand, nil
}

// CarriedWords say what a draft changes for its pins, for people: "left arm length +1/2 in". The unit is that of the pins; mm where they
// differ in it.
func CarriedWords(a book.Adjustment) string {
	by := tape.Signed(a.MM, tape.UnitIn(a.Said...))
	plain := strings.NewReplacer(book.Styled, "", ".", " ", "_", " ")
	side, slope := strings.CutSuffix(a.Measure, book.Slope)
	if !slope {
		return plain.Replace(a.Measure) + " " + by
	}
	way := "lower"
	if a.MM < 0 {
		way = "higher"
	}
	return plain.Replace(side) + "shoulder " + strings.TrimLeft(by, "+-") + " " + way + " at its end"
}
