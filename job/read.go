package job

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"
	"sync"
	"unicode"

	"clothwright/body"
	"clothwright/cost"
	"clothwright/draft"
	"clothwright/garments"
	"clothwright/mistake"
	"clothwright/tape"
)

// Files hands in what a job file refers to by a path written in it: the house file, a maker's own script.
type Files func(path string) ([]byte, error)

// Job is a job file that has been read and found sound.
type Job struct {
	File    string
	Number  string // the job's own number or name
	Client  string
	Date    string
	Note    string
	Demo    string // says that the people and data are invented, when they are
	Garment *draft.Garment
	Table   string    // the size table the card begins from, empty for a person
	Size    string    // the size in it
	Card    body.Card // as given
	Style   draft.Style
	House   draft.House
	Rates   *cost.Rates // what the room pays and asks, nil when the job names no costing file
	Foreign bool        // the garment's script is not one of the program's own
	Lays    []KeptLay   // how cloths are laid, where that was settled
}

// file is a job file as it is written.
type file struct {
	Format   int            `toml:"format"`
	Job      string         `toml:"job"`
	Client   string         `toml:"client"`
	Date     string         `toml:"date"`
	Note     string         `toml:"note"`
	Demo     string         `toml:"demo"`
	Garment  string         `toml:"garment"`
	Figure   string         `toml:"figure"`
	Age      float64        `toml:"age"`
	Unit     string         `toml:"unit"`
	House    string         `toml:"house"`
	Costing  string         `toml:"costing"`
	Table    string         `toml:"size_table"`
	Size     string         `toml:"size"`
	Measures map[string]any `toml:"measures"`
	Left     map[string]any `toml:"left"`
	Right    map[string]any `toml:"right"`
	Style    map[string]any `toml:"style"`
	Lays     []KeptLay      `toml:"lay"`
}

// reader reads a file and collects its mistakes, and those of the files it names.
type reader struct{ mistake.File }

// The files that a maker writes.
var (
	aJob   = mistake.Kind{What: "a job file", Page: "docs/files.md"}
	aHouse = mistake.Kind{What: "a house file", Page: "docs/files.md"}
	aStyle = mistake.Kind{What: "a style file", Page: "docs/files.md"}
)

func reading(name string, src []byte) *reader {
	return &reader{mistake.File{Name: name, Src: src}}
}

// Read reads a job file. Name is how errors call it. The error is a mistake.Problems with every mistake found.
func Read(name string, src []byte, files Files) (*Job, error) { return read(name, src, files, "") }

// read reads a job file, in another size than it says when one is given.
func read(name string, src []byte, files Files, size string) (*Job, error) {
	r := reading(name, src)
	var f file
	if !r.Decode(&f, aJob) {
		return nil, r.Err()
	}
	if size != "" {
		f.Size = size
	}
	if f.Format != 0 && f.Format != 1 {
		r.Say(r.Line("", "format"), "format is %d; 1 is allowed", f.Format)
	}
	j := &Job{File: name, Number: f.Job, Client: f.Client, Date: f.Date, Note: f.Note, Demo: f.Demo, House: draft.Standard()}
	if j.Number == "" {
		j.Number = strings.TrimSuffix(lastPart(name), ".toml")
	}
	for _, v := range []struct{ key, words string }{{"job", f.Job}, {"client", f.Client}, {"date", f.Date}} {
		if strings.ContainsFunc(v.words, unicode.IsControl) {
			r.Say(r.Line("", v.key), "%s stands on one line; a line break or another control character is in it", v.key)
		}
	}
	unit, err := tape.ParseUnit(f.Unit)
	if f.Unit != "" && err != nil {
		r.Say(r.Line("", "unit"), "unit is %q; in, cm and mm are allowed", f.Unit)
	}
	if f.House != "" {
		r.house(j, f.House, files)
	}
	if f.Costing != "" {
		r.costing(j, f.Costing, files)
	}
	j.Lays = r.lays(f.Lays)
	r.garment(j, f.Garment, files)
	r.card(j, &f, unit)
	if j.Garment != nil {
		style, errs := j.Garment.Style(f.Style, unit)
		for _, err := range errs {
			where, _, _ := strings.Cut(err.Error(), ":")
			r.Say(r.Line("style", strings.TrimPrefix(where, "style.")), "%s", err)
		}
		j.Style = style
	}
	if err := r.Err(); err != nil {
		return nil, err
	}
	return j, nil
}

func lastPart(path string) string {
	return path[strings.LastIndexAny(path, `/\`)+1:]
}

func (r *reader) house(j *Job, path string, files Files) {
	at := r.Line("", "house")
	if files == nil {
		r.Say(at, "house names the file %q, and no files can be read here", path)
		return
	}
	src, err := files(path)
	if err != nil {
		r.Say(at, "the house file %q cannot be read: %s", path, mistake.System(err))
		return
	}
	h, err := ReadHouse(path, src)
	if ps, wrong := mistake.In(err); wrong {
		r.Found = append(r.Found, ps...)
		return
	}
	j.House = h
}

func (r *reader) costing(j *Job, path string, files Files) {
	at := r.Line("", "costing")
	if files == nil {
		r.Say(at, "costing names the file %q, and no files can be read here", path)
		return
	}
	src, err := files(path)
	if err != nil {
		r.Say(at, "the costing file %q cannot be read: %s", path, mistake.System(err))
		return
	}
	rates, err := cost.Read(path, src)
	if ps, wrong := mistake.In(err); wrong {
		r.Found = append(r.Found, ps...)
		return
	}
	j.Rates = rates
}

func (r *reader) garment(j *Job, name string, files Files) {
	at := r.Line("", "garment")
	if name == "" {
		r.Say(at, "garment is missing; %s is allowed, or the path of a script of your own", strings.Join(garments.Names(), ", "))
		return
	}
	src, own := garments.Script(name)
	where := "garments/" + name + "/draft.star"
	if !own {
		if !strings.HasSuffix(name, ".star") || files == nil {
			r.Say(at, "garment %q is not known; %s is allowed, or the path of a script of your own ending in .star", name, strings.Join(garments.Names(), ", "))
			return
		}
		var err error
		if src, err = files(name); err != nil {
			r.Say(at, "the garment script %q cannot be read: %s", name, mistake.System(err))
			return
		}
		where, j.Foreign = name, true
		name = strings.TrimSuffix(lastPart(name), ".star")
	}
	if own {
		if g, ok := loaded.Load(name); ok {
			j.Garment = g.(*draft.Garment)
			return
		}
	}
	g, err := draft.Load(name, where, src)
	if err != nil {
		var e *draft.Error
		if errors.As(err, &e) {
			r.Found = append(r.Found, mistake.Problem{File: e.File, Line: e.Line, Text: e.Text})
		}
		return
	}
	if own {
		loaded.Store(name, g)
	}
	j.Garment = g
}

// loaded are the program's own garments by name. Reading a script takes as long as drafting by it, and what is embedded does not change;
// a garment that is loaded may be drafted from many places at once.
var loaded sync.Map

var figures = map[string]body.Figure{"": body.Unstated, "women": body.Women, "men": body.Men, "child": body.Child}

func (r *reader) card(j *Job, f *file, unit tape.Unit) {
	figure, ok := figures[f.Figure]
	if !ok {
		r.Say(r.Line("", "figure"), "figure is %q; women, men and child are allowed, or none", f.Figure)
	}
	if f.Age < 0 || f.Age > 120 || math.IsNaN(f.Age) {
		r.Say(r.Line("", "age"), "age is %g years; 0 to 120 is allowed", f.Age)
	}
	seen := map[body.Name]string{}
	j.Card = body.Card{Figure: figure, Age: f.Age, Values: r.values("measures", f.Measures, unit, seen)}
	r.size(j, f)
	j.Card.Left = r.side("left", f.Left, unit)
	j.Card.Right = r.side("right", f.Right, unit)
	// What must be there may also follow from other measures.
	full := j.Card.Complete()
	for _, m := range body.Measures {
		if !m.Must {
			continue
		}
		if _, bad := seen[m.Name]; bad {
			continue
		}
		_, left := j.Card.Left[m.Name]
		_, right := j.Card.Right[m.Name]
		if left && right {
			continue
		}
		// A stock size is nobody's: what its table does not have may be what such people usually have.
		if v, ok := full.Get(m.Name); !ok || v.From == body.Estimated && j.Size == "" {
			r.Say(0, "measures.%s is missing: %s", m.Name, m.How)
		}
	}
}

// values reads a table of measures; seen is filled with the names as they were spelt.
func (r *reader) values(table string, raw map[string]any, unit tape.Unit, seen map[body.Name]string) map[body.Name]body.Value {
	out := map[body.Name]body.Value{}
	keys := make([]string, 0, len(raw))
	for k := range raw {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	for _, k := range keys {
		at := r.Line(table, k)
		m, ok := body.Lookup(k)
		if !ok {
			r.Say(at, "%s.%s is no measure%s", table, k, nearest(k))
			continue
		}
		if other, twice := seen[m.Name]; twice {
			r.Say(at, "%s.%s is the same measure as %s, which is given too", table, k, other)
			continue
		}
		seen[m.Name] = k
		v, err := value(m, raw[k], unit)
		if err != nil {
			r.Say(at, "%s.%s: %s", table, k, err)
			continue
		}
		out[m.Name] = v
	}
	return out
}

// size fills the card with a stock size's figures, beneath what the job itself gives.
func (r *reader) size(j *Job, f *file) {
	if f.Table == "" && f.Size == "" {
		return
	}
	c, err := body.Size(f.Table, f.Size)
	if err != nil {
		key := "size"
		if strings.Contains(err.Error(), "size table") {
			key = "size_table"
		}
		r.Say(r.Line("", key), "%s", err)
		return
	}
	j.Table, j.Size = f.Table, f.Size
	if j.Card.Figure == body.Unstated {
		j.Card.Figure = c.Figure
	}
	for n, v := range c.Values {
		if _, given := j.Card.Values[n]; !given {
			j.Card.Values[n] = v
		}
	}
}

// Sized is the same job in another size of its table, as if its file said so. The job must have been read with one.
func (j *Job) Sized(src []byte, size string, files Files) (*Job, error) {
	if j.Table == "" {
		return nil, mistake.Problems{{File: j.File, Text: "the job names no size_table, so it cannot be drafted in other sizes"}}
	}
	return read(j.File, src, files, size)
}

// side reads what was measured on one side of the body alone.
func (r *reader) side(table string, raw map[string]any, unit tape.Unit) map[body.Name]body.Value {
	if len(raw) == 0 {
		return nil
	}
	seen := map[body.Name]string{}
	out := r.values(table, raw, unit, seen)
	for n, k := range seen {
		if !slices.Contains(body.Sided, n) {
			r.Say(r.Line(table, k), "%s.%s is not taken on one side; %s are", table, k, joined(body.Sided))
		}
	}
	return out
}

func joined(names []body.Name) string {
	var out []string
	for _, n := range names {
		out = append(out, string(n))
	}
	return strings.Join(out, ", ")
}

// value reads one measure: "40 in", 40 in the file's unit, or { size = "40 in", confirmed = true }.
func value(m body.Measure, raw any, unit tape.Unit) (body.Value, error) {
	v := body.Value{From: body.Given}
	if t, ok := raw.(map[string]any); ok {
		for k := range t {
			if k != "size" && k != "confirmed" {
				return v, fmt.Errorf("it has no key %q; size and confirmed are allowed", k)
			}
		}
		if c, ok := t["confirmed"]; ok {
			if v.Confirmed, ok = c.(bool); !ok {
				return v, errors.New("confirmed is true or false")
			}
		}
		if raw, ok = t["size"]; !ok {
			return v, errors.New("the size is missing")
		}
	}
	if m.Kind == body.Angle {
		var err error
		if v.MM, err = degrees(fmt.Sprint(raw)); err != nil {
			return v, err
		}
		if v.MM < m.Least || v.MM > m.Most {
			return v, fmt.Errorf("%g degrees is found; %g to %g is allowed", v.MM, m.Least, m.Most)
		}
		return v, nil
	}
	switch raw.(type) {
	case string, int64, float64:
	default:
		return v, errors.New(`a length is wanted, as "15 1/2 in" or "39.5 cm"`)
	}
	mm, err := tape.Parse(fmt.Sprint(raw), unit)
	if err != nil {
		return v, err
	}
	if mm < m.Least || mm > m.Most {
		said := strings.TrimSpace(fmt.Sprint(raw))
		return v, fmt.Errorf("%s is found; %s is what a person can have", said, m.Allowed(said, unit))
	}
	v.MM = mm
	return v, nil
}

// degrees reads an angle: "20", "20 deg", "20°".
func degrees(s string) (float64, error) {
	d, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(strings.TrimSpace(s), "deg"), "°")), 64)
	if err != nil || math.IsNaN(d) {
		return 0, fmt.Errorf("%q is not an angle; degrees are allowed, as 20", s)
	}
	return d, nil
}

// nearest suggests the measure a misspelt name was meant for.
func nearest(name string) string {
	best, least := "", 4
	for _, n := range body.Names() {
		if d := edits(name, string(n), least); d < least {
			best, least = string(n), d
		}
	}
	if best == "" {
		return "; see docs/measures.md for the names"
	}
	return fmt.Sprintf("; %s is one", best)
}

// edits is how many letters must be changed, put in or left out to turn a into b (Levenshtein 1966), or most.
func edits(a, b string, most int) int {
	if len(a)-len(b) >= most || len(b)-len(a) >= most {
		return most
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		diagonal := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			change := diagonal
			if a[i-1] != b[j-1] {
				change++
			}
			diagonal = row[j]
			row[j] = min(change, row[j]+1, row[j-1]+1)
		}
	}
	return row[len(b)]
}
