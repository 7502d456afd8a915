package book

import (
	"fmt"
	"math"
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
	Age      float64
	Unit     string
	Table    string // the size table and the size in it, for a stock size
	Size     string
	Measures []Measure
	Left     []Measure // what was measured on one side alone
	Right    []Measure
	Style    map[string]any
	Notes    []string // comments at its head
}

// FromCard fills in what a card says.
func (f *JobFile) FromCard(c Card) {
	f.Figure, f.Age = c.Figure, c.Age
	f.Measures = append([]Measure(nil), c.Measures...)
}

// ReadJobFile takes a job file apart. It trusts that the file was read and found sound before: card holds the measures as they
// were understood (name, mm, confirmed), and the words of each are taken from the file.
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
	for _, m := range card {
		v, ok := raw.Measures[m.Name]
		if ok {
			m.Said, _ = said(m.Name, v, raw.Unit)
		} else {
			m.Said = millimetres(m.MM)
		}
		f.Measures = append(f.Measures, m)
	}
	for _, side := range []struct {
		raw  map[string]any
		into *[]Measure
	}{{raw.Left, &f.Left}, {raw.Right, &f.Right}} {
		for name, v := range side.raw {
			m := Measure{Name: name}
			m.Said, m.Confirmed = said(name, v, raw.Unit)
			*side.into = append(*side.into, m)
		}
		sort.Slice(*side.into, func(a, b int) bool { return (*side.into)[a].Name < (*side.into)[b].Name })
	}
	sort.Slice(f.Measures, func(a, b int) bool { return f.Measures[a].Name < f.Measures[b].Name })
	return f, nil
}

// said is a measure as its file has it, with the unit it goes by there, and whether it was confirmed.
func said(name string, v any, unit string) (words string, confirmed bool) {
	if t, table := v.(map[string]any); table {
		v = t["size"]
		confirmed, _ = t["confirmed"].(bool)
	}
	if _, text := v.(string); text || unit == "" || name == "shoulder_slope" {
		return fmt.Sprint(v), confirmed
	}
	return fmt.Sprint(v) + " " + unit, confirmed
}

// adjustSide changes a measure of one side, beginning from what both sides have where that side has none of its own. It says
// whether it could: a side's own figure that the file alone has is not known here in millimetres.
func (f *JobFile) adjustSide(side *[]Measure, name string, a Adjustment) bool {
	for i := range *side {
		if (*side)[i].Name != name {
			continue
		}
		if (*side)[i].MM == 0 {
			return false
		}
		(*side)[i].MM += a.MM
		(*side)[i].Said = millimetres((*side)[i].MM)
		return true
	}
	for _, m := range f.Measures {
		if m.Name == name {
			m.MM += a.MM
			m.Said, m.Confirmed = millimetres(m.MM), false
			*side = append(*side, m)
			sort.Slice(*side, func(a, b int) bool { return (*side)[a].Name < (*side)[b].Name })
			f.Notes = append(f.Notes, fmt.Sprintf("%s: %s mm after the fitting: %s.", a.Measure, signed(a.MM), strings.Join(a.Said, ", ")))
			return true
		}
	}
	return false
}

// Adjust changes the measures by what the fittings taught. A measure that was not taken cannot be changed: its pins are returned,
// to be made by hand.
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
		if side, name, one := strings.Cut(a.Measure, "."); one {
			into := &f.Left
			if side == "right" {
				into = &f.Right
			}
			if !f.adjustSide(into, name, a) {
				left = append(left, a)
			}
			continue
		}
		done := false
		for i := range f.Measures {
			m := &f.Measures[i]
			if m.Name != a.Measure {
				continue
			}
			was := m.Said
			m.MM += a.MM
			m.Said = millimetres(m.MM)
			f.Notes = append(f.Notes, fmt.Sprintf("%s: %s on the card, %s mm after the fitting: %s.", m.Name, was, signed(a.MM), strings.Join(a.Said, ", ")))
			done = true
		}
		if !done {
			left = append(left, a)
		}
	}
	return left
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
