package body

import (
	"testing"

	"clothwright/tape"
)

// A chest of 400 mm is 15.748 in by the definition of the inch, so 15 3/4 in is within; 2200 mm is 86.61 in, so 86 1/2 in is.
func TestAllowedIsSaidAsTheValueWas(t *testing.T) {
	chest, _ := Lookup("chest_girth")
	for _, c := range []struct {
		said string
		unit tape.Unit
		want string
	}{
		{"100 in", tape.MM, "15 3/4 in to 86 1/2 in"},
		{`100"`, tape.CM, "15 3/4 in to 86 1/2 in"},
		{"300 cm", tape.IN, "40 cm to 220 cm"},
		{"3000", tape.MM, "400 mm to 2200 mm"},
		{"300", 0, "40 cm to 220 cm"},
	} {
		if got := chest.Allowed(c.said, c.unit); got != c.want {
			t.Errorf("%s: %s, want %s", c.said, got, c.want)
		}
	}
	if slope, _ := Lookup("shoulder_slope"); slope.Allowed("60", tape.IN) != "0 to 45 degrees" {
		t.Errorf("of a slope: %s", slope.Allowed("60", tape.IN))
	}
}
