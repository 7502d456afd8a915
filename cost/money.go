package cost

import (
	"fmt"
	"math/big"
	"strings"

	"github.com/bojanz/currency"
	"github.com/shopspring/decimal"
)

// Money is an exact decimal amount; which currency it is in is said beside it.
type Money = decimal.Decimal

// Currency is a currency by its ISO 4217 code.
type Currency struct {
	Code   string // "EUR"
	Digits int32  // after the point, as ISO 4217 has it: EUR 2, JPY 0, KWD 3
}

// CurrencyOf finds a currency by its code. The error is a sentence.
func CurrencyOf(code string) (Currency, error) {
	d, ok := currency.GetDigits(code)
	if !ok || d == currency.DefaultDigits {
		return Currency{}, fmt.Errorf("currency is %q; a code of ISO 4217 in capitals is allowed, as EUR", code)
	}
	return Currency{code, int32(d)}, nil
}

// Round rounds an amount to the currency's digits, a half away from nought.
func (c Currency) Round(m Money) Money { return m.Round(c.Digits) }

// Format writes an amount with all the currency's digits and its code: "1234.50 EUR".
func (c Currency) Format(m Money) string { return m.StringFixed(c.Digits) + " " + c.Code }

// Bare is Format without the code.
func (c Currency) Bare(m Money) string { return m.StringFixed(c.Digits) }

// Minor is the amount in the currency's smallest unit: 12.34 EUR is 1234.
func (c Currency) Minor(m Money) int64 { return m.Shift(c.Digits).Round(0).IntPart() }

// FromMinor is the amount of so many of the currency's smallest unit.
func (c Currency) FromMinor(n int64) Money { return decimal.New(n, -c.Digits) }

// ParseMoney reads an amount as a person writes it: "320", "320.50". A comma, a sign of thousands or more digits than the
// currency has are refused, since they can be read in two ways.
func (c Currency) ParseMoney(s string) (Money, error) {
	m, err := amount(s)
	if err != nil {
		return m, err
	}
	if !m.Equal(m.Round(c.Digits)) {
		return m, fmt.Errorf("%q has more digits after the point than %s has (%d)", s, c.Code, c.Digits)
	}
	return m, nil
}

// amount reads a decimal of plain digits with at most one point.
func amount(s string) (Money, error) {
	t := strings.TrimSpace(s)
	bare := strings.TrimPrefix(t, "-")
	if bare == "" || len(bare) > 18 || strings.Trim(bare, "0123456789.") != "" || strings.Count(bare, ".") > 1 || bare == "." {
		return Money{}, fmt.Errorf("%q is no amount; digits with a point are allowed, as 320.50", s)
	}
	m, err := decimal.NewFromString(t)
	if err != nil {
		return Money{}, fmt.Errorf("%q is no amount; digits with a point are allowed, as 320.50", s)
	}
	return m, nil
}

var hundred = decimal.NewFromInt(100)

// percent is p percent of m, exact.
func percent(m, p Money) Money { return m.Mul(p).Shift(-2) }

// upTo is num/den rounded up to a whole number of steps, exactly.
func upTo(num, den, step Money) Money {
	q := new(big.Rat).Quo(num.Rat(), den.Rat())
	q.Quo(q, step.Rat())
	n, rest := new(big.Int).QuoRem(q.Num(), q.Denom(), new(big.Int))
	if rest.Sign() > 0 {
		n.Add(n, big.NewInt(1))
	}
	return decimal.NewFromBigInt(n, 0).Mul(step)
}

// Percentage reads a percentage as a person writes it: "12.5". The error is a sentence.
func Percentage(s string) (Money, error) { return amount(s) }
