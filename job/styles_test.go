package job

import (
	"flag"
	"fmt"
	"strings"
	"testing"

	"clothwright/piece"
)

// every drafts every style there is, not a sample: go test ./job -every
var every = flag.Bool("every", false, "draft every style, not a sample of them")

// twelve is a tape card with all that a jacket asks for, on which no rule needs an estimate.
const twelve = forty + `waist_girth = "33 in"
hip_girth = "41 in"
back_width = "14 in"
nape_to_waist = "16 1/2 in"
underarm_depth = "6 1/4 in"
upper_arm_girth = "12 in"
`

// uneven is the same person with a low left shoulder and a longer left arm.
const uneven = twelve + `front_waist_length = "18 1/2 in"
[left]
shoulder_slope = 21
arm_length = "24 1/2 in"
[right]
shoulder_slope = 17
`

// Whatever the style, every seam matches as stated and nothing says do not cut: what the person at the table may
// choose is never wrong by itself. One body is even, the other not.
func TestEveryStyleIsTrue(t *testing.T) {
	choices := []struct {
		key    string
		values []string
	}{
		{"block", []string{`"grown-on"`, `"sewn-on"`}},
		{"facing", []string{"true", "false"}},
		{"padding", []string{`"none"`, `"fleece"`}},
		{"lining", []string{`"none"`, `"plain"`, `"pleat"`}},
		{"pocket", []string{"true", "false"}},
		{"rib", []string{`"ready"`, `"metre"`}},
		{"collar_ends", []string{`"square"`, `"shaped"`}},
		{"zip", []string{`"neck"`, `"collar"`}},
		{"bust_dart", []string{`"none"`, `"side"`}},
		{"posture", []string{`"straight"`, `"stooped"`, `"erect"`}},
	}
	n := 1
	for _, c := range choices {
		n *= len(c.values)
	}
	step := 11 // has no factor in common with any list of values, so that a sample meets every pair of them
	if *every {
		step = 1
	}
	for _, card := range []string{twelve, uneven} {
		for k := 0; k < n; k += step {
			var style strings.Builder
			rest := k
			for _, c := range choices {
				fmt.Fprintf(&style, "%s = %s\n", c.key, c.values[rest%len(c.values)])
				rest /= len(c.values)
			}
			r := cut(t, card, style.String(), "")
			for _, f := range r.Findings {
				if f.Level == piece.Stop || f.Level == piece.Warn && !strings.HasPrefix(f.Code, "lay:") {
					t.Errorf("%s%s: %s (%s)", strings.ReplaceAll(style.String(), "\n", "; "), f.Level, f.Text, f.Code)
				}
			}
			if t.Failed() {
				return
			}
		}
	}
}

// The sheets name only the choices that have a part in the garment that is made: no thickness of a padding there is none of, no height of a
// band that is bought ready.
func TestOnlyChoicesThatMatter(t *testing.T) {
	words := func(style string) string { return strings.Join(cut(t, twelve, style, "").Sheet().StyleWords, "; ") }
	plain := words("")
	for _, gone := range []string{"Padding thickness", "Rib height", "Collar height", "Posture by", "Front wider"} {
		if strings.Contains(plain, gone) {
			t.Errorf("%q is named where it has no part: %s", gone, plain)
		}
	}
	for style, want := range map[string]string{
		"padding = \"fleece\"":   "Padding thickness: ",
		"rib = \"metre\"":        "Collar height: ",
		"posture = \"stooped\"":  "Posture by: ",
		"front_wider = \"1 cm\"": "Front wider: ",
		"pocket = false":         "Pocket: no",
	} {
		if got := words(style + "\n"); !strings.Contains(got, want) {
			t.Errorf("%s: %q is not named: %s", style, want, got)
		}
	}
}
