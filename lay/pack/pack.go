// Package pack lays polygons on a strip of fixed width so that the strip is as
// short as it can find. It knows outlines only, not what they are for.
//
// # The task
//
// A [Problem] is a strip width and pieces; each piece has an outline (one closed
// loop, convex or not, either way round, without holes), a quantity, and the
// turns in which it may lie. [Solve] returns a [Lay]: for every copy of every
// piece a turn and a place. A place means: mirror the outline in x (x becomes
// -x) if it is flipped, turn it by so many degrees about its origin (from x
// towards y), then move it by (x, y). Then y lies in 0..Width and x runs along
// the strip from 0. Lengths are in any unit, the same throughout.
//
// Beyond that a problem may ask for a gap between pieces, let pieces be
// mirrored, hold a piece with its lower edge on y = 0, keep it within a part of
// the width (another one for each way in which it may lie), hold a point of it on
// the repeat of a pattern, forbid places
// (obstacles), hold some copies where they are (locked), and name a length that
// is wanted (a remnant).
//
// # The method
//
// Whether two pieces overlap depends only on how they lie to one another: the
// set of offsets at which they do is the Minkowski sum of one with the other
// reflected, the no-fit region. Its boundary is worked out once for each pair of
// outlines, with a grid of short lists of near boundary segments over it, so
// that the depth of an overlap (the shortest move that ends it) is exact and
// costs a few multiplications. This depth is the number the search works on.
//
// The search asks one question again and again: do the pieces fit on this
// length? Overlaps are allowed and cost the root of their depth times a weight of that pair
// of pieces; one overlapping piece after another is moved to the best place
// among samples of the whole strip and of its neighbourhood, each improved by
// walking along the corners of the no-fit regions near it; pairs that stay in
// conflict gain weight (guided local search). What is then all but free of
// overlaps is squeezed: a linear program moves all pieces at once to the shortest
// lay in which each stays on its side of its neighbours. When all overlaps are
// gone the strip is shortened. The first phase shortens in larger steps and, where
// it fails, starts again from a good failed lay with two large pieces exchanged, or
// when that has failed often from a lay scattered at random; the second shortens
// the best lay by ever smaller steps. A piece tied to a repeat is only ever put on
// it, and does not move in a squeeze. The idea of a chain of
// feasibility problems with weighted overlaps is that of Egeblad, Nielsen and
// Odgaard (2007), Imamichi, Yagiura and Nagamochi (2009), Elkeran (2013) and
// Gardeyn, Vanden Berghe and Wauters (arXiv 2509.13329, 2025).
//
// # What is promised
//
// [Validate] is apart from the search: it takes outlines and places and decides
// with exact arithmetic where rounding could matter. Solve passes every lay it
// returns through it. With one worker and a budget in steps the same problem and
// seed give the same lay, byte for byte.
package pack

import (
	"context"
	"time"
)

// Piece is an outline to be laid Quantity times.
type Piece struct {
	// ID names the piece in places and messages. It must be unique.
	ID string
	// Quantity is how many copies are laid; 0 is allowed and lays none.
	Quantity int
	// Turns are the allowed turns in degrees, at least one.
	Turns []float64
	// Outline is one closed loop, the first point not repeated.
	Outline []Point
	// Flip allows the mirrored outline too.
	Flip bool
	// OnEdge holds the piece at turn 0 with its least y on y = 0, as a half
	// piece lies on a fold: only x is free. Turns must hold 0.
	OnEdge bool
	// Ways, where there are any, say all ways in which a copy may lie, in place
	// of Turns, Flip and OnEdge.
	Ways []Way
	// Repeat, if it has a step, is a pattern that the piece must fall in with.
	Repeat Repeat
}

// Way is one way in which a copy of a piece may lie: mirrored in x if Flipped,
// turned by Turn degrees, and within From to To across the strip, as cloth may be
// double in one part of its width and single in another. A piece as high as its
// way is wide is held there, as on a fold. To 0 means the whole width.
type Way struct {
	Turn     float64 // degrees
	Flipped  bool
	From, To float64
}

// Problem is what is to be laid, and on what.
type Problem struct {
	Name string
	// Width of the strip, more than 0.
	Width float64
	// Pieces to be laid.
	Pieces []Piece
	// Gap is the least distance between two pieces, 0 or more. It does not
	// apply to the strip's edges nor to obstacles.
	Gap float64
	// Obstacles are outlines in the strip that no piece may overlap.
	Obstacles [][]Point
	// Locked copies lie as given and are not moved; each counts as one of its
	// piece's copies. They may lie outside the strip or on obstacles.
	Locked []Place
	// MaxLength is the length that is wanted, 0 for none. A lay longer than it
	// is still returned, since the best so far is worth seeing; see Lay.Fits.
	MaxLength float64
}

// Place is where one copy of a piece lies.
type Place struct {
	ID      string
	Copy    int     // 0 up to the quantity less one
	Turn    float64 // degrees
	Flipped bool
	X, Y    float64 // where the outline's origin lies, in the unit of the problem
}

// Lay is a full set of places.
type Lay struct {
	// Length is the greatest x of any piece.
	Length float64
	// Utilisation is the pieces' area over Width * Length, 0 to 1.
	Utilisation float64
	// Places in the order of the problem's pieces, then of copies.
	Places []Place
	// Fits is whether Length keeps within MaxLength (true where none is set).
	Fits bool
	// Seed and Seconds are those of the search; Seconds is 0 under a step budget.
	Seed    uint64
	Seconds float64
	// Steps is how many single moves were searched.
	Steps int64
}

// Options steer a search. At least one of Time and Steps must be set.
type Options struct {
	// Seed chooses the random numbers.
	Seed uint64
	// Time ends the search; it needs Now.
	Time time.Duration
	// Now is the clock, handed in so that this package reads none itself.
	Now func() time.Time
	// Steps ends the search after so many single moves, over all workers.
	Steps int64
	// Workers is how many goroutines search; less than 1 means 1.
	Workers int
	// Progress, if set, is told of each better lay. It is called by one
	// goroutine at a time and must not keep Lay.Places.
	Progress func(Progress)
	// StopWhenFits ends the search as soon as a lay keeps within MaxLength.
	StopWhenFits bool
}

// Progress is a report while a search runs.
type Progress struct {
	Lay   Lay
	Phase string  // "first", "explore" or "compress"
	Done  float64 // part of the budget used, 0 to 1
}

// Solve lays p. It returns a full valid lay unless err is not nil: the best
// found when the budget ends or ctx is cancelled. The errors are those of
// Check, of options without a budget, and of obstacles or locked places that
// leave no room anywhere.
func Solve(ctx context.Context, p Problem, opt Options) (Lay, error) {
	if err := Check(p); err != nil {
		return Lay{}, err
	}
	if err := opt.check(); err != nil {
		return Lay{}, err
	}
	return newSearch(ctx, p, opt).run()
}
