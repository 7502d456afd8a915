package job_test

import (
	"context"
	"math"
	"testing"

	"clothwright/curve"
	"clothwright/job"
	"clothwright/job/jobtest"
	"clothwright/lay"
	"clothwright/piece"
)

// Two bodies on one striped cloth: in each jacket a stripe runs on from front to back at the side seam's top and from front to sleeve at
// the cap's first notch, by its own marks, which are not the other's. Common practice, no source.
func TestStripesMatchInEachJobLaidTogether(t *testing.T) {
	const along = 60
	rs := []*job.Result{jobtest.Example(t, "bow"), jobtest.Example(t, "stroke")}
	cloths := rs[0].Job.House.Cloths
	for i := range cloths {
		if cloths[i].Material == string(piece.Shell) {
			cloths[i].RepeatLong = along
		}
	}
	plans, _, err := job.LayTogether(context.Background(), rs, lay.Options{Steps: 1000})
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, p := range plans {
		if p.Cloth.Material != piece.Shell {
			continue
		}
		for _, r := range rs {
			lies := func(name string, v curve.Point) []float64 {
				var out []float64
				for _, q := range p.Places {
					if q.Job == r.Job.Number && q.Piece == name {
						at := v
						if q.Flipped {
							at.X = -at.X
						}
						out = append(out, at.Rotate(q.Turn*math.Pi/180).Add(curve.Point{X: q.X, Y: q.Y}).Y)
					}
				}
				return out
			}
			upper := func(edge piece.Ref) curve.Point {
				a, b := r.Pattern.Edge(edge).Path.Start(), r.Pattern.Edge(edge).Path.End()
				if a.Y < b.Y {
					return a
				}
				return b
			}
			notch := func(name, edge, called string) (curve.Point, string) {
				for _, n := range r.Pattern.Piece(name).Notches {
					if n.Edge == edge && (called == "" || n.Name == called) {
						return r.Pattern.Edge(piece.Ref(name + "." + edge)).Path.PointAt(n.At), n.Name
					}
				}
				t.Fatalf("%s has no notch %q on its %s", name, called, edge)
				return curve.Point{}, ""
			}
			onArmhole, called := notch("front", "armhole", "")
			onCap, _ := notch("sleeve", "cap_front", called)
			for _, k := range []struct {
				what, other string
				front, to   curve.Point
			}{{"the side seam's tops", "back", upper("front.side"), upper("back.side")}, {"the cap's first notches", "sleeve", onArmhole, onCap}} {
				for _, a := range lies("front", k.front) {
					for _, b := range lies(k.other, k.to) {
						seen++
						if off := math.Abs(math.Remainder(a-b, along)); off > 0.01 {
							t.Errorf("%s: %s lie %.2f mm off the repeat to one another", r.Job.Number, k.what, off)
						}
					}
				}
			}
		}
	}
	if seen < 4 {
		t.Errorf("%d side seams were looked at", seen)
	}
}
