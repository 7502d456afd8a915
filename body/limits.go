package body

import (
	"math"

	"clothwright/phrase"
)

// proportion says that Large is never less than Least times Small, on a body of any size or age.
type proportion struct {
	Large, Small Name
	Least        float64
	Rule         string
}

// proportions hold on every body, children's too. They are from memory and wide: each is broken by none of the 2,000
// people of the ANSUR II sample (a test sees to it), and leaves room beyond the most extreme of them.
var proportions = []proportion{
	{"hand_girth", "wrist_girth", 0.95, phrase.Word("a hand is no smaller than its wrist")},
	{"elbow_girth", "wrist_girth", 1.05, phrase.Word("an elbow is larger than the wrist")},
	{"forearm_girth_flexed", "wrist_girth", 1.1, phrase.Word("a forearm is larger than the wrist")},
	{"upper_arm_girth", "wrist_girth", 1.02, phrase.Word("an upper arm is larger than the wrist")},
	{"upper_arm_girth_flexed", "wrist_girth", 1.05, phrase.Word("an upper arm is larger than the wrist")},
	{"upper_arm_girth", "elbow_girth", 0.75, phrase.Word("an elbow is not so much larger than the upper arm")},
	{"chest_girth", "upper_arm_girth", 1.7, phrase.Word("a chest is far larger than an upper arm")},
	{"chest_girth", "upper_arm_girth_flexed", 1.7, phrase.Word("a chest is far larger than an upper arm")},
	{"chest_girth", "neck_girth", 1.5, phrase.Word("a chest is far larger than a neck")},
	{"chest_girth", "neck_base_girth", 1.4, phrase.Word("a chest is far larger than the root of the neck")},
	{"chest_girth", "shoulder_width", 1.3, phrase.Word("a chest goes round more than the shoulders are wide")},
	{"chest_girth", "back_width", 1.5, phrase.Word("a chest goes round more than the back is wide")},
	{"chest_girth", "front_width", 1.5, phrase.Word("a chest goes round more than the front is wide")},
	{"chest_girth", "wrist_girth", 3, phrase.Word("a chest is many times a wrist")},
	{"shoulder_width", "shoulder_length", 1.7, phrase.Word("the shoulders are wider than twice one shoulder, less the curve")},
	{"arm_length", "shoulder_length", 1.8, phrase.Word("an arm is far longer than a shoulder")},
	{"height", "arm_length", 2.1, phrase.Word("an arm is less than half the height")},
	{"height", "nape_to_waist", 2.3, phrase.Word("the back to the waist is less than half the height")},
	{"height", "nape_to_wrist", 1.45, phrase.Word("nape to wrist is about half the height")},
	{"height", "nape_height", 1.02, phrase.Word("the nape is below the crown")},
	{"height", "head_girth", 1.4, phrase.Word("a head goes round less than the body is high")},
	{"nape_to_wrist", "arm_length", 1.1, phrase.Word("nape to wrist goes over the shoulder as well as the arm")},
	{"nape_height", "underarm_height", 1.02, phrase.Word("the armpit is below the nape")},
	{"nape_height", "waist_height", 1.1, phrase.Word("the waist is below the nape")},
	{"shoulder_point_height", "underarm_height", 1.01, phrase.Word("the armpit is below the shoulder")},
	{"underarm_height", "waist_height", 1.02, phrase.Word("the waist is below the armpit")},
	{"waist_height", "hip_height", 1.0, phrase.Word("the seat is below the waist")},
	{"nape_to_waist", "underarm_depth", 1.15, phrase.Word("the waist is below the armpit")},
}

// notNumber is why a figure that is none cannot be.
var notNumber = phrase.Word("it is not a number")

// number says that v can be a measure at all.
func number(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// impossible is every measure outside what any person has, and then every one that breaks a proportion, in the order of
// Measures. Confirmed measures are never named.
func (c Card) impossible() []Doubt {
	var out []Doubt
	beyond := map[Name]bool{}
	for i := range Measures {
		m := &Measures[i]
		v, ok := c.Values[m.Name]
		if !ok || !v.entered() {
			continue
		}
		if !number(v.MM) {
			out = append(out, Doubt{Name: m.Name, Low: m.Least, High: m.Most, Never: true, Why: notNumber})
			beyond[m.Name] = true
			continue
		}
		if v.Confirmed || v.MM >= m.Least && v.MM <= m.Most {
			continue
		}
		out = append(out, Doubt{Name: m.Name, MM: v.MM, Low: m.Least, High: m.Most, Never: true, Why: phrase.Word("nobody has such a measure")})
		beyond[m.Name] = true
	}
	broken, rule := map[Name]int{}, map[Name]string{}
	for _, p := range proportions {
		a, okA := c.Values[p.Large]
		b, okB := c.Values[p.Small]
		if !okA || !okB || !a.entered() || !b.entered() || beyond[p.Large] || beyond[p.Small] || a.MM >= p.Least*b.MM {
			continue
		}
		for _, n := range []Name{p.Large, p.Small} {
			broken[n]++
			if rule[n] == "" {
				rule[n] = p.Rule
			}
		}
	}
	most := 0
	for _, k := range broken {
		most = max(most, k)
	}
	for i := range Measures {
		m := &Measures[i]
		if v := c.Values[m.Name]; broken[m.Name] > 0 && broken[m.Name] == most && !v.Confirmed {
			out = append(out, Doubt{Name: m.Name, MM: v.MM, Never: true, Why: rule[m.Name]})
		}
	}
	return out
}

// share is the wide band in which a measure that no survey here covers lies beside another one.
type share struct {
	name, of  Name
	low, high float64
	broken    string // what is said of a measure outside it
}

// shares are from memory. They find slips of the unit and halves, nothing finer; the body length is a wish and is only asked
// to be a jacket's.
var shares = []share{
	{"body_length", "arm_length", 0.62, 2.1, phrase.Word("it does not go with the arm length")},
	{"body_length", "chest_girth", 0.3, 1.3, phrase.Word("it does not go with the chest girth")},
	{"elbow_girth", "wrist_girth", 1.2, 2.3, phrase.Word("it does not go with the wrist girth")},
	{"front_width", "back_width", 0.62, 1.45, phrase.Word("it does not go with the back width")},
	{"front_waist_length", "nape_to_waist", 0.75, 1.6, phrase.Word("it does not go with the nape to waist")},
	{"underbust_length", "nape_to_waist", 0.5, 1.2, phrase.Word("it does not go with the nape to waist")},
}

// unshapely adds the measures outside their share of another one that is not itself in doubt.
func (c Card) unshapely(doubts []Doubt) []Doubt {
	doubted := func(n Name) bool {
		for i := range doubts {
			if doubts[i].Name == n {
				return true
			}
		}
		return false
	}
	for _, s := range shares {
		v, ok := c.Values[s.name]
		if !ok || !v.entered() || v.Confirmed || doubted(s.name) {
			continue
		}
		of, ok := c.usable(s.of)
		if !ok || !of.entered() || doubted(s.of) || v.MM >= s.low*of.MM && v.MM <= s.high*of.MM {
			continue
		}
		d := Doubt{Name: s.name, MM: v.MM, Usual: math.Sqrt(s.low*s.high) * of.MM, Low: s.low * of.MM, High: s.high * of.MM, Why: s.broken}
		best := math.Inf(1)
		for _, k := range slips[:4] {
			if r := v.MM / k.factor / of.MM; r >= s.low && r <= s.high && math.Abs(math.Log(r*of.MM/d.Usual)) < best {
				best = math.Abs(math.Log(r * of.MM / d.Usual))
				d.Slip, d.Instead = k.name, tidy(v.MM/k.factor)
			}
		}
		doubts = append(doubts, d)
	}
	return doubts
}
