package pack

import "math"

// Overlap decides, as [Validate] does, whether the insides of two simple outlines overlap by more than tolerance, in the
// outlines' unit; to touch is not to overlap. depth is how far one comes into the other, +Inf where one lies on the other.
func Overlap(a, b []Point, tolerance float64) (depth float64, yes bool) {
	a, b = cleaned(a), cleaned(b)
	if len(a) < 3 || len(b) < 3 || !boxOf(a).meets(boxOf(b)) || !insidesMeet(a, b) {
		return 0, false
	}
	depth = overlapDepth(a, b)
	return depth, depth > tolerance
}

// Distance is how far apart two outlines lie that do not overlap.
func Distance(a, b []Point) float64 {
	if len(a) == 0 || len(b) == 0 {
		return math.Inf(1)
	}
	return between2(a, b)
}
