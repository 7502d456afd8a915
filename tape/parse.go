package tape

import (
	"strconv"
	"strings"

	"clothwright/phrase"
)

// Longest is the greatest length Parse takes, in mm: 10 m, beyond any measure of a body and most cuts of cloth.
const Longest = 10000.0

// fractions are the vulgar fractions that have a sign of their own.
var fractions = map[rune]string{
	'½': "1/2", '¼': "1/4", '¾': "3/4", '⅛': "1/8", '⅜': "3/8", '⅝': "5/8", '⅞': "7/8",
	'⅓': "1/3", '⅔': "2/3", '⅕': "1/5", '⅖': "2/5", '⅗': "3/5", '⅘': "4/5", '⅙': "1/6", '⅚': "5/6",
	'⅐': "1/7", '⅑': "1/9", '⅒': "1/10", '↉': "0/3",
}

// plain writes a length in ASCII: fraction signs spelled out, every kind of slash, space and inch mark made one.
func plain(s string) string {
	var b strings.Builder
	for _, r := range s {
		if f, ok := fractions[r]; ok {
			b.WriteString(" " + f + " ") // so that a figure after it does not become part of it
			continue
		}
		switch r {
		case '\u2044', '\u2215': // fraction slash, division slash
			r = '/'
		case '\u00a0', '\u2009', '\u202f', '\t': // spaces that do not break, or are thin
			r = ' '
		case '\u2033', '\u201d', '\u201c': // double prime and curly quotes
			r = '"'
		case '\u2010', '\u2011': // hyphens
			r = '-'
		case '\u2212': // minus
			r = '-'
		}
		b.WriteRune(r)
	}
	return strings.TrimSpace(b.String())
}

// Parse reads a length and returns millimetres. It takes a decimal number with a point or a comma, or in inches a whole
// number, a fraction, or both ("8 1/8", "8-1/8", "8½"), followed by mm, cm, in or " as the sign of the inch. A number
// without a unit has the unit bare, and is refused when bare is the zero Unit.
//
// Refused, with a sentence that says what was found and what is allowed: nothing, a negative length, more than 10 m, a
// fraction that is not of halves, quarters, eighths, sixteenths or thirty-seconds or not smaller than one beside a whole
// number, an exponent, a separator of thousands or a comma that may be one, two units, anything else.
func Parse(s string, bare Unit) (mm float64, err error) {
	fail := func(why phrase.Said) (float64, error) {
		return 0, phrase.Wrong(phrase.Of("the length is %s, %s", quote(s), why))
	}
	text := plain(s)
	number, unit := cutUnit(text)
	switch {
	case text == "":
		return 0, phrase.Wrong(phrase.Of("the length is empty, write a number and its unit such as 8 1/8 in or 20.5 cm"))
	case number == "":
		return fail(phrase.Of("which has no number; write one such as 8 1/8 in or 20.5 cm"))
	case number[0] == '-':
		return fail(phrase.Of("which is negative; it must be 0 or more"))
	}
	if _, second := cutUnit(number); second != 0 && unit != 0 {
		return fail(phrase.Of("which has two units; write one"))
	}
	if unit == 0 {
		unit = bare
	}
	r, why := value(number)
	switch {
	case !why.Empty():
		return fail(why)
	case unit < MM || unit > IN:
		return fail(phrase.Of("which has no unit; write mm, cm or in after it"))
	case r.den != 1 && unit != IN:
		return fail(phrase.Of("but fractions are for inches; write a decimal number of %s", unit.String()))
	}
	if mm = r.in(unit); !(mm <= Longest) {
		return fail(phrase.Of("which is more than 10 m, the most that is taken"))
	}
	return mm, nil
}

// cutUnit takes the unit off the end of a length; the zero Unit when there is none.
func cutUnit(text string) (number string, unit Unit) {
	for _, end := range []struct {
		name string
		unit Unit
	}{{`"`, IN}, {"in", IN}, {"mm", MM}, {"cm", CM}} {
		if n := len(text) - len(end.name); n >= 0 && strings.EqualFold(text[n:], end.name) {
			return strings.TrimSpace(text[:n]), end.unit
		}
	}
	return text, 0
}

// reading is the decimal number or the whole and fraction that was read.
type reading struct {
	decimal  string // digits, a point, digits; or a whole number beside num/den
	num, den int
}

// in gives the length in mm, with one rounding where the unit allows it.
func (r reading) in(u Unit) float64 {
	exponent := ""
	if u == CM {
		exponent = "e1" // 20.6 cm is exactly the float64 nearest to 206
	}
	v, err := strconv.ParseFloat(r.decimal+exponent, 64)
	if err != nil {
		return Longest + 1 // too long a number to be a length; digits and a point cannot fail otherwise
	}
	if u == IN {
		return inches(float64(v*float64(r.den))+float64(r.num), float64(r.den))
	}
	return v
}

var garbled = phrase.Of("which is no length; write a number and its unit such as 8 1/8 in or 20.5 cm")

// value reads the number of a length, or says why it cannot.
func value(s string) (reading, phrase.Said) {
	top, bottom, ok := strings.Cut(s, "/")
	if !ok {
		return decimal(s)
	}
	whole, top, mixed := cutWhole(strings.TrimRight(top, " "))
	bottom = strings.TrimSpace(bottom)
	if !digits(whole) || !digits(top) || !digits(bottom) {
		return reading{}, garbled
	}
	num, _ := strconv.Atoi(top)
	den, _ := strconv.Atoi(bottom)
	switch den {
	case 2, 4, 8, 16, 32:
	default:
		return reading{}, phrase.Of("but a tape has halves, quarters, eighths and sixteenths, not /%s", bottom)
	}
	if mixed && num >= den {
		return reading{}, phrase.Of("but the fraction beside a whole number must be less than 1")
	}
	return reading{whole, num, den}, phrase.Said{}
}

// cutWhole parts "8 1" and "8-1" into the whole number and the top of the fraction; without a whole number it is 0.
func cutWhole(s string) (whole, top string, mixed bool) {
	i := strings.LastIndexAny(s, " -")
	switch {
	case i < 0:
		return "0", s, false
	case s[i] == '-': // tight on both sides, or it could be a minus
		return s[:i], s[i+1:], true
	}
	return strings.TrimRight(s[:i], " "), s[i+1:], true
}

func decimal(s string) (reading, phrase.Said) {
	i := strings.IndexAny(s, ".,")
	if i < 0 {
		if !digits(s) {
			return reading{}, garbled
		}
		return reading{s, 0, 1}, phrase.Said{}
	}
	head, tail := s[:i], s[i+1:]
	switch {
	case strings.ContainsAny(tail, ".,"):
		return reading{}, phrase.Of("which has two decimal marks; write thousands without a separator")
	case !digits(head) || !digits(tail):
		return reading{}, garbled
	case s[i] == ',' && len(tail) == 3 && strings.Trim(head, "0") != "":
		return reading{}, phrase.Of("where the comma may part thousands or decimals; write decimals with a point and thousands without a separator")
	}
	return reading{head + "." + tail, 0, 1}, phrase.Said{}
}

// digits reports whether s is one to nine decimal digits.
func digits(s string) bool {
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return len(s) > 0 && len(s) <= 9
}

// quote shows what a person wrote between quotation marks, shortened so that the sentence stays one; signs that do not print
// are left out.
func quote(s string) string {
	const most = 40
	var b strings.Builder
	n := 0
	for _, r := range s {
		if !strconv.IsPrint(r) {
			r = ' '
		}
		if n++; n > most {
			b.WriteString("…")
			break
		}
		b.WriteRune(r)
	}
	if strings.Contains(s, `"`) {
		return "'" + b.String() + "'"
	}
	return `"` + b.String() + `"`
}
