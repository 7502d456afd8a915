package job

import (
	"fmt"
	"math"
	"sort"

	"clothwright/body"
	"clothwright/cost"
	"clothwright/lay"
	"clothwright/mistake"
	"clothwright/phrase"
	"clothwright/piece"
	"clothwright/sheet/text"
	"clothwright/truing"
)

// Result is a job drafted and trued.
type Result struct {
	Job      *Job
	Card     body.Card // completed: with what was derived and estimated
	Pattern  *piece.Pattern
	Findings []piece.Finding // gravest first
	Level    piece.Level
	Quote    *cost.Quote // the price, when the job names a costing file; filled by Lay
	Plans    []*lay.Plan // how the pieces are laid, one plan a cloth; filled by Lay
}

// Cut drafts a job and trues it. The error is a mistake.Problems: the job could not be drafted at all.
func (j *Job) Cut() (*Result, error) {
	r := &Result{Job: j, Card: j.Card.Complete()}
	p, err := j.Garment.Draft(r.Card, j.Style, &j.House)
	if err != nil {
		return nil, mistake.Problems{{File: j.File, Text: err.Error(), Said: phrase.From(err)}}
	}
	r.Pattern = p
	r.Findings = append(r.Findings, j.doubts()...)
	r.Findings = append(r.Findings, r.estimates()...)
	r.Findings = append(r.Findings, r.adjustments()...)
	r.Findings = append(r.Findings, j.letters()...)
	r.Findings = append(r.Findings, p.Said...)
	r.Findings = append(r.Findings, truing.True(p, j.House.Tape)...)
	sort.SliceStable(r.Findings, func(a, b int) bool { return r.Findings[a].Level.Rank() > r.Findings[b].Level.Rank() })
	r.Level = piece.Worst(r.Findings)
	return r, nil
}

// doubts are the measures that do not go with the rest.
func (j *Job) doubts() []piece.Finding {
	var out []piece.Finding
	for _, d := range j.Card.Doubts() {
		level := piece.Warn
		if d.Never {
			level = piece.Stop
		}
		out = append(out, whole(level, "doubt:"+string(d.Name), d.Say(j.House.Tape)))
	}
	for _, n := range body.Sided {
		if f, ok := j.uneven(n); ok {
			out = append(out, f)
		}
	}
	if why := j.Card.NoModel(); why != "" {
		out = append(out, whole(piece.Info, "doubt:none", phrase.Of("the measures were checked only for what no body can be: %s", why)))
	}
	return out
}

// How far right and left may differ before it is more likely a slip: of 1,000 people five or so differ more
// (common practice, no source; of shoulder slopes 88 in 100 lie within 5 degrees, Taniyama, Fujita and Shibata 1970).
const (
	unevenLength = 40.0 // mm
	unevenSlope  = 10.0 // degrees
)

// letters are what the sheets cannot write: they print such a letter's number in a frame, and here it is said.
func (j *Job) letters() []piece.Finding {
	var out []piece.Finding
	for _, f := range []struct{ what, words string }{{phrase.Word("the client's name"), j.Client}, {phrase.Word("the job's number"), j.Number}, {phrase.Word("the date"), j.Date}, {phrase.Word("the demo line"), j.Demo}} {
		missing := text.Missing(f.words)
		if len(missing) == 0 {
			continue
		}
		codes := make([]string, len(missing))
		for i, r := range missing {
			codes[i] = fmt.Sprintf("%c (U+%04X)", r, r)
		}
		out = append(out, piece.Found(piece.Info, "print:letters",
			phrase.Of("No font here has %s of %s: the sheets print the number in a frame instead.", phrase.Row(codes), f.what)))
	}
	return out
}

// uneven doubts a measure whose right and left differ more than they do in people.
func (j *Job) uneven(n body.Name) (piece.Finding, bool) {
	both := j.Card.Values[n]
	l, r := both, both
	if v, ok := j.Card.Left[n]; ok {
		l = v
	}
	if v, ok := j.Card.Right[n]; ok {
		r = v
	}
	m, _ := body.Lookup(string(n))
	limit, say := unevenLength, func(mm float64) phrase.Said { return phrase.Plain(j.House.Tape.Fine(mm)) }
	if m.Kind == body.Angle {
		limit, say = unevenSlope, func(v float64) phrase.Said { return phrase.Of("%.0f degrees", v) }
	}
	if math.Abs(l.MM-r.MM) <= limit || l.MM == 0 || r.MM == 0 || l.Confirmed || r.Confirmed {
		return piece.Finding{}, false
	}
	return piece.Found(piece.Warn, "doubt:"+string(n),
		phrase.Of("%s is %s on the left and %s on the right, which is rarely so; measure both again.", m.Title, say(l.MM), say(r.MM))), true
}

// estimates are the measures the draft used without anyone having taken them.
func (r *Result) estimates() []piece.Finding {
	var out []piece.Finding
	t := r.Job.House.Tape
	for _, name := range r.Pattern.Used {
		n := body.Name(name)
		v := r.Card.Values[n]
		m, _ := body.Lookup(name)
		switch v.From {
		case body.Estimated:
			out = append(out, piece.Found(piece.Info, "estimated:"+name,
				phrase.Of("%s was not measured: %s is taken, give or take %s (%s). Measure it if you can.", m.Title, t.Fine(v.MM), t.Fine(2*v.Spread), v.Why)))
		case body.Derived:
			out = append(out, piece.Found(piece.Info, "derived:"+name,
				phrase.Of("%s was worked out: %s, from %s.", m.Title, t.Fine(v.MM), v.Why)))
		}
	}
	return out
}

// adjustments are the rules that were corrected for this body.
func (r *Result) adjustments() []piece.Finding {
	var out []piece.Finding
	t := r.Job.House.Tape
	for _, a := range r.Pattern.Adjusted {
		out = append(out, piece.Found(piece.Info, "adjusted:"+a.What,
			phrase.Of("%s by %s, since %s: the rule gives %s, %s is marked.", sentenceOf(a.What), t.Format(a.By), a.Why, t.Format(a.Rule), t.Format(a.Now)), a.Pieces...))
	}
	return out
}

// sentenceOf turns a code into words: "armhole_lowered" is "Armhole lowered".
func sentenceOf(code string) string {
	b := []byte(code)
	for i := range b {
		if b[i] == '_' {
			b[i] = ' '
		}
	}
	if len(b) > 0 && b[0] >= 'a' && b[0] <= 'z' {
		b[0] -= 'a' - 'A'
	}
	return string(b)
}

// whole is a finding whose text begins with a capital and ends with a stop.
func whole(level piece.Level, code string, said phrase.Said) piece.Finding {
	f := piece.Found(level, code, said)
	f.Text = sentence(f.Text)
	return f
}

// sentence begins with a capital and ends with a stop.
func sentence(s string) string {
	if s != "" && s[0] >= 'a' && s[0] <= 'z' {
		s = string(s[0]-'a'+'A') + s[1:]
	}
	if n := len(s); n > 0 && s[n-1] != '.' {
		s += "."
	}
	return s
}

// ExitCode is what a command returns for a result: 1 when it says do not cut.
func (r *Result) ExitCode() int {
	if r.Level == piece.Stop {
		return 1
	}
	return 0
}
