package sheet

import (
	"math"
	"regexp"
	"strings"
	"testing"

	"clothwright/curve"
)

var (
	saysPrick  = regexp.MustCompile(`^Prick these marks through: (.+)\.$`)
	saysRound  = regexp.MustCompile(`^Chalk round what is the same: (.+)\.$`)
	saysDiffer = regexp.MustCompile(`^From the front's (.+?) go (?:` + length + ` (across|inward))?(?: and )?(?:` + length + ` (down|up))?: mark (.+?)\.(?: .*)?$`)
	saysDraw   = regexp.MustCompile(`^(Rule|Curve) the (.+?): from (.+?)(?:, by table ([A-Z]+))?\.$`)
)

// common practice, no source: the back is chalked from the cut front, with the neck higher, the armhole fuller and the block left off.
// Following only what the sheet says differs must give the back's own seam line.
func TestBackFromTheFront(t *testing.T) {
	for _, f := range fittings {
		t.Run(f.name, func(t *testing.T) {
			j := jacket(t, f)
			front, back := j.Pattern.Piece("front"), j.Pattern.Piece("back")
			if front == nil {
				t.Skip("the sides differ: there is no half back to chalk from a front")
			}
			if likeness(j.Pattern, back) != front {
				t.Fatal("the back is not found to be like the front")
			}
			o := newOver(j, front, back)
			c := &cutterWith{t: t, tape: j.Tape, marks: map[string]curve.Point{}, lines: map[string]curve.Path{}, inside: insideOf(back)}
			read := func(words string) string { return strings.ReplaceAll(words, "*", "") }
			for _, words := range o.opening() {
				words = read(words)
				if g := saysPrick.FindStringSubmatch(words); g != nil {
					for _, name := range strings.Split(g[1], "; ") {
						c.marks[name] = front.Mark(name).At // on the cloth, through the cut front
					}
				}
				if g := saysRound.FindStringSubmatch(words); g != nil {
					for _, name := range strings.Split(g[1], ", ") {
						c.lines[name] = front.Edge(name).Path
					}
				}
			}
			for _, s := range o.steps {
				words := read(s.words)
				if g := saysDiffer.FindStringSubmatch(words); g != nil {
					m := front.Mark(g[1])
					if m == nil {
						t.Fatalf("the front has no mark %q: %s", g[1], words)
					}
					at := m.At
					if g[2] != "" {
						at = at.Add(ways[g[3]].Mul(c.read(g[2])))
					}
					if g[4] != "" {
						at = at.Add(ways[g[5]].Mul(c.read(g[4])))
					}
					c.marks[g[6]] = at
					continue
				}
				g := saysDraw.FindStringSubmatch(words)
				if g == nil {
					t.Fatalf("cannot be followed: %s", words)
				}
				if g[1] == "Curve" {
					for _, x := range o.tables {
						if x.letter == g[4] {
							c.lines[g[2]] = c.curve(x)
						}
					}
					continue
				}
				a, b, ok := strings.Cut(g[3], " to ")
				if !ok {
					t.Fatalf("a line with one end: %s", words)
				}
				c.lines[g[2]] = curve.Polyline(c.mark(a), c.mark(b))
			}
			x0, x1, y1 := math.Inf(1), 0.0, 0.0
			for i := range back.Edges {
				e := &back.Edges[i]
				if e.Finish == "fold" { // the cloth has it
					continue
				}
				if far, at := worst(e.Path, c.lines); far > tolerance(j.Tape) {
					t.Errorf("back.%s comes out %.2f mm off at %v", e.Name, far, at)
				}
				b := c.lines[strings.ReplaceAll(e.Name, "_", " ")].Bounds()
				x0, x1, y1 = math.Min(x0, b.Min.X), math.Max(x1, b.Max.X), math.Max(y1, b.Max.Y)
			}
			if b := back.SeamLine().Bounds(); math.Abs(x0) > 1.2 || math.Abs(x1-b.Max.X) > 1.2 || math.Abs(y1-b.Max.Y) > 1.2 {
				t.Errorf("the back runs from %.1f to %.1f and down to %.1f, not to %v", x0, x1, y1, b.Max)
			}
			if len(o.steps) >= len(back.Steps) {
				t.Errorf("the short set has %d steps, the whole one %d", len(o.steps), len(back.Steps))
			}
			all := strings.Join(o.opening(), " ")
			for _, want := range []string{"Leave off", "beyond it lie over the fold"} {
				if !strings.Contains(all, want) {
					t.Errorf("nothing is said that begins %q", want)
				}
			}
		})
	}
}
