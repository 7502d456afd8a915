package text

import (
	"strings"

	"github.com/go-text/typesetting/segmenter"
)

// Wrap breaks s into lines that are at most width mm wide, where the Unicode line breaking rules (UAX 14) allow. A line
// end in s always breaks. A single word wider than width is broken between letters, so that nothing runs out of its
// place; a single letter is never broken. Blanks at a line's end are dropped. The empty string gives one empty line.
func Wrap(f Face, size float64, s string, width float64) []string {
	s = strings.ReplaceAll(strings.ReplaceAll(s, "\r\n", "\n"), "\r", "\n")
	var out []string
	for _, paragraph := range strings.Split(s, "\n") {
		out = append(out, wrapOne(f, size, Clean(paragraph), width)...)
	}
	return out
}

func wrapOne(f Face, size float64, s string, width float64) []string {
	if s == "" || Measure(f, size, s) <= width {
		return []string{strings.TrimRight(s, " ")}
	}
	fits := func(s string) bool { return Measure(f, size, strings.TrimRight(s, " ")) <= width+1e-9 }
	var out []string
	line := ""
	flush := func() {
		out = append(out, strings.TrimRight(line, " "))
		line = ""
	}
	for _, word := range chunks(s, false) {
		switch {
		case fits(line + word):
			line += word
			continue
		case line != "":
			flush()
		}
		if fits(word) {
			line = word
			continue
		}
		for _, letter := range chunks(word, true) {
			if line != "" && !fits(line+letter) {
				flush()
			}
			line += letter
		}
	}
	if line != "" {
		flush()
	}
	return out
}

// chunks cuts s where a line may be broken, or between its letters (grapheme clusters).
func chunks(s string, letters bool) []string {
	var seg segmenter.Segmenter
	seg.Init([]rune(s))
	var out []string
	if letters {
		for it := seg.GraphemeIterator(); it.Next(); {
			out = append(out, string(it.Grapheme().Text))
		}
		return out
	}
	for it := seg.LineIterator(); it.Next(); {
		out = append(out, string(it.Line().Text))
	}
	return out
}
