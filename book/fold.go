package book

import (
	"strings"
	"sync"
	"unicode"
)

var folding = sync.OnceValue(func() map[rune]rune {
	m := map[rune]rune{}
	for _, f := range folds {
		to := []rune(f.to)[0]
		for _, r := range f.from {
			m[r] = to
		}
	}
	return m
})

// Fold makes a name searchable: small letters, without accents, every run of spaces or signs one space. "Ọláídé Ṣóyẹmí" is
// "olaide soyemi". Letters of scripts without such marks stay.
func Fold(s string) string {
	m := folding()
	var b strings.Builder
	gap := false
	for _, r := range strings.ToLower(s) {
		switch {
		case unicode.Is(unicode.Mn, r):
			continue
		case unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.Is(unicode.Mc, r):
			if gap && b.Len() > 0 {
				b.WriteByte(' ')
			}
			gap = false
			if to, ok := m[r]; ok {
				r = to
			}
			b.WriteRune(r)
		default:
			gap = true
		}
	}
	return b.String()
}
