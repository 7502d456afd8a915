package sheet

import (
	"strings"
	"testing"

	"clothwright/body"
	"clothwright/draft"
	"clothwright/tape"
)

// everyWay is a piece that uses every way to reach a mark, and a curve that turns back over its chord.
const everyWay = `
garment(title = "Trial")

def draft(m, style, house):
    p = piece("trial", "Trial", "shell", count = 2, cloth = "opened flat", from_edge = "selvedge", inset = 3 * cm, line = "first line")
    o = p.start("corner")
    a = p.across(o, 30 * cm, "a")
    b = p.down(a, 8 * cm, "b")
    c = p.down(o, 40 * cm, "c")
    side = line(b, p.plumb(b, c, "d"), name = "side")
    p.inside("side_guide", side, "guide")
    e = p.swing(o, 36 * cm, side, "e")
    f = p.level(p.midway(o, c, "half"), side, "f")
    g = p.go(c, right_of(b, o), 5 * cm, "g")
    h = p.go(c, toward(c, f), 4 * cm, "h")
    k = p.go(o, toward(c, o), 2 * cm, "k")
    slant = line(o, f, name = "slant")
    x = p.meet(slant, line(half_of(p, a, o), c, name = "crossing"), "x")
    y = p.along(slant, 6 * cm, "y")
    z = p.along(slant, 3 * cm, "z", from_end = True)
    p.edge("top", line(o, a), allowance = 1 * cm)
    p.edge("bulb", sweep(a, f, leave = ACROSS, arrive = INWARD, full = 1.1), allowance = 1 * cm)
    p.edge("foot", line(f, c), allowance = 2 * cm, finish = "turned", corner = "mirror")
    p.edge("back", line(c, o), allowance = 1 * cm)
    p.grain(o, c)
    p.notch("top", 10 * cm, "middle")
    join("top", "trial.top", "trial.back", ease = 10 * cm)

def half_of(p, a, o):
    return p.midway(a, o, "half of the top")
`

func trial(t *testing.T, tapeName string) Job {
	t.Helper()
	g, err := draft.Load("trial", "trial.star", []byte(everyWay))
	if err != nil {
		t.Fatal(err)
	}
	house := draft.Standard()
	if house.Tape, err = tape.ParseTape(tapeName); err != nil {
		t.Fatal(err)
	}
	style, _ := g.Style(nil, 0)
	p, err := g.Draft(body.Card{Values: map[body.Name]body.Value{}}, style, &house)
	if err != nil {
		t.Fatal(err)
	}
	return Job{Job: "1", Client: "A", Garment: "Trial", Tape: house.Tape, Paper: "A4", Pattern: p}
}

// common practice, no source: whatever way a mark was reached, the words must lead to it.
func TestEveryWayCanBeFollowed(t *testing.T) {
	for _, name := range []string{"1/8 in", "1/16 in", "5 mm", "1 mm"} {
		t.Run(name, func(t *testing.T) {
			j := trial(t, name)
			p := j.Pattern.Piece("trial")
			follow(t, j, p)
			turned := false
			for _, x := range newReader(j.Tape, p).tables() {
				for _, s := range x.stretches {
					turned = turned || strings.HasPrefix(s.to, "turn of the ")
				}
			}
			if !turned {
				t.Error("the bulb turns back over its chord and must be divided at its turn")
			}
			for _, f := range []func(Job) (int, error){
				func(j Job) (int, error) { d, err := Chalk(j); return len(d.Pages), err },
				func(j Job) (int, error) { d, err := FullSize(j); return len(d.Pages), err },
			} {
				if n, err := f(j); err != nil || n == 0 {
					t.Error(n, err)
				}
			}
		})
	}
}
