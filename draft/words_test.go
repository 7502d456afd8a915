package draft

import (
	"os"
	"strings"
	"testing"

	"clothwright/body"
)

// scaffold is a script in which one word's example runs: a piece p with three marks, and its square.
const scaffold = `
garment(title = "Example")

def square4(p, a, b, c):
    d = point(a.x, c.y)
    p.edge("top", line(a, b), allowance = 1 * cm)
    p.edge("side", line(b, c), allowance = 1 * cm)
    p.edge("foot", line(c, d), allowance = 1 * cm)
    p.edge("fold", line(d, a), finish = "neat")

def draft(m, style, house):
    p = piece("p", "P", "shell")
    a = p.start("a")
    b = p.across(a, 200 * mm, "b")
    c = p.down(b, 300 * mm, "c")
`

// run drafts a script on an empty card with a millimetre tape and returns its error.
func run(t *testing.T, script string) error {
	t.Helper()
	g, err := Load("example", "example.star", []byte(script))
	if err != nil {
		return err
	}
	house := Standard()
	_, err = g.Draft(body.Card{Values: map[body.Name]body.Value{"chest_girth": {MM: 1016, From: body.Given}}}, Style{}, &house)
	return err
}

// Each word's example on the page of the language must run.
func TestExamplesRun(t *testing.T) {
	for _, v := range verbs {
		if v.example == "" {
			continue
		}
		t.Run(v.name, func(t *testing.T) {
			body := "    " + strings.ReplaceAll(v.example, "\n", "\n    ") + "\n"
			if !strings.Contains(v.example, "square4") && v.name != "edge" {
				body += "    square4(p, a, b, c)\n"
			}
			// A piece that an example begins is closed as a patch of its own, so that the pattern is whole.
			if strings.Contains(v.example, `q = piece(`) {
				if !strings.Contains(v.example, "m = q.start") {
					body += "    m = q.start(\"q1\")\n"
				}
				body += "    n = q.across(m, 5 * cm, \"q2\")\n    o = q.down(n, 5 * cm, \"q3\")\n    square4(q, m, n, o)\n"
			}
			if err := run(t, scaffold+body); err != nil {
				t.Errorf("the example of %s does not run: %v", v.name, err)
			}
		})
	}
}

func TestReferenceIsCurrent(t *testing.T) {
	page, err := os.ReadFile("../docs/drafting.md")
	if err != nil {
		t.Fatal(err)
	}
	if string(page) != Reference() {
		t.Error("docs/drafting.md is not what the table of words makes; run: go run ./cmd/clothwright words > docs/drafting.md")
	}
}

// A script's mistakes are told with the place and the mark, in one sentence, and never as a Go type or a stack.
func TestScriptMistakes(t *testing.T) {
	for _, c := range []struct{ name, body, want string }{
		{"bare number", `    d = m.chest_girth / 4 + 2`, "give the number its unit"},
		{"area", `    d = inch(1) * inch(2)`, "area"},
		{"NaN", `    d = float("nan") * cm`, "not a finite number"},
		{"infinite", `    d = float("inf") * cm`, "not a finite number"},
		{"negative distance", `    p.down(a, -2 * cm, "below")`, `"below"`},
		{"far away", `    p.down(a, 600 * 10 * cm * 10, "below")`, "at most 5000 mm"},
		{"mark twice", `    p.down(a, 2 * cm, "b")`, `mark "b" is made twice`},
		{"other piece", "    q = piece(\"q\", \"Q\", \"shell\")\n    q.down(a, 2 * cm, \"below\")", `"a" is on piece "p"`},
		{"no measure", `    d = m.wrist_girth`, "no wrist_girth"},
		{"no such measure", `    d = m.nose_length`, "nose_length"},
		{"swing too short", `    p.swing(a, 5 * cm, line(b, c), "m")`, "does not meet"},
		{"edge gap", "    p.edge(\"top\", line(a, b))\n    p.edge(\"slant\", line(c, a))\n    p.edge(\"x\", line(point(0*mm, 9*mm), b))", "must run on"},
		{"open outline", "    p.edge(\"top\", line(a, b))", "do not come back"},
		{"huge range", `    x = [i for i in range(20000000)]`, "at most 10000"},
		{"endless", "    for i in range(10000):\n        for j in range(10000):\n            x = i * j", "does a loop never end?"},
		{"recursion", "    square4(p, a, b, c)\n    draft(m, style, house)", "recursively"},
		{"load", `    x = load`, "load"},
		{"number for mark", `    p.down(3, 2 * cm, "m")`, "want mark"},
		{"no such word", `    p.fly(a)`, "fly"},
		{"phrase without its value", `    t = phrase("%s to %s", inch(1))`, "more places than the 1 values given"},
		{"phrase with one too many", `    t = phrase("all %d%%", 5, 6)`, "1 places and 2 values are given"},
		{"phrase with a strange place", `    t = phrase("%z", 5)`, "phrase"},
		{"number for a reason", `    p.down(a, 2 * cm, "m", why = 5)`, "a text or a phrase is wanted"},
	} {
		t.Run(c.name, func(t *testing.T) {
			err := run(t, scaffold+c.body+"\n")
			if err == nil {
				t.Fatal("nothing was said")
			}
			text := err.Error()
			if !strings.Contains(text, c.want) {
				t.Errorf("said %q; %q is not in it", text, c.want)
			}
			for _, bad := range []string{"*draft.", "starlark", "Traceback", "\n", "goroutine"} {
				if strings.Contains(text, bad) {
					t.Errorf("%q stands in %q", bad, text)
				}
			}
			if c.name != "open outline" && !strings.HasPrefix(text, "example.star:") {
				t.Errorf("%q does not say where", text)
			}
		})
	}
}

// A script that is none, or whose name would break the lines of every sheet, is refused with its file.
func TestScriptsThatAreNone(t *testing.T) {
	for src, want := range map[string]string{
		"": "has no draft(m, style, house)",
		"garment(title = \"one\\ntwo\")\ndef draft(m, style, house):\n    pass\n": "the title stands on one line",
		strings.Repeat("#\n", 1<<20): "larger than 1024 kB",
	} {
		_, err := Load("x", "x.star", []byte(src))
		if err == nil || !strings.HasPrefix(err.Error(), "x.star:") || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%.40q: it is said %v; %q is wanted", src, err, want)
		}
	}
	g, err := Load("x", "x.star", []byte("def draft(m, style, house):\n    pass\n"))
	if err != nil {
		t.Fatal(err)
	}
	if _, errs := g.Style(map[string]any{"ease": "trim"}, 0); len(errs) != 1 || !strings.HasSuffix(errs[0].Error(), "it has none") {
		t.Errorf("a choice where there are none: %v", errs)
	}
}

// Marks are rounded to the tape when they are made, and later ones build on the rounded one.
func TestMarksAreTaped(t *testing.T) {
	g, err := Load("example", "example.star", []byte(scaffold+`
    d = p.down(a, inch(8.17), "line")
    e = p.down(d, inch(1.06), "next")
    square4(p, a, b, c)
`))
	if err != nil {
		t.Fatal(err)
	}
	house := Standard()
	p, err := g.Draft(body.Card{}, Style{}, &house)
	if err != nil {
		t.Fatal(err)
	}
	// Common practice, no source: 8.17 in on an eighth tape is 8 1/8; 1.06 more is 1, and so 9 1/8.
	for _, c := range []struct {
		name, taped string
		y           float64
	}{{"line", "8 1/8 in", 8.125 * 25.4}, {"next", "1 in", 9.125 * 25.4}} {
		m := p.Pieces[0].Mark(c.name)
		if m == nil || m.Taped != c.taped || m.At.Y-c.y > 1e-9 || c.y-m.At.Y > 1e-9 {
			t.Errorf("mark %q is %+v; want %s at %.4f", c.name, m, c.taped, c.y)
		}
	}
}

// Starlark's own % says what is put in (its specification, "String interpolation"); a length is said as the tape has it, 8 1/8 in to an
// eighth (common practice, no source).
func TestPhraseSaysWhatPercentSays(t *testing.T) {
	g, err := Load("example", "example.star", []byte(scaffold+`
    said = phrase("%s of %d%%, %s", "hem", 79.9, inch(8.13))
    p.down(a, inch(1), "m", why = said)
    say("note", "x", phrase("so it is: %s", said))
    if str(said) != "%s of %d%%, 8 1/8 in" % ("hem", 79.9):
        refuse("they differ: " + str(said))
    square4(p, a, b, c)
`))
	if err != nil {
		t.Fatal(err)
	}
	house := Standard()
	p, err := g.Draft(body.Card{}, Style{}, &house)
	if err != nil {
		t.Fatal(err)
	}
	if why := p.Pieces[0].Mark("m").Why; why.Pattern != "{1} of {2}%, {3}" || why.String() != "hem of 79%, 8 1/8 in" {
		t.Errorf("%q says %q", why.Pattern, why)
	}
	if f := p.Said[0]; f.Text != "so it is: hem of 79%, 8 1/8 in" || f.Said.With[0].Pattern != "{1} of {2}%, {3}" {
		t.Errorf("%+v", f)
	}
}

func FuzzScript(f *testing.F) {
	f.Add(`    p.down(a, 2 * cm, "m")`)
	f.Add(`    x = float("nan")`)
	f.Add(`    p.edge("top", sweep(a, b, leave = DOWN, arrive = UP, full = 1.1), allowance = 5 * cm)`)
	f.Add(`    x = [1] * 1000`)
	for _, v := range verbs {
		f.Add("    " + strings.ReplaceAll(v.example, "\n", "\n    "))
	}
	f.Fuzz(func(t *testing.T, body string) {
		// Memory in one operator is the child process's to limit, so the fuzzer does not ask for it.
		if len(body) > 2000 || strings.Contains(body, "*") && strings.Contains(body, "0000") {
			t.Skip()
		}
		_ = run(t, scaffold+body+"\n    square4(p, a, b, c)\n")
	})
}
