// Package heldout tries a population on people it was not computed from: the people are dealt into folds, and each fold is
// judged by the population fitted to the others.
package heldout

import (
	"math"
	"math/rand/v2"

	"clothwright/body"
	"clothwright/internal/population/fit"
)

// Fold is a population and people it has not seen.
type Fold struct {
	Population *body.Population
	People     []fit.Person
}

// Deal fits one population a fold.
func Deal(people []fit.Person, folds int) []Fold {
	out := make([]Fold, folds)
	for f := range out {
		var seen []fit.Person
		for i, p := range people {
			if i%folds == f {
				out[f].People = append(out[f].People, p)
			} else {
				seen = append(seen, p)
			}
		}
		out[f].Population = fit.Of(seen, "held out")
	}
	return out
}

// The sets of measures that cards are tried with.
var (
	Musts  = []body.Name{"chest_girth", "shoulder_width", "arm_length", "wrist_girth"}
	Bare   = []body.Name{"chest_girth", "arm_length", "wrist_girth"}
	Twelve = []body.Name{"chest_girth", "waist_girth", "hip_girth", "neck_base_girth", "shoulder_length", "back_width",
		"nape_to_waist", "arm_length", "upper_arm_girth_flexed", "wrist_girth", "hand_girth", "height"}
	All = fit.Measured
)

// Card is the person's card, with or without the figure and age.
func Card(p fit.Person, names []body.Name, figure, age bool) body.Card {
	c := p.Card(names)
	if !figure {
		c.Figure = body.Unstated
	}
	if age {
		c.Age = p.Age
	}
	return c
}

// Tally counts trials and hits.
type Tally struct{ N, Hit int }

// Share is the part that hit.
func (t Tally) Share() float64 { return float64(t.Hit) / math.Max(1, float64(t.N)) }

func (t *Tally) add(hit bool) {
	t.N++
	if hit {
		t.Hit++
	}
}

// FalseAlarms is how many faultless cards draw a doubt.
func FalseAlarms(folds []Fold, names []body.Name, figure, age bool) Tally {
	var t Tally
	for _, f := range folds {
		for _, p := range f.People {
			t.add(len(f.Population.Doubts(Card(p, names, figure, age))) > 0)
		}
	}
	return t
}

// FalseStops is how many faultless cards draw a doubt that says never.
func FalseStops(folds []Fold, names []body.Name) Tally {
	var t Tally
	for _, f := range folds {
		for _, p := range f.People {
			never := false
			for _, d := range f.Population.Doubts(Card(p, names, true, false)) {
				never = never || d.Never
			}
			t.add(never)
		}
	}
	return t
}

// FalseAlarmsAnySubset is the same with 3 to all measures taken at random, and the figure stated for half the cards.
func FalseAlarmsAnySubset(folds []Fold) Tally {
	var t Tally
	r := rand.New(rand.NewPCG(1, 2))
	for _, f := range folds {
		for _, p := range f.People {
			names := append([]body.Name{"shoulder_width", "underarm_depth"}, All...)
			r.Shuffle(len(names), func(i, j int) { names[i], names[j] = names[j], names[i] })
			names = names[:3+r.IntN(len(names)-2)]
			t.add(len(f.Population.Doubts(Card(p, names, r.IntN(2) == 0, r.IntN(2) == 0))) > 0)
		}
	}
	return t
}

// Seen is what came of cards with one error.
type Seen struct {
	Doubted Tally // any measure of the card is doubted
	Named   Tally // the wrong measure is among the doubted
	Alone   Tally // of the doubted cards: the wrong measure and no other
	Slip    Tally // the slip is named rightly
}

// Wrong puts an error on one measure of every step-th person's card: wrong changes the figure.
func Wrong(folds []Fold, names []body.Name, measure body.Name, figure bool, step int, slip string, wrong func(mm float64, i int) float64) Seen {
	var s Seen
	i := 0
	for _, f := range folds {
		for _, p := range f.People {
			i++
			if i%step != 0 {
				continue
			}
			for way := range 2 {
				c := Card(p, names, figure, false)
				v := c.Values[measure]
				was := v.MM
				v.MM = wrong(v.MM, way)
				if v.MM == was || !(v.MM > 0) {
					continue
				}
				c.Values[measure] = v
				s.count(f.Population.Doubts(c), measure, slip)
			}
		}
	}
	return s
}

func (s *Seen) count(doubts []body.Doubt, measure body.Name, slip string) {
	s.Doubted.add(len(doubts) > 0)
	named, slipped := false, false
	for _, d := range doubts {
		if d.Name == measure {
			named, slipped = true, d.Slip == slip
		}
	}
	s.Named.add(named)
	s.Slip.add(named && slipped)
	if len(doubts) > 0 {
		s.Alone.add(named && len(doubts) == 1)
	}
}

// By is an error of size mm, too many and too few by turns.
func By(size float64) func(float64, int) float64 {
	return func(mm float64, way int) float64 {
		if way == 0 {
			return mm + size
		}
		return mm - size
	}
}

// Times is a slip by a factor.
func Times(factor float64) func(float64, int) float64 {
	return func(mm float64, way int) float64 {
		if way == 0 {
			return mm * factor
		}
		return mm // not a change: passed over
	}
}

// Least is the smallest error, in steps of an eighth of an inch, that is named on 95 of 100 cards.
func Least(folds []Fold, names []body.Name, measure body.Name, figure bool, step int) float64 {
	const eighth = 25.4 / 16
	low, high := 0, 240
	for high-low > 1 {
		mid := (low + high) / 2
		if Wrong(folds, names, measure, figure, step, "", By(float64(mid)*eighth)).Named.Share() >= 0.95 {
			high = mid
		} else {
			low = mid
		}
	}
	return float64(high) * eighth
}

// Exchanged is what came of cards with two measures exchanged that differ by at least apart times the smaller.
type Exchanged struct {
	Doubted Tally // either is doubted
	Named   Tally // the exchange is named, both ways
}

// Exchange swaps a and b.
func Exchange(folds []Fold, names []body.Name, a, b body.Name, step int) Exchanged {
	var e Exchanged
	i := 0
	for _, f := range folds {
		for _, p := range f.People {
			i++
			if i%step != 0 {
				continue
			}
			c := Card(p, names, true, false)
			c.Values[a], c.Values[b] = c.Values[b], c.Values[a]
			doubts := f.Population.Doubts(c)
			e.Doubted.add(len(doubts) > 0)
			ways := 0
			for _, d := range doubts {
				if d.Name == a && d.Slip == "swapped with "+string(b) || d.Name == b && d.Slip == "swapped with "+string(a) {
					ways++
				}
			}
			e.Named.add(ways == 2)
		}
	}
	return e
}

// Error is how far an estimate lies from the truth.
type Error struct {
	Measure       body.Name
	Mean, SD, Abs float64 // mm: mean error, its standard deviation, mean absolute error
	Within        float64 // the share of truths within 1.96 of the stated spread
}

// Estimates hides each measure in turn from cards with the given names and compares the estimate with the truth.
func Estimates(folds []Fold, names, hidden []body.Name, figure bool) []Error {
	var out []Error
	for _, h := range hidden {
		var known []body.Name
		for _, n := range names {
			if n != h {
				known = append(known, n)
			}
		}
		e := Error{Measure: h}
		n, sum, squares := 0.0, 0.0, 0.0
		for _, f := range folds {
			for _, p := range f.People {
				v := f.Population.Complete(Card(p, known, figure, false)).Values[h]
				truth := p.Card([]body.Name{h}).Values[h].MM
				d := v.MM - truth
				n++
				sum += d
				squares += d * d
				e.Abs += math.Abs(d)
				if math.Abs(d) <= 1.96*v.Spread {
					e.Within++
				}
			}
		}
		e.Mean = sum / n
		e.SD = math.Sqrt(squares/n - e.Mean*e.Mean)
		e.Abs /= n
		e.Within /= n
		out = append(out, e)
	}
	return out
}
