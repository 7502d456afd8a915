package body

import (
	"math"
	"strconv"
	"strings"

	"clothwright/phrase"
	"clothwright/tape"
)

// Sentence says the doubt in one plain sentence in the unit of the workroom's tape.
func (d Doubt) Sentence(t tape.Tape) string { return d.Say(t).String() }

// Say is Sentence, to be said in another language.
func (d Doubt) Say(t tape.Tape) phrase.Said {
	title := titleOf(d.Name)
	say := func(mm float64) phrase.Said { return phrase.Plain(t.Fine(mm)) }
	if m := byName[d.Name]; m != nil && m.Kind == Angle {
		say = func(v float64) phrase.Said {
			return phrase.Of("%s degrees", strconv.FormatFloat(math.Round(v), 'f', -1, 64))
		}
	}
	var s phrase.Said
	slip, all := strings.CutSuffix(d.Slip, slipAll)
	switch {
	case d.MM == 0 && d.Never && d.Why == notNumber:
		return phrase.Of("%s is not a number; measure again", title)
	case all:
		s = phrase.Of("%s %s is out of all proportion to people", title, say(d.MM))
	case d.Odds > 0:
		s = phrase.Of("%s %s does not go with %s: %s; usual %s to %s", title, say(d.MM), d.against(), people(d.Odds), say(d.Low), say(d.High))
	case d.Usual > 0:
		s = phrase.Of("%s %s is outside %s to %s: %s", title, say(d.MM), say(d.Low), say(d.High), d.Why)
	case d.High > 0:
		s = phrase.Of("%s %s is outside %s to %s, which is all that anyone has", title, say(d.MM), say(d.Low), say(d.High))
	default:
		s = phrase.Of("%s %s cannot be: %s", title, say(d.MM), d.Why)
	}
	if d.Slip == "" {
		return phrase.Of("%s; measure again", s)
	}
	like := phrase.Plain(slip)
	if with, swapped := strings.CutPrefix(slip, slipSwap); swapped {
		like = phrase.Of("swapped with %s", with)
	}
	if all {
		like = phrase.Of("%s, on every measure", like)
	}
	if d.Instead > 0 {
		return phrase.Of("%s; looks like %s: %s would be usual; measure again", s, like, d.read(say))
	}
	return phrase.Of("%s; looks like %s; measure again", s, like)
}

// against names the measures that speak against the doubted one.
func (d Doubt) against() phrase.Said {
	switch {
	case d.Against[0] == "":
		return phrase.Of("what people have")
	case d.Against[1] == "":
		return phrase.Of("this %s", titleOf(d.Against[0]))
	}
	return phrase.Of("this %s and %s", titleOf(d.Against[0]), titleOf(d.Against[1]))
}

// people says odds with two figures and the thousands parted, up to a thousand million.
func people(odds float64) phrase.Said {
	if !(odds < 1e9) {
		return phrase.Of("fewer than 1 person in a thousand million")
	}
	odds = math.Max(odds, 1)
	unit := math.Pow(10, math.Max(0, math.Floor(math.Log10(odds))-1))
	digits := strconv.FormatFloat(math.Round(odds/unit)*unit, 'f', 0, 64)
	for i := len(digits) - 3; i > 0; i -= 3 {
		digits = digits[:i] + "," + digits[i:]
	}
	return phrase.Of("about 1 person in %s", digits)
}

// read says the figure with the slip put right, in the unit in which it was meant.
func (d Doubt) read(say func(float64) phrase.Said) phrase.Said {
	switch strings.TrimSuffix(d.Slip, slipAll) {
	case slipCmAsInch:
		return phrase.Plain(tape.Tape{Unit: tape.CM, Step: 1}.Format(d.Instead))
	case slipInchAsCm:
		return phrase.Plain(tape.Tape{Unit: tape.IN, Step: tape.Inch / 16}.Format(d.Instead))
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
