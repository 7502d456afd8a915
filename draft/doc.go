// Package draft runs a garment's script on one body, one style and one workroom's habits, and hands on a
// pattern: pieces with their marks, edges and chalk steps, and the seams that join them.
//
// A garment is a Starlark script with the verbs of a cutter (docs/drafting.md is made from the table in this
// package). A mark's distance is rounded to the house's tape when it is made, and every later mark builds on
// the rounded one, so that the figures, the sheet and the outline cannot disagree. Each verb that puts chalk on
// the cloth records its step.
//
// A script is another person's program, so it runs in a cage: it has a limited number of steps, no files, no
// clock, no network and no chance; range is capped; lengths carry their dimension, and a number that is not
// finite is refused where it is handed over. What the cage cannot see is the memory that one operator may take
// in one step ("x" * 1_000_000_000): whoever runs a script that is not part of the program watches its memory
// from outside, as the command does.
package draft
