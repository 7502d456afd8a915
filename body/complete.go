package body

import (
	"maps"
	"math"

	"clothwright/phrase"
)

// Complete returns the card with what follows from its measures (derived) and what people like this usually have (estimated)
// added to it, each with its spread and from what it came. Measures on the card are left as they are, and it is not
// looked into whether they are right: put doubts right first. Estimates start only from given measures, so that completing a
// card again changes nothing; a figure outside the limits of Measures is no evidence.
func (c Card) Complete() Card { return Survey.Complete(c) }

// Complete is Card.Complete by another population.
func (p *Population) Complete(c Card) Card {
	out := Card{Figure: c.Figure, Age: c.Age, Values: make(map[Name]Value, len(Measures)+4), Left: c.Left, Right: c.Right}
	maps.Copy(out.Values, c.Values)
	out.derive()
	t, why := p.trial(c)
	if why != "" {
		out.proportion()
		return out
	}
	t.estimate(out.Values)
	return out
}

// usable is a measure that arithmetic may start from: a number within what a person has.
func (c Card) usable(n Name) (Value, bool) {
	v, ok := c.Values[n]
	m := byName[n]
	if !ok || m == nil || !(v.MM >= m.Least && v.MM <= m.Most) {
		return Value{}, false
	}
	return v, true
}

// put adds a measure that the card does not have, when it is within what a person has.
func (c Card) put(n Name, v Value) {
	if _, ok := c.Values[n]; !ok && v.MM >= byName[n].Least && v.MM <= byName[n].Most {
		c.Values[n] = v
	}
}

// derivation makes one measure of one or two given ones by arithmetic.
type derivation struct {
	of      Name
	from    Name
	less    Name    // taken away when it is named
	times   float64 // what the difference is multiplied by
	plus    float64 // mm
	spread  float64 // one standard deviation as a share of the result, from memory
	because string
}

var derivations = []derivation{
	{"underarm_depth", "nape_height", "underarm_height", 1, 0, 0.03, phrase.Word("nape height less underarm height")},
	// From memory: over the curve of the back the width is some 5 to 10 % more than the straight breadth.
	{"shoulder_width", "biacromial_breadth", "", 1.08, 0, 0.045, phrase.Word("1.08 times the straight shoulder breadth")},
	// The hanging arm is thinner than the flexed; a sleeve that clears the flexed arm clears both.
	{"upper_arm_girth", "upper_arm_girth_flexed", "", 1, 0, 0.04, phrase.Word("the flexed girth, on the safe side")},
	// Common practice for a jacket that ends at the hip.
	{"body_length", "nape_to_waist", "", 1, 150, 0.05, phrase.Word("nape to waist and 150 mm, for a jacket to the hip")},
}

// derive adds what follows from given measures by arithmetic alone.
func (c Card) derive() {
	for _, d := range derivations {
		from, ok := c.usable(d.from)
		if !ok || !from.entered() {
			continue
		}
		mm := from.MM
		if d.less != "" {
			less, ok := c.usable(d.less)
			if !ok || !less.entered() {
				continue
			}
			mm -= less.MM
		}
		mm = d.times*mm + d.plus
		c.put(d.of, Value{MM: mm, From: Derived, Spread: d.spread * mm, Why: d.because})
	}
}

// proportion adds the little that may be said of a body no population covers, a child's above all. Common practice; the
// spread is wide.
func (c Card) proportion() {
	if chest, ok := c.usable("chest_girth"); ok && chest.entered() {
		c.put("neck_base_girth", Value{MM: 0.40 * chest.MM, From: Estimated, Spread: 0.04 * chest.MM, Why: phrase.Word("0.40 of the chest girth, a rough proportion: no model of such a body")})
	}
}

// estimate adds every measure of the population that the card does not have. One measure is enough to start from: the
// spread tells what an estimate is worth.
func (t *trial) estimate(values map[Name]Value) {
	p := t.p
	t.use &^= t.beyond
	measures := t.use
	if a, ok := p.axis[AgeAxis]; ok {
		measures &^= 1 << a
	}
	if measures == 0 {
		return
	}
	var l located
	t.locate(&l, t.use)
	var logs [2]float64
	n := len(t.shapes)
	for f := range t.shapes {
		pl := &l.at[f]
		logs[f] = likelihood(pl.q, len(pl.g.at), pl.g.logDet)
	}
	weight := sumLog(&logs, n)
	why := t.whyOf(measures.count())
	for k, name := range p.Names {
		if _, ok := values[name]; ok || name == AgeAxis || t.use.has(k) {
			continue
		}
		mean, second := 0.0, 0.0
		for f := range t.shapes {
			pl := &l.at[f]
			w := math.Exp(logs[f] - weight)
			expected, sd := pl.missing(k)
			sd *= stretch(pl.q, len(pl.g.at))
			mean += w * expected
			second += w * (sd*sd + expected*expected)
		}
		mm := math.Exp(mean)
		m := byName[name]
		mm = math.Min(math.Max(mm, m.Least), m.Most)
		sd := math.Sqrt(math.Max(second-mean*mean, 1e-8))
		values[name] = Value{MM: mm, From: Estimated, Spread: mm * sd, Why: why}
	}
}

// whys are the reasons an estimate may have, made once: by figure, and by how many measures it starts from.
var whys = map[Figure][3]string{
	Women: {
		phrase.Word("what women of the survey with one to three measures like these have"),
		phrase.Word("what women of the survey with four to seven measures like these have"),
		phrase.Word("what women of the survey with eight measures or more like these have"),
	},
	Men: {
		phrase.Word("what men of the survey with one to three measures like these have"),
		phrase.Word("what men of the survey with four to seven measures like these have"),
		phrase.Word("what men of the survey with eight measures or more like these have"),
	},
	Unstated: {
		phrase.Word("what women and men of the survey with one to three measures like these have"),
		phrase.Word("what women and men of the survey with four to seven measures like these have"),
		phrase.Word("what women and men of the survey with eight measures or more like these have"),
	},
}

// whyOf says from what an estimate comes.
func (t *trial) whyOf(measures int) string {
	row := whys[Unstated]
	if len(t.shapes) == 1 {
		row = whys[t.p.Shapes[t.shapes[0]].Figure]
	}
	switch {
	case measures < 4:
		return row[0]
	case measures < 8:
		return row[1]
	}
	return row[2]
}
