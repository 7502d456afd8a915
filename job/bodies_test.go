package job

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"clothwright/body"
	"clothwright/curve"
	"clothwright/draft"
	"clothwright/garments"
	"clothwright/piece"
	"clothwright/tape"
)

func jacket(t testing.TB) *draft.Garment {
	t.Helper()
	src, _ := garments.Script("rib-zip-jacket")
	g, err := draft.Load("rib-zip-jacket", "draft.star", src)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// bodies is the table of measured people: ANSUR II, the 2012 Anthropometric Survey of US Army Personnel, public domain.
func bodies(t testing.TB) []byte {
	t.Helper()
	table, err := os.ReadFile("../../shared/data/bodies.csv")
	if err != nil {
		t.Skip("the table of measured people is not beside the checkout; skipped")
	}
	return table
}

// On measured people every jacket can be drafted and nothing says do not cut: every wearing rule is met after its
// corrections. A tenth of the people in each ease; internal/fit drafts all of them.
func TestMeasuredPeople(t *testing.T) {
	lines := bytes.SplitAfter(bodies(t), []byte("\n"))
	var sample []byte
	for i, l := range lines {
		if i%10 == 0 {
			sample = append(sample, l...)
		}
	}
	g := jacket(t)
	for _, ease := range []string{"trim", "regular", "roomy"} {
		style, _ := g.Style(map[string]any{"ease": ease}, 0)
		b := Batch{File: "bodies.csv", Garment: g, Style: style, House: draft.Standard(), Unit: tape.MM, Workers: 2,
			Line: func([]byte) error { return nil },
			Each: func(id string, r *Result) error {
				for _, f := range r.Findings {
					if f.Level == piece.Stop {
						t.Errorf("%s, %s: %s", ease, id, f.Text)
					}
				}
				for _, w := range r.Pattern.Worn {
					if w.Ease() < w.Least-1e-6 {
						t.Errorf("%s, %s: %s has %.1f mm of ease; %.1f is wanted", ease, id, w.At, w.Ease(), w.Least)
					}
				}
				return nil
			}}
		tally, err := b.Run(context.Background(), bytes.NewReader(sample))
		if err != nil {
			t.Fatal(err)
		}
		if tally.Rows < 190 || tally.Failed > 0 {
			t.Errorf("%s: of %d people %d could not be drafted", ease, tally.Rows, tally.Failed)
		}
	}
}

// A batch keeps the table's order and gives the same bytes with one worker as with four.
func TestBatchIsTheSameWithMoreWorkers(t *testing.T) {
	var rows strings.Builder
	rows.WriteString("id,chest_girth,shoulder_width,body_length,arm_length,wrist_girth\n")
	for i := range 40 {
		fmt.Fprintf(&rows, "p%02d,%d,%d,610,600,%d\n", i, 850+13*i, 380+2*i, 150+i)
	}
	g := jacket(t)
	style, _ := g.Style(nil, 0)
	run := func(workers int) string {
		var out strings.Builder
		b := Batch{File: "t.csv", Garment: g, Style: style, House: draft.Standard(), Unit: tape.MM, Workers: workers,
			Line: func(l []byte) error { out.Write(l); return nil }}
		if _, err := b.Run(context.Background(), strings.NewReader(rows.String())); err != nil {
			t.Fatal(err)
		}
		return out.String()
	}
	one, four := run(1), run(4)
	if one != four {
		t.Error("one worker and four give different lines")
	}
	if got := strings.Count(one, "\n"); got != 40 {
		t.Errorf("%d lines for 40 bodies", got)
	}
	for i, l := range strings.Split(strings.TrimSpace(one), "\n") {
		if !strings.HasPrefix(l, fmt.Sprintf(`{"id":"p%02d"`, i)) {
			t.Fatalf("line %d is %.30s: the order is lost", i, l)
		}
	}
}

// likely draws a tape card of somebody who might come in.
func likely(t *rapid.T) body.Card {
	mm := func(n string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, n) }
	chest := mm("chest", 700, 1500)
	c := body.Card{Figure: rapid.SampledFrom([]body.Figure{"", body.Women, body.Men}).Draw(t, "figure"), Values: map[body.Name]body.Value{}}
	for n, v := range map[body.Name]float64{
		"chest_girth":     chest,
		"waist_girth":     chest * mm("waist", 0.7, 1.15),
		"hip_girth":       chest * mm("hip", 0.85, 1.25),
		"neck_base_girth": chest * mm("neck", 0.36, 0.46),
		"shoulder_width":  mm("shoulder", 350, 520),
		"back_width":      mm("back", 320, 480),
		"nape_to_waist":   mm("nape to waist", 360, 520),
		"underarm_depth":  mm("underarm", 130, 230),
		"body_length":     mm("length", 520, 800),
		"arm_length":      mm("arm", 480, 700),
		"upper_arm_girth": chest * mm("upper arm", 0.27, 0.38),
		"wrist_girth":     mm("wrist", 135, 215),
		"hand_girth":      mm("hand", 170, 250),
	} {
		c.Values[n] = body.Value{MM: math.Round(v), From: body.Given}
	}
	return c
}

// Whoever comes in, a pattern that is drafted has simple outlines and true seams, its cut lines lie outside its seam
// lines, and only the body, never the geometry, is a reason not to cut.
func TestPlausibleBodies(t *testing.T) {
	g := jacket(t)
	house := draft.Standard()
	rapid.Check(t, func(rt *rapid.T) {
		card := likely(rt)
		house.Tape = rapid.SampledFrom([]tape.Tape{{Unit: tape.IN, Step: tape.Inch / 4}, {Unit: tape.IN, Step: tape.Inch / 8}, {Unit: tape.IN, Step: tape.Inch / 16}, {Unit: tape.CM, Step: 10}, {Unit: tape.CM, Step: 5}, {Unit: tape.CM, Step: 1}}).Draw(rt, "tape")
		style, _ := g.Style(map[string]any{"ease": rapid.SampledFrom([]string{"trim", "regular", "roomy"}).Draw(rt, "ease"), "padding": rapid.SampledFrom([]string{"none", "fleece"}).Draw(rt, "padding")}, 0)
		j := &Job{File: "t", Number: "t", Garment: g, Card: card, Style: style, House: house}
		r, err := j.Cut()
		if err != nil {
			// A refusal is a sentence about the measures, never about the geometry.
			if s := err.Error(); !strings.Contains(s, "measure") && !strings.Contains(s, "needed") && !strings.Contains(s, "finer tape") {
				rt.Fatalf("%v", err)
			}
			return
		}
		for _, f := range r.Findings {
			if f.Level == piece.Stop && !strings.HasPrefix(f.Code, "worn:") && !strings.HasPrefix(f.Code, "doubt:") && !strings.HasPrefix(f.Code, "rib:") {
				rt.Errorf("%s (%s)", f.Text, f.Code)
			}
		}
		for i := range r.Pattern.Pieces {
			p := &r.Pattern.Pieces[i]
			seam, cutLine := p.Outline(0.05)
			if !curve.Simple(seam) || !curve.Simple(cutLine) {
				rt.Errorf("%s crosses itself", p.Name)
			}
			if curve.PolygonArea(cutLine) < curve.PolygonArea(seam)-1 {
				rt.Errorf("the cut line of %s encloses less than its seam line", p.Name)
			}
		}
	})
}

// More chest is never a smaller quarter, a shallower armhole line by the rule, or less cloth across (common practice).
func TestMoreChestIsNeverLess(t *testing.T) {
	last := 0.0
	lastDepth := 0.0
	for mm := 760; mm <= 1400; mm += 7 {
		m := strings.Replace(forty, `"40 in"`, fmt.Sprintf("\"%d mm\"", mm), 1)
		r := cut(t, m, "", "tape = \"1 mm\"\n")
		quarter, depth := mark(t, r, "front", "armhole point").At.X, mark(t, r, "front", "armhole line").At.Y
		if quarter < last || depth < lastDepth {
			t.Errorf("chest %d mm: quarter %.1f after %.1f, armhole line %.1f after %.1f", mm, quarter, last, depth, lastDepth)
		}
		last, lastDepth = quarter, depth
	}
}

func FuzzJob(f *testing.F) {
	f.Add([]byte("garment = \"rib-zip-jacket\"\nunit = \"in\"\n[measures]\n" + forty))
	f.Add([]byte("garment = \"rib-zip-jacket\"\n[measures]\nchest_girth = \"400 cm\"\n[style]\nease = 3"))
	f.Add([]byte("garment = \"rib-zip-jacket\"\nsize_table = \"ansur2-men\"\nsize = \"40\"\n[measures]\nbody_length = \"2 ft\"\n[left]\narm_length = { size = \"60 cm\", confirmed = true }"))
	f.Add([]byte("\xef\xbb\xbf[[measures]]\nx = nan"))
	f.Fuzz(func(t *testing.T, src []byte) {
		j, err := Read("f.toml", src, nil)
		if err != nil {
			for _, bad := range []string{"goroutine", "map[string]", "struct {", "panic"} {
				if strings.Contains(err.Error(), bad) && !bytes.Contains(src, []byte(bad)) {
					t.Errorf("%q stands in %q", bad, err)
				}
			}
			return
		}
		r, err := j.Cut()
		if err != nil {
			return
		}
		if _, err := r.JSON(); err != nil {
			t.Error(err)
		}
	})
}

// Several mistakes in a house file are told in the order of its sections, whenever it is read: the same file gets the same answer.
// Common practice, no source.
func TestHouseMistakesInOrder(t *testing.T) {
	src := []byte("[rib.collar]\nleast = 0.99\n[rib.hem]\nleast = 0.99\n[rib.cuff]\nleast = 0.99\n")
	for range 20 {
		_, err := ReadHouse("h.toml", src)
		if err == nil {
			t.Fatal("ribs whose least is above their ratio were taken")
		}
		s := err.Error()
		cuff, hem, collar := strings.Index(s, "rib.cuff"), strings.Index(s, "rib.hem"), strings.Index(s, "rib.collar")
		if !(0 <= cuff && cuff < hem && hem < collar) {
			t.Fatalf("the mistakes stand in another order:\n%s", s)
		}
	}
}

// A mistake is told with its own line, also in the second of two cloths and in a later cloth's flaw. Common practice, no source.
func TestHouseMistakesLines(t *testing.T) {
	src := []byte("[[cloth]]\nmaterial = \"shell\"\nwidth = \"45 in\"\nfold = \"open\"\n[[cloth.flaw]]\nx = \"1 in\"\ny = \"1 in\"\nwide = \"1 in\"\nlong = \"1 in\"\n" +
		"[[cloth]]\nmaterial = \"lining\"\nwidth = \"1 in\"\nfold = \"double\"\n[[cloth.flaw]]\nx = \"a yard\"\n")
	_, err := ReadHouse("h.toml", src)
	for _, want := range []string{"h.toml:12: width", "h.toml:13: cloth \"lining\": fold", "h.toml:15: x"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q is not in what is said:\n%v", want, err)
		}
	}
}

// An angle is a number and nothing else but its unit.
func TestAngle(t *testing.T) {
	for s, want := range map[string]float64{"20": 20, " 20.5 deg": 20.5, "20°": 20, "20 in": -1, "20x": -1, "nan": -1, "": -1} {
		got, err := degrees(s)
		if (err != nil) != (want < 0) || err == nil && got != want {
			t.Errorf("%q: %g, %v", s, got, err)
		}
	}
}

func FuzzHouse(f *testing.F) {
	f.Add([]byte("tape = \"1/8 in\"\n[rib]\nstretch = 0.5\n[rib.cuff]\nratio = 0.7\n[[cloth]]\nmaterial = \"shell\"\nwidth = \"45 in\""))
	f.Add([]byte("zips = [\"14 in\", 3, nan]\n[allowances]\nside = -1"))
	f.Fuzz(func(t *testing.T, src []byte) {
		h, err := ReadHouse("h.toml", src)
		if err != nil {
			return
		}
		if !(h.ReadyBand > h.RibSeam) || h.Tape.Step <= 0 {
			t.Errorf("a house that cannot be was taken: %+v", h)
		}
	})
}

func FuzzBatch(f *testing.F) {
	f.Add("id,chest_girth\na,1000\nb,\"x\n")
	f.Add("id,sex,age,chest_girth,shoulder_width,body_length,arm_length,wrist_girth\na,f,30,1000,400,600,600,160\n")
	g := jacket(f)
	style, _ := g.Style(nil, 0)
	f.Fuzz(func(t *testing.T, table string) {
		n := 0
		b := Batch{File: "t.csv", Garment: g, Style: style, House: draft.Standard(), Unit: tape.MM, Workers: 1, Line: func([]byte) error { n++; return nil }}
		tally, err := b.Run(context.Background(), strings.NewReader(table))
		if err == nil && n != tally.Rows {
			t.Errorf("%d lines for %d rows", n, tally.Rows)
		}
	})
}
