package book

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// JobFile is a job file in parts: what a card, a style and the fittings so far make of it. Its Bytes are a file that `clothwright
// cut` takes.
type JobFile struct {
	Number   string
	Client   string
	Date     string
	Demo     string
	Garment  string
	House    string // the name the file calls the house file by; empty for the standard house
	Figure   string
	Age      float64 // years, 0 when not stated
	Unit     string
	Table    string // the size table and the size in it, for a stock size
	Size     string
	Measures []Measure
	Left     []Measure // what was measured on one side alone
	Right    []Measure
	Style    map[string]any
	Notes    []string // comments at its head
}

// sidesOf are the prefixes of measures that were taken on one side alone, as a card and an adjustment have them.
var sidesOf = []string{"left", "right"}

// side is the table of a side's own measures.
func (f *JobFile) side(side string) *[]Measure {
	if side == "right" {
		return &f.Right
	}
	return &f.Left
}

// FromCard fills in what a card says, and nothing else: no fitting has changed it yet.
func (f *JobFile) FromCard(c Card) {
	f.Figure, f.Age, f.Notes = c.Figure, c.Age, nil
	f.Measures, f.Left, f.Right = nil, nil, nil
	for _, m := range c.Measures {
		into := &f.Measures
		if side, name, one := strings.Cut(m.Name, "."); one {
			m.Name, into = name, f.side(side)
		}
		*into = append(*into, m)
	}
}

// ForCard are the file's measures as a card keeps them: those of one side have left. or right. before their name.
func (f *JobFile) ForCard() []Measure {
	out := append([]Measure(nil), f.Measures...)
	for _, side := range sidesOf {
		for _, m := range *f.side(side) {
			m.Name = side + "." + m.Name
			out = append(out, m)
		}
	}
	return out
}

// Pinned says whether the file's head tells of what was pinned.
func (f *JobFile) Pinned() bool {
	return slices.ContainsFunc(f.Notes, func(n string) bool { return strings.Contains(n, afterFitting) })
}

// afterFitting is how a note in a job file's head tells a pin from other comments.
const afterFitting = "after the fitting: "

// ReadJobFile takes a job file apart. It trusts that the file was read and found sound before: card holds the measures as they
// were understood (name, mm, confirmed), those of one side with left. or right. before their name, and the words of each are taken
// from the file.
func ReadJobFile(src []byte, card []Measure) (*JobFile, error) {
	var raw struct {
		Job, Client, Date, Demo, Garment, Figure, House, Unit string
		Table                                                 string `toml:"size_table"`
		Size                                                  string
		Age                                                   float64
		Measures, Left, Right                                 map[string]any
		Style                                                 map[string]any
	}
	if err := toml.Unmarshal(src, &raw); err != nil {
		return nil, mistake("the job file in the book cannot be read")
	}
	f := &JobFile{Number: raw.Job, Client: raw.Client, Date: raw.Date, Demo: raw.Demo, Garment: raw.Garment, House: raw.House, Figure: raw.Figure, Age: raw.Age, Unit: raw.Unit, Table: raw.Table, Size: raw.Size, Style: raw.Style}
	tables := map[string]map[string]any{"": raw.Measures, "left": raw.Left, "right": raw.Right}
	for _, m := range card {
		into, side := &f.Measures, ""
		if before, name, one := strings.Cut(m.Name, "."); one {
			m.Name, side, into = name, before, f.side(before)
		}
		if v, ok := tables[side][m.Name]; ok {
			m.Said, _ = said(m.Name, v, raw.Unit)
		} else {
			m.Said = inWords(m.Name, m.MM)
		}
		*into = append(*into, m)
	}
	for _, t := range []*[]Measure{&f.Measures, &f.Left, &f.Right} {
		byName(*t)
	}
	for line := range strings.Lines(string(src)) {
		note, comment := strings.CutPrefix(line, "# ")
		if !comment {
			break
		}
		f.Notes = append(f.Notes, strings.TrimSpace(note))
	}
	return f, nil
}

func byName(ms []Measure) {
	sort.Slice(ms, func(a, b int) bool { return ms[a].Name < ms[b].Name })
}

// inWords is a measure that nobody said: a length in mm, a slope in degrees.
func inWords(name string, v float64) string {
	if name == Slope {
		return strconv.FormatFloat(math.Round(v*1000)/1000, 'f', -1, 64)
	}
	return millimetres(v)
}

// said is a measure as its file has it, with the unit it goes by there, and whether it was confirmed.
func said(name string, v any, unit string) (words string, confirmed bool) {
	if t, table := v.(map[string]any); table {
		v = t["size"]
		confirmed, _ = t["confirmed"].(bool)
	}
	if _, text := v.(string); text || unit == "" || name == Slope {
		return fmt.Sprint(v), confirmed
	}
	return fmt.Sprint(v) + " " + unit, confirmed
}

// Adjust changes the measures by what the fittings taught. What it cannot change is returned: a measure that was never taken, whose
// pins are to be made by hand; a slope and a choice of style, which SetSlope and AdjustStyle change when it is known what the garment
// makes of them.
func (f *JobFile) Adjust(as []Adjustment) (left []Adjustment) {
	// What both sides are changed by goes first: a side's own change is on top of it.
	both := append([]Adjustment(nil), as...)
	sort.SliceStable(both, func(a, b int) bool {
		return !strings.Contains(both[a].Measure, ".") && strings.Contains(both[b].Measure, ".")
	})
	for _, a := range both {
		if math.Abs(a.MM) < 0.005 {
			continue
		}
		side, name, one := strings.Cut(a.Measure, ".")
		done := false
		switch {
		case strings.HasPrefix(a.Measure, Styled), strings.HasSuffix(a.Measure, Slope):
		case one:
			done = f.adjustSide(side, name, a)
		default:
			done = f.adjustBoth(a)
		}
		if !done {
			left = append(left, a)
		}
	}
	return left
}

// adjustBoth changes a measure of both sides: the common figure, and the own figures of a side that has one.
func (f *JobFile) adjustBoth(a Adjustment) bool {
	done := false
	for _, t := range []struct {
		of   *[]Measure
		side string
	}{{&f.Measures, ""}, {&f.Left, "left."}, {&f.Right, "right."}} {
		for i := range *t.of {
			if m := &(*t.of)[i]; m.Name == a.Measure {
				f.change(t.side, m, a)
				done = true
			}
		}
	}
	return done
}

// adjustSide changes a measure of one side, beginning from what both sides have where that side has none of its own.
func (f *JobFile) adjustSide(side, name string, a Adjustment) bool {
	into := f.side(side)
	for i := range *into {
		if m := &(*into)[i]; m.Name == name {
			f.change(side+".", m, a)
			return true
		}
	}
	for _, m := range f.Measures {
		if m.Name == name {
			m.Confirmed = false
			f.change(side+".", &m, a)
			*into = append(*into, m)
			byName(*into)
			return true
		}
	}
	return false
}

func (f *JobFile) change(side string, m *Measure, a Adjustment) {
	was := m.Said + " on the card"
	if slices.ContainsFunc(f.Notes, func(n string) bool { return strings.HasPrefix(n, m.Name+": ") }) {
		was = m.Said + " before"
	}
	m.MM += a.MM
	m.Said = millimetres(m.MM)
	f.Notes = append(f.Notes, fmt.Sprintf("%s%s: %s, %s mm %s%s.", side, m.Name, was, signed(a.MM), afterFitting, strings.Join(a.Said, ", ")))
}

// SetSlope sets the shoulder's slope in degrees, of both sides or of "left" or "right" alone, and notes why. A side's own figure goes
// when both are set.
func (f *JobFile) SetSlope(side string, degrees float64, why string) {
	m := Measure{Name: Slope, MM: degrees, Said: inWords(Slope, degrees)}
	into := &f.Measures
	if side != "" {
		into = f.side(side)
	}
	*into = append(slices.DeleteFunc(*into, func(m Measure) bool { return m.Name == Slope }), m)
	byName(*into)
	f.note(why)
}

// AdjustStyle changes a choice of style that is a length, which is mm without the pins, and notes what it was.
func (f *JobFile) AdjustStyle(name string, mm float64, a Adjustment) {
	if f.Style == nil {
		f.Style = map[string]any{}
	}
	f.Style[name] = millimetres(mm + a.MM)
	f.note(AfterFitting(fmt.Sprintf("%s%s: %s before, %s mm", Styled, name, millimetres(mm), signed(a.MM)), a))
}

// StyleBefore is the style as it was before the pins that the file's head tells of, but for the notes to be kept.
func (f *JobFile) StyleBefore(keep []string) map[string]any {
	out := map[string]any{}
	maps.Copy(out, f.Style)
	for _, n := range slices.Backward(f.Notes) {
		name, rest, ok := strings.Cut(n, ": ")
		name, styled := strings.CutPrefix(name, Styled)
		was, _, before := strings.Cut(rest, " before, ")
		if ok && styled && before && strings.Contains(n, afterFitting) && !slices.Contains(keep, n) {
			out[name] = was
		}
	}
	return out
}

func (f *JobFile) note(why string) {
	if why != "" {
		f.Notes = append(f.Notes, why)
	}
}

// Tells says whether a job file's head tells of a pin.
func Tells(file []byte, said string) bool {
	for line := range strings.Lines(string(file)) {
		note, comment := strings.CutPrefix(line, "# ")
		if !comment {
			break
		}
		if strings.Contains(note, afterFitting) && strings.Contains(note, oneLine(said)) {
			return true
		}
	}
	return false
}

// AfterFitting is a note that tells what was changed, and the pins it was changed for.
func AfterFitting(what string, a Adjustment) string {
	return fmt.Sprintf("%s %s%s.", what, afterFitting, strings.Join(a.Said, ", "))
}

func millimetres(mm float64) string {
	return strconv.FormatFloat(math.Round(mm*1000)/1000, 'f', -1, 64) + " mm"
}

func signed(mm float64) string {
	s := strconv.FormatFloat(math.Round(mm*1000)/1000, 'f', -1, 64)
	if mm > 0 {
		s = "+" + s
	}
	return s
}

// Bytes writes the job file: the same parts give the same bytes.
func (f *JobFile) Bytes() []byte {
	var b strings.Builder
	for _, n := range f.Notes {
		fmt.Fprintf(&b, "# %s\n", oneLine(n))
	}
	b.WriteString("format = 1\n")
	for _, kv := range [][2]string{{"demo", f.Demo}, {"job", f.Number}, {"client", f.Client}, {"date", f.Date}, {"garment", f.Garment}, {"house", f.House}, {"figure", f.Figure}, {"size_table", f.Table}, {"size", f.Size}} {
		if kv[1] != "" {
			fmt.Fprintf(&b, "%s = %s\n", kv[0], quoted(kv[1]))
		}
	}
	if f.Age != 0 {
		fmt.Fprintf(&b, "age = %s\n", strconv.FormatFloat(f.Age, 'f', -1, 64))
	}
	if f.Unit != "" {
		fmt.Fprintf(&b, "unit = %s\n", quoted(f.Unit))
	}
	for _, t := range []struct {
		name string
		of   []Measure
	}{{"measures", f.Measures}, {"left", f.Left}, {"right", f.Right}} {
		if len(t.of) == 0 && t.name != "measures" {
			continue
		}
		fmt.Fprintf(&b, "\n[%s]\n", t.name)
		for _, m := range t.of {
			if m.Confirmed {
				fmt.Fprintf(&b, "%s = { size = %s, confirmed = true }\n", m.Name, quoted(m.Said))
			} else {
				fmt.Fprintf(&b, "%s = %s\n", m.Name, quoted(m.Said))
			}
		}
	}
	b.WriteString("\n[style]\n")
	keys := make([]string, 0, len(f.Style))
	for k := range f.Style {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	for _, k := range keys {
		switch v := f.Style[k].(type) {
		case string:
			fmt.Fprintf(&b, "%s = %s\n", k, quoted(v))
		case float64:
			fmt.Fprintf(&b, "%s = %s\n", k, strconv.FormatFloat(v, 'f', -1, 64))
		default:
			fmt.Fprintf(&b, "%s = %v\n", k, v)
		}
	}
	return []byte(b.String())
}

// quoted is a basic string of TOML 1.0.
func quoted(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r < 0x20 || r == 0x7f:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
