package tape

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Worked by hand from 1 in = 25.4 mm, exact since the international yard and pound agreement of 1959.
func TestParse(t *testing.T) {
	for _, r := range []struct {
		in   string
		bare Unit
		mm   float64
	}{
		{"8 1/8in", 0, 206.375}, {"8 1/8 in", 0, 206.375}, {`8-1/8"`, 0, 206.375}, {"8   1/8   IN", 0, 206.375},
		{"15 1/2", IN, 393.7}, {"15½", IN, 393.7}, {"15 ½ in", 0, 393.7}, {"½in", 0, 12.7}, {"15 1⁄2 in", 0, 393.7},
		{"20.5cm", 0, 205}, {"39,5 cm", 0, 395}, {"20.6 cm", 0, 206}, {"0.7cm", 0, 7}, {"206mm", 0, 206}, {"206", MM, 206}, {"41", CM, 410},
		{`1/2"`, 0, 12.7}, {"8″", 0, 203.2}, {"8”", 0, 203.2}, {"  9 in\t", 0, 228.6}, {"5/32 in", 0, 3.96875}, {"7/4 in", 0, 44.45},
		{"8.125 in", 0, 206.375}, {"0 in", IN, 0}, {"0", CM, 0}, {"10000 mm", 0, 10000}, {"1000 cm", 0, 10000}, {"0,125 in", 0, 3.175},
		{"12\u00a01/4\u202fin", 0, 311.15}, {"8‐1/8 in", 0, 206.375}, {"007 mm", 0, 7},
	} {
		if mm, err := Parse(r.in, r.bare); err != nil || mm != r.mm {
			t.Errorf("%q: got %.17g, %v; want %g", r.in, mm, err, r.mm)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, r := range []struct {
		in   string
		bare Unit
		says string
	}{
		{"", MM, "empty"}, {"   ", MM, "empty"}, {"in", 0, "no number"}, {`"`, 0, "no number"},
		{"-2 in", 0, "negative"}, {"−2 in", 0, "negative"}, {"-1/4 in", 0, "negative"},
		{"8 1/3in", 0, "a tape has halves, quarters, eighths and sixteenths"}, {"⅓ in", 0, "halves"}, {"1/0", IN, "halves"}, {"1/64 in", 0, "halves"},
		{"9 9/8 in", 0, "less than 1"}, {"9 8/8 in", 0, "less than 1"}, {"0 9/8 in", 0, "less than 1"},
		{"15 1/2", 0, "write mm, cm or in"}, {"7", 0, "no unit"}, {"1/2", MM, "fractions are for inches"}, {"8 1/2 cm", 0, "fractions are for inches"},
		{"NaN", MM, "no length"}, {"Inf", MM, "no length"}, {"inf in", 0, "no length"}, {"1e3mm", 0, "no length"}, {"0x10 mm", 0, "no length"},
		{"+5 mm", 0, "no length"}, {"5.", MM, "no length"}, {".5", MM, "no length"}, {"1_000 mm", 0, "no length"}, {"1 000 mm", 0, "no length"},
		{"1,234.5 mm", 0, "two decimal marks"}, {"1.234,5 mm", 0, "two decimal marks"}, {"1,234 mm", 0, "comma"}, {"1'234 mm", 0, "no length"},
		{"2 in cm", 0, "two units"}, {"2 cm mm", 0, "two units"}, {`2 in"`, 0, "two units"}, {"5 ft", 0, "no length"}, {"5 ft 2 in", 0, "no length"},
		{"10000.1 mm", 0, "10 m"}, {"394 in", 0, "10 m"}, {"999999999 cm", 0, "10 m"}, {"99999999999 mm", 0, "no length"},
		{"8 1 /8/8 in", 0, "no length"}, {"8 -1/8 in", 0, "no length"}, {"8 - 1/8 in", 0, "no length"}, {"8--1/8 in", 0, "no length"}, {"8.5 1/2 in", 0, "no length"},
		{"⅓2 in", 0, "no length"}, {"½½ in", 0, "no length"}, {"1½2 in", 0, "no length"}, {"1/½ in", 0, "no length"}, {"٣ mm", 0, "no length"},
		{strings.Repeat("9", 500), MM, "no length"}, {"\x00\xff mm", 0, "no length"}, {"8 / in", 0, "no length"}, {"/8 in", 0, "no length"},
	} {
		mm, err := Parse(r.in, r.bare)
		if err == nil {
			t.Errorf("%q: taken as %g", r.in, mm)
			continue
		}
		if msg := err.Error(); !strings.Contains(msg, r.says) || strings.ContainsAny(msg, "\n\x00") || len(msg) > 300 {
			t.Errorf("%q: %q does not say %q in one sentence", r.in, msg, r.says)
		}
	}
}

func TestTapes(t *testing.T) {
	for _, r := range []struct {
		in, name string
		step     float64
	}{
		{"1/2 in", "1/2 in", 12.7}, {"1/4 in", "1/4 in", 6.35}, {"1/8in", "1/8 in", 3.175}, {" 1/16  IN ", "1/16 in", 1.5875},
		{"1 cm", "1 cm", 10}, {"0.5 cm", "5 mm", 5}, {"5mm", "5 mm", 5}, {"2 mm", "2 mm", 2}, {"1 mm", "1 mm", 1},
	} {
		tp, err := ParseTape(r.in)
		if err != nil || tp.String() != r.name || tp.Step != r.step {
			t.Errorf("%q: got %v %g %v", r.in, tp, tp.Step, err)
		}
	}
	for _, in := range []string{"", "in", "1/3 in", "1 / 8 in", "1/ 8 in", "3 mm", "1 in", "1/8", "1/8 cm", "1/8 in 1/8 in"} {
		if _, err := ParseTape(in); err == nil || !strings.Contains(err.Error(), "1/16 in") {
			t.Errorf("%q: %v must be refused and say what is allowed", in, err)
		}
	}
	for _, in := range []string{"mm", " CM ", "in"} {
		if u, err := ParseUnit(in); err != nil || !strings.EqualFold(u.String(), strings.TrimSpace(in)) {
			t.Errorf("%q: %v %v", in, u, err)
		}
	}
	if _, err := ParseUnit("ell"); err == nil {
		t.Error("an ell is not taken")
	}
}

// By hand: eighths of an inch are 3.175 mm.
func TestRoundAndFormat(t *testing.T) {
	for _, r := range []struct {
		tape                string
		mm                  float64
		round, down, up     float64
		format, plain, fine string
	}{
		{"1/8 in", 206.375, 206.375, 206.375, 206.375, "8 1/8 in", "8 1/8", "8 1/8 in"},
		{"1/8 in", 207, 206.375, 206.375, 209.55, "8 1/8 in", "8 1/8", "8 1/8 in"},
		{"1/8 in", 1.5875, 3.175, 0, 3.175, "1/8 in", "1/8", "1/16 in"},
		{"1/8 in", 1.5874, 0, 0, 3.175, "0 in", "0", "1/16 in"},
		{"1/8 in", -1.5875, -3.175, -3.175, 0, "-1/8 in", "-1/8", "-1/16 in"},
		{"1/8 in", -0.1, 0, -3.175, 0, "0 in", "0", "0 in"},
		{"1/4 in", -6.35, -6.35, -6.35, -6.35, "-1/4 in", "-1/4", "-1/4 in"},
		{"1/2 in", 12.7, 12.7, 12.7, 12.7, "1/2 in", "1/2", "1/2 in"},
		{"1/2 in", 25.4, 25.4, 25.4, 25.4, "1 in", "1", "1 in"},
		{"1/16 in", -30.1625, -30.1625, -30.1625, -30.1625, "-1 3/16 in", "-1 3/16", "-1 3/16 in"},
		{"5 mm", 204.9, 205, 200, 205, "20.5 cm", "20.5", "20.5 cm"},
		{"2 mm", 205.5, 206, 204, 206, "20.6 cm", "20.6", "20.6 cm"},
		{"1 cm", 204.4, 200, 200, 210, "20 cm", "20", "20.4 cm"},
		{"1 mm", -0.4, 0, -1, 0, "0 cm", "0", "0 cm"},
		{"1 mm", 0.7, 1, 0, 1, "0.1 cm", "0.1", "0.1 cm"},
	} {
		tp, err := ParseTape(r.tape)
		if err != nil {
			t.Fatal(err)
		}
		if a, b, c := tp.Round(r.mm), tp.Down(r.mm), tp.Up(r.mm); a != r.round || b != r.down || c != r.up {
			t.Errorf("%s at %g: rounds to %g, down %g, up %g; want %g %g %g", r.tape, r.mm, a, b, c, r.round, r.down, r.up)
		}
		if math.Signbit(tp.Round(r.mm)) && tp.Round(r.mm) == 0 {
			t.Errorf("%s at %g: minus zero", r.tape, r.mm)
		}
		if a, b, c := tp.Format(r.mm), tp.Plain(r.mm), tp.Fine(r.mm); a != r.format || b != r.plain || c != r.fine {
			t.Errorf("%s at %g: says %q %q %q; want %q %q %q", r.tape, r.mm, a, b, c, r.format, r.plain, r.fine)
		}
	}
	if s := (Tape{}).Format(3.4); s != "3 mm" {
		t.Errorf("the zero tape says %q", s)
	}
	if s := (Tape{IN, Inch / 8}).Format(math.NaN()); s != "? in" {
		t.Errorf("what is no number is said %q", s)
	}
}

func drawTape(t *rapid.T) Tape {
	return tapes[rapid.IntRange(0, len(tapes)-1).Draw(t, "tape")].tape
}

func TestTapeProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tp := drawTape(t)
		mm := rapid.Float64Range(-9990, 9980).Draw(t, "mm")
		r := tp.Round(mm)
		if math.Abs(r-mm) > tp.Step*(0.5+2e-9) {
			t.Fatalf("%g rounds to %g, farther than half a step", mm, r)
		}
		if tp.Round(r) != r || tp.Down(r) != r || tp.Up(r) != r {
			t.Fatalf("the mark %g does not stay where it is: %g %g %g", r, tp.Round(r), tp.Down(r), tp.Up(r))
		}
		if tp.Round(-mm) != -r {
			t.Fatalf("-%g does not round like %g", mm, mm)
		}
		if d, u := tp.Down(mm), tp.Up(mm); d > mm+tp.Step*2e-9 || u < mm-tp.Step*2e-9 || u-d > tp.Step*1.000001 {
			t.Fatalf("%g lies not between %g and %g", mm, d, u)
		}
		// A sum of steps that has lost bits is still on its mark, and a lost bit does not tip a half.
		n := rapid.IntRange(1, 200).Draw(t, "steps")
		sum := 0.0
		for range n {
			sum += tp.Step
		}
		if tp.Down(sum) != tp.Up(sum) || math.Abs(tp.Down(sum)-sum) > 1e-9 {
			t.Fatalf("%d steps lie not on a mark", n)
		}
		if half := tp.Round(sum + 0.5*tp.Step - 1e-12); math.Abs(half-sum-tp.Step) > 1e-9 {
			t.Fatalf("half a step above mark %d rounds to %g", n, half)
		}
		// What is printed reads back as what was rounded, to the last bit.
		text := tp.Format(math.Abs(mm))
		if back, err := Parse(text, 0); err != nil || back != tp.Round(math.Abs(mm)) {
			t.Fatalf("%q reads back as %.17g, %v; it was %.17g", text, back, err, tp.Round(math.Abs(mm)))
		}
		if back, err := Parse(tp.Plain(math.Abs(mm)), tp.Unit); err != nil || back != tp.Round(math.Abs(mm)) {
			t.Fatalf("plain: %v %v", back, err)
		}
		fine := tp.Fine(math.Abs(mm))
		if back, err := Parse(fine, 0); err != nil || math.Abs(back-math.Abs(mm)) > 0.5*math.Min(tp.Step, 1.5875)+1e-6 {
			t.Fatalf("%q is too far from %g: %v", fine, mm, err)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"8 1/8in", `8-1/8"`, "15½", "39,5 cm", "206mm", "1e9", "-1/2 in", "8 1⁄8 in", "⅞″", "1,234.5", "NaN", "\xff/2\""} {
		f.Add(s, 0)
		f.Add(s, 3)
	}
	f.Fuzz(func(t *testing.T, s string, bare int) {
		mm, err := Parse(s, Unit(bare))
		if err != nil {
			if mm != 0 || strings.Contains(err.Error(), "\n") {
				t.Errorf("%q: %g %q", s, mm, err)
			}
			return
		}
		if !(mm >= 0 && mm <= Longest) {
			t.Fatalf("%q: %g is out of range", s, mm)
		}
		for _, k := range tapes {
			text := k.tape.Format(mm)
			back, err := Parse(text, 0)
			if want := k.tape.Round(mm); want <= Longest && (err != nil || back != want) {
				t.Errorf("%q: printed %q, read back %g, %v", s, text, back, err)
			}
		}
	})
}

func FuzzParseTape(f *testing.F) {
	for _, k := range tapes {
		f.Add(k.name)
	}
	f.Add("0.5 cm")
	f.Add("1 /8 in")
	f.Fuzz(func(t *testing.T, s string) {
		tp, err := ParseTape(s)
		if err != nil {
			return
		}
		if again, err := ParseTape(tp.String()); err != nil || again != tp {
			t.Errorf("%q: %v %v", s, again, err)
		}
	})
}

func BenchmarkParse(b *testing.B) {
	for b.Loop() {
		Parse("8 1/8 in", 0)
	}
}

func BenchmarkFormat(b *testing.B) {
	tp := Tape{IN, Inch / 8}
	for b.Loop() {
		tp.Format(206.3)
	}
}
