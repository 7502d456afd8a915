package tape

import "regexp"

var unitWord = regexp.MustCompile(`(?i)(mm|cm|in)\b|["″]`)

// UnitIn is the unit that all texts name alike, 0 where they name none or not the same: IN for "sleeve +1/2 in". Of a text that
// names several it is the last one.
func UnitIn(texts ...string) Unit {
	var out Unit
	for i, text := range texts {
		u := unitIn(text)
		if i > 0 && u != out {
			return 0
		}
		out = u
	}
	return out
}

func unitIn(text string) Unit {
	var out Unit
	for _, at := range unitWord.FindAllStringIndex(text, -1) {
		if at[0] > 0 && isLetter(text[at[0]-1]) { // the end of a word
			continue
		}
		u, err := ParseUnit(text[at[0]:at[1]])
		if err != nil {
			u = IN
		}
		out = u
	}
	return out
}

func isLetter(b byte) bool { return b|0x20 >= 'a' && b|0x20 <= 'z' || b >= 0x80 }

// Signed says a difference in mm with its sign in a unit: to a sixteenth of an inch, to a millimetre in centimetres, to a tenth of a
// millimetre in millimetres, which the zero Unit is too. "+1/2 in", "-0.4 cm".
func Signed(mm float64, u Unit) string {
	step := map[Unit]float64{IN: Inch / 16, CM: 1}[u]
	if step == 0 {
		step = 0.1
	}
	s := figure(mm, step, u.orMM())
	if mm > 0 && s != "0" {
		s = "+" + s
	}
	return s + " " + u.orMM().String()
}
