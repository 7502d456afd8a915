package sheet

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"clothwright/curve"
	"clothwright/tape"
)

// common practice, no source: the cut line is chalked parallel to the seam line at the printed allowance, so half way along an edge the
// pattern's cut line must lie as far off as the table says.
func TestAllowancesGiveTheCutLine(t *testing.T) {
	for _, f := range fittings {
		j := jacket(t, f)
		for i := range j.Pattern.Pieces {
			p := &j.Pattern.Pieces[i]
			cut := p.CutLine()
			for k, row := range newReader(j.Tape, p).edges() {
				e := &p.Edges[k]
				_, off := cut.Nearest(e.Path.PointAt(e.Length() / 2))
				said := 0.0
				if !strings.HasPrefix(row.allowance, "on ") {
					var err error
					if said, err = tape.Parse(row.allowance, 0); err != nil {
						t.Fatalf("%s.%s: %v", p.Name, e.Name, err)
					}
				}
				if math.Abs(said-off) > 0.8 {
					t.Errorf("%s, %s.%s: cut %q outside is said, the cut line lies %.2f mm off", f.name, p.Name, e.Name, row.allowance, off)
				}
				if (row.allowance == "on the fold") != (e.Finish == "fold") {
					t.Errorf("%s, %s.%s: %q", f.name, p.Name, e.Name, row.allowance)
				}
			}
		}
	}
}

var (
	saysNotchAt    = regexp.MustCompile(`^(.+?): (single|double) notch at .+ \((\d+)\), across the allowance of the (.+)\.$`)
	saysNotchAlong = regexp.MustCompile(`^(.+?): (single|double) notch ` + length + ` along the (.+) from .+ \((\d+)\)\.$`)
)

// common practice, no source: notches that are walked off as printed must meet their mates, so they lie within a division of the tape.
func TestNotchesCanBeWalkedOff(t *testing.T) {
	for _, f := range fittings {
		j := jacket(t, f)
		for i := range j.Pattern.Pieces {
			p := &j.Pattern.Pieces[i]
			if len(p.Steps) == 0 || band(p) {
				continue
			}
			r := newReader(j.Tape, p)
			at := map[string]curve.Point{}
			for k := range p.Steps {
				if m := p.Steps[k].Mark; m != nil {
					at[strconv.Itoa(p.Steps[k].N)] = m.At
				}
			}
			var walked []curve.Point
			var kinds []string
			for _, words := range r.marks() {
				words = strings.ReplaceAll(words, "*", "")
				if g := saysNotchAt.FindStringSubmatch(words); g != nil {
					walked, kinds = append(walked, at[g[3]]), append(kinds, g[2])
				} else if g := saysNotchAlong.FindStringSubmatch(words); g != nil {
					e := p.Edge(strings.ReplaceAll(g[4], " ", "_"))
					if e == nil {
						t.Fatalf("%s has no edge %q", p.Name, g[4])
					}
					far, err := tape.Parse(g[3], 0)
					if err != nil {
						t.Fatal(err)
					}
					s, d := e.Path.Nearest(at[g[5]])
					if d > near {
						t.Fatalf("%s: %q begins off its edge", p.Name, words)
					}
					if s > e.Length()/2 {
						far = -far
					}
					walked, kinds = append(walked, e.Path.PointAt(s+far)), append(kinds, g[2])
				}
			}
			if len(walked) != len(p.Notches) {
				t.Fatalf("%s, %s: %d notches are said, the pattern has %d", f.name, p.Name, len(walked), len(p.Notches))
			}
			for k, n := range p.Notches {
				if d := walked[k].Dist(p.Edge(n.Edge).Path.PointAt(n.At)); d > 0.85 {
					t.Errorf("%s, %s: notch %s is walked off %.2f mm wrong", f.name, p.Name, n.Name, d)
				}
				if kinds[k] != n.Kind {
					t.Errorf("%s, %s: notch %s is said to be %s", f.name, p.Name, n.Name, kinds[k])
				}
			}
		}
	}
}
