// Package tape reads and says lengths as a cutter does: "8 1/8 in", "20.5 cm", "206 mm".
//
// Inside the program a length is a float64 of millimetres. Parse turns what a person wrote into millimetres and refuses,
// in one plain sentence, whatever could be read in two ways. A Tape is the tape measure of the workroom: it knows the
// unit and the finest mark that is used, rounds a length to that mark, and prints it. Printed lengths read back exactly:
// Parse(t.Format(x)) is t.Round(x) for every x that is not negative.
package tape

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Lengths of the units in millimetres. The inch is exact since the international agreement of 1959.
const (
	Millimetre = 1.0
	Centimetre = 10.0
	Inch       = 25.4
)

// Unit is a unit of length. The zero Unit is none: a number without one.
type Unit int

// The units a length may be written in.
const (
	MM Unit = iota + 1
	CM
	IN
)

var units = [...]struct {
	name string
	mm   float64
}{{"", 0}, {"mm", Millimetre}, {"cm", Centimetre}, {"in", Inch}}

// String gives "mm", "cm" or "in", and "" for the zero Unit.
func (u Unit) String() string {
	if u < 0 || int(u) >= len(units) {
		return ""
	}
	return units[u].name
}

// MM returns the length of the unit in millimetres, 0 for the zero Unit.
func (u Unit) MM() float64 {
	if u < 0 || int(u) >= len(units) {
		return 0
	}
	return units[u].mm
}

// ParseUnit reads "mm", "cm" or "in", in small or capital letters, with spaces around it.
func ParseUnit(s string) (Unit, error) {
	for u := MM; u <= IN; u++ {
		if strings.EqualFold(strings.TrimSpace(s), u.String()) {
			return u, nil
		}
	}
	return 0, fmt.Errorf("the unit is %s, it must be mm, cm or in", quote(s))
}

// Tape is a workroom's tape: the unit it is marked in and the distance of its finest mark in mm. The zero Tape does not
// round and speaks millimetres; make others with ParseTape.
type Tape struct {
	Unit Unit
	Step float64 // mm
}

// tapes are all tapes there are. Fine is the finer division in which tables of offsets are printed.
var tapes = []struct {
	name string
	tape Tape
	fine float64
	also []string
}{
	{"1/2 in", Tape{IN, Inch / 2}, Inch / 16, nil},
	{"1/4 in", Tape{IN, Inch / 4}, Inch / 16, nil},
	{"1/8 in", Tape{IN, Inch / 8}, Inch / 16, nil},
	{"1/16 in", Tape{IN, Inch / 16}, Inch / 16, nil},
	{"1 cm", Tape{CM, 10}, 1, nil},
	{"5 mm", Tape{CM, 5}, 1, []string{"0.5 cm"}},
	{"2 mm", Tape{CM, 2}, 1, nil},
	{"1 mm", Tape{CM, 1}, 1, nil},
}

// ParseTape reads the name of a tape: 1/2 in, 1/4 in, 1/8 in, 1/16 in, 1 cm, 5 mm, 2 mm or 1 mm; 0.5 cm is 5 mm. Metric tapes
// speak centimetres. The space before the unit may be left out.
func ParseTape(s string) (Tape, error) {
	got := strings.ToLower(strings.Join(strings.Fields(s), " "))
	for _, t := range tapes {
		for _, name := range append(t.also, t.name) {
			if got == name || got == strings.Replace(name, " ", "", 1) {
				return t.tape, nil
			}
		}
	}
	return Tape{}, fmt.Errorf("the tape is %s, it must be 1/2 in, 1/4 in, 1/8 in, 1/16 in, 1 cm, 5 mm, 2 mm or 1 mm", quote(s))
}

// String gives the name that ParseTape reads, "" for a tape that is none of them.
func (t Tape) String() string {
	for _, k := range tapes {
		if k.tape == t {
			return k.name
		}
	}
	return ""
}

// slack is the part of a step by which a length may miss a mark and still lie on it: what arithmetic loses.
const slack = 1e-9

// Round returns the mark nearest to mm; halfway between two it is the one farther from zero, also when arithmetic has
// missed the halfway point by a billionth of a step.
func (t Tape) Round(mm float64) float64 { return round(mm, t.step()) }

func round(mm, step float64) float64 {
	return mark(math.Copysign(math.Floor(math.Abs(mm/step)+0.5+slack), mm), step)
}

// Down returns the mark at or below mm. A length a billionth of a step under a mark lies on it.
func (t Tape) Down(mm float64) float64 { return mark(math.Floor(mm/t.step()+slack), t.step()) }

// Up returns the mark at or above mm. A length a billionth of a step over a mark lies on it.
func (t Tape) Up(mm float64) float64 { return mark(math.Ceil(mm/t.step()-slack), t.step()) }

// mark is n steps in mm, the float64 nearest to the true length for every tape there is.
func mark(n, step float64) float64 {
	if per := Inch / step; per == math.Trunc(per) && math.Mod(32, per) == 0 {
		return inches(n, per)
	}
	return float64(n*step) + 0 // +0 turns -0 into 0
}

// inches is n parts of an inch, per of which make one, in mm. An inch is 127/5 mm; this way round only the division rounds.
func inches(n, per float64) float64 { return n*127/(5*per) + 0 }

func (t Tape) step() float64 {
	if !(t.Step > 0) {
		return 1
	}
	return t.Step
}

// Format rounds mm to the tape and says it with its unit: "8 1/8 in", "1/2 in", "0 in", "-1/4 in", "20.5 cm".
func (t Tape) Format(mm float64) string { return t.Plain(mm) + " " + t.Unit.orMM().String() }

// Plain is Format without the unit.
func (t Tape) Plain(mm float64) string { return figure(mm, t.step(), t.Unit.orMM()) }

// Fine says mm to the finer division used in tables of offsets: a sixteenth of an inch, or a millimetre.
func (t Tape) Fine(mm float64) string {
	step := 1.0
	for _, k := range tapes {
		if k.tape == t {
			step = k.fine
		}
	}
	return figure(mm, step, t.Unit.orMM()) + " " + t.Unit.orMM().String()
}

func (u Unit) orMM() Unit {
	if u < MM || u > IN {
		return MM
	}
	return u
}

// figure rounds mm to the step and writes the number in the unit, inches as a fraction in lowest terms.
func figure(mm, step float64, u Unit) string {
	if math.IsNaN(mm) || math.IsInf(mm, 0) {
		return "?"
	}
	v := round(mm, step)
	if u != IN {
		return strconv.FormatFloat(math.Round(v/u.MM()*1000)/1000+0, 'f', -1, 64)
	}
	n := math.Round(v / Inch * 32)
	minus := ""
	if n < 0 {
		minus, n = "-", -n
	}
	whole, part, den := math.Floor(n/32), int(math.Mod(n, 32)), 32
	for part > 0 && part%2 == 0 {
		part, den = part/2, den/2
	}
	switch {
	case part == 0:
		return minus + strconv.FormatFloat(whole, 'f', 0, 64)
	case whole == 0:
		return fmt.Sprintf("%s%d/%d", minus, part, den)
	}
	return fmt.Sprintf("%s%.0f %d/%d", minus, whole, part, den)
}
