package job

import (
	"regexp"
	"strings"
	"testing"

	"clothwright/piece"
)

// A body on which a rule fails stops the job when the correction is switched off, and is corrected when it is on, up to
// the least ease that is wanted there: chest 3 in (the band for a lined zip jacket begins there), hip 2 in (Central
// Washington Univ., Costume text, ch. 16), upper arm 2 in (Threads, 2021), back 3/4 in; the armhole line 3/4 in below the
// underarm, waist 2 in, the neckline not smaller than the neck (common practice, no source).
func TestEachWearingRule(t *testing.T) {
	for _, c := range []struct {
		at      string
		measure string // replaces the one in twelve
		off     string // the corrections switched off
		least   float64
	}{
		{"underarm", `underarm_depth = "7 in"`, "may_lower_armhole = false", 0.75},
		{"upper arm", `upper_arm_girth = "16 1/2 in"`, "may_lower_cap = false\nmay_lower_armhole = false", 2},
		{"back width", `back_width = "16 1/4 in"`, "may_widen_back = false", 0.75},
		{"hip", `hip_girth = "48 in"`, "may_move_side = false\nmay_widen_quarter = false", 2},
		{"waist", `waist_girth = "47 in"`, "may_move_side = false\nmay_widen_quarter = false", 2},
		{"neck", `neck_base_girth = "18 in"`, "may_lower_neck = false", 0},
	} {
		t.Run(c.at, func(t *testing.T) {
			key, _, _ := strings.Cut(c.measure, " ")
			card := regexp.MustCompile(`(?m)^`+key+` = .*$`).ReplaceAllString(twelve, c.measure)
			style := "ease = \"trim\"\nlining = \"none\"\n"
			stops := func(r *Result) bool {
				for _, f := range r.Findings {
					if f.Level == piece.Stop && f.Code == "worn:"+c.at {
						return true
					}
				}
				return false
			}
			if !stops(cut(t, card, style+c.off, "")) {
				t.Errorf("with %s nothing stops", c.off)
			}
			r := cut(t, card, style, "")
			if stops(r) {
				t.Errorf("it is not corrected")
			}
			for _, w := range r.Pattern.Worn {
				if w.At == c.at && (w.Least != c.least*in || w.Ease() < c.least*in-0.01) {
					t.Errorf("%.2f in of ease, at least %.2f is asked; %.2f is wanted", w.Ease()/in, w.Least/in, c.least)
				}
			}
			if len(r.Pattern.Adjusted) == 0 {
				t.Error("no correction is told")
			}
		})
	}
}
