package web

import (
	"math"
	"strconv"
	"strings"
	"time"

	"clothwright/book"
	"clothwright/cost"
	"clothwright/tape"
)

// dayOf reads a day of the book; ok is false when it is none.
func dayOf(iso string) (time.Time, bool) {
	t, err := time.Parse(book.Day, iso)
	return t, err == nil
}

// Weekday is the name of a day of the week.
func (w *Words) Weekday(iso string) string {
	t, ok := dayOf(iso)
	if !ok {
		return ""
	}
	return w.T("day." + strconv.Itoa(int(t.Weekday())))
}

// Month is the name of a day's month.
func (w *Words) Month(iso string) string {
	t, ok := dayOf(iso)
	if !ok {
		return ""
	}
	return w.T("month." + strconv.Itoa(int(t.Month())))
}

// DayNumber is a day's number in its month.
func (w *Words) DayNumber(iso string) string {
	t, ok := dayOf(iso)
	if !ok {
		return ""
	}
	return strconv.Itoa(t.Day())
}

// Date is a day as it is said: "2 March 2026". What is no day stays as it is.
func (w *Words) Date(iso string) string {
	t, ok := dayOf(iso)
	if !ok {
		return iso
	}
	return w.T("date.long", "day", w.DayNumber(iso), "month", w.Month(iso), "year", strconv.Itoa(t.Year()))
}

// Number writes a number with so many decimals, with the language's own signs.
func (w *Words) Number(v float64, digits int) string {
	return w.dressed(strconv.FormatFloat(v, 'f', digits, 64))
}

// Trimmed is Number without noughts at the end of its decimals.
func (w *Words) Trimmed(v float64, digits int) string {
	s := strconv.FormatFloat(v, 'f', digits, 64)
	if strings.ContainsRune(s, '.') {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		s = "0"
	}
	return w.dressed(s)
}

// dressed gives a number, written with a point, the language's point, its sign between thousands and a true minus.
func (w *Words) dressed(s string) string {
	sign := ""
	if rest, ok := strings.CutPrefix(s, "-"); ok {
		sign, s = "−", rest
	}
	whole, part, has := strings.Cut(s, ".")
	least, err := strconv.Atoi(w.T("number.from"))
	if err != nil {
		least = 4
	}
	if len(whole) >= least {
		for i := len(whole) - 3; i > 0; i -= 3 {
			whole = whole[:i] + w.T("number.group") + whole[i:]
		}
	}
	if has {
		whole += w.T("number.point") + part
	}
	return sign + whole
}

// Money writes so many of a currency's smallest unit: "1,234.50 EUR".
func (w *Words) Money(code string, minor int64) string {
	cur, err := cost.CurrencyOf(code)
	if err != nil {
		return w.Number(float64(minor), 0) + "\u00a0" + code
	}
	return w.dressed(cur.Bare(cur.FromMinor(minor))) + "\u00a0" + code
}

// Metres writes a length of cloth in metres.
func (w *Words) Metres(mm float64) string { return w.Number(mm/1000, 2) + "\u00a0m" }

// DayMonth is a day without its year: "2 March".
func (w *Words) DayMonth(iso string) string {
	if _, ok := dayOf(iso); !ok {
		return iso
	}
	return w.T("date.short", "day", w.DayNumber(iso), "month", w.Month(iso))
}

// Figure gives an exact decimal, written with a point, the language's own signs.
func (w *Words) Figure(s string) string { return w.dressed(s) }

// Amount does the same with an amount that has its currency behind it: "320.00 EUR".
func (w *Words) Amount(s string) string {
	figure, code, ok := strings.Cut(s, " ")
	if !ok {
		return s
	}
	return w.dressed(figure) + "\u00a0" + code
}

// Signed writes a difference in millimetres with its sign, in the unit in which it was said, mm where that was in several: "+1/2 in" for
// "sleeve +1/2 in".
func (w *Words) Signed(mm float64, said ...string) string {
	s := tape.Signed(mm, tape.UnitIn(said...))
	at := strings.LastIndexByte(s, ' ')
	figure := strings.TrimLeft(s[:at], "+-")
	sign := strings.ReplaceAll(strings.TrimSuffix(s[:at], figure), "-", "−")
	if !strings.Contains(figure, "/") {
		figure = w.dressed(figure)
	}
	return sign + figure + "\u00a0" + s[at+1:]
}

// Hours writes minutes as hours and minutes: "3 h 30 min".
func (w *Words) Hours(minutes int) string {
	h, m := minutes/60, minutes%60
	switch {
	case h == 0:
		return strconv.Itoa(m) + "\u00a0min"
	case m == 0:
		return w.Number(float64(h), 0) + "\u00a0h"
	}
	return w.Number(float64(h), 0) + "\u00a0h\u00a0" + strconv.Itoa(m) + "\u00a0min"
}

// unlocal reads a decimal number as it is typed in any of the languages, with a comma or a point, for what wants a point.
func unlocal(s string) string {
	s = strings.TrimSpace(strings.NewReplacer("\u00a0", "", "\u202f", "", "−", "-").Replace(s))
	if strings.Count(s, ",") == 1 && !strings.Contains(s, ".") {
		s = strings.Replace(s, ",", ".", 1)
	}
	return s
}

// hoursText writes minutes as a decimal number of hours for a field.
func hoursText(w *Words, minutes int) string {
	return w.Trimmed(math.Round(float64(minutes)/60*100)/100, 2)
}
