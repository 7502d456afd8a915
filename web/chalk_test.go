package web

import (
	"math"
	"strings"
	"testing"

	"clothwright/curve"
	"clothwright/tape"
)

// Whoever chalks a curve by the figures on the screen must come out on the curve: each row is read back as a cutter reads it and laid
// off from the straight between the two marks. A figure may be off by half a tape's mark on either way, 1/32 in or 0.5 mm
// (arithmetic), a little more where the curve runs steep.
func TestTheFiguresLieOnTheCurve(t *testing.T) {
	r := openRoom(t)
	rec := r.measured()
	for _, unit := range []string{"in", "cm"} {
		rec.Kept.Unit = unit
		c, err := r.server.cut(rec)
		if err != nil || c.err != nil {
			t.Fatal(err, c.err)
		}
		house := c.result.Job.House.Tape
		curves, rows := 0, 0
		for i := range c.result.Pattern.Pieces {
			p := &c.result.Pattern.Pieces[i]
			at, ok := tableOf(rec, c.result, p.Name, languages["en"])
			if !ok {
				t.Errorf("%s cannot be chalked", p.Name)
				continue
			}
			for k := range p.Steps {
				s := at.step(k, house)
				path := p.Steps[k].Path
				if len(path) == 0 || straight(path) {
					continue
				}
				curves++
				if len(s.Tables) == 0 {
					t.Errorf("%s: the curve %s has no figures", p.Name, s.Name)
				}
				ring, _ := p.Outline(0.5)
				for _, o := range s.Tables {
					if strings.Contains(o.Chord, languages["en"].T("chalk.there")) {
						t.Errorf("%s: %s is measured from a place without a name: %s", p.Name, s.Name, o.Chord)
					}
					u := o.b.Sub(o.a).Unit()
					for _, row := range o.Rows {
						rows++
						x, err := tape.Parse(row.Along, 0)
						y, err2 := tape.Parse(row.Out, 0)
						if err != nil || err2 != nil {
							t.Fatalf("%s cannot be read: %v %v", row, err, err2)
						}
						near := math.Inf(1)
						for _, sign := range []float64{1, -1} {
							q := o.a.Add(u.Mul(x)).Add(u.Left().Mul(sign * y))
							if _, d := path.Nearest(q); d < near {
								near = d
								// The side that is said must be the one that is meant: beyond a hollow lies the piece.
								if in := curve.Contains(ring, q.Add(u.Left().Mul(sign*3))); d < 1 && y > 2 && in != (row.Side == languages["en"].T("chalk.inside")) && p.Edge(p.Steps[k].Name) != nil {
									t.Errorf("%s, %s at %s: it is said to lie %s", p.Name, s.Name, row.Along, row.Side)
								}
							}
						}
						if near > 1.0 {
							t.Errorf("%s, %s: %s along and %s out lies %.2f mm from the curve", p.Name, s.Name, row.Along, row.Out, near)
						}
					}
				}
			}
		}
		if curves < 8 || rows < 40 {
			t.Errorf("%s: %d curves and %d rows were tried", unit, curves, rows)
		}
	}
}
