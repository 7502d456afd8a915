package draft

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"go.starlark.net/starlark"

	"clothwright/curve"
	"clothwright/phrase"
	"clothwright/piece"
)

// call is one use of a verb: what it was given and where it works.
type call struct {
	host *drafter
	on   *draftPiece // nil for the words that stand alone
	name string
	args starlark.Tuple
	kw   []starlark.Tuple
}

func (c *call) take(pairs ...any) error {
	return starlark.UnpackArgs(c.name, c.args, c.kw, pairs...)
}

// fail is a mistake of the script's, with the piece it was made on.
func (c *call) fail(format string, a ...any) error {
	msg := fmt.Sprintf(format, a...)
	if c.on != nil && c.on.p.Name != "" {
		return fmt.Errorf("piece %q: %s", c.on.p.Name, msg)
	}
	return errors.New(msg)
}

// tooFar is further than any mark of a garment lies from another.
const tooFar = 5000.0

// measure puts a distance on the tape: what is marked is what the tape can say.
func (c *call) measure(name string, d length) (taped float64, err error) {
	if d < 0 {
		return 0, c.fail("mark %q: the distance is %s; a distance is not negative, go the other way instead", name, c.host.house.Tape.Format(float64(d)))
	}
	if d > tooFar {
		return 0, c.fail("mark %q: the distance is %.0f mm; at most %.0f mm is allowed", name, float64(d), tooFar)
	}
	return c.host.house.Tape.Round(float64(d)), nil
}

// put makes a mark at a place and records its chalk step.
func (c *call) put(m piece.Mark) (starlark.Value, error) {
	if math.IsNaN(m.At.X+m.At.Y) || math.IsInf(m.At.X+m.At.Y, 0) {
		return nil, c.fail("mark %q: its place is not finite", m.Name)
	}
	p := c.on
	if !p.trial {
		if m.Name == "" {
			return nil, c.fail("a mark needs a name")
		}
		if p.marks[m.Name] {
			return nil, c.fail("mark %q is made twice", m.Name)
		}
		p.marks[m.Name] = true
		if m.Distance != 0 {
			m.Taped = c.host.house.Tape.Format(m.Distance)
		}
		p.p.Marks = append(p.p.Marks, m)
		kept := m
		p.step(piece.Step{Do: "mark", Name: m.Name, Mark: &kept, Why: m.Why})
	}
	return &mark{at: m.At, name: m.Name, on: p}, nil
}

func (p *draftPiece) step(s piece.Step) {
	if p.trial {
		return
	}
	p.steps++
	s.N = p.steps
	p.p.Steps = append(p.p.Steps, s)
}

// chalk records that a path is drawn, once.
func (p *draftPiece) chalk(v *pathValue, name string) {
	for v.of != nil {
		v = v.of
	}
	if p.trial || p.chalked[v] {
		return
	}
	p.chalked[v] = true
	do := "rule"
	for _, s := range v.path {
		if !s.Straight() {
			do = "curve"
		}
	}
	if v.name != "" {
		name = v.name
	}
	p.step(piece.Step{Do: do, Name: name, Path: v.path, Through: v.through, Why: v.why})
}

// move is down, up, across and inward: a taped distance from a mark.
func (c *call) move(way string, dir curve.Point) (starlark.Value, error) {
	var from *mark
	var d length
	var name string
	var why told
	if err := c.take("from", &from, "distance", &d, "name?", &name, "why?", &why); err != nil {
		return nil, err
	}
	if err := c.own(from); err != nil {
		return nil, err
	}
	taped, err := c.measure(name, d)
	if err != nil {
		return nil, err
	}
	return c.put(piece.Mark{Name: name, At: from.at.Add(dir.Mul(taped)), From: from.name, Way: way, Distance: taped, Exact: float64(d), Why: phrase.Said(why)})
}

// own refuses marks of another piece: they lie on other cloth.
func (c *call) own(marks ...*mark) error {
	for _, m := range marks {
		if m.on != nil && m.on != c.on {
			return c.fail("mark %q is on piece %q: measure from a mark of this piece", m.name, m.on.p.Name)
		}
	}
	return nil
}

func names(ms []*mark) []string {
	out := make([]string, 0, len(ms))
	for _, m := range ms {
		out = append(out, m.name)
	}
	return out
}

// marksOf takes marks from a list or from arguments one by one.
func marksOf(seq starlark.Iterable) ([]*mark, error) {
	var out []*mark
	it := seq.Iterate()
	defer it.Done()
	var v starlark.Value
	for it.Next(&v) {
		m, ok := v.(*mark)
		if !ok {
			return nil, fmt.Errorf("a mark is wanted, not a %s", v.Type())
		}
		out = append(out, m)
	}
	return out, nil
}

func text(v starlark.Value) (string, error) {
	s, ok := starlark.AsString(v)
	if !ok {
		return "", fmt.Errorf("a text is wanted, not a %s", v.Type())
	}
	return s, nil
}

// texts takes one text or a list of them.
func texts(v starlark.Value) ([]string, error) {
	switch v := v.(type) {
	case nil, starlark.NoneType:
		return nil, nil
	case starlark.String:
		return []string{string(v)}, nil
	case starlark.Iterable:
		var out []string
		it := v.Iterate()
		defer it.Done()
		var x starlark.Value
		for it.Next(&x) {
			s, err := text(x)
			if err != nil {
				return nil, err
			}
			out = append(out, s)
		}
		return out, nil
	}
	return nil, fmt.Errorf("a text or a list of texts is wanted, not a %s", v.Type())
}

func refs(v starlark.Value) ([]piece.Ref, error) {
	ss, err := texts(v)
	if err != nil {
		return nil, err
	}
	out := make([]piece.Ref, 0, len(ss))
	for _, s := range ss {
		if !strings.Contains(s, ".") {
			return nil, fmt.Errorf("%q names no edge: write piece.edge, as \"front.side\"", s)
		}
		out = append(out, piece.Ref(s))
	}
	return out, nil
}
