package body

import (
	"math"
	"sort"

	"clothwright/phrase"
)

// entered says that the value was read off a tape, not worked out here.
func (v Value) entered() bool { return v.From == Given || v.From == "" }

// Doubts is every measure that does not go with the rest, in the order of Measures, judged by the Survey. Only given
// measures are doubted; a Confirmed one is taken as true. A card without doubts gives nil.
//
// First what no body can be: the limits of Measures and a few proportions. Then, for adults, each measure is held against
// what people whose other measures are these have; the culprit is the one whose error explains the card best, alone, through a
// known slip, or exchanged with another. It is set aside and the rest are judged again. About 7 in 1,000 faultless cards draw
// a doubt.
func (c Card) Doubts() []Doubt { return Survey.Doubts(c) }

// NoModel says in one sentence why the card is held against no population, or nothing when it is.
func (c Card) NoModel() string {
	_, why := Survey.trial(c)
	return why
}

// alarm is the share of faultless cards on which a doubt is looked for: the sum over the measures of the card of the
// share of people who would be doubted on that measure.
const alarm = 0.0085

// care shares the alarm out among the measures of a card: more to those whose slips are the hardest to see and the dearest to
// cut, less to heights, which no jacket is drafted from. A judgement of ours; 1 where nothing is said.
var care = map[Name]float64{
	"chest_girth": 1, "waist_girth": 3.5, "hip_girth": 0.6, "shoulder_length": 2.2, "shoulder_width": 1.5, "hand_girth": 1.3,
	"neck_base_girth": 1.3, "arm_length": 1.2, "nape_to_waist": 1.1, "back_width": 1, "upper_arm_girth": 0.4,
	"upper_arm_girth_flexed": 0.4, "forearm_girth_flexed": 0.4, "neck_girth": 0.7, "nape_to_wrist": 0.7, "head_girth": 0.5,
	"height": 0.1, "nape_height": 0.2, "shoulder_point_height": 0.2, "underarm_height": 0.2, "waist_height": 0.2,
	"hip_height": 0.2, "biacromial_breadth": 0.7,
}

// upward is the part of a measure's share of the alarm that is spent on figures too large. An inch too many is a smaller part
// of the larger figure than an inch too few of the smaller one, so that this makes the two about equally likely to be seen. A
// waist too small already has its leeway.
func upward(n Name) float64 {
	if n == "waist_girth" {
		return 0.6
	}
	return 0.85
}

// leeway is how far, as a share, a workroom's measure may lie below or above the survey's because it is taken another way.
// It is given away before a measure is called unusual. From memory.
var leeway = map[Name]struct{ below, above float64 }{
	"waist_girth":     {0.02, 0},    // the survey's waist is at the navel, a tailor's where the body is narrowest
	"nape_to_waist":   {0.01, 0},    // likewise higher up
	"waist_height":    {0, 0.02},    // likewise
	"neck_girth":      {0, 0.03},    // women's necks in ASTM D5585-11 grow faster with the bust than soldiers'
	"nape_to_wrist":   {0.07, 0},    // the survey's arm is raised and bent
	"underarm_depth":  {0, 0.05},    // a tape follows the spine
	"upper_arm_girth": {0.02, 0.02}, // hanging quite loose, or half tight
}

// slip is a way of writing a measure down wrong: what is written is Factor times the truth.
type slip struct {
	factor float64
	prior  float64 // its share of all errors on one measure: a judgement of ours
	name   string
}

// The names of the slips, as Doubt.Slip has them.
var (
	slipCmAsInch = phrase.Word("centimetres read as inches")
	slipInchAsCm = phrase.Word("inches read as centimetres")
	slipHalf     = phrase.Word("half taken for whole")
	slipDouble   = phrase.Word("whole taken for half")
)

// What stands before and behind the name of a slip.
const (
	slipSwap = "swapped with "
	slipAll  = ", on every measure"
)

var slips = []slip{
	{2.54, 0.15, slipCmAsInch},
	{1 / 2.54, 0.15, slipInchAsCm},
	{0.5, 0.12, slipHalf},
	{2, 0.12, slipDouble},
	{10, 0.04, phrase.Word("the decimal point one place too far right")},
	{0.1, 0.04, phrase.Word("the decimal point one place too far left")},
}

// The shares of errors that are no known slip, and that are two measures exchanged.
const (
	plainPrior = 0.28
	swapPrior  = 0.10
)

// namelessPrior is the share of errors that are no known slip among those so great that a slip is thought of.
const namelessPrior = 0.03

// errorWidth is the width, in logarithms, over which an error that is no known slip may lie: a third to three times.
var errorWidth = math.Log(9)

// trial is a card laid out for judging.
type trial struct {
	p      *Population
	shapes []int         // the shapes it may be of; the widened ones for doubts
	x      [most]float64 // logarithms by axis
	use    axes          // the axes taken as evidence
	open   axes          // those of them that may be doubted
	beyond axes          // those of them outside what any person has
}

// trial lays the card out, or says why the population cannot judge it.
func (p *Population) trial(c Card) (*trial, string) {
	p.ready()
	if c.Figure == Child || c.Age > 0 && c.Age < 18 {
		return nil, phrase.Word("children are not in the survey: only what no body can be is checked")
	}
	t := &trial{p: p, shapes: make([]int, 0, 2)}
	for i := range p.Shapes {
		if c.Figure == Unstated || c.Figure == p.Shapes[i].Figure {
			t.shapes = append(t.shapes, i)
		}
	}
	if len(t.shapes) == 0 {
		return nil, phrase.Word("the survey knows no such figure: only what no body can be is checked")
	}
	for i, n := range p.Names {
		if n == AgeAxis {
			if c.Age >= 18 && c.Age <= 120 {
				t.x[i] = math.Log(math.Min(math.Max(c.Age, 20), 55)) // the ages of the survey
				t.use |= 1 << i
			}
			continue
		}
		v, ok := c.Values[n]
		m := byName[n]
		if !ok || m == nil || !v.entered() || !(v.MM > 1 && v.MM < 1e5) {
			continue
		}
		if v.MM < m.Least || v.MM > m.Most {
			if v.Confirmed {
				continue // stood by, and yet nothing to judge the others by
			}
			t.beyond |= 1 << i
		}
		t.x[i] = math.Log(v.MM)
		t.use |= 1 << i
		if !v.Confirmed {
			t.open |= 1 << i
		}
	}
	if t.small() {
		return nil, phrase.Word("the measures are smaller than those of the adults in the survey: only what no body can be is checked")
	}
	return t, ""
}

// widen has the trial judged by the widened shapes.
func (t *trial) widen() {
	for i := range t.shapes {
		t.shapes[i] += len(t.p.Shapes)
	}
}

// small says that the body is smaller than the survey's adults: by its height, unless the other measures speak against that
// height itself, or by all its measures but at most one.
func (t *trial) small() bool {
	p := t.p
	measures := t.use &^ t.beyond
	if i, ok := p.axis[AgeAxis]; ok {
		measures &^= 1 << i
	}
	if h, ok := p.axis["height"]; ok && measures.has(h) && t.x[h] < math.Log(1400) {
		var l place
		rest := t.use &^ t.beyond &^ (1 << h)
		contradicted := true
		for _, i := range t.shapes {
			p.locate(&l, i, rest, &t.x)
			expected, sd := l.missing(h)
			if (expected-t.x[h])/(sd*stretch(l.q, rest.count())) < 6 {
				contradicted = false
			}
		}
		if !contradicted {
			return true
		}
	}
	if measures.count() < 3 {
		return false
	}
	for _, i := range t.shapes {
		s := &p.Shapes[i]
		sum, ordinary := 0.0, 0
		for a := measures; a != 0; a &= a - 1 {
			k := a.first()
			z := (t.x[k] - s.Mean[k]) / math.Sqrt(s.cov(k, k))
			sum += math.Max(z, -6) // one slip alone makes no child
			if z > -1.2 {
				ordinary++
			}
		}
		if sum > -3.2*float64(measures.count()) || ordinary > 1 {
			return false
		}
	}
	return true
}

// suspicion is one explanation of what is wrong on a card.
type suspicion struct {
	score float64
	axes  axes // one axis, or two exchanged
}

// located is the card placed in each shape it may be of.
type located struct {
	at    [2]place
	prior float64
}

func (t *trial) locate(l *located, use axes) {
	for i, s := range t.shapes {
		t.p.locate(&l.at[i], s, use, &t.x)
	}
}

// sumLog is the logarithm of a sum of exponentials of the first n.
func sumLog(v *[2]float64, n int) float64 {
	top := v[0]
	for _, x := range v[1:n] {
		top = math.Max(top, x)
	}
	sum := 0.0
	for _, x := range v[:n] {
		sum += math.Exp(x - top)
	}
	return top + math.Log(sum)
}

// odd is how rare the axis at place i is given the other axes of the place: the one-sided share of people beyond it, after
// leeway, and whether it is too large rather than too small. weight is the logarithm of the others' likelihood.
func (t *trial) odd(l *located, i int) (tail float64, above bool, weight float64) {
	var logs [2]float64
	var z [2]float64
	n := len(t.shapes)
	k := len(l.at[0].g.at)
	axis := l.at[0].g.at[i]
	for f := range t.shapes {
		pl := &l.at[f]
		expected, sd, rest := pl.alone(i)
		z[f] = t.past(axis, t.x[axis]-expected) / (sd * stretch(rest, k-1))
		logs[f] = likelihood(rest, k-1, pl.g.logDet+2*math.Log(sd))
	}
	weight = sumLog(&logs, n)
	up, down := 0.0, 0.0
	for f := range t.shapes {
		w := 1.0
		if n > 1 {
			w = math.Exp(logs[f] - weight)
		}
		if math.Abs(z[f]) < 1.5 && n == 1 {
			return 0.1, z[f] > 0, weight // ordinary: no need to know how ordinary
		}
		if z[f] > 0 {
			tail := upperTail(z[f])
			up += w * tail
			down += w * (1 - tail)
		} else {
			tail := upperTail(-z[f])
			down += w * tail
			up += w * (1 - tail)
		}
	}
	return math.Min(up, down), up < down, weight
}

// stout is how far, as a share, the only great girth on a card may lie above what the survey's soldiers have: nothing else
// on such a card tells a stout client from a mistake. From memory of plus-size tables.
const stout = 0.12

// past takes the leeway of the axis off a residual.
func (t *trial) past(axis int, residual float64) float64 {
	way := leeway[t.p.Names[axis]]
	if great := t.p.great; great.has(axis) && t.use&great == 1<<axis {
		way.above += stout
	}
	switch {
	case residual > way.above:
		return residual - way.above
	case residual < -way.below:
		return residual + way.below
	}
	return 0
}

func careFor(n Name) float64 {
	if v, ok := care[n]; ok {
		return v
	}
	return 1
}

// worst is the best explanation of what is wrong among the open axes of use, and whether anything is.
func (t *trial) worst(use axes, l *located) (suspicion, bool) {
	t.locate(l, use)
	at := l.at[0].g.at
	k, n := len(at), len(t.shapes)
	total := 0.0
	for _, a := range at {
		if t.open.has(a) {
			total += careFor(t.p.Names[a])
		}
	}
	var best suspicion
	var marked axes // by place
	var weights [most]float64
	for i, a := range at {
		if !t.open.has(a) {
			continue
		}
		tail, above, weight := t.odd(l, i)
		weights[i] = weight
		share := alarm * careFor(t.p.Names[a]) / total
		if above {
			share *= upward(t.p.Names[a])
		} else {
			share *= 1 - upward(t.p.Names[a])
		}
		if tail < share {
			marked |= 1 << i
		}
	}
	if sure := use & t.beyond; sure != 0 { // these are wrong whatever the others say: explain them first
		marked = 0
		for i, a := range at {
			if sure.has(a) {
				marked |= 1 << i
			}
		}
	}
	if marked == 0 {
		return best, false
	}
	best.score = math.Inf(-1)
	var logs [2]float64
	whole := func(f int, q float64) float64 { return likelihood(q, k, l.at[f].g.logDet) }
	for i, a := range at {
		if !marked.has(i) {
			continue
		}
		score := plainPrior / errorWidth // relative to exp(weights[i])
		for _, s := range slips {
			d := -math.Log(s.factor)
			for f := range t.shapes {
				pl := &l.at[f]
				logs[f] = whole(f, pl.q+2*d*pl.pull[i]+d*d*pl.g.inv[i*k+i])
			}
			score += s.prior * math.Exp(sumLog(&logs, n)-weights[i])
		}
		if v := weights[i] + math.Log(score); v > best.score {
			best = suspicion{v, 1 << a}
		}
	}
	for i, a := range at {
		if !t.open.has(a) {
			continue
		}
		for j := 0; j < i; j++ {
			if !t.open.has(at[j]) || !marked.has(i) && !marked.has(j) {
				continue
			}
			d := t.x[at[j]] - t.x[a]
			if !t.couldBe(a, at[j]) {
				continue
			}
			for f := range t.shapes {
				pl := &l.at[f]
				q := pl.q + 2*d*(pl.pull[i]-pl.pull[j]) + d*d*(pl.g.inv[i*k+i]+pl.g.inv[j*k+j]-2*pl.g.inv[i*k+j])
				logs[f] = whole(f, q)
			}
			v := sumLog(&logs, n) + math.Log(swapPrior*2/float64(k-1))
			if v > best.score {
				best = suspicion{v, 1<<a | 1<<at[j]}
			}
		}
	}
	return best, true
}

// couldBe says that each of two measures could be the other's figure at all.
func (t *trial) couldBe(a, b int) bool {
	ma, mb := byName[t.p.Names[a]], byName[t.p.Names[b]]
	va, vb := math.Exp(t.x[a]), math.Exp(t.x[b])
	return vb >= ma.Least && vb <= ma.Most && va >= mb.Least && va <= mb.Most
}

// verdict is what the trial found: axes doubted one by one, and pairs exchanged.
type verdict struct {
	single axes
	pair   [most]int // the axis it is exchanged with and one more, 0 when it is not
	paired axes
}

// judge sets the worst aside until the rest go together, and then takes back what goes with the rest after all. evidence are
// the axes to judge, apart those that are wrong for another reason.
func (t *trial) judge(l *located) verdict {
	var v verdict
	use := t.use
	for rounds := 0; rounds < most && use&t.open != 0; rounds++ {
		s, wrong := t.worst(use, l)
		if !wrong {
			break
		}
		use &^= s.axes
		if s.axes.count() == 2 {
			i := s.axes.first()
			j := (s.axes & (s.axes - 1)).first()
			v.paired |= s.axes
			v.pair[i], v.pair[j] = j+1, i+1
		} else {
			v.single |= s.axes
		}
	}
	for v.single.count() > 1 {
		t.locate(l, use)
		back, most := -1, 0.0
		for a := v.single; a != 0; a &= a - 1 {
			k := a.first()
			if tail, _ := t.outside(l, k); tail > most && !t.beyond.has(k) {
				back, most = k, tail
			}
		}
		if most < 2*alarm/float64(t.open.count()) {
			break
		}
		use |= 1 << back
		v.single &^= 1 << back
	}
	return v
}

// outside is how rare axis k, which is not in the place, is given the place: the one-sided share of people beyond it, and
// the middle and spread of its logarithm.
func (t *trial) outside(l *located, k int) (tail float64, usual [2]float64) {
	var logs, expected, sds [2]float64
	n := len(t.shapes)
	for f := range t.shapes {
		pl := &l.at[f]
		e, sd := pl.missing(k)
		expected[f], sds[f] = e, sd*stretch(pl.q, len(pl.g.at))
		logs[f] = likelihood(pl.q, len(pl.g.at), pl.g.logDet)
	}
	weight := sumLog(&logs, n)
	up, down, mean, second := 0.0, 0.0, 0.0, 0.0
	for f := range t.shapes {
		w := math.Exp(logs[f] - weight)
		mean += w * expected[f]
		second += w * (sds[f]*sds[f] + expected[f]*expected[f])
		z := t.past(k, t.x[k]-expected[f]) / sds[f]
		tail := upperTail(math.Abs(z))
		if z > 0 {
			up, down = up+w*tail, down+w*(1-tail)
		} else {
			up, down = up+w*(1-tail), down+w*tail
		}
	}
	return math.Min(up, down), [2]float64{mean, math.Sqrt(math.Max(second-mean*mean, 1e-8))}
}

// neverOdds is the rarity from which a measure is taken for impossible: beyond one person in ten million, told by tails that
// are heavier than the normal so as not to overstate what 2,000 people can show. That is some six standard deviations
// off what the other measures say; no faultless card of the survey's held-out people comes near it.
const neverOdds = 1e7

// Doubts is every measure of the card that does not go with the rest; see Card.Doubts.
func (p *Population) Doubts(c Card) []Doubt {
	doubts := c.impossible()
	t, _ := p.trial(c)
	if all := p.allSlipped(c); all != nil {
		return all
	}
	var l located
	if t != nil {
		t.widen()
		doubts = t.doubts(c, doubts, &l)
	}
	doubts = c.unshapely(doubts)
	if len(doubts) == 0 {
		return nil
	}
	sort.SliceStable(doubts, func(i, j int) bool { return order[doubts[i].Name] < order[doubts[j].Name] })
	return doubts
}

// doubts adds to what cannot be what does not go with the rest, and says of each what people like this have.
func (t *trial) doubts(c Card, doubts []Doubt, l *located) []Doubt {
	v := t.judge(l)
	doubted := v.single | v.paired
	// Of two measures that break a proportion between them, the one that does not go with the rest is wrong.
	if doubted != 0 && len(doubts) > 0 {
		kept := doubts[:0]
		for _, d := range doubts {
			if d.High == 0 { // a broken proportion
				if k, ok := t.p.axis[d.Name]; !ok || !doubted.has(k) {
					continue
				}
			}
			kept = append(kept, d)
		}
		doubts = kept
	}
	at := map[Name]int{}
	for i, d := range doubts {
		at[d.Name] = i
		if k, ok := t.p.axis[d.Name]; ok {
			doubted |= 1 << k
		}
	}
	if doubted == 0 {
		return doubts
	}
	t.locate(l, t.use&^doubted)
	for a := doubted; a != 0; a &= a - 1 {
		k := a.first()
		name := t.p.Names[k]
		i, ok := at[name]
		if !ok {
			doubts = append(doubts, Doubt{Name: name, MM: c.Values[name].MM})
			i = len(doubts) - 1
		}
		t.tell(&doubts[i], l, k)
		if other := v.pair[k]; v.paired.has(k) {
			doubts[i].Slip = slipSwap + string(t.p.Names[other-1])
			doubts[i].Instead = c.Values[t.p.Names[other-1]].MM
		}
	}
	return doubts
}

// tell fills in what people like this have, how rare the figure is and the slip that it looks like.
func (t *trial) tell(d *Doubt, l *located, k int) {
	if !(d.MM > 0) {
		t.x[k] = 0
	} else {
		t.x[k] = math.Log(d.MM)
	}
	tail, usual := t.outside(l, k)
	d.Against = l.at[0].strongest(t.p, k)
	d.Usual = math.Exp(usual[0])
	d.Low, d.High = math.Exp(usual[0]-1.96*usual[1]), math.Exp(usual[0]+1.96*usual[1])
	if !(d.MM > 0) {
		return
	}
	d.Odds = math.Min(1/math.Max(2*tail, 1e-12), 1e12)
	best := namelessPrior / errorWidth
	for i := range slips {
		s := &slips[i]
		z := (t.x[k] - math.Log(s.factor) - usual[0]) / usual[1]
		v := s.prior * math.Exp(-z*z/2) / (usual[1] * math.Sqrt(2*math.Pi))
		if s.name == slipCmAsInch || s.name == slipInchAsCm {
			switch on := onTape(d.MM / s.factor); {
			case on && !onTape(d.MM):
				v *= 20 // no tape shows the figure as it stands, and one does with the unit put right
			case !on:
				v /= 4 // no tape shows it with the unit put right, unless it was rounded on the way
			}
		}
		if v > best {
			best = v
			d.Slip, d.Instead = s.name, tidy(d.MM/s.factor)
		}
	}
	// One height among others is known to a few millimetres, less than where its mark on the body may be put; and no jacket is
	// drafted from it. Only a slip makes it impossible.
	if d.Odds >= neverOdds && (byName[d.Name].Kind != Height || d.Slip != "") {
		d.Never = true
	}
}

// tidy takes what arithmetic left behind off a length: to a millionth of a millimetre.
func tidy(mm float64) float64 { return math.Round(mm*1e6) / 1e6 }

// onTape says that a length lies on a mark of some tape: a millimetre or a sixteenth of an inch.
func onTape(mm float64) bool {
	on := func(marks float64) bool { return math.Abs(marks-math.Round(marks)) < 1e-6*marks }
	return on(mm) || on(mm/25.4*16)
}

// allSlipped finds a card on which every measure was read in the wrong unit: as it stands it is far from everybody, and with
// the unit put right it is quite ordinary.
func (p *Population) allSlipped(c Card) []Doubt {
	p.ready()
	if c.Figure == Child || c.Age > 0 && c.Age < 18 {
		return nil
	}
	t := trial{p: p}
	for i := range p.Shapes {
		if c.Figure == Unstated || c.Figure == p.Shapes[i].Figure {
			t.shapes = append(t.shapes, i+len(p.Shapes))
		}
	}
	for i, n := range p.Names {
		if v, ok := c.Values[n]; ok && n != AgeAxis && v.entered() && v.MM > 1 && v.MM < 1e5 {
			if v.Confirmed {
				return nil
			}
			t.x[i] = math.Log(v.MM)
			t.use |= 1 << i
		}
	}
	k := t.use.count()
	if k < 3 || len(t.shapes) == 0 {
		return nil
	}
	// Only a card whose every measure is out by a third is worth trying.
	mid := 0.0
	at := t.use.list()
	for _, i := range at {
		mid += (t.x[i] - (p.Shapes[0].Mean[i]+p.Shapes[len(p.Shapes)-1].Mean[i])/2) / float64(k)
	}
	if math.Abs(mid) < 0.4 {
		return nil
	}
	var l located
	for _, s := range slips {
		shifted := t
		for _, i := range at {
			shifted.x[i] -= math.Log(s.factor)
		}
		shifted.locate(&l, t.use)
		ordinary := false
		for f := range t.shapes {
			ordinary = ordinary || l.at[f].q < float64(k)+6*math.Sqrt(2*float64(k))
		}
		if !ordinary || s.factor == 2 || s.factor == 0.5 {
			continue
		}
		var out []Doubt
		for i := range Measures {
			m := &Measures[i]
			v, ok := c.Values[m.Name]
			if !ok || !v.entered() || !(v.MM > 0) || math.IsInf(v.MM, 0) || m.Kind == Angle {
				continue
			}
			d := Doubt{Name: m.Name, MM: v.MM, Never: true, Slip: s.name + slipAll, Instead: tidy(v.MM / s.factor)}
			if a, ok := p.axis[m.Name]; ok && shifted.use.has(a) {
				sh := p.shape(t.shapes[0])
				sd := math.Sqrt(sh.cov(a, a))
				d.Usual = math.Exp(sh.Mean[a])
				d.Low, d.High = math.Exp(sh.Mean[a]-1.96*sd), math.Exp(sh.Mean[a]+1.96*sd)
				d.Odds = 1e12
			}
			out = append(out, d)
		}
		return out
	}
	return nil
}

// order is the place of each measure in Measures.
var order = func() map[Name]int {
	m := make(map[Name]int, len(Measures))
	for i := range Measures {
		m[Measures[i].Name] = i
	}
	return m
}()
