package web

import (
	"fmt"
	"path/filepath"
	"testing"
)

// ledgerPages are the pages of a room's book in season, by their names.
func ledgerPages(r *room, s busy) []struct{ name, path string } {
	return []struct{ name, path string }{
		{"week", "/week"},
	}
}

func TestLedgerPictures(t *testing.T) {
	if *pictures == "" {
		t.Skip("pictures are made with -pictures DIR")
	}
	ctx := openTab(t)
	r := openLedger(t)
	s := r.inSeason()
	for _, scheme1 := range []string{"light", "dark"} {
		for _, w := range []int64{360, 768, 1440} {
			do(t, ctx, scheme(scheme1), screen(w, map[int64]int64{360: 740, 768: 1024, 1440: 900}[w]))
			for _, p := range ledgerPages(r, s) {
				do(t, ctx, open(r.url(p.path)))
				shot(t, ctx, filepath.Join(*pictures, fmt.Sprintf("%s-%d-%s.png", p.name, w, scheme1)), true)
			}
		}
	}
}
