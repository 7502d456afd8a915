// Package text measures and lays out words the way every writer draws them.
//
// Three faces are built in (DejaVu Sans, its bold, and DejaVu Sans Mono). A line of words is laid out once, by [Lay],
// into runs from left to right:
//
//   - a [Plain] run is drawn by a writer as real text, one glyph a rune, with the widths that [Lay] used;
//   - a [Shaped] run has marks to be placed, letters to be joined, or runs from right to left. It comes as outlines;
//     its words are kept beside it so that a writer can leave them in the file for searching;
//   - a [Boxed] run is one rune that no face has. It is never left out: it comes as a small frame with its code in it,
//     such as U+65E5, and [Missing] lists such runes so that a caller can say so.
//
// Sizes are the height of the em in millimetres: 3 mm text is about 8.5 points, and its capitals are 2.2 mm high.
// Everything is a function of its arguments and may be called from several goroutines.
package text

import (
	"strings"
	"unicode"

	"clothwright/curve"
)

// Face is one of the built-in typefaces.
type Face uint8

const (
	Sans Face = iota // DejaVu Sans: everything by default
	Bold             // DejaVu Sans Bold: headings, names
	Mono             // DejaVu Sans Mono: codes and columns of figures; it has no bold
)

// Faces is the number of built-in faces; they are 0 up to Faces-1.
const Faces = 3

// Kind says how a run is drawn.
type Kind uint8

const (
	Plain  Kind = iota // real text, rune by rune
	Shaped             // outlines
	Boxed              // outlines of a frame with the code of a rune that no face has
)

// Run is a stretch of a line that is drawn in one way.
type Run struct {
	Kind  Kind
	Face  Face         // the face drawn with; it may differ from the one asked for, where that one lacks a rune
	X     float64      // mm from the line's start to the run's left end
	Width float64      // mm
	Words string       // the runes in reading order
	Shown string       // the runes from left to right as they stand on the page
	Ink   []curve.Path // closed contours in mm from the line's start on its baseline, filled non-zero; nil when Plain
}

// Line is a laid-out line of words.
type Line struct {
	Runs  []Run   // from left to right
	Width float64 // mm, from the start of the first run to the end of the last
	RTL   bool    // the line as a whole reads from right to left
}

// Heights of DejaVu Sans as fractions of the em: of its H and x, and from its hhea table.
const (
	CapHeight = 1493. / 2048 // a capital above the baseline
	XHeight   = 1120. / 2048 // a small letter without ascender
	Ascent    = 1901. / 2048 // room wanted above the baseline
	Descent   = 483. / 2048  // room wanted below it
)

// Clean replaces what cannot stand in one line, such as line ends, tabs and other control codes, by a blank, and broken
// UTF-8 by U+FFFD. [Lay], [Measure] and [Missing] all do it first.
func Clean(s string) string {
	clean := true
	for i, r := range s {
		if unicode.IsControl(r) || r == unicode.ReplacementChar || r == '\u2028' || r == '\u2029' {
			clean = clean && r == unicode.ReplacementChar && strings.HasPrefix(s[i:], string(unicode.ReplacementChar))
		}
	}
	if clean {
		return s
	}
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || r == '\u2028' || r == '\u2029' {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, string(unicode.ReplacementChar)))
}

// Measure returns the width in mm of s in the given face and size, exactly as it will be drawn.
func Measure(f Face, size float64, s string) float64 { return Lay(f, size, s).Width }

// Missing returns the runes of s that no face can draw, each once, in the order they first come. They print as boxes
// with their code.
func Missing(s string) []rune {
	var out []rune
	seen := map[rune]bool{}
	for _, r := range Clean(s) {
		if !seen[r] && !ignorable(r) && !drawable(r) {
			out = append(out, r)
		}
		seen[r] = true
	}
	return out
}

// RTL reports whether s as a whole reads from right to left: whether its first letter, or a direction mark before it,
// does.
func RTL(s string) bool {
	for _, r := range s {
		if rightToLeft(r) || r == '\u200f' || r == '\u061c' {
			return true
		}
		if unicode.IsLetter(r) || r == '\u200e' {
			return false
		}
	}
	return false
}
