package tape

import "testing"

// By hand.
func TestUnitIn(t *testing.T) {
	for said, want := range map[string]Unit{
		"sleeve +1/2 in": IN, `front wider 1/4"`: IN, "left shoulder lower by 1/4 inch": 0, "sleeve -4 mm": MM, "front wider 1cm": CM, "1/2in": IN,
		"train 3 cm": CM, "the ribbon in the seam +5 mm": MM, "collar tin": 0, "": 0, "40": 0, "2 IN": IN,
	} {
		if got := UnitIn(said); got != want {
			t.Errorf("%q names %v, want %v", said, got, want)
		}
	}
}

// By hand.
func TestUnitInAll(t *testing.T) {
	if UnitIn("sleeve +1/2 in", "sleeve -1/4 in") != IN || UnitIn("sleeve +1/2 in", "sleeve -4 mm") != 0 || UnitIn() != 0 {
		t.Error("the unit of several texts is not the one they share")
	}
}

// 12.7 mm is half an inch by definition.
func TestSigned(t *testing.T) {
	for _, c := range []struct {
		mm   float64
		u    Unit
		want string
	}{{12.7, IN, "+1/2 in"}, {1.5875, IN, "+1/16 in"}, {-4.7625, IN, "-3/16 in"}, {-25.4, IN, "-1 in"}, {10, CM, "+1 cm"}, {-4, CM, "-0.4 cm"}, {-4, MM, "-4 mm"}, {3.17, 0, "+3.2 mm"}, {0, IN, "0 in"}, {0.01, CM, "0 cm"}} {
		if got := Signed(c.mm, c.u); got != c.want {
			t.Errorf("%g mm: %q, want %q", c.mm, got, c.want)
		}
	}
}
