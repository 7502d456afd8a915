package desk

import (
	"context"
	"fmt"
	"math"
	"strconv"
	"strings"

	"clothwright/body"
	"clothwright/book"
	"clothwright/cost"
	"clothwright/job"
	"clothwright/sheet/docket"
)

// changed lists in what two issues of a confirmation sheet differ, what each said before and what it says now: price and deposit line by
// line, the day, choices of style, finished sizes, and the measures they come from. Now is the newest draft's result.
func changed(ctx context.Context, b *book.Book, j book.Job, was, now book.Issue, r *job.Result) ([]docket.Change, error) {
	var out []docket.Change
	if was.Quote != now.Quote {
		prices, err := priceChanges(ctx, b, j, was.Quote, now.Quote)
		if err != nil {
			return nil, err
		}
		out = append(out, prices...)
	}
	if was.Due != now.Due {
		out = append(out, docket.Change{What: "Ready on", Was: was.Due, Now: now.Due})
	}
	if was.Draft == now.Draft {
		return out, nil
	}
	d, err := b.Draft(ctx, j.ID, was.Draft)
	if err != nil {
		return nil, err
	}
	before, err := Again(d)
	if err != nil {
		return nil, err
	}
	out = append(out, differ(styleOf(before), styleOf(r))...)
	out = append(out, differ(sizes(before), sizes(r))...)
	return append(out, differ(measuresOf(before), measuresOf(r))...), nil
}

// differ lists the things of which two lists do not say the same, in the order of the second.
func differ(was, now []docket.Size) []docket.Change {
	before := map[string]string{}
	for _, s := range was {
		before[s.What] = s.Text
	}
	var out []docket.Change
	for _, s := range now {
		if w := before[s.What]; w != s.Text {
			out = append(out, docket.Change{What: s.What, Was: w, Now: s.Text})
		}
		delete(before, s.What)
	}
	for _, s := range was {
		if w, gone := before[s.What]; gone {
			out = append(out, docket.Change{What: s.What, Was: w})
		}
	}
	return out
}

func priceChanges(ctx context.Context, b *book.Book, j book.Job, was, now int) ([]docket.Change, error) {
	var lines [2][]docket.Size
	for i, n := range []int{was, now} {
		q, err := b.QuoteNth(ctx, j.ID, n)
		if err != nil {
			return nil, err
		}
		words, err := Lines(q)
		if err != nil {
			return nil, err
		}
		lines[i] = sizesOf(words)
	}
	return differ(lines[0], lines[1]), nil
}

func sizesOf(lines []cost.ClientLine) []docket.Size {
	var out []docket.Size
	for _, l := range lines {
		out = append(out, docket.Size{What: l.What, Text: l.Amount})
	}
	return out
}

// styleOf are the choices of style, each by its name.
func styleOf(r *job.Result) []docket.Size {
	var out []docket.Size
	for _, s := range r.Sheet().StyleWords {
		what, text, _ := strings.Cut(s, ": ")
		out = append(out, docket.Size{What: what, Text: text})
	}
	return out
}

// measuresOf are the measures that were taken, but for those that are finished sizes by themselves.
func measuresOf(r *job.Result) []docket.Size {
	finished := map[body.Name]bool{}
	for _, m := range measured {
		finished[body.Name(m.name)] = true
	}
	var out []docket.Size
	for _, t := range []struct {
		side string
		of   map[body.Name]body.Value
	}{{"", r.Job.Card.Values}, {", left", r.Job.Card.Left}, {", right", r.Job.Card.Right}} {
		for _, m := range body.Measures {
			v, ok := t.of[m.Name]
			if !ok || t.side == "" && finished[m.Name] {
				continue
			}
			text := r.Job.House.Tape.Fine(v.MM)
			if m.Kind == body.Angle {
				text = strconv.FormatFloat(math.Round(v.MM*10)/10, 'f', -1, 64) + " degrees"
			}
			out = append(out, docket.Size{What: m.Title + t.side, Text: text})
		}
	}
	return out
}

// ChangeLine says a change in a line.
func ChangeLine(c docket.Change) string {
	return fmt.Sprintf("%s: %s before, %s now", c.What, orNothing(c.Was), orNothing(c.Now))
}

func orNothing(s string) string {
	if s == "" {
		return "nothing"
	}
	return s
}
