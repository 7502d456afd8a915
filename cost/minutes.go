package cost

import (
	"strings"

	"github.com/shopspring/decimal"

	"clothwright/piece"
)

// Assumed is how long the operations of the built-in garment take one person who has made a few. Every figure is an
// assumption, from memory: no study stands behind it. A house puts its own in its place.
var Assumed = []Minutes{
	{"Take the measures", decimal.NewFromInt(45), false},
	{"Set the room up", decimal.NewFromInt(20), true},
	{"Cut every piece", decimal.NewFromInt(75), false},
	{"Fuse or baste the padding", decimal.NewFromInt(40), false},
	{"Set the welts", decimal.NewFromInt(60), false},
	{"Sew the blocks", decimal.NewFromInt(15), false},
	{"Sew the shoulder seams", decimal.NewFromInt(10), false},
	{"Set the sleeves", decimal.NewFromInt(30), false},
	{"Sew side and sleeve seam", decimal.NewFromInt(20), false},
	{"Close the cuff ribs", decimal.NewFromInt(25), false},
	{"Set the hem rib", decimal.NewFromInt(25), false},
	{"Set the collar rib", decimal.NewFromInt(25), false},
	{"Set the zip", decimal.NewFromInt(35), false},
	{"Sew the facings", decimal.NewFromInt(25), false},
	{"Make up the lining", decimal.NewFromInt(50), false},
	{"Sew the lining", decimal.NewFromInt(60), false},
	{"Topstitch the zip", decimal.NewFromInt(40), false},
	{"Fit on the client", decimal.NewFromInt(40), false},
}

// unknownMinutes is assumed for an operation that no table names.
var unknownMinutes = decimal.NewFromInt(25)

// Before and After are the operations that a pattern's making-up order does not hold, since they are no sewing.
var (
	Before = []piece.Operation{{Do: "Take the measures, draft and chalk"}, {Do: "Set the room up: machines threaded, cloth pressed and laid"}}
	After  = []piece.Operation{{Do: "Fit on the client, pin and note"}}
)

// Source says where an operation's minutes come from.
type Source string

// The sources, the best first.
const (
	Recorded Source = "recorded" // the average of the times recorded on the house's jobs
	Stated   Source = "stated"   // the house's costing file
	Guessed  Source = "assumed"  // the table of this package, or a guess
)

// Average is what was recorded for an operation: minutes in all, over how many times.
type Average struct {
	Starts  string
	Minutes Money
	Times   int
}

// minutesFor finds how long an operation takes. The longest beginning that fits wins, so that a house may be as exact as it likes.
func minutesFor(do string, rates *Rates, recorded []Average) (m Money, once bool, from Source) {
	assumed, ok := longest(Assumed, do)
	if !ok {
		assumed = Minutes{Minutes: unknownMinutes}
	}
	own, stated := longest(rates.Minutes, do)
	once = assumed.Once
	if stated {
		once = own.Once
	}
	best := -1
	for i, a := range recorded {
		if begins(do, a.Starts) && a.Times > 0 && (best < 0 || len(a.Starts) > len(recorded[best].Starts)) {
			best = i
		}
	}
	switch {
	case best >= 0:
		a := recorded[best]
		return a.Minutes.DivRound(decimal.NewFromInt(int64(a.Times)), 1), once, Recorded
	case stated:
		return own.Minutes, once, Stated
	}
	return assumed.Minutes, once, Guessed
}

func longest(ms []Minutes, do string) (Minutes, bool) {
	best := -1
	for i, m := range ms {
		if begins(do, m.Starts) && (best < 0 || len(m.Starts) > len(ms[best].Starts)) {
			best = i
		}
	}
	if best < 0 {
		return Minutes{}, false
	}
	return ms[best], true
}

func begins(do, with string) bool {
	return len(with) > 0 && len(do) >= len(with) && strings.EqualFold(do[:len(with)], with)
}
