// Package lay puts the pieces of one or more patterns on real cloth: folded or flat, with selvedges, nap, stripes,
// flaws and a shop that sells by the step. lay/pack is its search engine and knows polygons only; this package knows
// what a cutter knows.
//
// # How to ask
//
// A [Cloth] says how wide the cloth is and how it lies. [Lay] takes the pieces of that cloth's material out of each
// [Work] (a job and its pattern) and returns a [Plan]: a [Place] for every shape to cut, the length used, the length to
// buy, and what is left over. Several works in one call are laid together, which needs less cloth than one by one.
//
// What is wrong with the cloth, or does not fit on it, comes back as findings of level stop in the plan, one sentence
// each with the width or length that would do; the plan then has no places. An error means a search without a budget.
//
// # How a place is read
//
// x runs across the usable cloth from its left edge: the selvedge when the cloth lies open or is folded across, the fold
// when it is folded lengthwise or is a tube. y runs along the length from the cloth's end. A place means: mirror the cut line in x
// if Flipped, turn it by Turn degrees about the piece's origin (from x towards y), then move it by (X, Y). Layers is
// how many layers of cloth the one shape cuts. A piece on the fold lies as its half with the fold edge on x = 0; on open
// cloth it is opened out, as two half places of the same copy at the same position, one of them flipped.
//
// # What is laid how
//
//	cloth         a pair                a piece on the fold     single pieces
//	lengthwise    through both layers   half, on the fold       through one layer
//	tubular       through both layers   half, on the left fold  through one layer
//	open          one and its mirror    opened out              as they are
//	crosswise     through both layers   opened out, one layer   through one layer
//
// Two equal pieces that are their own mirror image (cuffs) are cut through two layers too.
//
// The grain line lies along the cloth. Without nap a piece may lie either way up, with nap all lie the same way. Cloth
// may allow a tilt off the grain, never for a piece on the fold.
//
// # Same input, same bytes
//
// With a budget in steps (the default) and one worker the plan depends on nothing but its input; how fast the
// machine is does not matter. A budget in time needs a clock handed in.
package lay
