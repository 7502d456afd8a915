// Package piece holds the pattern: the one thing that drafting hands on and that truing, laying, costing and
// the sheets read. It is data with a few questions asked of it; it decides nothing.
//
// Every length is in millimetres, x across from the piece's origin (the centre line or the fold), y down.
// A pattern is closed: every edge of every piece is either in a seam or says how it is finished, every seam
// states what difference in length is wanted, and every piece states its material and count. What is not
// stated cannot be checked, so truing refuses it.
package piece

import (
	"strings"

	"clothwright/curve"
	"clothwright/phrase"
)

// Material names what a piece is cut from: "shell", "lining", "padding", "rib" or what a garment script says.
type Material string

// The materials of the built-in garment.
const (
	Shell   Material = "shell"
	Lining  Material = "lining"
	Padding Material = "padding"
	Rib     Material = "rib"
)

// Pattern is every piece of one garment for one body, and how they are sewn together.
type Pattern struct {
	Garment  string       // the garment script's name, as in garments/NAME
	Title    string       // the garment's name for people
	Pieces   []Piece      // in the order the script drafts them
	Seams    []Seam       // in sewing order
	Worn     []Worn       // garment against body, measured on the finished outlines
	Notions  []Notion     // zips and other things bought by count
	Adjusted []Adjustment // where the rule was corrected for this body
	Said     []Finding    // what the garment script itself has to say
	Order    []Operation  // making up, in order
	Used     []string     // the measures the script asked for, sorted
	Chosen   []string     // the choices of style that had a part in it, in the garment's order
}

// Piece returns the piece of that name, or nil.
func (p *Pattern) Piece(name string) *Piece {
	for i := range p.Pieces {
		if p.Pieces[i].Name == name {
			return &p.Pieces[i]
		}
	}
	return nil
}

// Edge returns the edge a reference names, or nil.
func (p *Pattern) Edge(r Ref) *Edge {
	q := p.Piece(r.Piece())
	if q == nil {
		return nil
	}
	return q.Edge(r.Edge())
}

// LengthOf is the seam line length of the edge or inside line a reference names, 0 when there is none.
func (p *Pattern) LengthOf(r Ref) float64 {
	q := p.Piece(r.Piece())
	if q == nil {
		return 0
	}
	if e := q.Edge(r.Edge()); e != nil {
		return e.Length()
	}
	for _, l := range q.Lines {
		if l.Name == r.Edge() {
			return l.Path.Length()
		}
	}
	return 0
}

// Piece is one shape to cut. Its edges run clockwise as seen on the page (y down), each ending where the next
// begins, and close. A piece on the fold is drafted and kept as its half, with one edge of finish Fold.
type Piece struct {
	Name     string // as scripts and findings say it: "front", "sleeve_lining"
	Title    string // as a person says it: "Front"
	Material Material
	Count    int  // how many are cut in all; a piece on the fold counts once
	Pair     bool // half of the count are mirrored
	OnFold   bool
	Side     string // "left" or "right" where the two sides of the body differ, else empty
	CopyOf   string // the piece whose seam line this one repeats (padding), else empty
	Edges    []Edge
	Grain    [2]curve.Point // from, to; the arrow's length says nothing
	Notches  []Notch
	Marks    []Mark
	Lines    []Line // inside the piece: pocket mouths, fold lines, bust line
	Steps    []Step // how to chalk it, in order
	Start    Start  // where on the cloth the first line is ruled
	Note     string // one line printed on the piece, else empty

	cut  curve.Path   // filled by Finish
	clip [][2]float64 // by edge: how far from its start and end a rule cuts its allowance short, mm
}

// Edge returns the edge of that name, or nil.
func (p *Piece) Edge(name string) *Edge {
	for i := range p.Edges {
		if p.Edges[i].Name == name {
			return &p.Edges[i]
		}
	}
	return nil
}

// Mark returns the mark of that name, or nil.
func (p *Piece) Mark(name string) *Mark {
	for i := range p.Marks {
		if p.Marks[i].Name == name {
			return &p.Marks[i]
		}
	}
	return nil
}

// SeamLine is the closed outline the piece is sewn on.
func (p *Piece) SeamLine() curve.Path {
	var out curve.Path
	for i := range p.Edges {
		out = append(out, p.Edges[i].Path...)
	}
	return out
}

// Finish says what becomes of an edge that no seam takes.
type Finish string

// What an edge may be finished as. Sewn is the zero value: a seam must take it.
const (
	Sewn   Finish = ""        // sewn to another edge
	Fold   Finish = "fold"    // lies on the fold of the cloth; no allowance
	Turned Finish = "turned"  // the allowance is turned in and stitched
	Zip    Finish = "zip"     // the zip is set here
	Neat   Finish = "neat"    // neatened and left: overlocked or bound
	Cut    Finish = "cut"     // a cut edge that needs nothing, as padding, or the finished edge of a ready band
	TurnUp Finish = "turn-up" // the edge is a fold of the piece itself: the other half lies behind it
)

// Corner says how the cut line turns at the end of an edge, where the next one begins.
type Corner string

// How a cut line may turn.
const (
	Mitre  Corner = ""       // the two allowances run on until they meet
	Square Corner = "square" // this edge's allowance ends square to it, flush with the next edge's cut line
	Mirror Corner = "mirror" // this edge's allowance is turned back along it, so its end mirrors the next edge
)

// Edge is one side of a piece, named when it is drawn.
type Edge struct {
	Name      string
	Path      curve.Path // the seam line, clockwise round the piece
	Allowance float64    // mm outside the seam line; 0 on a fold
	Finish    Finish
	Corner    Corner // at its end

	// StartCorner is the rule at its start, where the edge before says Mitre. It is seldom needed: a Mirror edge is mirrored
	// at both ends without it.
	StartCorner Corner
}

// Length is the length of the edge's seam line in millimetres.
func (e *Edge) Length() float64 { return e.Path.Length() }

// Ref names an edge, or a line inside a piece, as "piece.edge".
type Ref string

// Piece is the part of the reference before the point.
func (r Ref) Piece() string { a, _, _ := strings.Cut(string(r), "."); return a }

// Edge is the part of the reference after the point.
func (r Ref) Edge() string { _, b, _ := strings.Cut(string(r), "."); return b }

// SeamKind is how the two lengths of a seam are meant to compare.
type SeamKind string

// The kinds of seam.
const (
	Plain  SeamKind = "plain" // b equals a
	Eased  SeamKind = "eased" // b is longer than a by Intended mm, sewn in as fullness
	Ribbed SeamKind = "rib"   // b is a times Intended, stretched to fit
)

// Seam joins two lists of edges end to end, as one cap meets two armholes. A is the side that keeps its
// length; B the side that is eased or stretched to it.
type Seam struct {
	Name     string
	A, B     []Ref
	Kind     SeamKind
	Intended float64 // mm for eased, ratio for rib, 0 for plain
	Most     float64 // eased: the most fullness in mm this seam may take before it is wrong; 0: Intended + 1 mm
	Layer    string  // "shell", "lining", "padding": an edge may be in one seam of each layer
	Smooth   []Ref   // edges that must run on without a corner across this seam, in pairs: a's then b's
}

// Notch is a mark across an edge that meets its mate on the other side of the seam.
type Notch struct {
	Edge string
	At   float64 // mm along the edge from its start
	Kind string  // "single" or "double"
	Name string  // notches of the same name meet when sewn
}

// Mark is a named point that was chalked.
type Mark struct {
	Name     string
	At       curve.Point
	From     string  // the mark it was measured from; empty for the first
	Way      string  // "down", "up", "across", "back", ...
	Distance float64 // mm, as taped
	Exact    float64 // mm, before rounding to the tape
	Taped    string  // the same distance as the tape says it
	Why      phrase.Said
}

// Line is drawn inside a piece and not cut.
type Line struct {
	Name  string
	Path  curve.Path
	Kind  string // "pocket", "fold", "guide", "stitch"
	Label string
}

// Step is one thing to do with chalk.
type Step struct {
	N       int
	Do      string // "mark", "rule", "curve", "edge"
	Name    string // of the mark, line or curve
	Mark    *Mark  // when Do is "mark"
	Path    curve.Path
	Through []string // marks that a line or curve runs through, in order
	Why     phrase.Said
}

// Start says where the first line of a piece is ruled on the cloth.
type Start struct {
	Cloth string  // how the cloth lies: "folded lengthwise, right sides together"
	From  string  // "selvedges", "fold" or "straight grain"
	In    float64 // mm in from there
	Line  string  // which line of the piece it is: "centre front"
	Why   phrase.Said
}

// Worn is one place where the finished garment is compared with the body.
type Worn struct {
	At       string  // "chest"
	Body     float64 // mm
	Garment  float64 // mm, measured on the outlines
	Least    float64 // mm: the least that Garment - Body may be
	Most     float64 // mm: the most; 0 for no limit
	BodyFrom string  // "given", "estimated" or "derived"
	Pieces   []string
	Stop     bool // below the least means do not cut; else it is a warning
	Why      phrase.Said
}

// Ease is how much larger the garment is than the body, in millimetres.
func (w Worn) Ease() float64 { return w.Garment - w.Body }

// Adjustment is a rule's value that was corrected for this body.
type Adjustment struct {
	What   string  // a short code: "armhole_lowered"
	By     float64 // mm, positive the way the name says
	Rule   float64 // mm, what the rule alone would have given
	Now    float64 // mm, what was marked
	Why    phrase.Said
	Pieces []string
}

// Notion is something bought and sewn in that is not cut from cloth.
type Notion struct {
	Kind   string // "zip"
	Name   string
	Length float64 // mm to buy
	Edge   float64 // mm of the edge it is sewn to
	Count  int
	Note   phrase.Said
	Refs   []Ref // the edges it is set to, on one side of the body
}

// Operation is one thing done in making up.
type Operation struct {
	Do     string
	Stitch string // by ISO 4915 number, else empty
	Care   string // a caution to print beside it, else empty
}

// Level is how serious a finding is.
type Level string

// The levels, in rising order. Stop means: do not cut.
const (
	OK   Level = "ok"
	Info Level = "note"
	Warn Level = "warn"
	Stop Level = "stop"
)

// Rank orders levels: ok 0, note 1, warn 2, stop 3.
func (l Level) Rank() int {
	switch l {
	case Info:
		return 1
	case Warn:
		return 2
	case Stop:
		return 3
	}
	return 0
}

// Finding is one thing the maker should know, in a plain sentence with its figures.
type Finding struct {
	Level  Level
	Code   string // short and stable: "seam:side", "worn:chest", "doubt:wrist_girth"
	Text   string // the sentence in English
	Pieces []string
	Edges  []Ref
	Said   phrase.Said // the same sentence, to be said in another language
}

// Found is a finding whose text is what is said.
func Found(level Level, code string, said phrase.Said, pieces ...string) Finding {
	return Finding{Level: level, Code: code, Text: said.String(), Said: said, Pieces: pieces}
}

// Worst is the highest level among the findings, OK when there are none.
func Worst(fs []Finding) Level {
	worst := OK
	for _, f := range fs {
		if f.Level.Rank() > worst.Rank() {
			worst = f.Level
		}
	}
	return worst
}
