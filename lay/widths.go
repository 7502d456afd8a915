package lay

import (
	"context"
	"math"
	"math/big"
	"strings"

	"clothwright/phrase"
	"clothwright/piece"
)

// Widths are the widths, selvedge to selvedge, that cloth is mostly sold in, mm: 36, 45, 54 and 60 in.
var Widths = []float64{914.4, 1143, 1371.6, 1524}

// Trial is one row of the comparison of widths: the same pieces on cloth of this width laid this way.
type Trial struct {
	Width float64 // mm, selvedge to selvedge
	Fold  Fold
	Plan  *Plan
	Cost  string      // of the length to buy, in the currency of the price; empty when no price is known or it does not fit
	Why   string      // why it does not fit, else empty
	Said  phrase.Said // the same, to be said in another language
}

// Waste is the part of the cloth bought that is not cut, 0 to 1, selvedges included.
func (t *Trial) Waste() float64 {
	if t.Plan == nil || t.Plan.Bought == 0 {
		return 0
	}
	used := t.Plan.Utilisation * t.Plan.Cloth.flatLayers() * t.Plan.Length
	all := t.Plan.Cloth.Width * t.Plan.Bought
	if t.Plan.Cloth.Fold == Tubular {
		all *= 2
	}
	return 1 - used/all
}

// Compare lays the same pieces on cloth of several widths, each in the given ways. All else is as the cloth says. A way
// that does not fit gives a row that says why.
func Compare(ctx context.Context, works []Work, c Cloth, widths []float64, folds []Fold, o Options) ([]Trial, error) {
	var out []Trial
	for _, w := range widths {
		for _, f := range folds {
			c.Width, c.Fold, c.Length, c.Doubled, c.Parted = w, f, 0, 0, nil
			p, err := Lay(ctx, works, c, o)
			if err != nil {
				return nil, err
			}
			t := Trial{Width: w, Fold: f, Plan: p}
			if !p.Laid() {
				for _, x := range p.Findings {
					if x.Level == piece.Stop && t.Why == "" {
						t.Why, t.Said = x.Text, x.Said
					}
				}
			} else if cost, ok := Cost(c.Price, p.Bought); ok {
				t.Cost = cost
			}
			out = append(out, t)
		}
	}
	return out, nil
}

// Cost is what a length in mm costs at a price per metre written as a decimal number, exactly, then rounded half up to two
// decimals. The length counts to the thousandth of a millimetre. ok is false when the price is no such number or less than nought.
func Cost(price string, mm float64) (amount string, ok bool) {
	price = strings.TrimSpace(price)
	if price == "" || strings.Trim(price, "0123456789.") != "" || !(mm >= 0) || math.IsInf(mm, 0) {
		return "", false
	}
	per, ok := new(big.Rat).SetString(price)
	if !ok {
		return "", false
	}
	metres := big.NewRat(int64(math.Round(mm*1000)), 1_000_000)
	return per.Mul(per, metres).FloatString(2), true
}
