package curve

import (
	"math"
	"testing"
)

func TestArea(t *testing.T) {
	for _, r := range []struct {
		name, in string
		want     float64
	}{
		{"clockwise triangle", "M0 0L4 0L4 3Z", 6},
		{"left open, it is closed", "M0 0L4 0L4 3", 6},
		{"anticlockwise is negative", "M0 0L4 3L4 0Z", -6},
		// Archimedes: a segment of a parabola is two thirds of the box round it; here 6 wide and 9 high.
		{"segment of a parabola", "M-3 0C-1 12 1 12 3 0Z", -2. / 3 * 54},
		{"nothing", "", 0},
	} {
		near1(t, r.name, Area(path(t, r.in)), r.want, 1e-12)
	}
	// Against π, within twice the greatest error of the radius (2.7253e-4, see TestQuarterCircle).
	near1(t, "circle", Area(circle(Point{1e4, -1e4}, 100)), math.Pi*1e4, math.Pi*1e4*2*2.8e-4)
}
