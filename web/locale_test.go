package web

import "testing"

// A change is said as its pins were; where they were said in several units, in mm. Half an inch is 12.7 mm by definition.
func TestAChangeIsSaidAsItsPinsWere(t *testing.T) {
	for _, c := range []struct{ lang, mm, pins, want string }{
		{"en", "12.7", "sleeve +1/2 in (2026-03-10)", "+1/2\u00a0in"},
		{"en", "-6.35", "left shoulder lower 1/8 in (2026-03-10), left shoulder lower 1/8 in (2026-03-17)", "−1/4\u00a0in"},
		{"en", "8.7", "sleeve +1/2 in (2026-03-10), sleeve -4 mm (2026-03-17)", "+8.7\u00a0mm"},
		{"fr", "15", "front wider 1,5 cm", "+1,5\u00a0cm"},
		{"en", "1200", "hem longer 120 cm", "+120\u00a0cm"},
	} {
		if got := wordsFor(c.lang, "").sized(c.mm, c.pins); got != c.want {
			t.Errorf("%s: %s mm for %s: %q, want %q", c.lang, c.mm, c.pins, got, c.want)
		}
	}
}
