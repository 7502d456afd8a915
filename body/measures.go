// Package body holds the measures of one person: what they are called, how each is taken, what no person can
// have, and what is known of the rest when some are missing.
//
// Every measure is in millimetres except shoulder_slope, which is in degrees below the horizontal. Names follow
// ISO 8559-1:2017 where it has the measure (own wording), with underscores for spaces.
package body

import "sort"

// Name is a measure's name, as a tape card and a job file spell it: "chest_girth".
type Name string

// Kind says how a measure is taken, which tells what can be wrong with it.
type Kind string

// The kinds of measure.
const (
	Girth  Kind = "girth"  // round the body
	Length Kind = "length" // along the body
	Height Kind = "height" // from the floor
	Wanted Kind = "wanted" // chosen with the client, not read off the body
	Angle  Kind = "angle"  // degrees
)

// Measure is one row of the table of measures.
type Measure struct {
	Name  Name
	Title string // as a person says it
	How   string // how it is taken, for the one holding the tape
	Kind  Kind
	Least float64 // mm (degrees for an angle): less than this no walking person has
	Most  float64 // mm (degrees): more than this no person has
	Must  bool    // a jacket cannot be drafted without it
	Also  []Name  // other spellings understood
}

// Measures is every measure known here, in the order they are taken from neck to hand. The limits Least and
// Most are wide on purpose (a child of two to the largest adults on record) and are from memory: they catch a
// slip of the unit or the decimal point, not an unlikely figure.
var Measures = []Measure{
	{Name: "height", Title: "Height", How: "floor to crown, barefoot, standing", Kind: Height, Least: 700, Most: 2500},
	{Name: "head_girth", Title: "Head girth", How: "round the head above the ears", Kind: Girth, Least: 400, Most: 750},
	{Name: "neck_girth", Title: "Neck girth", How: "round the neck, a finger's breadth below the Adam's apple", Kind: Girth, Least: 180, Most: 750},
	{Name: "neck_base_girth", Title: "Neck-base girth", How: "round the root of the neck, through the nape, the side-neck points and the front pit", Kind: Girth, Least: 200, Most: 800},
	{Name: "shoulder_width", Title: "Shoulder width", How: "shoulder point to shoulder point across the back, over the curve", Kind: Length, Least: 180, Most: 750, Must: true},
	{Name: "shoulder_length", Title: "Shoulder length", How: "side-neck point to shoulder point, along the top", Kind: Length, Least: 50, Most: 260},
	{Name: "shoulder_slope", Title: "Shoulder slope", How: "angle of the shoulder line below the horizontal, in degrees", Kind: Angle, Least: 0, Most: 45},
	{Name: "back_width", Title: "Back width", How: "across the back between the arm creases, half way down the armhole", Kind: Length, Least: 160, Most: 750},
	{Name: "front_width", Title: "Front width", How: "across the front between the arm creases, half way down the armhole", Kind: Length, Least: 150, Most: 750},
	{Name: "chest_girth", Title: "Chest girth", How: "level round the fullest part: over the blades, under the arms, across the chest or bust", Kind: Girth, Least: 400, Most: 2200, Must: true, Also: []Name{"bust_girth", "chest", "bust"}},
	{Name: "underbust_length", Title: "Shoulder to under the bust", How: "from the shoulder at the neck, over the bust to just under it", Kind: Length, Least: 150, Most: 700},
	{Name: "waist_girth", Title: "Waist girth", How: "level round the natural waist; over a belly, the fullest level", Kind: Girth, Least: 350, Most: 2400, Also: []Name{"waist"}},
	{Name: "hip_girth", Title: "Hip girth", How: "level round the fullest seat the jacket covers", Kind: Girth, Least: 400, Most: 2500, Also: []Name{"hip"}},
	{Name: "nape_to_waist", Title: "Nape to waist", How: "from the nape down the spine to the waist", Kind: Length, Least: 180, Most: 750},
	{Name: "front_waist_length", Title: "Front waist length", How: "from the shoulder at the neck, over the bust to the waist", Kind: Length, Least: 180, Most: 850},
	{Name: "underarm_depth", Title: "Underarm depth", How: "from the nape down the spine to the level of the armpit", Kind: Length, Least: 80, Most: 400},
	{Name: "body_length", Title: "Body length wanted", How: "from the shoulder at the neck down to the finished hem, rib included", Kind: Wanted, Least: 200, Most: 1200, Must: true, Also: []Name{"length"}},
	{Name: "arm_length", Title: "Arm length", How: "shoulder point over the bent elbow to the wrist bone", Kind: Length, Least: 200, Most: 1000, Must: true, Also: []Name{"sleeve_length"}},
	{Name: "nape_to_wrist", Title: "Nape to wrist", How: "nape over the shoulder and the elbow to the wrist bone", Kind: Length, Least: 300, Most: 1300},
	{Name: "upper_arm_girth", Title: "Upper-arm girth", How: "greatest girth of the hanging arm between shoulder and elbow", Kind: Girth, Least: 110, Most: 900},
	{Name: "upper_arm_girth_flexed", Title: "Upper-arm girth, flexed", How: "the same with the arm bent and the muscle tight", Kind: Girth, Least: 110, Most: 900},
	{Name: "forearm_girth_flexed", Title: "Forearm girth, flexed", How: "greatest girth of the forearm with the fist made", Kind: Girth, Least: 100, Most: 600},
	{Name: "elbow_girth", Title: "Elbow girth", How: "round the bent elbow", Kind: Girth, Least: 110, Most: 700},
	{Name: "wrist_girth", Title: "Wrist girth", How: "over the wrist bone", Kind: Girth, Least: 85, Most: 350, Must: true, Also: []Name{"cuff", "wrist"}},
	{Name: "hand_girth", Title: "Hand girth", How: "round the knuckles, thumb tucked in", Kind: Girth, Least: 95, Most: 400},
	{Name: "nape_height", Title: "Nape height", How: "floor to nape, standing", Kind: Height, Least: 550, Most: 2200},
	{Name: "shoulder_point_height", Title: "Shoulder-point height", How: "floor to shoulder point, standing", Kind: Height, Least: 500, Most: 2150},
	{Name: "underarm_height", Title: "Underarm height", How: "floor to the armpit, standing", Kind: Height, Least: 450, Most: 2050},
	{Name: "waist_height", Title: "Waist height", How: "floor to waist, standing", Kind: Height, Least: 350, Most: 1700},
	{Name: "hip_height", Title: "Hip height", How: "floor to the fullest seat, standing", Kind: Height, Least: 250, Most: 1500},
	{Name: "biacromial_breadth", Title: "Shoulder breadth, straight", How: "shoulder point to shoulder point in a straight line, with callipers", Kind: Length, Least: 160, Most: 600},
}

var byName = func() map[Name]*Measure {
	m := make(map[Name]*Measure, 2*len(Measures))
	for i := range Measures {
		m[Measures[i].Name] = &Measures[i]
		for _, a := range Measures[i].Also {
			m[a] = &Measures[i]
		}
	}
	return m
}()

// Lookup finds a measure by its name or another spelling of it.
func Lookup(n string) (Measure, bool) {
	if m := byName[Name(n)]; m != nil {
		return *m, true
	}
	return Measure{}, false
}

// Names is every measure's own name, sorted.
func Names() []Name {
	out := make([]Name, 0, len(Measures))
	for _, m := range Measures {
		out = append(out, m.Name)
	}
	sort.Slice(out, func(i, j int) bool { return out[i] < out[j] })
	return out
}
