package text

import (
	"strconv"
	"strings"
)

// signs are the fractions that have a sign of their own in all three faces.
var signs = map[string]string{
	"1/2": "½", "1/4": "¼", "3/4": "¾", "1/8": "⅛", "3/8": "⅜", "5/8": "⅝", "7/8": "⅞", "1/3": "⅓", "2/3": "⅔",
}

// narrow is the narrow no-break space that stands between a whole number and its fraction: without it 8³⁄₁₆ could be
// taken for eight to the third.
const narrow = "\u202F"

// Fractions sets the fractions of a tape as one sign: "8 1/8 in" becomes "8 ⅛ in" with a narrow space that never
// breaks, and sixteenths (and 32nds, 64ths) are built from raised and lowered figures, "³⁄₁₆". Only proper fractions
// with a denominator found on a tape are changed, and only where they stand alone: "1/2/2030" and "a1/2" are left.
func Fractions(s string) string {
	var out strings.Builder
	for i := 0; i < len(s); {
		n, ok := fractionAt(s, i)
		if !ok {
			out.WriteByte(s[i])
			i++
			continue
		}
		if kept := out.String(); strings.HasSuffix(kept, " ") && endsInFigure(kept[:len(kept)-1]) {
			out.Reset()
			out.WriteString(kept[:len(kept)-1] + narrow)
		}
		out.WriteString(sign(s[i : i+n]))
		i += n
	}
	return out.String()
}

// fractionAt returns the length of the fraction that begins at s[i].
func fractionAt(s string, i int) (int, bool) {
	if i > 0 && !strings.ContainsRune(" (+-=[", rune(s[i-1])) {
		return 0, false
	}
	j := figuresFrom(s, i)
	k := j
	if j > i && j < len(s) && s[j] == '/' {
		k = figuresFrom(s, j+1)
	}
	if k <= j+1 || k-i > 5 || k < len(s) && strings.IndexByte("/.,:", s[k]) >= 0 && k+1 < len(s) && figuresFrom(s, k+1) > k+1 {
		return 0, false
	}
	over, _ := strconv.Atoi(s[i:j])
	under, _ := strconv.Atoi(s[j+1 : k])
	switch under {
	case 2, 3, 4, 8, 16, 32, 64:
		return k - i, over > 0 && over < under && s[i] != '0' && s[j+1] != '0'
	}
	return 0, false
}

func figuresFrom(s string, i int) int {
	for i < len(s) && s[i] >= '0' && s[i] <= '9' {
		i++
	}
	return i
}

func endsInFigure(s string) bool { return s != "" && s[len(s)-1] >= '0' && s[len(s)-1] <= '9' }

func sign(s string) string {
	if one, ok := signs[s]; ok {
		return one
	}
	over, under, _ := strings.Cut(s, "/")
	var out strings.Builder
	for _, c := range over {
		out.WriteRune([]rune("⁰¹²³⁴⁵⁶⁷⁸⁹")[c-'0'])
	}
	out.WriteRune('⁄')
	for _, c := range under {
		out.WriteRune('₀' + c - '0')
	}
	return out.String()
}
