package job

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"clothwright/body"
	"clothwright/draft"
	"clothwright/lay"
	"clothwright/sheet"
	"clothwright/sheet/drawing"
	"clothwright/sheet/nest"
	"clothwright/sheet/pdf"
	"clothwright/sheet/svg"
)

// Output is one file that comes of a job.
type Output struct {
	Name  string
	Bytes []byte
}

// books are the sheets of a job, each a file.
var books = []struct {
	file string
	draw func(sheet.Job) (*drawing.Drawing, error)
}{
	{"chalk.pdf", sheet.Chalk},
	{"pieces.pdf", sheet.FullSize},
	{"roll.pdf", sheet.Roll},
	{"cut-list.pdf", sheet.CutList},
	{"making-up.pdf", sheet.Order},
}

// Files is everything that is written for a result: job.json, and unless only the record is wanted, the sheets. The pieces
// are laid first when they have not been, with a budget in steps.
func (r *Result) Files(only bool) ([]Output, error) {
	if r.Plans == nil {
		if err := r.Lay(context.Background(), lay.Options{}); err != nil {
			return nil, err
		}
	}
	record, err := r.JSON()
	if err != nil {
		return nil, err
	}
	out := []Output{{"job.json", record}}
	if only {
		return out, nil
	}
	in := r.Sheet()
	for _, b := range books {
		if b.file == "roll.pdf" && r.Job.House.Roll == 0 {
			continue
		}
		d, err := b.draw(in)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", b.file, err)
		}
		bytes, err := pdf.Bytes(d)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", b.file, err)
		}
		out = append(out, Output{b.file, bytes})
	}
	plan, err := r.layPlanFile()
	if err != nil {
		return nil, err
	}
	out = append(out, plan...)
	d, err := sheet.PiecesSVG(in)
	if err != nil {
		return nil, err
	}
	pic, err := svg.Bytes(d.Pages[0])
	if err != nil {
		return nil, err
	}
	return append(out, Output{"pieces.svg", pic}), nil
}

// Sheet is what the sheets print.
func (r *Result) Sheet() sheet.Job {
	j := r.Job
	in := sheet.Job{Job: j.Number, Client: j.Client, Garment: j.Garment.Title, Date: j.Date, Tape: j.House.Tape, Paper: j.House.Paper, Roll: j.House.Roll,
		Pattern: r.Pattern, Findings: r.Findings, DemoNote: j.Demo, StyleWords: styleWords(j.Garment, j.Style, &j.House, r.Pattern.Chosen)}
	for _, m := range body.Measures {
		v, ok := r.Card.Get(m.Name)
		if !ok || v.From != body.Given && !slices.Contains(r.Pattern.Used, string(m.Name)) {
			continue
		}
		text := j.House.Tape.Fine(v.MM)
		if m.Kind == body.Angle {
			text = fmt.Sprintf("%.0f degrees", v.MM)
		}
		in.Measures = append(in.Measures, sheet.Measure{Title: m.Title, MM: v.MM, Text: text, From: string(v.From)})
	}
	return in
}

// styleWords says the choices of style in words: "Ease: regular". A choice that had no part in this style is left out, as the thickness of a
// padding that there is none of, and so is a length of nought. What a script may do of itself is named only where it was forbidden, or
// allowed against the garment's own habit.
func styleWords(g *draft.Garment, s draft.Style, h *draft.House, chosen []string) []string {
	var out []string
	for _, o := range g.Options {
		if !slices.Contains(chosen, o.Name) {
			continue
		}
		switch v := s[o.Name].(type) {
		case string:
			out = append(out, sentenceOf(o.Name)+": "+v)
		case float64:
			if v != 0 {
				out = append(out, sentenceOf(o.Name)+": "+h.Tape.Format(v))
			}
		case bool:
			if v != o.Yes || !strings.HasPrefix(o.Name, "may_") {
				out = append(out, sentenceOf(o.Name)+": "+yesNo[v])
			}
		}
	}
	return out
}

var yesNo = map[bool]string{true: "yes", false: "no"}

// Nest stacks the results of a run of sizes on one another for checking: nest.pdf, or nothing when the run is empty. Its paper,
// tape and title are the first result's.
func Nest(run []*Result) ([]Output, error) {
	var sizes []nest.Size
	for _, r := range run {
		sizes = append(sizes, nest.Size{Label: r.Job.Size, Pattern: r.Pattern})
	}
	if len(run) == 0 {
		return nil, nil
	}
	j := run[0].Job
	d, err := nest.Draw(j.Garment.Title+", "+j.Table, j.House.Paper, j.House.Tape, sizes)
	if err != nil {
		return nil, err
	}
	all, err := pdf.Bytes(d)
	if err != nil {
		return nil, err
	}
	return []Output{{"nest.pdf", all}}, nil
}
