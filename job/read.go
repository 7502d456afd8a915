package job

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"clothwright/body"
	"clothwright/cost"
	"clothwright/draft"
	"clothwright/garments"
	"clothwright/tape"
)

// Files hands in what a job file refers to by a path written in it: the house file, a maker's own script.
type Files func(path string) ([]byte, error)

// Problem is a user's mistake in a file: where, what was found, what is allowed, in one sentence.
type Problem struct {
	File string
	Line int // 0 when the mistake is that something is missing
	Text string
}

// Error is the sentence with the place in front.
func (p Problem) Error() string {
	if p.Line > 0 {
		return fmt.Sprintf("%s:%d: %s", p.File, p.Line, p.Text)
	}
	return p.File + ": " + p.Text
}

// Problems is every mistake found in a job, in the order of its lines.
type Problems []Problem

// Error is one sentence a line.
func (p Problems) Error() string {
	var b strings.Builder
	for i, q := range p {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(q.Error())
	}
	return b.String()
}

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
}

// reader collects the mistakes of one file.
type reader struct {
	file  string
	src   []byte
	found Problems
}

func (r *reader) say(line int, format string, a ...any) {
	r.found = append(r.found, Problem{r.file, line, fmt.Sprintf(format, a...)})
}

// Read reads a job file. Name is how errors call it. The error is a Problems with every mistake found.
func Read(name string, src []byte, files Files) (*Job, error) { return read(name, src, files, "") }

// read reads a job file, in another size than it says when one is given.
func read(name string, src []byte, files Files, size string) (*Job, error) {
	r := &reader{file: name, src: src}
	var f file
	if !r.decode(&f, "a job file") {
		return nil, r.found
	}
	if size != "" {
		f.Size = size
	}
	if f.Format != 0 && f.Format != 1 {
		r.say(r.line("", "format"), "format is %d; 1 is allowed", f.Format)
	}
	j := &Job{File: name, Number: f.Job, Client: f.Client, Date: f.Date, Note: f.Note, Demo: f.Demo, House: draft.Standard()}
	if j.Number == "" {
		j.Number = strings.TrimSuffix(lastPart(name), ".toml")
	}
	unit, err := tape.ParseUnit(f.Unit)
	if f.Unit != "" && err != nil {
		r.say(r.line("", "unit"), "unit is %q; in, cm and mm are allowed", f.Unit)
	}
	if f.House != "" {
		r.house(j, f.House, files)
	}
	if f.Costing != "" {
		r.costing(j, f.Costing, files)
	}
	r.garment(j, f.Garment, files)
	r.card(j, &f, unit)
	if j.Garment != nil {
		style, errs := j.Garment.Style(f.Style, unit)
		for _, err := range errs {
			where, _, _ := strings.Cut(err.Error(), ":")
			r.say(r.line("style", strings.TrimPrefix(where, "style.")), "%s", err)
		}
		j.Style = style
	}
	if len(r.found) > 0 {
		sort.SliceStable(r.found, func(a, b int) bool { return r.found[a].Line < r.found[b].Line && r.found[a].File == r.found[b].File })
		return nil, r.found
	}
	return j, nil
}

func lastPart(path string) string {
	return path[strings.LastIndexAny(path, `/\`)+1:]
}

// decode reads TOML strictly into v, turning what the library says into our sentences.
func (r *reader) decode(v any, what string) bool {
	if len(r.src) > 1<<20 {
		r.say(0, "the file is %d kB; at most 1024 kB is allowed", len(r.src)>>10)
		return false
	}
	d := toml.NewDecoder(bytes.NewReader(r.src))
	d.DisallowUnknownFields()
	err := d.Decode(v)
	var unknown *toml.StrictMissingError
	if errors.As(err, &unknown) {
		for _, e := range unknown.Errors {
			row, _ := e.Position()
			r.say(row, "%s has no key %q; see docs/files.md for what it may hold", what, strings.Join(e.Key(), "."))
		}
		return false
	}
	var bad *toml.DecodeError
	if errors.As(err, &bad) {
		row, _ := bad.Position()
		r.say(row, "%s cannot be read here: %s", what, plainly(strings.TrimPrefix(bad.Error(), "toml: ")))
		return false
	}
	if err != nil {
		r.say(0, "%s cannot be read: %s", what, plainly(strings.TrimPrefix(err.Error(), "toml: ")))
		return false
	}
	return true
}

// plainly keeps Go's type names out of a sentence.
func plainly(s string) string {
	if i := strings.Index(s, "cannot decode"); i >= 0 {
		s = "the value is of another kind than this key holds"
	}
	return strings.NewReplacer("struct field", "key", "map[string]interface {}", "table", "interface {}", "value").Replace(s)
}

// line finds the line of a key in a table of the file, 0 when it is not there. It reads the file as written:
// keys at the start of a line, tables in brackets, as every job and house file is.
func (r *reader) line(table, key string) int {
	in := ""
	for i, l := range strings.Split(string(r.src), "\n") {
		l = strings.TrimSpace(l)
		if strings.HasPrefix(l, "[") {
			in = strings.Trim(strings.SplitN(l, "]", 2)[0], "[] ")
			continue
		}
		k, _, ok := strings.Cut(l, "=")
		k = strings.Trim(strings.TrimSpace(k), `"'`)
		if ok && (in == table && k == key || in == "" && k == table+"."+key) {
			return i + 1
		}
	}
	return 0
}

func (r *reader) house(j *Job, path string, files Files) {
	at := r.line("", "house")
	if files == nil {
		r.say(at, "house names the file %q, and no files can be read here", path)
		return
	}
	src, err := files(path)
	if err != nil {
		r.say(at, "the house file %q cannot be read: %s", path, plainError(err))
		return
	}
	h, err := ReadHouse(path, src)
	if err != nil {
		var ps Problems
		if errors.As(err, &ps) {
			r.found = append(r.found, ps...)
		}
		return
	}
	j.House = h
}

func (r *reader) costing(j *Job, path string, files Files) {
	at := r.line("", "costing")
	if files == nil {
		r.say(at, "costing names the file %q, and no files can be read here", path)
		return
	}
	src, err := files(path)
	if err != nil {
		r.say(at, "the costing file %q cannot be read: %s", path, plainError(err))
		return
	}
	rates, err := cost.Read(path, src)
	var ps cost.Problems
	if errors.As(err, &ps) {
		for _, p := range ps {
			r.found = append(r.found, Problem(p))
		}
		return
	}
	j.Rates = rates
}

// plainError is the last part of a wrapped error: "no such file or directory".
func plainError(err error) string {
	for {
		next := errors.Unwrap(err)
		if next == nil {
			return err.Error()
		}
		err = next
	}
}

func (r *reader) garment(j *Job, name string, files Files) {
	at := r.line("", "garment")
	if name == "" {
		r.say(at, "garment is missing; %s is allowed, or the path of a script of your own", strings.Join(garments.Names(), ", "))
		return
	}
	src, own := garments.Script(name)
	where := "garments/" + name + "/draft.star"
	if !own {
		if !strings.HasSuffix(name, ".star") || files == nil {
			r.say(at, "garment %q is not known; %s is allowed, or the path of a script of your own ending in .star", name, strings.Join(garments.Names(), ", "))
			return
		}
		var err error
		if src, err = files(name); err != nil {
			r.say(at, "the garment script %q cannot be read: %s", name, plainError(err))
			return
		}
		where, j.Foreign = name, true
		name = strings.TrimSuffix(lastPart(name), ".star")
	}
	g, err := draft.Load(name, where, src)
	if err != nil {
		var e *draft.Error
		if errors.As(err, &e) {
			r.found = append(r.found, Problem{e.File, e.Line, e.Text})
		}
		return
	}
	j.Garment = g
}

var figures = map[string]body.Figure{"": body.Unstated, "women": body.Women, "men": body.Men, "child": body.Child}

func (r *reader) card(j *Job, f *file, unit tape.Unit) {
	figure, ok := figures[f.Figure]
	if !ok {
		r.say(r.line("", "figure"), "figure is %q; women, men and child are allowed, or none", f.Figure)
	}
	if f.Age < 0 || f.Age > 120 || math.IsNaN(f.Age) {
		r.say(r.line("", "age"), "age is %g years; 0 to 120 is allowed", f.Age)
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
			r.say(0, "measures.%s is missing: %s", m.Name, m.How)
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
		at := r.line(table, k)
		m, ok := body.Lookup(k)
		if !ok {
			r.say(at, "%s.%s is no measure%s", table, k, nearest(k))
			continue
		}
		if other, twice := seen[m.Name]; twice {
			r.say(at, "%s.%s is the same measure as %s, which is given too", table, k, other)
			continue
		}
		seen[m.Name] = k
		v, err := value(m, raw[k], unit)
		if err != nil {
			r.say(at, "%s.%s: %s", table, k, err)
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
		r.say(r.line("", key), "%s", err)
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
		return nil, Problems{{File: j.File, Text: "the job names no size_table, so it cannot be drafted in other sizes"}}
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
			r.say(r.line(table, k), "%s.%s is not taken on one side; %s are", table, k, joined(body.Sided))
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
		s := strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(strings.TrimSpace(fmt.Sprint(raw)), "deg"), "°"))
		if _, err := fmt.Sscanf(s, "%f", &v.MM); err != nil || math.IsNaN(v.MM) {
			return v, fmt.Errorf("%q is not an angle; degrees are allowed, as 20", fmt.Sprint(raw))
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
		t := tape.Tape{Unit: tape.CM, Step: 5}
		if unit == tape.IN || strings.Contains(fmt.Sprint(raw), "in") || strings.Contains(fmt.Sprint(raw), `"`) {
			t = tape.Tape{Unit: tape.IN, Step: tape.Inch / 4}
		}
		return v, fmt.Errorf("%s is found; %s to %s is what a person can have", strings.TrimSpace(fmt.Sprint(raw)), t.Format(t.Up(m.Least)), t.Format(t.Down(m.Most)))
	}
	v.MM = mm
	return v, nil
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
