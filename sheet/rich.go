package sheet

import (
	"math"
	"sort"
	"strings"

	"clothwright/sheet/drawing"
)

// rich is words of two weights broken into lines.
type rich struct {
	lines [][]span
	t     drawing.Type
}

// fitted makes words that are too long for w mm smaller, down to seven tenths, and cuts off what still does not fit.
func fitted(words string, w float64, t drawing.Type) (string, drawing.Type) {
	wide := t.Measure(words)
	if wide <= w {
		return words, t
	}
	t.Size *= math.Max(0.7, w/wide)
	if t.Measure(words) <= w+1e-9 {
		return words, t
	}
	letters := []rune(words)
	n := sort.Search(len(letters), func(n int) bool { return t.Measure(string(letters[:n+1])+"…") > w })
	return strings.TrimRight(string(letters[:n]), " ,") + "…", t
}

// put sets words at (x, y), fitted into w mm.
func put(l *drawing.Layer, x, y, w float64, words string, t drawing.Type) {
	words, t = fitted(words, w, t)
	l.Text(x, y, words, t)
}

// lay breaks spans into lines at most w mm wide. What is bold and short stays on one line: a distance is never torn apart.
func lay(spans []span, w float64, t drawing.Type) rich {
	out := rich{t: t}
	var line []span
	wide := 0.0
	put := func(word string, bold bool) {
		if n := len(line); n > 0 && line[n-1].bold == bold {
			line[n-1].words += word
			return
		}
		line = append(line, span{word, bold})
	}
	for _, part := range pieces(spans) {
		full := 0.0
		for _, s := range part {
			full += weight(t, s.bold).Measure(s.words)
		}
		blank := part[0].words == " "
		if wide+full > w && wide > 0 && !blank {
			out.lines = append(out.lines, line)
			line, wide = nil, 0
		}
		if blank && wide == 0 {
			continue
		}
		for _, s := range part {
			put(s.words, s.bold)
		}
		wide += full
	}
	if len(line) > 0 {
		out.lines = append(out.lines, line)
	}
	return out
}

// pieces cuts spans into what must stay together (a word, with a stop that follows it in another weight) and blanks.
func pieces(spans []span) [][]span {
	var out [][]span
	var word []span
	flush := func() {
		if len(word) > 0 {
			out = append(out, word)
			word = nil
		}
	}
	for _, s := range spans {
		for i, w := range strings.Split(fr(s.words), " ") {
			if i > 0 {
				flush()
				out = append(out, []span{{" ", s.bold}})
			}
			if w != "" {
				word = append(word, span{w, s.bold})
			}
		}
	}
	flush()
	return out
}

func weight(t drawing.Type, bold bool) drawing.Type {
	t.Bold = t.Bold || bold
	return t
}

// height is the height of the lines in mm.
func (r rich) height() float64 { return float64(len(r.lines)) * r.t.Pitch() }

// draw sets the lines with their top left corner at (x, y).
func (r rich) draw(l *drawing.Layer, x, y float64) {
	for i, line := range r.lines {
		at := x
		base := y + float64(i)*r.t.Pitch() + 0.5*r.t.Pitch() + 0.36*r.t.Size
		for _, s := range line {
			t := weight(r.t, s.bold)
			l.Text(at, base, s.words, t)
			at += t.Measure(s.words)
		}
	}
}
