package truing

import "clothwright/piece"

// Code is one kind of finding. In Form the part after the colon, in capitals, stands for a name from the pattern.
type Code struct {
	Form    string
	Level   piece.Level // the gravest it can be
	Meaning string
}

// Codes are all findings that True can give, in this order: what is unsaid, pieces, seams, body, notions.
var Codes = []Code{
	{"open:PIECE.EDGE", piece.Stop, "an edge is in no seam and it is not said how it is finished"},
	{"twice:PIECE.EDGE", piece.Stop, "seams of one layer take an edge more often than it is cut, or take a fold"},
	{"pairs:PIECE", piece.Stop, "more of a piece is cut than its seams take, as when a pair is joined to a single that is not on the fold"},
	{"ref:PIECE.EDGE", piece.Stop, "something is named that does not exist: an edge, a line, or the piece that another is a copy of"},
	{"name:NAME", piece.Stop, "a piece, edge, line or seam has no name, or one that another has"},
	{"material:PIECE", piece.Stop, "the material is not stated"},
	{"count:PIECE", piece.Stop, "the count is not stated, or does not go with pairs or the fold"},
	{"fold:PIECE", piece.Stop, "the piece is on the fold and no edge is, or the other way about"},
	{"fold:PIECE.EDGE", piece.Warn, "an edge meets the fold a little off square, so that a corner shows when it is opened"},
	{"outline:PIECE", piece.Stop, "the outline or the cut line cannot be cut: open, crossing, anticlockwise, or too near its seam line"},
	{"tiny:PIECE.EDGE", piece.Warn, "an edge is so short that it is likely a slip"},
	{"grain:PIECE", piece.Stop, "the grainline is missing; a warning when it leaves the piece"},
	{"copy:PIECE", piece.Stop, "a copy, as of padding, does not have the seam line of its original"},
	{"seam:SEAM", piece.Stop, "the two sides of a seam do not have the lengths they should; a warning when ease is a little off"},
	{"notch:SEAM", piece.Stop, "notches of the same name would not meet when the seam is sewn"},
	{"notch:PIECE.EDGE", piece.Stop, "a notch lies beyond the end of its edge"},
	{"mate:NOTCH", piece.Warn, "a notch has no mate on the edge it is sewn to, or no name to find it by"},
	{"corner:SEAM", piece.Stop, "a joined outline turns a corner where it should run on; a warning when slight"},
	{"worn:PLACE", piece.Stop, "less ease than needed; a warning when the body's measure is estimated, or when there is too much ease"},
	{"zip:ZIP", piece.Stop, "a zip is longer than its edge or is not listed; a note when it is much shorter"},
}
