// Package drawingtest is the one suite that every writer of drawings must pass, and the samples and readers it is made
// of. It reads files back with tools that had no part in writing them: encoding/xml for SVG, the poppler programs for
// PDF. Where those are absent a check is skipped and says so.
package drawingtest

import (
	"math"

	"clothwright/curve"
	"clothwright/sheet/drawing"
)

// Name is a client's name in some script.
type Name struct {
	Script, Words string
	Plain         bool // one glyph a letter: real text in every file
}

// Names must print, whoever the client is. Made up of common given names and surnames of each language.
var Names = []Name{
	{"Latin", "Agnes Weaver", true},
	{"Vietnamese", "Nguyễn Thị Phượng", true},
	{"Yoruba, composed", "Adébáyọ Ògúnṣọlá", true},
	{"Yoruba, stacked", "Ọ̀ṣọ́ Adébáyọ̀", false},
	{"Latin, decomposed", "Zoe\u0308 Dvor\u030ca\u0301k", false},
	{"Greek", "Ελένη Παπαδοπούλου", true},
	{"Cyrillic", "Ольга Щербакова", true},
	{"Arabic", "محمد عبد الله", false},
	{"Hebrew", "שרה לוי", false},
}

// Where the checks look on the sample pages, in mm.
const (
	NamesX, NamesY, NamesPitch = 30, 40, 12 // the first name's place and the distance to the next baseline
	NameSize                   = 5
)

// Square is the square to be measured on the second page, middle of line to middle of line.
var Square = drawing.Box(50, 60, 100, 100)

// Clip is the window of the second page through which alone the big disc is seen, and Disc its middle.
var (
	Clip = drawing.Box(30, 180, 40, 60)
	Disc = curve.Point{X: 50, Y: 210}
)

// DiscRadius is larger than the clip on every side.
const DiscRadius = 45

// Figure is shown twice on the third page, which lies across, at FigureAt, the second time through FigureClip.
var (
	FigureAt   = [2]curve.Point{{X: 20, Y: 20}, {X: 150, Y: 20}}
	FigureClip = drawing.Box(170, 20, 40, 80)
)

// Sample returns a drawing of three pages that has every kind of item: names in many scripts on A4; lines, dashes,
// fills, a square and a clipped disc on US letter; a figure shown twice on a page of 279.4 x 215.9 mm.
func Sample() *drawing.Drawing {
	d := &drawing.Drawing{Title: "Sample (names & shapes)"}
	p := d.Add(drawing.A4)
	p.Title = "Names"
	p.Text(NamesX, 25, "Names", drawing.Title)
	for i, n := range Names {
		p.Text(NamesX, NamesY+float64(i)*NamesPitch, n.Words, drawing.Type{Size: NameSize})
		p.Text(120, NamesY+float64(i)*NamesPitch, n.Words, drawing.Type{Size: NameSize, Bold: true})
	}
	p.Paragraph(NamesX, 170, 100, "Angle < 90° & \"square\" – chalk 8 ⅛ in down from the neck point.", drawing.Body)
	p.Text(100, 240, "turned", drawing.Body.Turned(-math.Pi/2).At(drawing.Middle))
	p.Text(100, 255, "no face has 日 this", drawing.Body)

	p = d.Add(drawing.Letter)
	p.Rect(Square.Min.X, Square.Min.Y, Square.W(), Square.H(), drawing.Hair)
	g := p.Within(curve.Identity(), &Clip)
	g.Circle(Disc.X, Disc.Y, DiscRadius, drawing.Solid(drawing.Black))
	p.Line(20, 20, 190, 20, drawing.Thin.Dashed(5, 2))
	p.Arrow(20, 30, 100, 30, drawing.Medium.In(drawing.Accent))
	turned := p.Within(curve.RotateAbout(0.3, curve.Point{X: 160, Y: 220}), nil)
	turned.Rect(140, 210, 40, 20, drawing.Thick.Filled(drawing.Pale))

	f := &drawing.Figure{W: 80, H: 80}
	f.Circle(40, 40, 39, drawing.Style{Width: 2})
	f.Text(40, 42, "figure", drawing.Heading.At(drawing.Middle))
	p = d.Add(drawing.Letter.Across())
	p.Show(f, FigureAt[0].X, FigureAt[0].Y, nil)
	p.Show(f, FigureAt[1].X, FigureAt[1].Y, &FigureClip)
	return d
}
