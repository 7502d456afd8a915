package sheet

import (
	"os"
	"testing"

	"clothwright/body"
	"clothwright/draft"
	"clothwright/piece"
	"clothwright/tape"
)

// fitting is one body, house and style that the sheets are tried on.
type fitting struct {
	name    string
	tape    string
	paper   string
	unit    float64
	figure  body.Figure
	given   map[body.Name]float64
	left    map[body.Name]float64 // what differs on the left side
	style   map[string]any
	finding []piece.Finding
	house   func(*draft.House) // changes to the standard house
}

// fittings cover the ways a chalk sheet can differ: inch and metric, a belly that moves the side seam, a child's small pieces,
// the styles that change which pieces there are, and a body whose sides differ.
var fittings = []fitting{
	{name: "standard", tape: "1/8 in", paper: "A4", unit: tape.Inch, figure: body.Women, given: map[body.Name]float64{
		"chest_girth": 40, "shoulder_width": 15, "underbust_length": 14, "body_length": 24, "arm_length": 24, "wrist_girth": 7, "neck_base_girth": 15.75, "hand_girth": 8}},
	{name: "belly", tape: "5 mm", paper: "A4", unit: 10, figure: body.Men, given: map[body.Name]float64{
		"chest_girth": 112, "waist_girth": 126, "hip_girth": 116, "shoulder_width": 44, "body_length": 70, "arm_length": 62, "wrist_girth": 19, "neck_base_girth": 45, "hand_girth": 24,
		"upper_arm_girth": 38, "back_width": 43, "nape_to_waist": 46}, style: map[string]any{"padding": "fleece", "collar_ends": "shaped"},
		finding: []piece.Finding{{Level: piece.Stop, Code: "worn:waist", Text: "At the waist the jacket is 126 cm round and the body 126 cm: it needs at least 5 cm more; measure the waist again."}}},
	{name: "child", tape: "1/8 in", paper: "Letter", unit: tape.Inch, figure: body.Child, given: map[body.Name]float64{
		"chest_girth": 22, "shoulder_width": 9.5, "body_length": 14, "arm_length": 12, "wrist_girth": 4.75, "neck_base_girth": 10.5, "hand_girth": 5}},
	{name: "sewn-on", tape: "1 mm", paper: "A4", unit: 10, figure: body.Women, given: map[body.Name]float64{
		"chest_girth": 92, "shoulder_width": 38, "body_length": 58, "arm_length": 58, "wrist_girth": 15.5, "neck_base_girth": 37, "hand_girth": 19.5, "hip_girth": 100, "waist_girth": 74},
		style:   map[string]any{"block": "sewn-on", "rib": "metre", "lining": "none"},
		finding: []piece.Finding{{Level: piece.Warn, Code: "seam:hem", Text: "The hem rib is 78 % of its seam: stretch it evenly, quarter to quarter."}, {Level: piece.Info, Code: "estimated:back_width", Text: "The back width is estimated."}}},
	{name: "uneven", tape: "5 mm", paper: "A4", unit: 10, figure: body.Women, given: map[body.Name]float64{
		"chest_girth": 92, "shoulder_width": 38, "body_length": 58, "arm_length": 58, "wrist_girth": 15.5, "neck_base_girth": 37, "hand_girth": 19.5, "shoulder_slope": 2 /* tens of degrees */},
		left: map[body.Name]float64{"shoulder_slope": 2.8, "arm_length": 60}, style: map[string]any{"collar_ends": "shaped"}},
}

// jacket drafts the built-in jacket for a fitting. It skips the test when the drafting rooms are not there.
func jacket(t testing.TB, f fitting) Job {
	t.Helper()
	src, err := os.ReadFile("../garments/rib-zip-jacket/draft.star")
	if err != nil {
		t.Skip("the jacket's script is not there")
	}
	g, err := draft.Load("rib-zip-jacket", "draft.star", src)
	if err != nil {
		t.Fatal(err)
	}
	style, errs := g.Style(f.style, 0)
	if len(errs) > 0 {
		t.Fatal(errs)
	}
	house := draft.Standard()
	if house.Tape, err = tape.ParseTape(f.tape); err != nil {
		t.Fatal(err)
	}
	if f.house != nil {
		f.house(&house)
	}
	card := body.Card{Figure: f.figure, Values: map[body.Name]body.Value{}}
	for k, v := range f.given {
		card.Values[k] = body.Value{MM: v * f.unit, From: body.Given}
	}
	for k, v := range f.left {
		if card.Left == nil {
			card.Left = map[body.Name]body.Value{}
		}
		card.Left[k] = body.Value{MM: v * f.unit, From: body.Given}
	}
	p, err := g.Draft(card, style, &house)
	if err != nil {
		t.Fatal(err)
	}
	j := Job{Job: "No 17", Client: "Agnes Weaver", Garment: g.Title, Date: "3 May", Tape: house.Tape, Paper: f.paper, Roll: house.Roll, Pattern: p,
		StyleWords: []string{"regular ease", "block grown on", "welt pockets"}, Findings: append(append([]piece.Finding(nil), p.Said...), f.finding...)}
	for _, n := range body.Names() {
		if v, ok := card.Values[n]; ok {
			m, _ := body.Lookup(string(n))
			j.Measures = append(j.Measures, Measure{Title: m.Title, MM: v.MM, From: string(v.From)})
		}
	}
	return j
}
