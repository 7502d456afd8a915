package web

import (
	"errors"
	"fmt"
	"strings"
	"sync"

	"clothwright/body"
	"clothwright/draft"
	"clothwright/garments"
	"clothwright/job"
	"clothwright/phrase"
	"clothwright/piece"
)

// garmentOf reads a built-in garment once.
func garmentOf(name string) (*draft.Garment, error) {
	if g, ok := known.Load(name); ok {
		return g.(*draft.Garment), nil
	}
	src, ok := garments.Script(name)
	if !ok {
		return nil, fmt.Errorf("no garment is called %q", name)
	}
	g, err := draft.Load(name, "garments/"+name+"/draft.star", src)
	if err != nil {
		return nil, err
	}
	known.Store(name, g)
	return g, nil
}

var known sync.Map

// groups are the choices of style as they stand together on the page; what no group names stands in the last.
var groups = []struct {
	name    string
	options []string
	closed  bool // opened only on demand
}{
	{"fit", []string{"ease", "posture", "posture_by", "front_wider"}, false},
	{"front", []string{"block", "block_width", "facing", "zip", "pocket"}, false},
	{"rib", []string{"rib", "rib_height", "collar_height", "collar_ends"}, false},
	{"inside", []string{"lining", "padding", "padding_thickness"}, false},
	{"may", nil, true},
}

// choice is one option of style on the page.
type choice struct {
	draft.Option
	Title, Help string
	Now         string // as typed, or the garment's own
	Values      []value
	Limits      string
	Wrong       string
}

type value struct{ Value, Title string }

type choiceGroup struct {
	Name    string
	Closed  bool
	Choices []choice
}

// choicesOf is the garment's options as this job has them.
func choicesOf(g *draft.Garment, r *Record, w *Words) []choiceGroup {
	out := make([]choiceGroup, len(groups))
	where := map[string]int{}
	for i, gr := range groups {
		out[i] = choiceGroup{Name: gr.name, Closed: gr.closed}
		for _, o := range gr.options {
			where[o] = i
		}
	}
	t := tapeOf(r.Unit)
	for _, o := range g.Options {
		c := choice{Option: o, Title: w.Or("option."+o.Name, w.Call(titled(o.Name))), Help: w.Or("help."+o.Name, w.Say(phrase.Plain(o.Help))), Now: r.Style[o.Name]}
		say := func(v string) value {
			return value{v, w.Or("choice."+o.Name+"."+v, w.Or("choice."+v, v))}
		}
		switch o.Kind {
		case "choice":
			for _, v := range o.Choices {
				c.Values = append(c.Values, say(v))
			}
			if c.Now == "" {
				c.Now = o.Default
			}
		case "yes":
			c.Values = []value{say("true"), say("false")}
			if c.Now == "" {
				c.Now = fmt.Sprint(o.Yes)
			}
		default:
			c.Limits = w.T("design.limits", "least", t.Fine(o.Least), "most", t.Fine(o.Most), "own", t.Fine(o.Length))
			if c.Now != "" {
				if _, errs := g.Style(map[string]any{o.Name: c.Now}, unitOf(r)); len(errs) > 0 {
					c.Wrong = sentence(w.SayError(errors.Unwrap(errs[0])))
				}
			}
		}
		i, ok := where[o.Name]
		if !ok {
			i = len(out) - 1
		}
		out[i].Choices = append(out[i].Choices, c)
	}
	kept := out[:0]
	for _, gr := range out {
		if len(gr.Choices) > 0 {
			kept = append(kept, gr)
		}
	}
	return kept
}

func titled(name string) string {
	return strings.TrimSuffix(sentence(strings.ReplaceAll(name, "_", " ")), ".")
}

// finding is one finding on the page, and what it points at.
type finding struct {
	piece.Finding
	N      int
	Text   string
	Edges  string // the edges meant, parted by spaces
	Pieces string
	Field  string // the field of the tape card that is meant, else empty
	Lit    bool
}

// Points reports whether there is anything in the picture to show.
func (f finding) Points() bool { return f.Edges != "" || f.Pieces != "" }

func findingsOf(r *job.Result, lit int, w *Words) []finding {
	var out []finding
	for i, f := range r.Findings {
		one := finding{Finding: f, N: i, Text: w.Finding(f), Lit: i == lit}
		var refs []string
		for _, e := range f.Edges {
			refs = append(refs, string(e))
		}
		kind, name, _ := strings.Cut(f.Code, ":")
		if len(refs) == 0 {
			for _, s := range r.Pattern.Seams {
				if s.Name == name {
					for _, e := range append(append([]piece.Ref(nil), s.A...), s.B...) {
						refs = append(refs, string(e))
					}
				}
			}
		}
		one.Edges, one.Pieces = strings.Join(refs, " "), strings.Join(f.Pieces, " ")
		switch _, measured := body.Lookup(name); {
		case kind == "doubt" || kind == "estimated" || kind == "derived":
			if measured {
				one.Field = "m-" + name
			} else { // the card as a whole
				one.Field = "age"
			}
		case f.Code == "print:letters":
			one.Field = "client"
		}
		out = append(out, one)
	}
	return out
}

// drafted is what the designing page shows of a job.
type drafted struct {
	Sketches []sketch
	Pieces   []view
	Findings []finding
	Level    piece.Level
	Problems []string
	Missing  []field // measures without which there is nothing to show
	Compared beside
	lit      finding
}

// Lit reports whether a finding that was clicked means this stroke.
func (d drafted) Lit(s stroke) bool {
	if !d.lit.Lit {
		return false
	}
	if d.lit.Edges != "" {
		return s.Edge != "" && hasWord(d.lit.Edges, s.Edge)
	}
	return s.Piece != "" && strings.HasPrefix(s.Class, "cloth") && hasWord(d.lit.Pieces, s.Piece)
}

func hasWord(words, w string) bool {
	for _, x := range strings.Fields(words) {
		if x == w {
			return true
		}
	}
	return false
}

// draftFor drafts the job for the page; lit is the number of the finding to show, less than 0 for none.
func (v *visit) draftFor(r *Record, lit int) (drafted, error) {
	if card := readCard(r, v.words); !card.Ready() {
		d := drafted{Missing: card.Missing}
		if card.Wrong > 0 {
			d.Problems = []string{v.words.T("measure.wrong")}
		}
		var err error
		d.Compared, err = v.compare(r, nil, tapeOf(r.Unit))
		return d, err
	}
	c, err := v.s.cut(r)
	if err != nil {
		return drafted{}, err
	}
	if c.err != nil {
		compared, err := v.compare(r, nil, tapeOf(r.Unit))
		return drafted{Problems: problems(c.err, v.words), Compared: compared}, err
	}
	compared, err := v.compare(r, c.result.Pattern, c.result.Job.House.Tape)
	if err != nil {
		return drafted{}, err
	}
	d := drafted{Sketches: sketchesOver(c.result.Pattern, compared), Pieces: galleryOver(c.result.Pattern, compared, v.words), Compared: compared, Findings: findingsOf(c.result, lit, v.words), Level: c.result.Level}
	if lit >= 0 && lit < len(d.Findings) {
		d.lit = d.Findings[lit]
	}
	return d, nil
}

// designPage shows the choices beside the picture.
func (v *visit) designPage() error {
	r, err := v.job()
	if err != nil {
		return err
	}
	g, err := garmentOf(r.Garment)
	if err != nil {
		return errNotFound
	}
	lit := -1
	if s := v.r.URL.Query().Get("show"); len(s) > 0 && len(s) < 5 {
		if _, err := fmt.Sscanf(s, "%d", &lit); err != nil {
			lit = -1
		}
	}
	d, err := v.draftFor(r, lit)
	if err != nil {
		return err
	}
	return v.show(designPage(v.chrome(v.words.T("design.title"), "design", r), choicesOf(g, r, v.words), d))
}

// designSave keeps a choice and answers with the new picture.
func (v *visit) designSave() error {
	id := v.r.PathValue("id")
	var r *Record
	err := v.s.store.Change(id, func(now *Record) error {
		r = now
		g, err := garmentOf(now.Garment)
		if err != nil {
			return errNotFound
		}
		for _, o := range g.Options {
			key := "s." + o.Name
			if !v.r.PostForm.Has(key) {
				continue
			}
			if text := v.form(key); text == "" {
				delete(now.Style, o.Name)
			} else {
				now.Style[o.Name] = text
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	return v.redraw(r, "")
}

// redraw answers a change of the job on its design page: the changed parts where the page's script asked, else the page, at a heading.
func (v *visit) redraw(r *Record, heading string) error {
	if !v.live() {
		return v.goTo("/jobs/" + r.ID + "/design" + heading)
	}
	g, err := garmentOf(r.Garment)
	if err != nil {
		return err
	}
	d, err := v.draftFor(r, -1)
	if err != nil {
		return err
	}
	return v.show(designParts(v.chrome("", "design", r), choicesOf(g, r, v.words), d))
}

// Verdict is one line on what there is to know of the draft.
func (d drafted) Verdict(w *Words) string {
	n := 0
	for _, f := range d.Findings {
		if f.Level == piece.Warn || f.Level == piece.Stop {
			n++
		}
	}
	switch {
	case d.Level == piece.Stop:
		return w.T("findings.verdict.stop", "n", itoa(n))
	case n == 1:
		return w.T("findings.verdict.one")
	case n > 1:
		return w.T("findings.verdict.look", "n", itoa(n))
	}
	return w.T("findings.verdict.good")
}
