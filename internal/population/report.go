package main

import (
	"bytes"
	"fmt"

	"clothwright/body"
	"clothwright/internal/marked"
	"clothwright/internal/population/fit"
	"clothwright/internal/population/heldout"
	"clothwright/tape"
)

// report writes the held-out figures between the marks of the page.
func report(page string, people []fit.Person) error {
	place, err := marked.Find(page, "held-out figures", "internal/population")
	if err != nil {
		return err
	}
	var b bytes.Buffer
	figures(&b, people)
	return place.Write(b.String())
}

func percent(t heldout.Tally) string {
	return fmt.Sprintf("%.2f %% (%d of %d)", 100*t.Share(), t.Hit, t.N)
}

func figures(b *bytes.Buffer, people []fit.Person) {
	folds := heldout.Deal(people, 5)
	inches := tape.Tape{Unit: tape.IN, Step: tape.Inch / 16}
	fmt.Fprintf(b, "\n%d people in 5 folds, each judged by the population fitted to the other four.\n", len(people))

	fmt.Fprintf(b, "\n### Faultless cards that draw a doubt\n\n| measures | figure stated | figure and age stated | figure not stated |\n|---|---|---|---|\n")
	for _, s := range sets {
		fmt.Fprintf(b, "| %s | %s | %s | %s |\n", s.name, percent(heldout.FalseAlarms(folds, s.names, true, false)),
			percent(heldout.FalseAlarms(folds, s.names, true, true)), percent(heldout.FalseAlarms(folds, s.names, false, false)))
	}
	any := heldout.FalseAlarmsAnySubset(folds)
	fmt.Fprintf(b, "| 3 to all at random, figure and age stated or not at random | %s | | |\n", percent(any))

	fmt.Fprintf(b, "\n### One wrong measure among twelve, figure stated\n\nThe error is too large or too small by turns. *Named from*: the smallest error, to a sixteenth of an inch, whose measure is doubted on 95 of 100 cards. "+
		"*Alone*: of the cards doubted at that size, those on which no other measure is. Slips: doubted on that measure / with the slip named.\n\n"+
		"| measure | named from | alone | unit slips | half, double |\n|---|---|---|---|---|\n")
	for _, n := range heldout.Twelve {
		least := heldout.Least(folds, heldout.Twelve, n, true, 1)
		at := heldout.Wrong(folds, heldout.Twelve, n, true, 1, "", heldout.By(least))
		slip := func(cases ...slipCase) string {
			var all heldout.Seen
			for _, c := range cases {
				s := heldout.Wrong(folds, heldout.Twelve, n, true, 1, c.name, heldout.Times(c.factor))
				all.Named.N += s.Named.N
				all.Named.Hit += s.Named.Hit
				all.Slip.Hit += s.Slip.Hit
			}
			return fmt.Sprintf("%.1f / %.1f %%", 100*all.Named.Share(), 100*float64(all.Slip.Hit)/float64(all.Named.N))
		}
		fmt.Fprintf(b, "| %s | %s (%.0f mm) | %.1f %% | %s | %s |\n", n, inches.Format(least), least, 100*at.Alone.Share(),
			slip(slipCase{2.54, "centimetres read as inches"}, slipCase{1 / 2.54, "inches read as centimetres"}),
			slip(slipCase{0.5, "half taken for whole"}, slipCase{2, "whole taken for half"}))
	}

	fmt.Fprintf(b, "\n### Two of twelve exchanged\n\n| pair | doubted | exchange named |\n|---|---|---|\n")
	for _, p := range pairs {
		e := heldout.Exchange(folds, heldout.Twelve, p[0], p[1], 1)
		fmt.Fprintf(b, "| %s, %s | %.1f %% | %.1f %% |\n", p[0], p[1], 100*e.Doubted.Share(), 100*e.Named.Share())
	}

	fmt.Fprintf(b, "\n### Estimates, mm\n\nEach measure hidden in turn. *Within*: the share of people within 1.96 of the stated spread.\n\n| measure | from | mean error | standard deviation | mean absolute error | within |\n|---|---|---|---|---|---|\n")
	hidden := append(append([]body.Name{}, fit.Measured...), "underarm_depth")
	for _, s := range sets[:2] {
		for _, e := range heldout.Estimates(folds, s.names, hidden, true) {
			fmt.Fprintf(b, "| %s | %s | %.1f | %.1f | %.1f | %.1f %% |\n", e.Measure, s.name, e.Mean+0, e.SD, e.Abs, 100*e.Within)
		}
	}
	b.WriteString("\n")
}

type slipCase struct {
	factor float64
	name   string
}

var sets = []struct {
	name  string
	names []body.Name
}{
	{"a jacket's musts", heldout.Musts},
	{"twelve", heldout.Twelve},
	{"all", heldout.All},
	{"chest, arm and wrist", heldout.Bare},
}

var pairs = [][2]body.Name{
	{"wrist_girth", "hand_girth"}, {"chest_girth", "waist_girth"}, {"chest_girth", "hip_girth"}, {"arm_length", "nape_to_waist"},
	{"shoulder_length", "wrist_girth"}, {"shoulder_length", "hand_girth"}, {"back_width", "neck_base_girth"},
	{"upper_arm_girth_flexed", "neck_base_girth"}, {"upper_arm_girth_flexed", "wrist_girth"}, {"nape_to_waist", "back_width"},
	{"chest_girth", "arm_length"},
}
