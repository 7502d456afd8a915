package body

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"clothwright/tape"
)

// Sentence says the doubt in one plain sentence in the unit of the workroom's tape.
func (d Doubt) Sentence(t tape.Tape) string {
	title := titleOf(d.Name)
	say := t.Fine
	if m := byName[d.Name]; m != nil && m.Kind == Angle {
		say = func(v float64) string { return strconv.FormatFloat(math.Round(v), 'f', -1, 64) + " degrees" }
	}
	var b strings.Builder
	switch {
	case d.MM == 0 && d.Never && d.Why == "it is not a number":
		return title + " is not a number; measure again"
	case strings.HasSuffix(d.Slip, slipAll):
		fmt.Fprintf(&b, "%s %s is out of all proportion to people", title, say(d.MM))
	case d.Odds > 0:
		fmt.Fprintf(&b, "%s %s does not go with %s: %s; usual %s to %s", title, say(d.MM), d.against(), people(d.Odds), say(d.Low), say(d.High))
	case d.Usual > 0:
		fmt.Fprintf(&b, "%s %s is outside %s to %s: %s", title, say(d.MM), say(d.Low), say(d.High), d.Why)
	case d.High > 0:
		fmt.Fprintf(&b, "%s %s is outside %s to %s, which is all that anyone has", title, say(d.MM), say(d.Low), say(d.High))
	default:
		fmt.Fprintf(&b, "%s %s cannot be: %s", title, say(d.MM), d.Why)
	}
	if d.Slip != "" {
		fmt.Fprintf(&b, "; looks like %s", d.Slip)
		if d.Instead > 0 {
			fmt.Fprintf(&b, ": %s would be usual", d.read(say))
		}
	}
	b.WriteString("; measure again")
	return b.String()
}

// against names the measures that speak against the doubted one.
func (d Doubt) against() string {
	switch {
	case d.Against[0] == "":
		return "what people have"
	case d.Against[1] == "":
		return "this " + titleOf(d.Against[0])
	}
	return "this " + titleOf(d.Against[0]) + " and " + titleOf(d.Against[1])
}

// people says odds with two figures and the thousands parted, up to a thousand million.
func people(odds float64) string {
	if !(odds < 1e9) {
		return "fewer than 1 person in a thousand million"
	}
	odds = math.Max(odds, 1)
	unit := math.Pow(10, math.Max(0, math.Floor(math.Log10(odds))-1))
	digits := strconv.FormatFloat(math.Round(odds/unit)*unit, 'f', 0, 64)
	for i := len(digits) - 3; i > 0; i -= 3 {
		digits = digits[:i] + "," + digits[i:]
	}
	return "about 1 person in " + digits
}

// read says the figure with the slip put right, in the unit in which it was meant.
func (d Doubt) read(say func(float64) string) string {
	switch strings.TrimSuffix(d.Slip, slipAll) {
	case slipCmAsInch:
		return tape.Tape{Unit: tape.CM, Step: 1}.Format(d.Instead)
	case slipInchAsCm:
		return tape.Tape{Unit: tape.IN, Step: tape.Inch / 16}.Format(d.Instead)
	}
	return say(d.Instead)
}

// titleOf is a measure's title inside a sentence.
func titleOf(n Name) string {
	m := byName[n]
	if m == nil {
		return strings.ReplaceAll(string(n), "_", " ")
	}
	return strings.ToLower(m.Title[:1]) + m.Title[1:]
}
