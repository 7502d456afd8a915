package draft

import (
	"errors"
	"fmt"
	"hash/fnv"
	"math"
	"sort"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"

	"clothwright/body"
	"clothwright/curve"
	"clothwright/phrase"
	"clothwright/piece"
	"clothwright/tape"
)

// length is a Starlark value in millimetres that knows it is one: it adds to lengths, and is multiplied by
// numbers only.
type length float64

func (l length) String() string        { return fmt.Sprintf("%.3f mm", float64(l)) }
func (l length) Type() string          { return "length" }
func (l length) Freeze()               {}
func (l length) Truth() starlark.Bool  { return l != 0 }
func (l length) Hash() (uint32, error) { return uint32(math.Float64bits(float64(l)) >> 20), nil }

// CompareSameType orders two lengths.
func (l length) CompareSameType(op syntax.Token, y starlark.Value, _ int) (bool, error) {
	m := y.(length)
	switch op {
	case syntax.EQL:
		return l == m, nil
	case syntax.NEQ:
		return l != m, nil
	case syntax.LT:
		return l < m, nil
	case syntax.LE:
		return l <= m, nil
	case syntax.GT:
		return l > m, nil
	}
	return l >= m, nil
}

// Unary is +x and -x.
func (l length) Unary(op syntax.Token) (starlark.Value, error) {
	switch op {
	case syntax.MINUS:
		return -l, nil
	case syntax.PLUS:
		return l, nil
	}
	return nil, nil
}

const bareNumber = "a length and a bare number do not go together: give the number its unit, as 2 * cm or inch(2)"

// Binary is the arithmetic of lengths.
func (l length) Binary(op syntax.Token, y starlark.Value, side starlark.Side) (starlark.Value, error) {
	if m, ok := y.(length); ok {
		a, b := l, m
		if side == starlark.Right {
			a, b = m, l
		}
		switch op {
		case syntax.PLUS:
			return finite(float64(a) + float64(b))
		case syntax.MINUS:
			return finite(float64(a) - float64(b))
		case syntax.SLASH:
			if b == 0 {
				return nil, errors.New("a length is divided by a length of nothing")
			}
			return starlark.Float(float64(a) / float64(b)), nil
		case syntax.STAR:
			return nil, errors.New("two lengths are multiplied: that is an area, which no verb takes")
		}
		return nil, nil
	}
	k, ok := starlark.AsFloat(y)
	if !ok {
		return nil, nil
	}
	switch op {
	case syntax.STAR:
		return finite(float64(l) * k)
	case syntax.SLASH:
		if side == starlark.Right {
			return nil, errors.New("a number is divided by a length, which is no length")
		}
		if k == 0 {
			return nil, errors.New("a length is divided by nothing")
		}
		return finite(float64(l) / k)
	case syntax.PLUS, syntax.MINUS:
		return nil, errors.New(bareNumber)
	}
	return nil, nil
}

func finite(mm float64) (starlark.Value, error) {
	if math.IsNaN(mm) || math.IsInf(mm, 0) {
		return nil, errors.New("the length is not a finite number")
	}
	return length(mm), nil
}

// Unpack takes a length from a script's argument.
func (l *length) Unpack(v starlark.Value) error {
	switch v := v.(type) {
	case length:
		*l = v
		return nil
	case starlark.Int, starlark.Float:
		return errors.New(bareNumber)
	}
	return fmt.Errorf("a length is wanted, not a %s", v.Type())
}

// number takes a whole number or a fraction from a script's argument, and refuses what is not finite.
type number float64

// Unpack takes a number from a script's argument.
func (n *number) Unpack(v starlark.Value) error {
	f, ok := starlark.AsFloat(v)
	switch {
	case !ok:
		return fmt.Errorf("a number is wanted, not a %s", v.Type())
	case math.IsNaN(f) || math.IsInf(f, 0):
		return errors.New("the number is not finite")
	}
	*n = number(f)
	return nil
}

// direction is which way to leave or arrive: a unit vector on the cloth.
type direction curve.Point

func (d direction) String() string        { return fmt.Sprintf("direction(%.3f, %.3f)", d.X, d.Y) }
func (d direction) Type() string          { return "direction" }
func (d direction) Freeze()               {}
func (d direction) Truth() starlark.Bool  { return true }
func (d direction) Hash() (uint32, error) { return 0, errors.New("a direction is no key") }

// Unpack takes a direction from a script's argument.
func (d *direction) Unpack(v starlark.Value) error {
	if w, ok := v.(direction); ok {
		*d = w
		return nil
	}
	return fmt.Errorf("a direction is wanted (DOWN, UP, ACROSS, INWARD, right_of(a, b), toward(a, b)), not a %s", v.Type())
}

// mark is a point of a piece; one without a name was made with point() and is not chalked.
type mark struct {
	at   curve.Point
	name string
	on   *draftPiece
}

func (m *mark) String() string        { return fmt.Sprintf("mark(%q)", m.name) }
func (m *mark) Type() string          { return "mark" }
func (m *mark) Freeze()               {}
func (m *mark) Truth() starlark.Bool  { return true }
func (m *mark) Hash() (uint32, error) { return hashOf(m.name), nil }
func (m *mark) AttrNames() []string   { return []string{"name", "x", "y"} }

// Attr is the mark's place.
func (m *mark) Attr(name string) (starlark.Value, error) {
	switch name {
	case "x":
		return length(m.at.X), nil
	case "y":
		return length(m.at.Y), nil
	case "name":
		return starlark.String(m.name), nil
	}
	return nil, nil
}

func hashOf(s string) uint32 {
	h := fnv.New32a()
	h.Write([]byte(s))
	return h.Sum32()
}

// pathValue is a line or curve, with the names of the marks it runs through.
type pathValue struct {
	path    curve.Path
	through []string
	why     phrase.Said
	name    string
	of      *pathValue // the path this is a part of: chalked with it
}

func (p *pathValue) String() string        { return "path" }
func (p *pathValue) Type() string          { return "path" }
func (p *pathValue) Freeze()               {}
func (p *pathValue) Truth() starlark.Bool  { return true }
func (p *pathValue) Hash() (uint32, error) { return 0, errors.New("a path is no key") }
func (p *pathValue) AttrNames() []string {
	return []string{"end", "length", "start"}
}

// Attr is what may be asked of a path.
func (p *pathValue) Attr(name string) (starlark.Value, error) {
	switch name {
	case "length":
		return length(p.path.Length()), nil
	case "start":
		return &mark{at: p.path.Start()}, nil
	case "end":
		return &mark{at: p.path.End()}, nil
	}
	return nil, nil
}

// measures is the body as a script sees it: m.chest_girth. The right and the left side see their own measures
// where the card has them.
type measures struct {
	card body.Card
	over map[body.Name]body.Value // one side's own measures
	used map[body.Name]bool
}

// get is a measure of this side, or of both.
func (m *measures) get(n body.Name) (body.Value, bool) {
	if v, ok := m.over[n]; ok {
		return v, true
	}
	return m.card.Get(n)
}

func (m *measures) String() string        { return "measures" }
func (m *measures) Type() string          { return "measures" }
func (m *measures) Freeze()               {}
func (m *measures) Truth() starlark.Bool  { return true }
func (m *measures) Hash() (uint32, error) { return 0, errors.New("the measures are no key") }
func (m *measures) AttrNames() []string {
	out := []string{"differs", "has", "known", "left", "right"}
	for _, n := range body.Names() {
		out = append(out, string(n))
	}
	sort.Strings(out)
	return out
}

// Attr is one measure as a length (the shoulder slope as a number of degrees), or has(name) and known(name).
func (m *measures) Attr(name string) (starlark.Value, error) {
	switch name {
	case "has":
		return starlark.NewBuiltin("has", func(_ *starlark.Thread, b *starlark.Builtin, a starlark.Tuple, k []starlark.Tuple) (starlark.Value, error) {
			_, ok, err := m.ask(b, a, k)
			return starlark.Bool(ok), err
		}), nil
	case "left":
		return &measures{m.card, m.card.Left, m.used}, nil
	case "right":
		return &measures{m.card, m.card.Right, m.used}, nil
	case "differs":
		return starlark.NewBuiltin("differs", func(_ *starlark.Thread, b *starlark.Builtin, a starlark.Tuple, k []starlark.Tuple) (starlark.Value, error) {
			if _, _, err := m.ask(b, a, k); err != nil {
				return nil, err
			}
			name, _ := starlark.AsString(a[0])
			meas, _ := body.Lookup(name)
			l, _ := (&measures{m.card, m.card.Left, nil}).get(meas.Name)
			r, _ := (&measures{m.card, m.card.Right, nil}).get(meas.Name)
			return starlark.Bool(l.MM != r.MM), nil
		}), nil
	case "known":
		return starlark.NewBuiltin("known", func(_ *starlark.Thread, b *starlark.Builtin, a starlark.Tuple, k []starlark.Tuple) (starlark.Value, error) {
			v, ok, err := m.ask(b, a, k)
			return starlark.Bool(ok && v.From != body.Estimated), err
		}), nil
	}
	meas, ok := body.Lookup(name)
	if !ok {
		return nil, nil
	}
	v, ok := m.get(meas.Name)
	if !ok {
		return nil, fmt.Errorf("this card has no %s; ask m.has(%q) first", name, name)
	}
	m.used[meas.Name] = true
	if meas.Kind == body.Angle {
		return starlark.Float(v.MM), nil
	}
	return length(v.MM), nil
}

func (m *measures) ask(b *starlark.Builtin, a starlark.Tuple, k []starlark.Tuple) (body.Value, bool, error) {
	var name string
	if len(k) > 0 {
		return body.Value{}, false, fmt.Errorf("%s takes a measure's name and nothing else", b.Name())
	}
	if err := starlark.UnpackArgs(b.Name(), a, k, "name", &name); err != nil {
		return body.Value{}, false, err
	}
	meas, ok := body.Lookup(name)
	if !ok {
		return body.Value{}, false, fmt.Errorf("%q is no measure", name)
	}
	v, ok := m.get(meas.Name)
	return v, ok, nil
}

// record is a set of named values: the style, or one rib's habit.
type record struct {
	kind   string
	fields map[string]starlark.Value
	asked  map[string]bool // which were looked at; nil where nobody wants to know
}

func (r *record) String() string        { return r.kind }
func (r *record) Type() string          { return r.kind }
func (r *record) Freeze()               {}
func (r *record) Truth() starlark.Bool  { return true }
func (r *record) Hash() (uint32, error) { return 0, fmt.Errorf("a %s is no key", r.kind) }
func (r *record) AttrNames() []string {
	out := make([]string, 0, len(r.fields))
	for k := range r.fields {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}

// Attr is one field.
func (r *record) Attr(name string) (starlark.Value, error) {
	if r.asked != nil {
		r.asked[name] = true
	}
	return r.fields[name], nil
}

// draftPiece is a piece being drafted.
type draftPiece struct {
	host      *drafter
	p         *piece.Piece
	trial     bool
	chalked   map[*pathValue]bool
	marks     map[string]bool
	closed    bool
	rim       []curve.Point // the flattened outline, once closed
	notches   []*notch
	drawnFrom map[string]curve.Point // where each edge begins as the script drew it
	grain     [2]curve.Point
	steps     int
}

// notch is kept by its place until the edge's direction is known.
type notch struct {
	edge, name, kind string
	at               curve.Point
}

func (p *draftPiece) String() string        { return fmt.Sprintf("piece(%q)", p.p.Name) }
func (p *draftPiece) Type() string          { return "piece" }
func (p *draftPiece) Freeze()               {}
func (p *draftPiece) Truth() starlark.Bool  { return true }
func (p *draftPiece) Hash() (uint32, error) { return hashOf(p.p.Name), nil }
func (p *draftPiece) AttrNames() []string {
	out := []string{"name"}
	for name := range pieceVerbs {
		out = append(out, name)
	}
	sort.Strings(out)
	return out
}

// Attr is one of the verbs.
func (p *draftPiece) Attr(name string) (starlark.Value, error) {
	if name == "name" {
		return starlark.String(p.p.Name), nil
	}
	if b := pieceVerbs[name]; b != nil {
		return b.BindReceiver(p), nil
	}
	return nil, nil
}

// tapeOf is the tape the piece is marked with.
func (p *draftPiece) tapeOf() tape.Tape { return p.host.house.Tape }
