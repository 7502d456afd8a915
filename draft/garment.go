package draft

import (
	"errors"
	"fmt"
	"math"
	"sort"
	"strings"
	"unicode"

	"go.starlark.net/resolve"
	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
	"go.starlark.net/syntax"

	"clothwright/body"
	"clothwright/curve"
	"clothwright/phrase"
	"clothwright/piece"
	"clothwright/tape"
)

const (
	maxSteps  = 2_000_000 // Starlark steps a draft may take; the built-in jacket takes under a hundredth of it
	maxRange  = 10_000    // longest range a script may make
	maxPieces = 200
	maxSource = 1 << 20 // bytes of a script
	snap      = 1e-6    // mm: ends nearer than this are one
)

// Garment is a script that has been read: its name, its choices of style and its rules.
type Garment struct {
	Name    string
	Title   string
	Options []Option
	file    string
	draft   starlark.Callable
}

// Option is one choice of style the garment offers.
type Option struct {
	Name    string
	Help    string
	Kind    string   // "choice", "length", "yes"
	Choices []string // for a choice
	Default string   // for a choice
	Length  float64  // default, mm
	Least   float64  // mm, of a length
	Most    float64  // mm, of a length
	Yes     bool     // default of a yes
}

// Error is a mistake in a script, with the place, or the script's own refusal.
type Error struct {
	File      string
	Line, Col int
	Text      string
	Refused   bool        // the script itself declined: nothing is wrong with it
	Said      phrase.Said // what a refusal says, to be said in another language
}

// Phrase is a refusal's sentence; empty for a mistake in the script.
func (e *Error) Phrase() phrase.Said { return e.Said }

// Error is one sentence with the place in front.
func (e *Error) Error() string {
	if e.Refused {
		return e.Text
	}
	if e.Line == 0 {
		return e.File + ": " + e.Text
	}
	return fmt.Sprintf("%s:%d:%d: %s", e.File, e.Line, e.Col, e.Text)
}

// drafter is one run of a script.
type drafter struct {
	house    *House
	measures *measures
	thread   *starlark.Thread
	pieces   []*draftPiece
	out      piece.Pattern
	options  *Garment // while the script is being read
}

const drafterKey = "drafter"

var predeclared = starlark.StringDict{}

// declare makes the words that stand alone from the table of verbs.
func declare() {
	for i := range verbs {
		v := &verbs[i]
		if v.on != "" {
			continue
		}
		predeclared[v.name] = starlark.NewBuiltin(v.name, func(th *starlark.Thread, b *starlark.Builtin, a starlark.Tuple, k []starlark.Tuple) (starlark.Value, error) {
			d := th.Local(drafterKey).(*drafter)
			if d.house == nil && !loadTime[v.name] {
				return nil, fmt.Errorf("%s is said while the garment is drafted, inside draft(m, style, house)", v.name)
			}
			return v.run(&call{host: d, name: v.name, args: a, kw: k})
		})
	}
	predeclared["mm"], predeclared["cm"] = length(1), length(10)
	predeclared["DOWN"], predeclared["UP"] = direction{Y: 1}, direction{Y: -1}
	predeclared["ACROSS"], predeclared["INWARD"] = direction{X: 1}, direction{X: -1}
	predeclared["struct"] = starlark.NewBuiltin("struct", starlarkstruct.Make)
	predeclared["pi"] = starlark.Float(math.Pi)
	predeclared["range"] = starlark.NewBuiltin("range", cappedRange)
	predeclared["garment"] = starlark.NewBuiltin("garment", sayGarment)
	predeclared["option"] = starlark.NewBuiltin("option", sayOption)
}

// loadTime are the words that may be said outside draft().
var loadTime = map[string]bool{"inch": true, "hypot": true}

func cappedRange(th *starlark.Thread, b *starlark.Builtin, a starlark.Tuple, k []starlark.Tuple) (starlark.Value, error) {
	v, err := starlark.Universe["range"].(*starlark.Builtin).CallInternal(th, a, k)
	if err != nil {
		return nil, err
	}
	if n := v.(starlark.Sequence).Len(); n > maxRange {
		return nil, fmt.Errorf("range of %d; at most %d is allowed", n, maxRange)
	}
	return v, nil
}

func sayGarment(th *starlark.Thread, b *starlark.Builtin, a starlark.Tuple, k []starlark.Tuple) (starlark.Value, error) {
	g := th.Local(drafterKey).(*drafter).options
	if g == nil {
		return nil, errors.New("garment is said at the top of the script, once")
	}
	if err := starlark.UnpackArgs(b.Name(), a, k, "title", &g.Title); err != nil {
		return nil, err
	}
	if strings.ContainsFunc(g.Title, unicode.IsControl) {
		return nil, errors.New("garment: the title stands on one line; a line break or another control character is in it")
	}
	return starlark.None, nil
}

func sayOption(th *starlark.Thread, b *starlark.Builtin, a starlark.Tuple, k []starlark.Tuple) (starlark.Value, error) {
	g := th.Local(drafterKey).(*drafter).options
	if g == nil {
		return nil, errors.New("option is said at the top of the script")
	}
	var o Option
	var def starlark.Value
	var choices starlark.Iterable
	var least, most length
	if err := starlark.UnpackArgs(b.Name(), a, k, "name", &o.Name, "default", &def, "help", &o.Help, "choices?", &choices, "least?", &least, "most?", &most); err != nil {
		return nil, err
	}
	switch d := def.(type) {
	case starlark.String:
		o.Kind, o.Default = "choice", string(d)
		if choices == nil {
			return nil, fmt.Errorf("option %q has no choices", o.Name)
		}
		var err error
		if o.Choices, err = texts(choices.(starlark.Value)); err != nil {
			return nil, err
		}
		if !oneOf(o.Default, o.Choices...) {
			return nil, fmt.Errorf("option %q: %q is none of its choices", o.Name, o.Default)
		}
	case length:
		o.Kind, o.Length, o.Least, o.Most = "length", float64(d), float64(least), float64(most)
		if !(o.Least <= o.Length && o.Length <= o.Most) {
			return nil, fmt.Errorf("option %q: its default does not lie between least and most", o.Name)
		}
	case starlark.Bool:
		o.Kind, o.Yes = "yes", bool(d)
	default:
		return nil, fmt.Errorf("option %q: a default is a text, a length, True or False, not a %s", o.Name, def.Type())
	}
	for _, p := range g.Options {
		if p.Name == o.Name {
			return nil, fmt.Errorf("option %q is offered twice", o.Name)
		}
	}
	g.Options = append(g.Options, o)
	return starlark.None, nil
}

var dialect = syntax.FileOptions{}

// Load reads a garment script. Name is the garment's, file is what errors call the script.
func Load(name, file string, src []byte) (*Garment, error) {
	if len(src) > maxSource {
		return nil, &Error{File: file, Text: fmt.Sprintf("the script is larger than %d kB, which is all that is allowed", maxSource>>10)}
	}
	g := &Garment{Name: name, Title: name, file: file}
	d := &drafter{options: g}
	thread := d.newThread(file)
	globals, err := starlark.ExecFileOptions(&dialect, thread, file, src, predeclared)
	if err != nil {
		return nil, scriptError(file, err)
	}
	f, ok := globals["draft"].(*starlark.Function)
	if !ok || f.NumParams() != 3 {
		return nil, &Error{File: file, Text: "the script has no draft(m, style, house)"}
	}
	g.draft = f
	return g, nil
}

func (d *drafter) newThread(file string) *starlark.Thread {
	th := &starlark.Thread{
		Name:  file,
		Print: func(*starlark.Thread, string) {},
		Load: func(*starlark.Thread, string) (starlark.StringDict, error) {
			return nil, errors.New("a garment is one script: load is not there")
		},
	}
	th.SetMaxExecutionSteps(maxSteps)
	th.OnMaxSteps = func(th *starlark.Thread) { th.Cancel(tooManySteps) }
	th.SetLocal(drafterKey, d)
	d.thread = th
	return th
}

const tooManySteps = "the script takes more than 2 million steps: does a loop never end?"

// Style is the choices made for one garment: text, bool or float64 (mm) by option name.
type Style map[string]any

// Style reads choices as a person writes them, fills in the defaults and says what is wrong, a sentence each.
// A length without a unit is in the bare unit; a zero unit makes it an error.
func (g *Garment) Style(raw map[string]any, bare tape.Unit) (Style, []error) {
	out := Style{}
	var errs []error
	for _, o := range g.Options {
		v, given := raw[o.Name]
		got, err := o.read(v, given, bare)
		if err != nil {
			errs = append(errs, fmt.Errorf("style.%s: %w", o.Name, err))
			continue
		}
		out[o.Name] = got
	}
	for _, k := range sortedKeys(raw) {
		if g.option(k) == nil {
			has := "none"
			if len(g.Options) > 0 {
				has = strings.Join(g.optionNames(), ", ")
			}
			errs = append(errs, fmt.Errorf("style.%s: the %s has no such choice; it has %s", k, g.Title, has))
		}
	}
	return out, errs
}

func (g *Garment) option(name string) *Option {
	for i := range g.Options {
		if g.Options[i].Name == name {
			return &g.Options[i]
		}
	}
	return nil
}

func (g *Garment) optionNames() []string {
	var out []string
	for _, o := range g.Options {
		out = append(out, o.Name)
	}
	return out
}

func (o *Option) read(v any, given bool, bare tape.Unit) (any, error) {
	switch o.Kind {
	case "choice":
		if !given {
			return o.Default, nil
		}
		s, ok := v.(string)
		if !ok || !oneOf(s, o.Choices...) {
			return nil, fmt.Errorf("%v is not a choice; %s are", quoted(v), strings.Join(o.Choices, ", "))
		}
		return s, nil
	case "yes":
		if !given {
			return o.Yes, nil
		}
		b, ok := v.(bool)
		if !ok {
			return nil, fmt.Errorf("%v is neither true nor false", quoted(v))
		}
		return b, nil
	}
	if !given {
		return o.Length, nil
	}
	mm, err := tape.Parse(fmt.Sprint(v), bare)
	if err != nil {
		return nil, err
	}
	if mm < o.Least-1e-9 || mm > o.Most+1e-9 {
		t := tape.Tape{Unit: tape.CM, Step: 1}
		if bare == tape.IN {
			t = tape.Tape{Unit: tape.IN, Step: tape.Inch / 16}
		}
		return nil, phrase.Wrong(phrase.Of("%s is out of range; %s to %s is allowed", t.Format(mm), t.Format(o.Least), t.Format(o.Most)))
	}
	return mm, nil
}

func quoted(v any) string {
	if s, ok := v.(string); ok {
		return fmt.Sprintf("%q", s)
	}
	return fmt.Sprint(v)
}

// Draft runs the script on a card (completed with derived and estimated measures) and a style, and returns
// the finished pattern. The error is an *Error.
func (g *Garment) Draft(card body.Card, style Style, house *House) (*piece.Pattern, error) {
	d := &drafter{house: house, measures: &measures{card: card, used: map[body.Name]bool{}}}
	d.out.Garment, d.out.Title = g.Name, g.Title
	thread := d.newThread(g.file)
	choices := g.styleValue(style)
	choices.asked = map[string]bool{}
	args := starlark.Tuple{d.measures, choices, houseValue(house)}
	if _, err := starlark.Call(thread, g.draft, args, nil); err != nil {
		return nil, scriptError(g.file, err)
	}
	for _, p := range d.pieces {
		if err := p.finish(); err != nil {
			return nil, &Error{File: g.file, Text: err.Error()}
		}
		d.out.Pieces = append(d.out.Pieces, *p.p)
	}
	for n := range d.measures.used {
		d.out.Used = append(d.out.Used, string(n))
	}
	sort.Strings(d.out.Used)
	for _, o := range g.Options {
		if choices.asked[o.Name] {
			d.out.Chosen = append(d.out.Chosen, o.Name)
		}
	}
	if len(d.out.Pieces) == 0 {
		return nil, &Error{File: g.file, Text: "the script drafted no piece"}
	}
	return &d.out, nil
}

func (g *Garment) styleValue(s Style) *record {
	r := &record{kind: "style", fields: map[string]starlark.Value{}}
	for _, o := range g.Options {
		switch v := s[o.Name].(type) {
		case string:
			r.fields[o.Name] = starlark.String(v)
		case bool:
			r.fields[o.Name] = starlark.Bool(v)
		case float64:
			r.fields[o.Name] = length(v)
		}
	}
	return r
}

func houseValue(h *House) *record {
	return &record{kind: "house", fields: map[string]starlark.Value{
		"ready_band":  length(h.ReadyBand),
		"rib_tube":    length(h.RibTube),
		"rib_seam":    length(h.RibSeam),
		"rib_stretch": starlark.Float(h.RibStretch),
		"allowance": starlark.NewBuiltin("allowance", func(_ *starlark.Thread, b *starlark.Builtin, a starlark.Tuple, k []starlark.Tuple) (starlark.Value, error) {
			var kind string
			if err := starlark.UnpackArgs(b.Name(), a, k, "kind", &kind); err != nil {
				return nil, err
			}
			return length(h.Allowance(kind)), nil
		}),
		"rib": starlark.NewBuiltin("rib", func(_ *starlark.Thread, b *starlark.Builtin, a starlark.Tuple, k []starlark.Tuple) (starlark.Value, error) {
			var kind string
			if err := starlark.UnpackArgs(b.Name(), a, k, "kind", &kind); err != nil {
				return nil, err
			}
			r, ok := h.Ribs[kind]
			if !ok {
				return nil, fmt.Errorf("the house has no habit for a %q rib", kind)
			}
			return &record{kind: "rib", fields: map[string]starlark.Value{
				"ratio": starlark.Float(r.Ratio), "least": starlark.Float(r.Least), "most": starlark.Float(r.Most)}}, nil
		}),
		"zip_for": starlark.NewBuiltin("zip_for", func(_ *starlark.Thread, b *starlark.Builtin, a starlark.Tuple, k []starlark.Tuple) (starlark.Value, error) {
			var edge length
			if err := starlark.UnpackArgs(b.Name(), a, k, "edge", &edge); err != nil {
				return nil, err
			}
			z, ok := h.ZipFor(float64(edge))
			if !ok {
				return starlark.None, nil
			}
			return length(z), nil
		}),
	}}
}

// origin is where a measure came from, as the findings say it.
func (m *measures) origin(name string) string {
	meas, _ := body.Lookup(name)
	return string(m.card.Values[meas.Name].From)
}

// chain adds an edge to the outline, turning it (and the very first edge) round so that each begins where the
// last one ends, and closes the outline when it comes back to its beginning.
func (p *draftPiece) chain(e piece.Edge) error {
	es := p.p.Edges
	if n := len(es); n > 0 {
		end := es[n-1].Path.End()
		if n == 1 && e.Path.Start().Dist(end) > snap && e.Path.End().Dist(end) > snap {
			es[0].Path = es[0].Path.Reverse()
			end = es[0].Path.End()
		}
		if e.Path.Start().Dist(end) > snap {
			e.Path = e.Path.Reverse()
		}
		if gap := e.Path.Start().Dist(end); gap > snap {
			return fmt.Errorf("edge %q begins %.2f mm from the end of edge %q: the outline must run on", e.Name, gap, es[n-1].Name)
		}
	}
	p.p.Edges = append(es, e)
	if e.Path.End().Dist(p.p.Edges[0].Path.Start()) <= snap {
		p.close()
	}
	return nil
}

// close turns the outline clockwise and keeps its rim for measuring.
func (p *draftPiece) close() {
	p.closed = true
	if curve.Area(p.p.SeamLine()) < 0 {
		es := p.p.Edges
		for i, j := 0, len(es)-1; i <= j; i, j = i+1, j-1 {
			es[i], es[j] = es[j], es[i]
			es[i].Path = es[i].Path.Reverse()
			if i != j {
				es[j].Path = es[j].Path.Reverse()
			}
		}
	}
	for _, e := range p.p.Edges {
		pts := e.Path.Flatten(0.02)
		p.rim = append(p.rim, pts[:len(pts)-1]...)
	}
}

// drawn is an edge's path in the direction it was drawn in: the one in which its first mark comes first.
func (p *draftPiece) drawn(e *piece.Edge) curve.Path {
	if p.drawnFrom[e.Name].Dist(e.Path.Start()) > snap {
		return e.Path.Reverse()
	}
	return e.Path
}

// finish settles notches and grain and works out the cut line.
func (p *draftPiece) finish() error {
	if !p.closed {
		return fmt.Errorf("piece %q: its edges do not come back to where they began", p.p.Name)
	}
	for _, n := range p.notches {
		s, _ := p.p.Edge(n.edge).Path.Nearest(n.at)
		p.p.Notches = append(p.p.Notches, piece.Notch{Edge: n.edge, At: s, Kind: n.kind, Name: n.name})
	}
	p.p.Grain = p.grain
	return p.p.Finish()
}

func sortedKeys[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}

// scriptError turns what the interpreter says into one sentence with the place in the script.
func scriptError(file string, err error) error {
	var refused *refusal
	if errors.As(err, &refused) {
		return &Error{File: file, Text: refused.Error(), Refused: true, Said: refused.said}
	}
	var syn syntax.Error
	if errors.As(err, &syn) {
		return &Error{File: file, Line: int(syn.Pos.Line), Col: int(syn.Pos.Col), Text: syn.Msg}
	}
	var res resolve.ErrorList
	if errors.As(err, &res) && len(res) > 0 {
		return &Error{File: file, Line: int(res[0].Pos.Line), Col: int(res[0].Pos.Col), Text: res[0].Msg}
	}
	out := &Error{File: file, Text: err.Error()}
	var ev *starlark.EvalError
	if errors.As(err, &ev) {
		out.Text = ev.Msg
		if strings.Contains(ev.Msg, tooManySteps) {
			out.Text = tooManySteps
		}
		for i := len(ev.CallStack) - 1; i >= 0; i-- {
			if pos := ev.CallStack[i].Pos; pos.IsValid() && pos.Filename() == file && pos.Line > 0 {
				out.Line, out.Col = int(pos.Line), int(pos.Col)
				break
			}
		}
	}
	out.Text = strings.TrimPrefix(out.Text, "Starlark computation cancelled: ")
	return out
}
