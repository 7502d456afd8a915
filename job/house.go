package job

import (
	"fmt"
	"math"
	"sort"

	"clothwright/draft"
	"clothwright/tape"
)

// houseFile is a house file as it is written. Lengths are texts with their unit, or numbers in the file's unit.
type houseFile struct {
	Format     int            `toml:"format"`
	Name       string         `toml:"name"`
	Tape       string         `toml:"tape"`
	Unit       string         `toml:"unit"`
	Paper      string         `toml:"paper"`
	Roll       any            `toml:"roll"`
	Allowances map[string]any `toml:"allowances"`
	Rib        ribFile        `toml:"rib"`
	Zips       []any          `toml:"zips"`
	Cloth      []clothFile    `toml:"cloth"`
}

type ribFile struct {
	ReadyBand any        `toml:"ready_band"`
	Tube      any        `toml:"tube"`
	Seam      any        `toml:"seam"`
	Stretch   *float64   `toml:"stretch"`
	Cuff      *habitFile `toml:"cuff"`
	Hem       *habitFile `toml:"hem"`
	Collar    *habitFile `toml:"collar"`
}

type habitFile struct {
	Ratio float64 `toml:"ratio"`
	Least float64 `toml:"least"`
	Most  float64 `toml:"most"`
}

type clothFile struct {
	Material string `toml:"material"`
	Name     string `toml:"name"`
	Width    any    `toml:"width"`
	Selvedge any    `toml:"selvedge"`
	Fold     string `toml:"fold"`
	Doubled  any    `toml:"doubled"`
	Both     bool   `toml:"both_folds"`
	Nap      bool   `toml:"nap"`
	Step     any    `toml:"step"`
	Price    string `toml:"price"`

	RepeatLong  any        `toml:"repeat_long"`
	RepeatWide  any        `toml:"repeat_wide"`
	Gap         any        `toml:"gap"`
	Tilt        float64    `toml:"tilt"`
	ShrinksLong float64    `toml:"shrinks_long"`
	ShrinksWide float64    `toml:"shrinks_wide"`
	WashFirst   bool       `toml:"wash_first"`
	Remnant     any        `toml:"remnant"`
	Flaw        []flawFile `toml:"flaw"`
}

type flawFile struct {
	X    any `toml:"x"`
	Y    any `toml:"y"`
	Wide any `toml:"wide"`
	Long any `toml:"long"`
}

// ReadHouse reads a house file; what it does not say is as in draft.Standard. The error is a mistake.Problems.
func ReadHouse(name string, src []byte) (draft.House, error) {
	r := reading(name, src)
	h := draft.Standard()
	var f houseFile
	if !r.Decode(&f, aHouse) {
		return h, r.Err()
	}
	unit, err := tape.ParseUnit(f.Unit)
	if f.Unit != "" && err != nil {
		r.Say(r.Line("", "unit"), "unit is %q; in, cm and mm are allowed", f.Unit)
	}
	get := func(table string, nth int, key string, v any, least, most float64, into *float64) {
		if v == nil {
			return
		}
		mm, err := tape.Parse(fmt.Sprint(v), unit)
		switch {
		case err != nil:
			r.Say(r.LineIn(table, nth, key), "%s: %s", key, err)
		case mm < least || mm > most:
			r.Say(r.LineIn(table, nth, key), "%s is %v; %g to %g mm is allowed", key, v, least, most)
		default:
			*into = mm
		}
	}
	if f.Name != "" {
		h.Name = f.Name
	}
	if f.Tape != "" {
		if h.Tape, err = tape.ParseTape(f.Tape); err != nil {
			r.Say(r.Line("", "tape"), "tape: %s", err)
		}
	}
	if f.Paper != "" {
		if f.Paper != "A4" && f.Paper != "Letter" {
			r.Say(r.Line("", "paper"), "paper is %q; A4 and Letter are allowed", f.Paper)
		}
		h.Paper = f.Paper
	}
	get("", 0, "roll", f.Roll, 0, 5000, &h.Roll)
	if len(f.Allowances) > 0 {
		known := map[string]bool{}
		for _, k := range draft.AllowanceKinds {
			known[k.Kind] = true
		}
		keys := make([]string, 0, len(f.Allowances))
		for k := range f.Allowances {
			keys = append(keys, k)
		}
		sort.Strings(keys)
		for _, k := range keys {
			if !known[k] {
				r.Say(r.Line("allowances", k), "allowances.%s is no kind of edge; see docs/files.md for the kinds", k)
				continue
			}
			a := h.Allowances[k]
			get("allowances", 0, k, f.Allowances[k], 0, 60, &a)
			h.Allowances[k] = a
		}
	}
	get("rib", 0, "ready_band", f.Rib.ReadyBand, 20, 200, &h.ReadyBand)
	get("rib", 0, "tube", f.Rib.Tube, 0, 1500, &h.RibTube)
	get("rib", 0, "seam", f.Rib.Seam, 2, 25, &h.RibSeam)
	if s := f.Rib.Stretch; s != nil {
		if !(*s >= 0.05 && *s <= 2) {
			r.Say(r.Line("rib", "stretch"), "rib.stretch is %g; 0.05 to 2 is allowed (0.5 is half as long again when pulled)", *s)
		}
		h.RibStretch = *s
	}
	for _, rib := range []struct {
		kind  string
		habit *habitFile
	}{{"cuff", f.Rib.Cuff}, {"hem", f.Rib.Hem}, {"collar", f.Rib.Collar}} {
		if rib.habit == nil {
			continue
		}
		kind, d := rib.kind, h.Ribs[rib.kind]
		for _, v := range []struct{ from, to *float64 }{{&rib.habit.Ratio, &d.Ratio}, {&rib.habit.Least, &d.Least}, {&rib.habit.Most, &d.Most}} {
			if *v.from != 0 {
				*v.to = *v.from
			}
		}
		if !(0.3 <= d.Least && d.Least <= d.Ratio && d.Ratio <= d.Most && d.Most <= 1) {
			r.Say(r.Line("rib."+kind, "ratio"), "rib.%s: least %g, ratio %g, most %g; they must rise from 0.3 to 1", kind, d.Least, d.Ratio, d.Most)
		}
		h.Ribs[kind] = d
	}
	if len(f.Zips) > 0 {
		h.Zips = h.Zips[:0:0]
		for _, z := range f.Zips {
			var mm float64
			get("", 0, "zips", z, 50, 2000, &mm)
			if mm > 0 {
				h.Zips = append(h.Zips, mm)
			}
		}
		sort.Float64s(h.Zips)
	}
	if len(f.Cloth) > 0 {
		h.Cloths = nil
		flaws := 0
		for i, c := range f.Cloth {
			h.Cloths = append(h.Cloths, r.cloth(i, c, flaws, get))
			flaws += len(c.Flaw)
		}
	}
	if h.ReadyBand <= h.RibSeam {
		r.Say(r.Line("rib", "ready_band"), "the ready band is not higher than its seam allowance")
	}
	return h, r.Err()
}

// cloth reads the ith cloth; nthFlaw flaws are written before its own, in the cloths above it.
func (r *reader) cloth(i int, c clothFile, nthFlaw int, get func(table string, nth int, key string, v any, least, most float64, into *float64)) draft.Cloth {
	out := draft.Cloth{Material: c.Material, Name: c.Name, Fold: c.Fold, Nap: c.Nap, Price: c.Price, Step: 100}
	if out.Name == "" {
		out.Name = c.Material
	}
	if c.Material == "" {
		r.Say(0, "cloth %d has no material; shell, lining, padding and rib are usual", i+1)
	}
	if out.Fold == "" {
		out.Fold = "lengthwise"
	}
	switch out.Fold {
	case "lengthwise", "part-single", "open", "crosswise", "tubular":
	default:
		r.Say(r.LineIn("cloth", i, "fold"), "cloth %q: fold is %q; lengthwise, part-single, open, crosswise and tubular are allowed", out.Name, c.Fold)
	}
	get("cloth", i, "width", c.Width, 100, 5000, &out.Width)
	get("cloth", i, "selvedge", c.Selvedge, 0, 100, &out.Selvedge)
	get("cloth", i, "doubled", c.Doubled, 50, 2500, &out.Doubled)
	if out.Doubled > 0 && out.Fold != "part-single" {
		r.Say(r.LineIn("cloth", i, "doubled"), "cloth %q: doubled says how far the cloth is folded over, but its fold is %s; only part-single has a part single", out.Name, out.Fold)
	}
	if out.Both = c.Both; c.Both && out.Fold != "tubular" {
		r.Say(r.LineIn("cloth", i, "both_folds"), "cloth %q: both_folds lets pieces lie on either fold of a tube, but its fold is %s; only tubular has two", out.Name, out.Fold)
	}
	get("cloth", i, "step", c.Step, 1, 1000, &out.Step)
	get("cloth", i, "repeat_long", c.RepeatLong, 0, 2000, &out.RepeatLong)
	get("cloth", i, "repeat_wide", c.RepeatWide, 0, 2000, &out.RepeatWide)
	get("cloth", i, "gap", c.Gap, 0, 50, &out.Gap)
	get("cloth", i, "remnant", c.Remnant, 100, 10000, &out.Remnant)
	for _, v := range []struct {
		key       string
		got, most float64
		to        *float64
	}{{"tilt", c.Tilt, 5, &out.Tilt}, {"shrinks_long", c.ShrinksLong, 0.3, &out.ShrinkLong}, {"shrinks_wide", c.ShrinksWide, 0.3, &out.ShrinkWide}} {
		if !(v.got >= 0 && v.got <= v.most) {
			r.Say(r.LineIn("cloth", i, v.key), "cloth %q: %s is %g; 0 to %g is allowed", out.Name, v.key, v.got, v.most)
			continue
		}
		*v.to = v.got
	}
	out.WashFirst = c.WashFirst
	for n, f := range c.Flaw {
		var flaw draft.Flaw
		get("cloth.flaw", nthFlaw+n, "x", f.X, 0, 5000, &flaw.X)
		get("cloth.flaw", nthFlaw+n, "y", f.Y, 0, 10000, &flaw.Y)
		get("cloth.flaw", nthFlaw+n, "wide", f.Wide, 1, 5000, &flaw.Wide)
		get("cloth.flaw", nthFlaw+n, "long", f.Long, 1, 10000, &flaw.Long)
		if flaw.Wide == 0 || flaw.Long == 0 {
			r.Say(r.LineIn("cloth.flaw", nthFlaw+n, "x"), "cloth %q: a flaw has no size; wide and long are wanted", out.Name)
			continue
		}
		out.Flaws = append(out.Flaws, flaw)
	}
	if out.Width <= 2*out.Selvedge || math.IsNaN(out.Width) {
		r.Say(0, "cloth %q: its width is missing or no wider than its selvedges", out.Name)
	}
	return out
}
