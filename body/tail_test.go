package body

import (
	"math"
	"testing"
)

// Student's t, 60 degrees of freedom, upper tail: any published table of t (the figures are in Abramowitz and Stegun, table
// 26.10, from memory).
func TestUpperTailAgreesWithTheTableOfT(t *testing.T) {
	if tailFreedom != 60 {
		t.Fatalf("the table below is for 60 degrees of freedom, not %d", tailFreedom)
	}
	for _, row := range []struct{ z, tail float64 }{
		{1.296, 0.10}, {1.671, 0.05}, {2.000, 0.025}, {2.390, 0.01}, {2.660, 0.005}, {3.232, 0.001}, {3.460, 0.0005},
	} {
		if got := upperTail(row.z); math.Abs(got-row.tail) > 0.008*row.tail {
			t.Errorf("tail beyond %v is %v, the table has %v", row.z, got, row.tail)
		}
	}
}

func TestTheTwoSumsOfTheTailMeet(t *testing.T) {
	for z := 2.0; z <= 5; z += 0.25 {
		if a, b := upperTail(z), farTail(z); math.Abs(a-b) > 1e-6*a {
			t.Errorf("at %v: %v and %v", z, a, b)
		}
	}
	last := 1.0
	for z := 0.0; z < 60; z += 0.5 {
		p := upperTail(z)
		if !(p > 0 && p < last) {
			t.Fatalf("the tail does not fall at %v: %v after %v", z, p, last)
		}
		last = p
	}
}

// The inverse of a covariance times the covariance is the identity: arithmetic, checked to the figures kept.
func TestGivenInvertsTheCovariance(t *testing.T) {
	p := Survey
	p.ready()
	all := axes(1<<len(p.Names) - 1)
	for shape := range 2 * len(p.Shapes) {
		for _, a := range []axes{all, 1, 0b1010101010101, all &^ 7} {
			g := p.solve(p.shape(shape), a)
			k := len(g.at)
			for i := range g.at {
				for j := range g.at {
					v := 0.0
					for c := range g.at {
						v += g.inv[i*k+c] * p.shape(shape).cov(g.at[c], g.at[j])
					}
					want := 0.0
					if i == j {
						want = 1
					}
					if math.Abs(v-want) > 1e-8 {
						t.Fatalf("shape %d, axes %b: entry %d, %d of the product is %v", shape, a, i, j, v)
					}
				}
			}
		}
	}
}

func TestPatternsKeptAreBounded(t *testing.T) {
	p := &Population{Names: Survey.Names, Shapes: Survey.Shapes}
	p.ready()
	for a := axes(1); a < 3*patternsKept; a++ {
		p.given(0, a)
	}
	if len(p.known) > patternsKept {
		t.Fatalf("%d patterns are kept", len(p.known))
	}
}
