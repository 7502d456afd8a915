package text

import (
	"slices"
	"unicode"

	"clothwright/curve"

	"github.com/go-text/typesetting/bidi"
)

// Lay lays out s on one line in the given face at the given size in mm (the height of the em, more than 0). Line ends
// and other control codes count as blanks. Directions follow the Unicode bidirectional algorithm (UAX 9).
func Lay(f Face, size float64, s string) Line {
	words := []rune(Clean(s))
	if len(words) == 0 {
		return Line{}
	}
	b := builder{face: f, size: size}
	if direct := allPlain(f, words); direct {
		b.plain(f, words)
		return b.line
	}
	b.line.RTL = RTL(s)
	for _, d := range visual(words, b.line.RTL) {
		for _, w := range split(words[d.Start:d.End], !d.IsLeftToRight()) {
			b.word(w, !d.IsLeftToRight())
		}
	}
	return b.line
}

func allPlain(f Face, words []rune) bool {
	return !slices.ContainsFunc(words, func(r rune) bool { return !plain(r) || !f.Has(r) })
}

// visual gives the directional runs of a line from left to right: rule L2 of UAX 9 applied to whole runs.
func visual(words []rune, rtl bool) []bidi.Run {
	base := bidi.LeftToRight
	if rtl {
		base = bidi.RightToLeft
	}
	var p bidi.Paragraph
	found := p.Segment(words, base)
	var runs []bidi.Run
	for i := range found.NumRuns() {
		r := found.Run(i)
		if rtl || !r.IsLeftToRight() {
			runs = append(runs, r)
			continue
		}
		runs = append(runs, figures(words, r, i > 0, i+1 < found.NumRuns())...)
	}
	top := bidi.Level(0)
	for _, r := range runs {
		top = max(top, r.Level)
	}
	for level := top; level > 0; level-- {
		for i := 0; i < len(runs); i++ {
			j := i
			for j < len(runs) && runs[j].Level >= level {
				j++
			}
			slices.Reverse(runs[i:j])
			i = max(i, j)
		}
	}
	return runs
}

// figures cuts off the figures with which a left-to-right run begins after, or ends before, a right-to-left one. In a
// line that reads left to right they belong to the right-to-left words (level 2), but the library joins levels 2 and 0.
func figures(words []rune, r bidi.Run, after, before bool) []bidi.Run {
	first, last := r.Start, r.End
	if after {
		for first < r.End && (unicode.Is(unicode.Nd, words[first]) || r.Level == 2 && inFigure(words, first, r.End)) {
			first++
		}
		if r.Level != 2 {
			first = r.Start
		}
	}
	if before {
		for last > first && arabicDigit(words[last-1]) {
			last--
		}
	}
	var out []bidi.Run
	for _, c := range []bidi.Run{{Start: r.Start, End: first, Level: 2}, {Start: first, End: last}, {Start: last, End: r.End, Level: 2}} {
		if c.Start < c.End {
			out = append(out, c)
		}
	}
	return out
}

// inFigure reports whether the rune at i is a separator with a digit behind it, as in 1,5.
func inFigure(words []rune, i, end int) bool {
	return (words[i] == '.' || words[i] == ',' || words[i] == '/' || words[i] == ':') &&
		i+1 < end && unicode.Is(unicode.Nd, words[i+1])
}

func arabicDigit(r rune) bool { return r >= 0x660 && r <= 0x669 }

// split cuts a run into words and the blanks between them, from left to right as they stand.
func split(run []rune, rtl bool) [][]rune {
	var out [][]rune
	for i := 0; i < len(run); {
		j := i
		for j < len(run) && (run[j] == ' ') == (run[i] == ' ') {
			j++
		}
		out = append(out, run[i:j])
		i = j
	}
	if rtl {
		slices.Reverse(out)
	}
	return out
}

type builder struct {
	face Face
	size float64
	line Line
}

// word adds one word or a stretch of blanks.
func (b *builder) word(w []rune, rtl bool) {
	f := choose(b.face, w)
	switch {
	case w[0] == ' ':
		b.plain(b.face, w)
	case !rtl && allPlain(f, w):
		b.plain(f, w)
	default:
		for _, part := range parts(w, rtl) {
			if r := part[0]; !ignorable(r) && !drawable(r) {
				b.box(r)
				continue
			}
			f = choose(b.face, part)
			if !rtl && allPlain(f, part) {
				b.plain(f, part)
				continue
			}
			b.shaped(f, part, rtl)
		}
	}
}

// parts cuts a word at the runes that no face has, each of which becomes a part of its own.
func parts(w []rune, rtl bool) [][]rune {
	var out [][]rune
	for i := 0; i < len(w); {
		j := i + 1
		if ignorable(w[i]) || drawable(w[i]) {
			for j < len(w) && (ignorable(w[j]) || drawable(w[j])) {
				j++
			}
		}
		out = append(out, w[i:j])
		i = j
	}
	if rtl {
		slices.Reverse(out)
	}
	return out
}

func (b *builder) add(r Run) {
	r.X = b.line.Width
	b.line.Width += r.Width
	b.line.Runs = append(b.line.Runs, r)
}

func (b *builder) plain(f Face, w []rune) {
	em := 0.0
	for _, r := range w {
		em += f.Advance(r)
	}
	width := em * b.size
	if n := len(b.line.Runs); n > 0 && b.line.Runs[n-1].Kind == Plain && b.line.Runs[n-1].Face == f {
		last := &b.line.Runs[n-1]
		last.Width += width
		last.Words += string(w)
		last.Shown = last.Words
		b.line.Width += width
		return
	}
	b.add(Run{Kind: Plain, Face: f, Width: width, Words: string(w), Shown: string(w)})
}

func (b *builder) shaped(f Face, w []rune, rtl bool) {
	ink, width := f.outline(w, rtl, b.size, curve.Point{X: b.line.Width})
	shown := slices.Clone(w)
	if rtl {
		slices.Reverse(shown)
	}
	b.add(Run{Kind: Shaped, Face: f, Width: width, Words: string(w), Shown: string(shown), Ink: ink})
}
