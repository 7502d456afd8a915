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
// when it is folded lengthwise, with or without a part single, or is a tube. y runs along the length from the cloth's end. A place means: mirror the cut line in x
// if Flipped, turn it by Turn degrees about the piece's origin (from x towards y), then move it by (X, Y). Layers is
// how many layers of cloth the one shape cuts. A piece on the fold lies as its half with the fold edge on x = 0 or, on a tube
// of which Both folds are used, mirrored with that edge on the other one; on open cloth it is opened out, as two half places of the same copy at the same position, one of them flipped.
//
// # What is laid how
//
//	cloth         a pair                a piece on the fold     single pieces
//	lengthwise    through both layers   half, on the fold       through the upper layer
//	part-single   either                half, on the fold       where it is single, or the upper layer
//	tubular       through both layers   half, on a fold         through the upper layer
//	open          one and its mirror    opened out              as they are
//	crosswise     through both layers   opened out, one layer   through the upper layer
//
// Two equal pieces that are their own mirror image (cuffs) are cut through two layers too.
//
// Folded cloth lies right sides together, so the wrong side of its upper layer is up: what is cut from that layer alone is
// laid face down (Place.FaceDown), or it would come out turned over. A tube lies right side out.
//
// Two pieces cut through one layer each never lie one over the other on the two layers of a spot. The under layer cannot be
// chalked, nor cut without lifting the upper one away, and then neither lies on its grain any more. What is left below a piece cut
// from the upper layer is an offcut. Common practice.
//
// # One part single
//
// Cloth folded lengthwise with one part single ([PartSingle]) is folded over only so far as what is cut double needs: pieces
// on the fold, and those pairs for which that takes less length. The rest of its width lies single: there lie single pieces, and one and its mirror of
// other pairs. Across from the fold come the double part, the selvedge that is folded over, and the single part from that
// selvedge's edge on, up to the other selvedge. The program tries depths of fold that the widths of the pieces suggest and lets the search
// decide; the fold is rounded to the tape. When nothing is gained by it, it folds over all it can.
//
// # Room between cuts
//
// Cloth.Gap is kept between two pieces, and between a fold and a piece beside it that is not cut on it: a pair that lies along the very fold is
// soon cut as one piece. It is not kept from the straightened end nor from the selvedge's inner edge. There nothing is cut on the other
// side of the line, the end is itself a cut edge, and the margin of what is bought is for straightening it. Where a cloth has no
// selvedge to leave off (fleece) its edge is taken to be a clean line; if it is not, say so with a selvedge. Common practice.
//
// The grain line lies along the cloth. Without nap a piece may lie either way up; with nap, and where pieces are matched to a repeat, all
// lie the same way. Cloth may allow a tilt off the grain, never for a piece on the fold nor for a matched one.
//
// # What a hand has laid
//
// [Options] may hold shapes where a hand has put them ([Held]); the search lays the others round them and moves none of them. [Shapes] are
// the shapes that may be moved and the ways they may be turned, and [ByHand] judges a lay in which every shape is held: it has
// its places even where they overlap, and findings of level stop that say so.
//
// # Same input, same bytes
//
// With a budget in steps (the default) and one worker the plan depends on nothing but its input; how fast the
// machine is does not matter. A budget in time needs a clock handed in.
package lay
