package pack

import (
	"fmt"
	"math"
	"strings"
)

// Fault is a mistake in a problem: which piece (empty for the problem itself)
// and a sentence saying what was found and what is allowed.
type Fault struct {
	Piece string
	Text  string
}

// Error is the sentence, with the piece in front when it is one's.
func (f Fault) Error() string {
	if f.Piece == "" {
		return f.Text
	}
	return fmt.Sprintf("piece %q: %s", f.Piece, f.Text)
}

// Faults are all mistakes found in a problem, in the order of its pieces.
type Faults []Fault

// Error is one sentence a line.
func (fs Faults) Error() string {
	lines := make([]string, len(fs))
	for i, f := range fs {
		lines[i] = f.Error()
	}
	return strings.Join(lines, "\n")
}

// Limits keep a problem within what the search can hold in memory.
const (
	// MaxCopies is the greatest number of copies over all pieces.
	MaxCopies = 5000
	// MaxCorners is the greatest number of corners of one outline.
	MaxCorners = 5000
)

// Check returns nil if p can be laid, or else [Faults] with one sentence for
// each mistake.
func Check(p Problem) error {
	var fs Faults
	add := func(piece, format string, args ...any) {
		fs = append(fs, Fault{piece, fmt.Sprintf(format, args...)})
	}
	if !(p.Width > 0) || math.IsInf(p.Width, 0) {
		add("", "the strip's width is %v; it must be a number more than 0.", p.Width)
	}
	if !(p.Gap >= 0) || math.IsInf(p.Gap, 0) {
		add("", "the gap between pieces is %v; it must be 0 or more.", p.Gap)
	}
	if !(p.MaxLength >= 0) || math.IsInf(p.MaxLength, 0) {
		add("", "the length wanted is %v; it must be 0 (none) or more.", p.MaxLength)
	}
	copies := 0
	seen := map[string]bool{}
	for i, piece := range p.Pieces {
		name := piece.ID
		if name == "" {
			name = fmt.Sprintf("number %d", i+1)
			add(name, "it has no id; every piece needs one.")
		}
		if seen[piece.ID] {
			add(name, "the id is used twice; ids must differ.")
		}
		seen[piece.ID] = true
		copies += max(0, min(piece.Quantity, MaxCopies+1))
		for _, text := range piece.faults(p.Width) {
			add(name, "%s", text)
		}
	}
	if copies > MaxCopies {
		add("", "there are more than %d copies to lay; that is the most.", MaxCopies)
	}
	for i, o := range p.Obstacles {
		if text := outlineFault(o); text != "" {
			add("", "obstacle %d: %s", i+1, text)
		}
	}
	fs = append(fs, p.lockedFaults()...)
	if len(fs) == 0 {
		return nil
	}
	return fs
}

func (piece Piece) faults(width float64) []string {
	var out []string
	if piece.Quantity < 0 {
		out = append(out, fmt.Sprintf("the quantity is %d; it must be 0 or more.", piece.Quantity))
	}
	turns := piece.turnFaults(width)
	out = append(out, turns...)
	repeat := piece.Repeat.fault(width)
	if repeat != "" {
		out = append(out, repeat)
	}
	if text := outlineFault(piece.Outline); text != "" {
		return append(out, text)
	}
	if len(turns) == 0 && width > 0 {
		if least, room := piece.leastOver(width); least > room+float64(width*fitSlack) {
			out = append(out, fmt.Sprintf("it is at least %.6g across in every turn allowed; the strip is %.6g wide.", least, room))
		} else if repeat == "" && !piece.onRepeat(width) {
			out = append(out, fmt.Sprintf("it fits on the strip but nowhere on its repeat of %.6g across.", piece.Repeat.Across))
		}
	}
	return out
}

// turnFaults says what is wrong with the ways in which a piece may lie.
func (piece Piece) turnFaults(width float64) []string {
	var out []string
	if len(piece.Ways) > 0 {
		for _, w := range piece.Ways {
			if math.IsNaN(w.Turn) || math.IsInf(w.Turn, 0) {
				out = append(out, fmt.Sprintf("a turn is %v; turns must be numbers of degrees.", w.Turn))
			}
			if w = w.on(width); width > 0 && !(w.From >= 0 && w.From < w.To && w.To <= width*(1+fitSlack)) {
				out = append(out, fmt.Sprintf("a way lies from %v to %v across; it must lie within the strip's 0 to %.6g.", w.From, w.To, width))
			}
		}
		return out
	}
	if len(piece.Turns) == 0 {
		out = append(out, "no turn is allowed; name at least one, such as 0.")
	}
	flat := false
	for _, t := range piece.Turns {
		if math.IsNaN(t) || math.IsInf(t, 0) {
			out = append(out, fmt.Sprintf("a turn is %v; turns must be numbers of degrees.", t))
		}
		flat = flat || math.Mod(t, 360) == 0
	}
	if piece.OnEdge && !flat {
		out = append(out, "it lies on the edge but turn 0 is not allowed; a piece on the edge is laid at turn 0.")
	}
	return out
}

// fitSlack is the part of the width by which a piece may be too wide: rounding
// in the file should not keep a piece out that is as wide as the strip.
const fitSlack = 1e-9

// leastOver is how high the piece is in the way in which it exceeds its room
// least, and that room.
func (piece Piece) leastOver(width float64) (least, room float64) {
	best := math.Inf(1)
	for _, w := range piece.ways(width) {
		h := boxOf(cleaned(turned(piece.Outline, w.Turn, w.Flipped))).height()
		if over := h - (w.To - w.From); over < best {
			best, least, room = over, h, w.To-w.From
		}
	}
	return least, room
}

// ways are all ways in which the piece may lie on a strip, unmirrored ones first.
// That a piece on the edge is held there its ways do not say.
func (piece Piece) ways(width float64) []Way {
	var out []Way
	if len(piece.Ways) > 0 {
		for _, w := range piece.Ways {
			out = append(out, w.on(width))
		}
		return out
	}
	turns := piece.Turns
	if piece.OnEdge {
		turns = []float64{0}
	}
	for _, flipped := range []bool{false, true} {
		if flipped && !piece.Flip {
			continue
		}
		for _, t := range turns {
			out = append(out, Way{Turn: t, Flipped: flipped, To: width})
		}
	}
	return out
}

// onRepeat is whether there is a way in which the piece fits on its repeat.
func (piece Piece) onRepeat(width float64) bool {
	if piece.Repeat.Across == 0 {
		return true
	}
	slack := width * fitSlack
	for _, w := range piece.ways(width) {
		b := boxOf(cleaned(turned(piece.Outline, w.Turn, w.Flipped)))
		hi := w.To - b.height()
		if piece.onEdge() {
			hi = w.From
		}
		if _, across := piece.Repeat.rungsOf(w.Turn, w.Flipped, Point{b.x0, b.y0}); hi >= w.From-slack && across.between(w.From-slack, max(hi, w.From)+slack) {
			return true
		}
	}
	return false
}

// onEdge is whether the piece is held on the strip's edge whichever way it lies.
func (piece Piece) onEdge() bool { return piece.OnEdge && len(piece.Ways) == 0 }

// on is the way with its part of the width written out.
func (w Way) on(width float64) Way {
	if w.To == 0 {
		w.To = width
	}
	return w
}

// outlineFault says in one sentence what is wrong with an outline, or nothing.
func outlineFault(outline []Point) string {
	if len(outline) < 3 {
		return fmt.Sprintf("the outline has %d points; it needs at least 3.", len(outline))
	}
	if len(outline) > MaxCorners {
		return fmt.Sprintf("the outline has %d points; at most %d are allowed.", len(outline), MaxCorners)
	}
	for i, q := range outline {
		if bad(q.X) || bad(q.Y) {
			return fmt.Sprintf("point %d of the outline is (%v, %v); both must be numbers within 1e12.", i+1, q.X, q.Y)
		}
	}
	pts := cleaned(outline)
	b := boxOf(outline)
	if len(pts) < 3 || math.Abs(signedArea(pts)) <= 1e-12*b.width()*b.height() {
		return "the outline encloses no area."
	}
	if i, j, yes := selfMeeting(pts); yes {
		return fmt.Sprintf("the outline crosses or touches itself near (%.6g, %.6g) and (%.6g, %.6g); it must be one simple loop.",
			pts[i].X, pts[i].Y, pts[j].X, pts[j].Y)
	}
	return ""
}

func bad(v float64) bool { return math.IsNaN(v) || math.Abs(v) > 1e12 }

// lockedFaults checks that locked places name copies that exist, each once.
func (p Problem) lockedFaults() Faults {
	var fs Faults
	type copyOf struct {
		id string
		n  int
	}
	quantity := map[string]int{}
	for _, piece := range p.Pieces {
		quantity[piece.ID] = piece.Quantity
	}
	seen := map[copyOf]bool{}
	for _, l := range p.Locked {
		n, known := quantity[l.ID]
		switch {
		case !known:
			fs = append(fs, Fault{l.ID, "a locked place names it, but there is no such piece."})
		case l.Copy < 0 || l.Copy >= n:
			fs = append(fs, Fault{l.ID, fmt.Sprintf("a locked place names copy %d; copies run from 0 to %d.", l.Copy, n-1)})
		case seen[copyOf{l.ID, l.Copy}]:
			fs = append(fs, Fault{l.ID, fmt.Sprintf("copy %d is locked twice.", l.Copy)})
		case bad(l.X) || bad(l.Y) || bad(l.Turn):
			fs = append(fs, Fault{l.ID, "a locked place is not a number."})
		}
		seen[copyOf{l.ID, l.Copy}] = true
	}
	return fs
}

func (o Options) check() error {
	switch {
	case o.Time <= 0 && o.Steps <= 0:
		return Fault{Text: "the search has no budget; give it a time or a number of steps."}
	case o.Time > 0 && o.Now == nil:
		return Fault{Text: "the search has a time budget but no clock."}
	}
	return nil
}
