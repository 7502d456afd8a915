package body

import "math"

// tailFreedom are the degrees of freedom of Student's distribution by which the rarity of a measure given the others is
// told: with about this many, as many held-out people of the survey are doubted as the alarm says (docs/measures.md).
const tailFreedom = 60

// upperTail is the share of people whose residual is above z standard deviations, z >= 0: Student's distribution with
// tailFreedom degrees, through the finite sum for an even number of them (Abramowitz and Stegun 26.7.4, from memory, checked
// against a published table in the tests) and, far out where the sum cancels, its leading term in the tail.
func upperTail(z float64) float64 {
	if z <= 0 {
		return 0.5
	}
	const v = float64(tailFreedom)
	if z > 5 {
		return farTail(z)
	}
	cos2 := v / (v + z*z)
	sin := z / math.Sqrt(v+z*z)
	term, sum := 1.0, 1.0
	for k := 1; k < tailFreedom/2; k++ {
		term *= cos2 * float64(2*k-1) / float64(2*k)
		sum += term
	}
	return 0.5 * (1 - sin*sum)
}

// farTail sums the tail of the same series instead of one less its head: the terms from tailFreedom/2 on, all positive.
func farTail(z float64) float64 {
	const v = float64(tailFreedom)
	cos2 := v / (v + z*z)
	sin := z / math.Sqrt(v+z*z)
	term := 1.0
	for k := 1; k <= tailFreedom/2; k++ {
		term *= cos2 * float64(2*k-1) / float64(2*k)
	}
	sum := 0.0
	for k := tailFreedom/2 + 1; term > 1e-18*sum && k < 4000; k++ {
		sum += term
		term *= cos2 * float64(2*k-1) / float64(2*k)
	}
	return 0.5 * sin * sum
}
