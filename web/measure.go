package web

import (
	"fmt"
	"strconv"
	"strings"

	"clothwright/body"
	"clothwright/mistake"
	"clothwright/phrase"
	"clothwright/tape"
)

// wantedFirst are the measures the built-in jacket needs or is glad of, as they are taken from neck to hand; the others are
// behind "more".
var wantedFirst = map[body.Name]bool{
	"neck_base_girth": true, "shoulder_width": true, "back_width": true, "chest_girth": true, "waist_girth": true, "hip_girth": true, "nape_to_waist": true,
	"underarm_depth": true, "body_length": true, "arm_length": true, "upper_arm_girth": true, "wrist_girth": true, "hand_girth": true, "height": true,
}

// field is one measure on the page: what was typed, and what there is to say to it.
type field struct {
	body.Measure
	Title, How string // in the page's language
	Text       string
	Confirmed  bool
	Wrong      string // it cannot be read, or no person has it
	Doubt      string // it does not go with the rest
	Never      bool   // and no body is so
	Reading    string // what was read, where that says more than what was typed
	Estimate   string // what is taken while it is not measured
	Before     string // what the card before says
	Origin     string // "derived" or "estimated"
}

// Asked reports whether the page should offer to stand by a doubted measure.
func (f field) Asked() bool { return f.Doubt != "" || f.Confirmed }

// Note is what stands below the field, and of what kind.
func (f field) Note() (kind, text string) {
	switch {
	case f.Wrong != "":
		return "wrong", f.Wrong
	case f.Never:
		return "wrong", f.Doubt
	case f.Doubt != "":
		return "doubt", f.Doubt
	case f.Estimate != "":
		return "guess", f.Estimate
	}
	return "quiet", f.Reading
}

// tapeCard is the measuring page's view of a job.
type tapeCard struct {
	Main, More []field
	Sides      []sideField
	Houses     []string // to choose from, beside the unit's own
	Missing    []field  // must be measured and are not
	Wrong      int      // cannot be read
	Doubts     int
	NoModel    string
}

// Ready reports whether the jacket can be drafted from the card.
func (c tapeCard) Ready() bool { return len(c.Missing) == 0 && c.Wrong == 0 }

// All is every field in the order of the page.
func (c tapeCard) All() []field { return append(append([]field(nil), c.Main...), c.More...) }

// SidesUsed reports whether anything is taken left and right apart.
func (c tapeCard) SidesUsed() bool {
	for _, f := range c.Sides {
		if f.Left.Text != "" || f.Right.Text != "" {
			return true
		}
	}
	return false
}

// MoreUsed reports whether anything is typed behind "more".
func (c tapeCard) MoreUsed() bool {
	for _, f := range c.More {
		if f.Text != "" {
			return true
		}
	}
	return false
}

func unitOf(r *Record) tape.Unit {
	if r.Unit == "cm" {
		return tape.CM
	}
	return tape.IN
}

// tapeOf is the tape that a unit is read on.
func tapeOf(unit string) tape.Tape {
	if unit == "cm" {
		return tape.Tape{Unit: tape.CM, Step: 1}
	}
	return tape.Tape{Unit: tape.IN, Step: tape.Inch / 16}
}

var figures = map[string]body.Figure{"women": body.Women, "men": body.Men, "child": body.Child}

// readCard reads what was typed and asks package body what it thinks.
func readCard(r *Record, w *Words) tapeCard {
	t := tapeOf(r.Unit)
	card := body.Card{Figure: figures[r.Figure], Values: map[body.Name]body.Value{}}
	if age, err := strconv.ParseFloat(strings.Replace(r.Age, ",", ".", 1), 64); err == nil && age > 0 && age <= 120 {
		card.Age = age
	}
	fields := make([]field, 0, len(body.Measures))
	for _, m := range body.Measures {
		typed := r.Measures[string(m.Name)]
		f := field{Measure: m, Text: typed.Text, Confirmed: typed.Confirmed, Title: w.measure(m), How: w.Or("how."+string(m.Name), w.Call(m.How))}
		if f.Text != "" {
			if mm, reading, err := readMeasure(m, f.Text, unitOf(r), t); err != nil {
				f.Wrong = sentence(w.SayError(err))
			} else {
				f.Reading = reading
				card.Values[m.Name] = body.Value{MM: mm, From: body.Given, Confirmed: f.Confirmed}
			}
		}
		fields = append(fields, f)
	}
	doubts := map[body.Name]body.Doubt{}
	for _, d := range card.Doubts() {
		doubts[d.Name] = d
	}
	full := card.Complete()
	var out tapeCard
	out.Sides, out.Wrong = sidesOf(r, w)
	if len(card.Values) > 0 {
		out.NoModel = sentence(w.Call(card.NoModel()))
	}
	for _, f := range fields {
		if d, ok := doubts[f.Name]; ok {
			f.Doubt, f.Never = sentence(w.Say(d.Say(t))), d.Never
			out.Doubts++
		}
		if v, ok := full.Get(f.Name); ok && f.Text == "" && f.Wrong == "" {
			say := t.Fine
			if f.Kind == body.Angle {
				say = degrees
			}
			switch v.From {
			case body.Derived:
				f.Origin, f.Estimate = "derived", w.T("measure.derived", "size", say(v.MM))
			case body.Estimated:
				f.Origin, f.Estimate = "estimated", w.T("measure.estimated", "size", say(v.MM), "spread", say(2*v.Spread))
			}
		}
		if f.Wrong != "" {
			out.Wrong++
		} else if f.Must && f.Text == "" && f.Origin != "derived" {
			out.Missing = append(out.Missing, f)
		}
		if wantedFirst[f.Name] {
			out.Main = append(out.Main, f)
		} else {
			out.More = append(out.More, f)
		}
	}
	return out
}

func degrees(v float64) string { return fmt.Sprintf("%.0f°", v) }

// readMeasure reads one measure as it was typed, and says in the page's tape what was read when it was typed in another unit.
func readMeasure(m body.Measure, text string, bare tape.Unit, t tape.Tape) (mm float64, reading string, err error) {
	if m.Kind == body.Angle {
		s := strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(strings.TrimSpace(text), "deg"), "°"))
		v, bad := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64)
		if bad != nil {
			return 0, "", phrase.Wrong(phrase.Of("write the angle in degrees, such as 20"))
		}
		if !(v >= m.Least && v <= m.Most) {
			return 0, "", phrase.Wrong(phrase.Of("%g degrees is found; %g to %g is allowed", v, m.Least, m.Most))
		}
		return v, "", nil
	}
	mm, err = tape.Parse(text, bare)
	if err != nil {
		return 0, "", err
	}
	if mm < m.Least || mm > m.Most {
		return 0, "", phrase.Wrong(phrase.Of("%s is found; %s to %s is what a person can have", t.Fine(mm), t.Fine(m.Least), t.Fine(m.Most)))
	}
	if _, bad := tape.Parse(text, 0); bad == nil && !strings.HasSuffix(strings.ToLower(text), t.Unit.String()) && !(t.Unit == tape.IN && strings.HasSuffix(text, `"`)) {
		reading = t.Fine(mm)
	}
	return mm, reading, nil
}

// sentence begins with a capital and ends with a stop.
func sentence(s string) string {
	if s == "" {
		return ""
	}
	if word, _, _ := strings.Cut(s, " "); !strings.ContainsAny(strings.TrimSuffix(word, "."), "./_") { // the name of a file stays as it is
		r := []rune(s)
		s = strings.ToUpper(string(r[0])) + string(r[1:])
	}
	if !strings.ContainsAny(s[len(s)-1:], ".!?") {
		s += "."
	}
	return s
}

// measurePage shows the tape card.
func (v *visit) measurePage() error {
	r, err := v.job()
	if err != nil {
		return err
	}
	card := readCard(r, v.words)
	if card.Houses, err = v.houses(r); err != nil {
		return err
	}
	return v.show(measurePage(v.chrome(v.words.T("measure.title"), "measure", r), card))
}

// measureSave keeps what was typed: one field when the script sends it, all when the form is sent.
func (v *visit) measureSave() error {
	id := v.r.PathValue("id")
	err := v.s.store.Change(id, func(r *Record) error {
		v.takeDetails(r)
		v.takeMeasures(r)
		v.takeSides(r)
		return v.takeHouse(r)
	})
	if err != nil {
		return err
	}
	if v.live() {
		r, err := v.s.store.Load(id)
		if err != nil {
			return err
		}
		return v.show(measureNotes(v.chrome("", "measure", r), readCard(r, v.words)))
	}
	if v.form("then") == "design" {
		return v.goTo("/jobs/" + id + "/design")
	}
	return v.goTo("/jobs/" + id + "/measure")
}

// takeDetails takes what the form says of the client; what it does not mention is left.
func (v *visit) takeDetails(r *Record) {
	for name, into := range map[string]*string{"client": &r.Client, "number": &r.Number, "date": &r.Date, "note": &r.Note, "age": &r.Age} {
		if v.r.PostForm.Has(name) {
			*into = v.form(name)
		}
	}
	if _, known := figures[v.form("figure")]; v.r.PostForm.Has("figure") && (known || v.form("figure") == "") {
		r.Figure = v.form("figure")
	}
	if u := v.form("unit"); u == "in" || u == "cm" {
		if u != r.Unit {
			r.keepUnit()
			r.Unit = u
		}
	}
}

// keepUnit writes the unit behind every bare number, so that another unit for the page does not change what was measured.
func (r *Record) keepUnit() {
	for _, taken := range []map[string]Typed{r.Measures, r.Left, r.Right} {
		keepUnit(taken, r.Unit)
	}
	for n, text := range r.Style {
		if with := text + " " + r.Unit; parses(with) && !parses(text) {
			r.Style[n] = with
		}
	}
}

func keepUnit(taken map[string]Typed, unit string) {
	for n, t := range taken {
		m, ok := body.Lookup(n)
		if !ok || m.Kind == body.Angle || t.Text == "" {
			continue
		}
		if _, err := tape.Parse(t.Text, 0); err == nil {
			continue
		}
		if with := t.Text + " " + unit; parses(with) {
			t.Text = with
			taken[n] = t
		}
	}
}

func parses(s string) bool { _, err := tape.Parse(s, 0); return err == nil }

// takeMeasures takes the measures the form holds. A figure that was changed is no longer confirmed.
func (v *visit) takeMeasures(r *Record) {
	for _, m := range body.Measures {
		key := "m." + string(m.Name)
		if !v.r.PostForm.Has(key) {
			continue
		}
		old := r.Measures[string(m.Name)]
		now := Typed{Text: v.form(key), Confirmed: v.r.PostForm.Get("ok."+string(m.Name)) == "yes"}
		if now.Text != old.Text && old.Text != "" {
			now.Confirmed = false
		}
		if now.Text == "" {
			delete(r.Measures, string(m.Name))
			continue
		}
		r.Measures[string(m.Name)] = now
	}
}

// create makes a new job and opens its tape card.
func (v *visit) create() error {
	r := &Record{Garment: "rib-zip-jacket", Unit: "in", Measures: map[string]Typed{}, Style: map[string]string{}}
	r.Date = v.s.now().Format("2006-01-02")
	v.takeDetails(r)
	if err := v.s.store.Create(r); err != nil {
		return err
	}
	return v.goTo("/jobs/" + r.ID + "/measure")
}

// problems are the sentences of what keeps a job from being drafted.
func problems(err error, w *Words) []string {
	var out []string
	if ps, ok := mistake.In(err); ok {
		for _, p := range ps {
			if p.Said.Empty() {
				p.Said = phrase.Plain(p.Text)
			}
			out = append(out, sentence(w.Say(p.Said)))
		}
	}
	return out
}
