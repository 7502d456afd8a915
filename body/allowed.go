package body

import (
	"fmt"

	"clothwright/tape"
)

// Allowed says the least and the greatest value of a measure that a person can have, in the unit in which a value was said, where it
// names one, else in the given one: "15 3/4 in to 86 1/2 in" for 100 in of chest, "0 to 45 degrees" for an angle. It is rounded inwards,
// to quarter inches, half centimetres or millimetres.
func (m Measure) Allowed(said string, unit tape.Unit) string {
	if m.Kind == Angle {
		return fmt.Sprintf("%g to %g degrees", m.Least, m.Most)
	}
	if own := tape.UnitIn(said); own != 0 {
		unit = own
	}
	t := tape.Tape{Unit: tape.CM, Step: 5}
	switch unit {
	case tape.IN:
		t = tape.Tape{Unit: tape.IN, Step: tape.Inch / 4}
	case tape.MM:
		t = tape.Tape{Unit: tape.MM, Step: 1}
	}
	return t.Format(t.Up(m.Least)) + " to " + t.Format(t.Down(m.Most))
}
