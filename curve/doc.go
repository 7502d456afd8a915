// Package curve is the geometry a pattern is drawn with: points, straight lines, cubic curves and the paths made of
// them, their lengths, parallels and crossings, and the closed polygons they flatten to.
//
// # Conventions
//
// Lengths are millimetres and angles are radians. The page is seen as a cutter sees the paper: x runs to the right and
// y runs DOWN. Three signs follow from that, and the whole package keeps them:
//
//   - A positive angle turns clockwise as seen on the page: (1,0) turned by a quarter is (0,1), which points down.
//   - A closed path or polygon has positive area when it runs clockwise as seen on the page.
//   - The left of travel is what a walker on the page has on the left: going right, left is up, which is -y. A path
//     moved by a positive offset moves to its left, so a positive offset makes a path of positive area larger.
//
// Everything is a small value. Nothing is changed in place: a method that moves or cuts a path returns a new one.
// Nothing here reads a clock, a file or a random number, and the same input gives the same output everywhere.
//
// A NaN or an infinite coordinate is the caller's mistake; results are then meaningless, but nothing loops for ever.
package curve
