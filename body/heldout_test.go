package body_test

import (
	"os"
	"sync"
	"testing"

	"clothwright/body"
	"clothwright/internal/population/fit"
	"clothwright/internal/population/heldout"
)

// survey is the people of the sample of ANSUR II (2012, NATICK/TR-15/007), or a skip where it is not beside the checkout.
func survey(t testing.TB) []fit.Person {
	t.Helper()
	f, err := os.Open("../../shared/data/bodies.csv")
	if err != nil {
		t.Skip("the table of measured people, ../shared/data/bodies.csv, is not here")
	}
	defer f.Close()
	people, err := fit.Read(f)
	if err != nil {
		t.Fatal(err)
	}
	return people
}

var dealt struct {
	sync.Once
	folds []heldout.Fold
}

// folds are populations and people they have not seen: ANSUR II, 5 folds.
func folds(t testing.TB) []heldout.Fold {
	people := survey(t)
	dealt.Do(func() { dealt.folds = heldout.Deal(people, 5) })
	return dealt.folds
}

// ANSUR II held out. One faultless card in 100 at most may draw a doubt, whatever is on it.
func TestFaultlessCardsDrawNoDoubt(t *testing.T) {
	fs := folds(t)
	for name, set := range map[string][]body.Name{"musts": heldout.Musts, "chest, arm, wrist": heldout.Bare, "twelve": heldout.Twelve, "all": heldout.All} {
		for _, figure := range []bool{true, false} {
			for _, age := range []bool{true, false} {
				if a := heldout.FalseAlarms(fs, set, figure, age); a.Share() > 0.01 {
					t.Errorf("%s, figure stated %v, age stated %v: %d of %d faultless cards are doubted", name, figure, age, a.Hit, a.N)
				}
			}
		}
	}
	for _, set := range [][]body.Name{heldout.Musts, heldout.Twelve, heldout.All} {
		if a := heldout.FalseStops(fs, set); a.Hit > 0 {
			t.Errorf("%d measures: %d of %d faultless cards are said never to be", len(set), a.Hit, a.N)
		}
	}
	if a := heldout.FalseAlarmsAnySubset(fs); a.Share() > 0.01 {
		t.Errorf("any measures: %d of %d faultless cards are doubted", a.Hit, a.N)
	}
}

// ANSUR II held out. The sizes are about what a plain Gaussian on logarithms reaches at one false alarm in 100 cards,
// in inches.
func TestOneWrongMeasureIsSeenAndNamed(t *testing.T) {
	fs := folds(t)
	for _, row := range []struct {
		name   body.Name
		inches float64
	}{
		{"wrist_girth", 1.0625}, {"hand_girth", 1.3125}, {"shoulder_length", 1.875}, {"neck_base_girth", 3.125}, {"arm_length", 3.875},
		{"nape_to_waist", 4.125}, {"back_width", 5.125}, {"chest_girth", 7.5}, {"hip_girth", 7.5}, {"waist_girth", 8.125},
	} {
		s := heldout.Wrong(fs, heldout.Twelve, row.name, true, 1, "", heldout.By(row.inches*25.4))
		if s.Doubted.Share() < 0.95 || s.Named.Share() < 0.94 || s.Alone.Share() < 0.93 {
			t.Errorf("%s wrong by %v in: doubted %.3f, named %.3f, no other measure named %.3f", row.name, row.inches, s.Doubted.Share(), s.Named.Share(), s.Alone.Share())
		}
	}
}

// ANSUR II held out. 99 slips of the unit in 100, and halves taken for wholes, are to be seen and the measure named; the slip
// itself is named as surely as the spread of the measure lets twice be told from 2.54 times.
func TestSlipsAreNamed(t *testing.T) {
	fs := folds(t)
	for _, set := range [][]body.Name{heldout.Musts, heldout.Twelve} {
		for _, s := range []struct {
			factor float64
			name   string
			named  float64
		}{
			{2.54, "centimetres read as inches", 0.97}, {1 / 2.54, "inches read as centimetres", 0.97},
			{0.5, "half taken for whole", 0.90}, {2, "whole taken for half", 0.90},
		} {
			for _, n := range set {
				for _, figure := range []bool{true, false} {
					got := heldout.Wrong(fs, set, n, figure, 3, s.name, heldout.Times(s.factor))
					if got.Named.Share() < 0.99 || got.Slip.Share() < s.named {
						t.Errorf("%d measures, figure stated %v, %s of %s: named %.4f, the slip too %.4f", len(set), figure, s.name, n, got.Named.Share(), got.Slip.Share())
					}
				}
			}
		}
	}
}

// ANSUR II held out. Pairs whose figures lie well apart.
func TestExchangedMeasuresAreNamed(t *testing.T) {
	fs := folds(t)
	for _, p := range [][2]body.Name{{"wrist_girth", "hand_girth"}, {"shoulder_length", "hand_girth"}, {"upper_arm_girth_flexed", "wrist_girth"}, {"chest_girth", "arm_length"}, {"waist_girth", "height"}} {
		if e := heldout.Exchange(fs, heldout.Twelve, p[0], p[1], 1); e.Named.Share() < 0.97 {
			t.Errorf("%v exchanged: doubted %.3f, named %.3f", p, e.Doubted.Share(), e.Named.Share())
		}
	}
}

// ANSUR II held out. The bounds are the spreads that the best linear rule leaves, in mm, and the stated spread must be true:
// nineteen in twenty within 1.96 of it.
func TestEstimatesOfPeopleNotSeen(t *testing.T) {
	fs := folds(t)
	bound := map[body.Name]float64{"neck_base_girth": 16, "back_width": 25, "waist_girth": 53, "hip_girth": 44, "nape_to_waist": 24,
		"upper_arm_girth_flexed": 21, "hand_girth": 7, "head_girth": 16.5, "underarm_depth": 14, "height": 39}
	var hidden []body.Name
	for _, n := range body.Names() {
		if bound[n] > 0 {
			hidden = append(hidden, n)
		}
	}
	for _, e := range heldout.Estimates(fs, heldout.Musts, hidden, true) {
		if e.SD > bound[e.Measure] || e.Mean > 0.2*e.SD || e.Mean < -0.2*e.SD || e.Within < 0.93 || e.Within > 0.985 {
			t.Errorf("%s: mean error %.1f, standard deviation %.1f, within %.3f", e.Measure, e.Mean, e.SD, e.Within)
		}
	}
}

// ANSUR II: no rule of what a body can be is broken by anyone who was measured.
func TestNobodyMeasuredBreaksARule(t *testing.T) {
	for _, p := range survey(t) {
		c := p.Card(append([]body.Name{"underarm_depth", "shoulder_width"}, fit.Measured...))
		c.Figure = body.Child // so that nothing else is looked at
		if d := c.Doubts(); len(d) > 0 {
			t.Errorf("%s: %s", p.ID, d[0].Why)
		}
	}
}

// ANSUR II. The largest and smallest tenth of each figure, judged by the others alone: bodies beyond those that the population was
// computed from are not to be cried at on their size.
func TestLargeBodiesBeyondTheSurvey(t *testing.T) {
	people := survey(t)
	for _, f := range []body.Figure{body.Women, body.Men} {
		var seen, large []fit.Person
		limit := map[body.Figure]float64{body.Women: 1090, body.Men: 1210}[f] // about the largest in twenty (NATICK/TR-15/007)
		for _, p := range people {
			if p.Figure == f && p.MM1("chest_girth") > limit {
				large = append(large, p)
			} else {
				seen = append(seen, p)
			}
		}
		folds := []heldout.Fold{{Population: fit.Of(seen, ""), People: large}}
		for _, set := range [][]body.Name{heldout.Musts, heldout.Twelve} {
			if a := heldout.FalseAlarms(folds, set, true, false); a.Hit > 1+a.N/20 {
				t.Errorf("%s, %d measures: %d of %d large bodies are doubted", f, len(set), a.Hit, a.N)
			}
		}
	}
}
