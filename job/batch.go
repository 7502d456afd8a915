package job

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"clothwright/body"
	"clothwright/draft"
	"clothwright/mistake"
	"clothwright/piece"
	"clothwright/tape"
)

// Batch drafts one garment in one style on every body of a table.
type Batch struct {
	File    string // how errors call the table
	Garment *draft.Garment
	Style   draft.Style
	House   draft.House
	Unit    tape.Unit // of the table's lengths
	Workers int       // how many bodies are drafted at once; at least 1

	Line func(line []byte) error          // takes each row's record, in the table's order
	Each func(id string, r *Result) error // takes each drafted row, in order; may be nil
	Note func(text string)                // takes what is worth telling once; may be nil
	Done func(rows int)                   // progress; may be nil
}

// Tally is what became of a batch.
type Tally struct {
	Rows   int
	Failed int // rows that could not be drafted at all
	Levels map[piece.Level]int
	Needed map[string]int // adjustments by their code
}

// rowRecord is one line of batch.jsonl.
type rowRecord struct {
	ID       string         `json:"id"`
	Line     int            `json:"line"`
	Level    string         `json:"level"`
	Error    string         `json:"error,omitempty"`
	Findings []jsonFinding  `json:"findings"`
	Adjusted []jsonAdjusted `json:"adjusted"`
	Worn     []jsonWorn     `json:"worn"`
}

// row is one body on its way through.
type row struct {
	id     string
	line   int
	card   body.Card
	bad    error
	result *Result
	done   chan struct{}
}

// Run reads the table and hands on a line for each row, in order. A bad row is told and the rest go on. The
// error is a table that cannot be read at all, or one that Line or Each returned.
func (b *Batch) Run(ctx context.Context, table io.Reader) (Tally, error) {
	tally := Tally{Levels: map[piece.Level]int{}, Needed: map[string]int{}}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	r := csv.NewReader(table)
	r.FieldsPerRecord = -1
	r.ReuseRecord = true
	head, err := b.header(r)
	if err != nil {
		return tally, err
	}
	workers := max(1, b.Workers)
	work := make(chan *row, workers)
	inOrder := make(chan *row, 4*workers)
	for range workers {
		go func() {
			for x := range work {
				if x.bad == nil {
					x.result, x.bad = b.one(x)
				}
				close(x.done)
			}
		}()
	}
	broken := make(chan error, 1)
	go func() {
		defer close(inOrder)
		defer close(work)
		for {
			rec, err := r.Read()
			if errors.Is(err, io.EOF) {
				return
			}
			x := &row{done: make(chan struct{})}
			var parse *csv.ParseError
			switch {
			case errors.As(err, &parse):
				x.line, x.bad = parse.Line, fmt.Errorf("the row cannot be read: %s", parse.Err)
			case err != nil:
				broken <- fmt.Errorf("%s cannot be read: %s", b.File, mistake.System(err))
				return
			default:
				x.line, _ = r.FieldPos(0)
				x.id, x.card, x.bad = head.read(rec, b.Unit)
			}
			select {
			case inOrder <- x:
			case <-ctx.Done():
				return
			}
			work <- x
		}
	}()
	for x := range inOrder {
		<-x.done
		if err := b.tell(x, &tally); err != nil {
			stop()
			for range inOrder {
			}
			return tally, err
		}
	}
	select {
	case err := <-broken:
		return tally, err
	default:
		return tally, ctx.Err()
	}
}

func (b *Batch) one(x *row) (*Result, error) {
	j := &Job{File: b.File, Number: x.id, Garment: b.Garment, Card: x.card, Style: b.Style, House: b.House}
	full := x.card.Complete()
	for _, m := range body.Measures {
		if v, ok := full.Get(m.Name); m.Must && (!ok || v.From == body.Estimated && m.Kind == body.Wanted) {
			return nil, fmt.Errorf("%s is missing and does not follow from the others", m.Name)
		}
	}
	r, err := j.Cut()
	if ps, ok := mistake.In(err); ok {
		return nil, errors.New(ps[0].Text)
	}
	return r, err
}

// tell hands on one row's line and counts it.
func (b *Batch) tell(x *row, t *Tally) error {
	t.Rows++
	out := rowRecord{ID: x.id, Line: x.line, Findings: []jsonFinding{}, Adjusted: []jsonAdjusted{}, Worn: []jsonWorn{}}
	if x.bad != nil {
		t.Failed++
		out.Level, out.Error = string(piece.Stop), x.bad.Error()
		if b.Note != nil {
			b.Note(fmt.Sprintf("%s:%d: %s: %s", b.File, x.line, x.id, x.bad))
		}
	} else {
		t.Levels[x.result.Level]++
		for _, a := range x.result.Pattern.Adjusted {
			t.Needed[a.What]++
		}
		out.Level = string(x.result.Level)
		out.Findings = JSONFindings(x.result.Findings)
		out.Adjusted = JSONAdjusted(x.result.Pattern.Adjusted)
		out.Worn = JSONWorn(x.result.Pattern.Worn)
		if b.Each != nil {
			if err := b.Each(x.id, x.result); err != nil {
				return err
			}
		}
	}
	var line bytes.Buffer
	e := json.NewEncoder(&line)
	e.SetEscapeHTML(false)
	if err := e.Encode(out); err != nil {
		return err
	}
	if err := b.Line(line.Bytes()); err != nil {
		return err
	}
	x.result = nil
	if b.Done != nil {
		b.Done(t.Rows)
	}
	return nil
}

// header is what each column of the table is.
type header []column

type column struct {
	what string // "id", "sex", "age", "measure", "" for one that is passed over
	name body.Name
}

// header reads the first row and tells once which columns are passed over.
func (b *Batch) header(r *csv.Reader) (header, error) {
	rec, err := r.Read()
	var parse *csv.ParseError
	switch {
	case errors.Is(err, io.EOF) || errors.As(err, &parse):
		return nil, fmt.Errorf("%s has no header row of measure names that can be read", b.File)
	case err != nil:
		return nil, fmt.Errorf("%s cannot be read: %s", b.File, mistake.System(err))
	}
	var h header
	var passed []string
	known := 0
	seen := map[body.Name]bool{}
	for i, name := range rec {
		name = strings.ToLower(strings.TrimSpace(strings.TrimPrefix(name, "\ufeff")))
		c := column{}
		m, ok := body.Lookup(name)
		switch {
		case i == 0:
			if name != "id" {
				return nil, fmt.Errorf("%s:1: the first column is %.40q; id is wanted", b.File, name)
			}
			c.what = "id"
		case name == "sex" || name == "figure":
			c.what = "sex"
		case name == "age":
			c.what = "age"
		case ok && seen[m.Name]:
			return nil, fmt.Errorf("%s:1: the measure %s stands in two columns", b.File, m.Name)
		case ok:
			c.what, c.name = "measure", m.Name
			seen[m.Name] = true
			known++
		default:
			passed = append(passed, name)
		}
		h = append(h, c)
	}
	if known == 0 {
		return nil, fmt.Errorf("%s:1: no column is a measure; chest_girth is one", b.File)
	}
	if len(passed) > 0 && b.Note != nil {
		b.Note(fmt.Sprintf("%s: passed over, since no measure is called so: %s", b.File, strings.Join(passed, ", ")))
	}
	return h, nil
}

var sexes = map[string]body.Figure{"": body.Unstated, "f": body.Women, "w": body.Women, "female": body.Women, "women": body.Women, "m": body.Men, "male": body.Men, "men": body.Men, "child": body.Child}

// read turns one row into a card.
func (h header) read(rec []string, unit tape.Unit) (id string, card body.Card, err error) {
	card.Values = make(map[body.Name]body.Value, len(h))
	id = strings.Clone(rec[0])
	if len(rec) != len(h) {
		return id, card, fmt.Errorf("the row has %d fields; %d are wanted", len(rec), len(h))
	}
	for i, c := range h {
		s := strings.TrimSpace(rec[i])
		switch c.what {
		case "sex":
			f, ok := sexes[strings.ToLower(s)]
			if !ok {
				return id, card, fmt.Errorf("sex is %q; f and m are allowed, or nothing", s)
			}
			card.Figure = f
		case "age":
			if s == "" {
				continue
			}
			if card.Age, err = strconv.ParseFloat(s, 64); err != nil || !(card.Age >= 0 && card.Age <= 120) {
				return id, card, fmt.Errorf("age is %q; 0 to 120 years is allowed", s)
			}
		case "measure":
			if s == "" {
				continue
			}
			m, _ := body.Lookup(string(c.name))
			v := body.Value{From: body.Given}
			if m.Kind == body.Angle {
				v.MM, err = degrees(s)
			} else {
				v.MM, err = tape.Parse(s, unit)
			}
			if err != nil {
				return id, card, fmt.Errorf("%s: %s", c.name, err)
			}
			if !(v.MM >= m.Least && v.MM <= m.Most) || math.IsNaN(v.MM) {
				return id, card, fmt.Errorf("%s is %s; %s is what a person can have", c.name, s, m.Allowed(s, unit))
			}
			card.Values[c.name] = v
		}
	}
	return id, card, nil
}

// ReadStyle reads a style file: a job file's [style] table, or its keys alone, with unit and house beside it.
func ReadStyle(name string, src []byte, g *draft.Garment, files Files) (draft.Style, draft.House, error) {
	r := reading(name, src)
	raw := map[string]any{}
	j := &Job{House: draft.Standard()}
	if !r.Decode(&raw, aStyle) {
		return nil, j.House, r.Err()
	}
	var unit tape.Unit
	if u, ok := raw["unit"]; ok {
		var err error
		if unit, err = tape.ParseUnit(fmt.Sprint(u)); err != nil {
			r.Say(r.Line("", "unit"), "unit is %q; in, cm and mm are allowed", fmt.Sprint(u))
		}
		delete(raw, "unit")
	}
	if h, ok := raw["house"]; ok {
		r.house(j, fmt.Sprint(h), files)
		delete(raw, "house")
	}
	table := ""
	if s, ok := raw["style"].(map[string]any); ok && len(raw) == 1 {
		raw, table = s, "style"
	}
	style, errs := g.Style(raw, unit)
	for _, err := range errs {
		where, _, _ := strings.Cut(err.Error(), ":")
		r.Say(r.Line(table, strings.TrimPrefix(where, "style.")), "%s", err)
	}
	if err := r.Err(); err != nil {
		return nil, j.House, err
	}
	return style, j.House, nil
}
