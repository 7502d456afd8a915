package tape

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"
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
			b.WriteString(" " + f)
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
// Refused with a sentence that says what was found and what is allowed: nothing, a negative length, more than 10 m, a fraction
// that is not of halves, quarters, eighths, sixteenths or thirty-seconds or not smaller than one beside a whole number, an
// exponent, a separator of thousands, two units, anything else.
func Parse(s string, bare Unit) (mm float64, err error) {
	text := plain(s)
	number, unit := text, bare
	for _, suffix := range []struct {
		name string
		unit Unit
	}{{`"`, IN}, {"in", IN}, {"mm", MM}, {"cm", CM}} {
		if n := len(text) - len(suffix.name); n >= 0 && strings.EqualFold(text[n:], suffix.name) {
			number, unit = strings.TrimSpace(text[:n]), suffix.unit
			break
		}
	}
	fail := func(why string) (float64, error) { return 0, fmt.Errorf("the length is %s, %s", quote(s), why) }
	switch {
	case text == "":
		return 0, errors.New("the length is empty, write a number and its unit such as 8 1/8 in or 20.5 cm")
	case number == "":
		return fail("which has no number; write one such as 8 1/8 in or 20.5 cm")
	case number[0] == '-':
		return fail("which is negative; it must be 0 or more")
	}
	v, why := value(number)
	if why != "" {
		return fail(why)
	}
	switch {
	case unit < MM || unit > IN:
		return fail("which has no unit; write mm, cm or in after it")
	case v.den != 1 && unit != IN:
		return fail("but fractions are for inches; write a decimal number of " + unit.String())
	}
	mm = (v.whole*float64(v.den) + float64(v.num)) * unit.MM() / float64(v.den)
	if !(mm <= Longest) {
		return fail("which is more than 10 m, the most that is taken")
	}
	return mm, nil
}

// reading is whole + num/den.
type reading struct {
	whole    float64
	num, den int
}

const halves = "a tape has halves, quarters, eighths and sixteenths"

// value reads the number of a length, or says why it cannot.
func value(s string) (reading, string) {
	slash := strings.IndexByte(s, '/')
	if slash < 0 {
		return decimal(s)
	}
	top, bottom := s[:slash], strings.TrimSpace(s[slash+1:])
	whole := ""
	top = strings.TrimRight(top, " ")
	if i := strings.LastIndexAny(top, " -"); i >= 0 {
		whole, top = strings.TrimSpace(strings.TrimRight(top[:i+1], " -")), top[i+1:]
		if whole == "" {
			return reading{}, garbled
		}
	}
	if !digits(top) || !digits(bottom) || whole != "" && !digits(whole) {
		return reading{}, garbled
	}
	num, _ := strconv.Atoi(top)
	den, _ := strconv.Atoi(bottom)
	switch {
	case den != 2 && den != 4 && den != 8 && den != 16 && den != 32:
		return reading{}, "but " + halves + ", not /" + bottom
	case num >= den && whole != "":
		return reading{}, "but the fraction beside a whole number must be less than 1"
	}
	r := reading{num: num, den: den}
	if whole != "" {
		r.whole, _ = strconv.ParseFloat(whole, 64)
	}
	return r, ""
}

const garbled = "which is no length; write a number and its unit such as 8 1/8 in or 20.5 cm"

func decimal(s string) (reading, string) {
	head, tail := s, ""
	if i := strings.IndexAny(s, ".,"); i >= 0 {
		head, tail = s[:i], s[i+1:]
		switch {
		case strings.ContainsAny(tail, ".,"):
			return reading{}, "which has two decimal marks; write thousands without a separator"
		case !digits(head) || !digits(tail):
			return reading{}, garbled
		case s[i] == ',' && len(tail) == 3 && head != "0":
			return reading{}, "where the comma may part thousands or decimals; write a point for decimals and thousands without a separator"
		}
	} else if !digits(s) {
		return reading{}, garbled
	}
	v, err := strconv.ParseFloat(head+"."+tail+"0", 64)
	if err != nil {
		return reading{}, garbled
	}
	return reading{whole: v, den: 1}, ""
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

// quote shows what a person wrote, shortened so that the sentence stays one.
func quote(s string) string {
	const most = 40
	if utf8.RuneCountInString(s) > most {
		s = string([]rune(s)[:most]) + "…"
	}
	return strconv.Quote(s)
}
