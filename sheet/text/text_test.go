package text

import (
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"clothwright/curve"
)

// The signs come from the Unicode chart of number forms (U+2150 to U+215E, U+00BC to U+00BE) and of superscripts and
// subscripts (U+2070 to U+2089); the narrow no-break space is U+202F.
func TestFractions(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"8 1/8 in", "8\u202f\u215b in"},
		{"3/4 in", "\u00be in"},
		{"12 3/16in", "12\u202f\u00b3\u2044\u2081\u2086in"},
		{"1 15/16", "1\u202f\u00b9\u2075\u2044\u2081\u2086"},
		{"5 1/32", "5\u202f\u00b9\u2044\u2083\u2082"},
		{"from 1/2 to 1 1/2 in", "from \u00bd to 1\u202f\u00bd in"},
		{"(2/3)", "(\u2154)"},
		{"front 1/4", "front \u00bc"},
		// Not fractions of a tape, or not alone.
		{"1/2/2030", "1/2/2030"}, {"a1/2", "a1/2"}, {"and/or", "and/or"}, {"9/8", "9/8"}, {"1/7", "1/7"}, {"0/8", "0/8"},
		{"2/04", "2/04"}, {"1/", "1/"}, {"/8", "/8"}, {"", ""}, {"21/2", "21/2"}, {"1/2.5", "1/2.5"},
		{"½ kept", "½ kept"},
	} {
		if got := Fractions(c.in); got != c.want {
			t.Errorf("Fractions(%q) = %+q, want %+q", c.in, got, c.want)
		}
	}
	for f := range Face(Faces) {
		for _, r := range Fractions("1/2 1/4 3/4 1/8 3/8 5/8 7/8 1 15/16 3/32 9/64 1/3 2/3") {
			if !f.Has(r) && !Sans.Has(r) {
				t.Errorf("no face for %+q in %s", r, f.Family())
			}
		}
	}
}

func shown(l Line) string {
	s := ""
	for _, r := range l.Runs {
		s += r.Shown
	}
	return s
}

// Order on the page by the rules of UAX 9. The first is a worked example of its section 3.4, there with capitals for the
// Hebrew. In the second and fourth the line reads from right to left, the words from left to right within it (L2). In
// the third the figures after Hebrew stand to its left (W7 does not apply, I1 lifts them). The last begins with a
// right-to-left mark, U+200F, which makes the line read from there (P2).
func TestOrderOnThePage(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"car means \u05d0\u05d1\u05d2.", "car means \u05d2\u05d1\u05d0."},
		{"\u05d0\u05d1\u05d2 means car.", ".means car \u05d2\u05d1\u05d0"},
		{"abc \u05d0\u05d1\u05d2 123 def", "abc 123 \u05d2\u05d1\u05d0 def"},
		{"\u05d0\u05d1 12 \u05d2\u05d3", "\u05d3\u05d2 12 \u05d1\u05d0"},
		{"plain", "plain"},
		{"\u200fcar.", ".car\u200f"},
	} {
		if got := shown(Lay(Sans, 3, c.in)); got != c.want {
			t.Errorf("%+q stands as %+q, want %+q", c.in, got, c.want)
		}
	}
}

func inkOf(l Line) []curve.Path {
	var out []curve.Path
	for _, r := range l.Runs {
		out = append(out, r.Ink...)
	}
	return out
}

// Letters of a word must join. The Unicode chart of Arabic presentation forms B gives the joined forms codes of their own:
// MEEM initial U+FEE3, HAH medial U+FEA4, MEEM medial U+FEE4, DAL final U+FEAA. The name written with plain letters must
// look as if written with those.
func TestArabicJoins(t *testing.T) {
	for _, f := range []Face{Sans, Bold} {
		plain, joined := Lay(f, 10, "\u0645\u062d\u0645\u062f"), Lay(f, 10, "\ufee3\ufea4\ufee4\ufeaa")
		if !slices.EqualFunc(inkOf(plain), inkOf(joined), func(a, b curve.Path) bool { return slices.Equal(a, b) }) || len(inkOf(plain)) < 4 {
			t.Errorf("face %d: the letters do not take their joined forms", f)
		}
	}
}

// A mark sits over its letter: O with dot below and grave (U+1ECC U+0300) is drawn as wide as O, with the grave above the
// capital's height, the dot below the baseline, and both between the letter's sides.
func TestStackedAccents(t *testing.T) {
	for _, f := range []Face{Sans, Bold} {
		const size = 100
		l := Lay(f, size, "\u1ecc\u0300")
		if want := Measure(f, size, "O"); l.Width < want-0.1 || l.Width > want+0.1 {
			t.Errorf("face %d: width %.2f, want that of O, %.2f", f, l.Width, want)
		}
		// The face's own capital with acute shows how high it wants an accent.
		if got, want := highest(Lay(f, size, "\u1ecc\u0301")), highest(Lay(f, size, "\u00d3\u200d")); got < want-8 || got > want+2 {
			t.Errorf("face %d: the accent reaches %.1f, that of the ready letter %.1f", f, got, want)
		}
		above, below := false, false
		for _, p := range inkOf(l) {
			b := p.Bounds()
			if b.Min.X < 0 || b.Max.X > l.Width {
				t.Errorf("face %d: a mark from %.1f to %.1f is beside the letter of width %.1f", f, b.Min.X, b.Max.X, l.Width)
			}
			above = above || b.Max.Y < -CapHeight*size
			below = below || b.Min.Y > 0
		}
		if !above || !below {
			t.Errorf("face %d: above %v, below %v: a mark is missing or touches the letter", f, above, below)
		}
	}
}

func highest(l Line) float64 {
	y := 0.0
	for _, p := range inkOf(l) {
		y = min(y, p.Bounds().Min.Y)
	}
	return y
}

// The same letter in one code or in two is the same to the eye (canonical equivalence, UAX 15).
func TestDecomposedIsAsWide(t *testing.T) {
	for _, c := range [][2]string{{"é", "e\u0301"}, {"Đặng", "Đa\u0323\u0306ng"}, {"ọ", "o\u0323"}} {
		a, b := Measure(Sans, 10, c[0]), Measure(Sans, 10, c[1])
		if d := a - b; d > 0.05 || d < -0.05 {
			t.Errorf("%q measures %.3f in one code, %.3f in two", c[0], a, b)
		}
	}
}

// Outlines of plain words stand where the words stand: a rune's own outline, moved by what comes before it.
func TestInkOfPlainWords(t *testing.T) {
	l := Lay(Sans, 10, "AHi")
	ink := l.Ink(10)
	if len(ink) != 2+1+2 { // A has a hole, i a dot
		t.Fatalf("%d contours, want 5", len(ink))
	}
	if x := ink[2].Bounds().Min.X - Measure(Sans, 10, "A"); x < 0.9 || x > 1.1 { // H stands 201 of 2048 off its left
		t.Errorf("H begins %.3f mm after A, want 0.98", x)
	}
}

func TestMissing(t *testing.T) {
	// DejaVu has no Chinese and no Devanagari; direction marks and joiners have no ink to miss.
	if got := string(Missing("日 Ọ̀ṣọ́ محمد 日本 \u200f\u200d ⅛")); got != "日本" {
		t.Errorf("missing %q, want 日本", got)
	}
	l := Lay(Sans, 5, "Li 日 x")
	n := 0
	for _, r := range l.Runs {
		if r.Kind == Boxed {
			n++
			if len(r.Ink) < 2+len("U+65E5") || r.Words != "日" || r.Width < 5 {
				t.Errorf("the box of 日 has %d contours and is %.1f mm wide", len(r.Ink), r.Width)
			}
		}
	}
	if n != 1 {
		t.Errorf("%d boxes, want 1", n)
	}
}

// No run may hold the face's sign for a missing glyph.
func TestNoNotdef(t *testing.T) {
	for f := range Face(Faces) {
		notdef, _ := f.outline([]rune{'\U0010FFFD'}, false, 100, curve.Point{})
		if len(notdef) == 0 {
			t.Fatalf("face %d has no sign for a missing glyph to compare with", f)
		}
		for _, s := range []string{"Ọ̀ṣọ́ Adébáyọ̀", "Nguyễn Thị Phượng", "Ελένη", "Ольга", "محمد عبد الله", "שרה לוי", "8\u202f³⁄₁₆", "☐ ✂ → °"} {
			for _, r := range Lay(f, 100, s).Runs {
				ink, _ := r.Face.outline([]rune(r.Words), RTL(r.Words), 100, curve.Point{})
				for _, p := range ink {
					if p.Bounds().W() == notdef[0].Bounds().W() && p.Bounds().H() == notdef[0].Bounds().H() {
						t.Errorf("face %d: %q holds a missing-glyph sign", f, r.Words)
					}
				}
			}
		}
	}
}

// Widths from the hmtx table of DejaVu Sans, read out of the file through its cmap table by a separate script in another
// language: A 1401, i 569, space 651 of 2048.
func TestAdvance(t *testing.T) {
	for r, units := range map[rune]float64{'A': 1401, 'i': 569, ' ': 651} {
		if got := Sans.Advance(r) * 2048; got < units-1.1 || got > units+1.1 {
			t.Errorf("%q advances %.1f units, want %.0f", r, got, units)
		}
	}
}

func TestClean(t *testing.T) {
	for _, c := range [][2]string{{"a\tb\nc", "a b c"}, {"ok", "ok"}, {"a\xffb", "a\ufffdb"}, {"\ufffd", "\ufffd"}, {"x\u2028y\x00", "x y "}} {
		if got := Clean(c[0]); got != c[1] {
			t.Errorf("Clean(%q) = %q, want %q", c[0], got, c[1])
		}
	}
}

func TestWrap(t *testing.T) {
	// UAX 14: no break at a no-break space, nor before a full stop; a break after a hyphen.
	lines := Wrap(Sans, 3, "down 8\u202f⅛ in. from the well-made top", 15)
	for _, l := range lines {
		if strings.HasSuffix(l, "8") || strings.HasPrefix(l, "⅛") || strings.HasPrefix(l, ".") {
			t.Errorf("broken at a place that holds together: %q", lines)
		}
	}
	if got := Wrap(Sans, 3, "one\n\ntwo\r\nthree", 100); !slices.Equal(got, []string{"one", "", "two", "three"}) {
		t.Errorf("line ends give %q", got)
	}
	if got := Wrap(Sans, 3, "", 10); !slices.Equal(got, []string{""}) {
		t.Errorf("nothing gives %q", got)
	}
}

func visible(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || unicode.IsControl(r) {
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "\ufffd"))
}

// Whatever the words: no rune is lost by wrapping or by laying out, and only a single letter may be wider than its place.
func FuzzWrap(f *testing.F) {
	for _, s := range []string{"Square off", "محمد 12 abc", "Ọ̀ṣọ́\nÀ", "日本 \U0001F0A1", "a\xff\t\u200db", "ffi\u0301\u0301", "\u0301", "١٢ abc ٣٤ א"} {
		f.Add(s, 12.0)
	}
	f.Fuzz(func(t *testing.T, s string, width float64) {
		if !(width > 0) || len(s) > 300 {
			return
		}
		lines := Wrap(Sans, 3, s, width)
		if got, want := visible(strings.Join(lines, "")), visible(s); got != want {
			t.Errorf("%q wrapped is %q", want, got)
		}
		for _, line := range lines {
			if w := Measure(Sans, 3, line); w > width+1e-6 && len(chunks(line, true)) > 1 {
				t.Errorf("%q is %.2f mm wide, more than %.2f", line, w, width)
			}
			runs := Lay(Sans, 3, line).Runs
			n := 0
			for _, r := range runs {
				n += utf8.RuneCountInString(r.Words)
			}
			if n != utf8.RuneCountInString(line) {
				t.Errorf("%q laid out has %d runes", line, n)
			}
		}
	})
}

func BenchmarkMeasurePlain(b *testing.B) {
	for b.Loop() {
		Measure(Sans, 3, "Square off the centre line at the armhole line")
	}
}

func BenchmarkLayArabic(b *testing.B) {
	for b.Loop() {
		Lay(Sans, 3, "محمد عبد الله")
	}
}
