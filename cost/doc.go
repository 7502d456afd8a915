// Package cost works out what a garment costs and what it is sold for: cloth by the length that is bought, rib, zip,
// thread and trims, labour by operation, overhead, margin or markup, discount, tax, deposit and balance.
//
// # How to ask
//
// [Read] reads a workroom's costing file into [Rates]. [Work] takes the rates and an [Order] (the lengths bought, the
// notions, the pattern's operations, how many pieces) and returns a [Quote]: every line, every sum and the findings.
// [Quote.Client] is the part that a client may see, [Quote.Record] the part that job.json holds.
//
// # How money is rounded
//
// Amounts are exact decimals, never binary floating point. They are rounded to the digits that ISO 4217 gives the
// currency, a half always away from nought, and this is the whole rule:
//
//  1. Each line (quantity times price) is rounded by itself. Every sum is a sum of rounded lines, so what is printed adds up.
//  2. Overhead, discount, tax and deposit are worked out on such a sum and rounded once.
//  3. The price of one piece is rounded up to the step the house names, so that rounding never eats the profit; a run
//     costs that price times its pieces, so the price a piece and the total agree.
//  4. The balance is the total less the deposit, never a percentage of its own.
//
// # Several garments laid together
//
// [WorkTogether] prices a [Run]: garments of their own sizes and styles whose pieces are laid on one length of each cloth. Each has
// a price of its own, and the run's figures are the sums of theirs:
//
//  1. A cloth is bought once, and its line is rounded once. What it costs, and its length, is shared by the area that is cut for each garment
//     of that cloth, within the cut lines. Each gets its exact part rounded down, and the smallest units that are left go one by one to those
//     whose part was rounded down most, the first first (largest remainders), so the parts add up.
//  2. What is done once for a run, as setting the room up, is shared alike, to the hundredth of a minute, in the same way.
//  3. Zip, thread, trims and the rest of the work are each garment's own; so are its overhead, its price (rounded up to the step),
//     discount, tax and deposit, by the rules above.
//
// # Margin and markup
//
// A margin is the part of the price, before tax, that is left over the cost: price = cost / (1 - margin). A markup is put
// on the cost: price = cost x (1 + markup). The house says one of the two, and every costing says which it was. They
// differ much: a markup of 25 % is a margin of 20 %.
//
// # Minutes
//
// What an operation takes differs by workroom. [Assumed] holds minutes for the built-in garment that nobody has measured:
// they are marked as assumptions on every costing, and a finding counts them, until the house states its own or has
// times recorded on its jobs, whose average goes first.
package cost
