package curve

import (
	"fmt"
	"testing"
)

// Polynomials made from their roots, so that the roots are known.
func TestBernsteinRoots(t *testing.T) {
	for _, r := range []struct{ roots, want []float64 }{
		{[]float64{0.5}, []float64{0.5}},
		{[]float64{0, 1}, []float64{0, 1}},
		{[]float64{0.1, 0.2, 0.3, 0.4, 0.5}, []float64{0.1, 0.2, 0.3, 0.4, 0.5}},
		{[]float64{-1, 2, 0.25}, []float64{0.25}},
		{[]float64{0.3, 0.3}, []float64{0.3}},
		{[]float64{0, 0, 0.7, 1}, []float64{0, 0.7, 1}},
		{[]float64{0.5, 0.5000001, 0.9}, []float64{0.5, 0.5000001, 0.9}},
		{[]float64{3, 4}, nil},
	} {
		b := bernstein{c: [6]float64{1}}
		for _, x := range r.roots { // multiply by (t-x), whose coefficients are -x and 1-x
			var c [6]float64
			for i := 0; i <= b.n; i++ {
				c[i] += b.c[i] * -x * float64(b.n+1-i) / float64(b.n+1)
				c[i+1] += b.c[i] * (1 - x) * float64(i+1) / float64(b.n+1)
			}
			b = bernstein{c, b.n + 1}
		}
		got := b.roots(nil)
		var merged []float64
		for _, x := range got {
			if n := len(merged); n == 0 || x-merged[n-1] > 3e-8 {
				merged = append(merged, x)
			}
		}
		ok := len(merged) == len(r.want)
		for i := range merged {
			ok = ok && fmt.Sprintf("%.7f", merged[i]) == fmt.Sprintf("%.7f", r.want[i])
		}
		if !ok {
			t.Errorf("roots %v: got %v", r.roots, got)
		}
	}
}
