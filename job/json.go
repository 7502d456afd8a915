package job

import (
	"bytes"
	"encoding/json"
	"math"
	"strconv"

	"clothwright/body"
	"clothwright/curve"
	"clothwright/piece"
)

// num prints a length to a thousandth of a millimetre, never as minus nought.
type num float64

// MarshalJSON writes the number.
func (n num) MarshalJSON() ([]byte, error) {
	v := math.Round(float64(n)*1000) / 1000
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return []byte("0"), nil
	}
	return strconv.AppendFloat(nil, v, 'f', -1, 64), nil
}

type xy [2]num

func at(p curve.Point) xy { return xy{num(p.X), num(p.Y)} }

func outline(pts []curve.Point) []xy {
	out := make([]xy, len(pts))
	for i, p := range pts {
		out[i] = at(p)
	}
	return out
}

// The record's types are the contract's: fields may be added, none renamed or dropped.
type (
	record struct {
		Format   int             `json:"format"`
		Garment  string          `json:"garment"`
		Job      string          `json:"job"`
		Client   string          `json:"client,omitempty"`
		Date     string          `json:"date,omitempty"`
		Demo     string          `json:"demo,omitempty"`
		Tape     string          `json:"tape"`
		Level    string          `json:"level"`
		Style    map[string]any  `json:"style"`
		Measures []jsonMeasure   `json:"measures"`
		Marks    []jsonMark      `json:"marks"`
		Pieces   []jsonPiece     `json:"pieces"`
		Seams    []jsonSeam      `json:"seams"`
		Worn     []jsonWorn      `json:"worn"`
		Adjusted []jsonAdjusted  `json:"adjusted"`
		Notions  []jsonNotion    `json:"notions"`
		Findings []jsonFinding   `json:"findings"`
		Cloths   json.RawMessage `json:"cloths"`
		Cost     json.RawMessage `json:"cost,omitempty"`
	}
	jsonMeasure struct {
		Name      string `json:"name"`
		MM        num    `json:"mm"`
		From      string `json:"from"`
		Spread    num    `json:"spread"`
		Confirmed bool   `json:"confirmed,omitempty"`
		Why       string `json:"why,omitempty"`
	}
	jsonMark struct {
		Piece    string `json:"piece"`
		Name     string `json:"name"`
		X        num    `json:"x"`
		Y        num    `json:"y"`
		From     string `json:"from"`
		Way      string `json:"way"`
		Distance num    `json:"distance"`
		Exact    num    `json:"exact"`
		Taped    string `json:"taped"`
		Why      string `json:"why"`
	}
	jsonPiece struct {
		Name     string      `json:"name"`
		Title    string      `json:"title"`
		Material string      `json:"material"`
		Count    int         `json:"count"`
		Pair     bool        `json:"pair"`
		OnFold   bool        `json:"on_fold"`
		Side     string      `json:"side,omitempty"`
		CopyOf   string      `json:"copy_of,omitempty"`
		SeamLine []xy        `json:"seam_line"`
		CutLine  []xy        `json:"cut_line"`
		Grain    [2]xy       `json:"grain"`
		Edges    []jsonEdge  `json:"edges"`
		Notches  []jsonNotch `json:"notches"`
	}
	jsonEdge struct {
		Name      string `json:"name"`
		Length    num    `json:"length"`
		Allowance num    `json:"allowance"`
		Finish    string `json:"finish,omitempty"`
	}
	jsonNotch struct {
		Edge string `json:"edge"`
		At   num    `json:"at"`
		Kind string `json:"kind"`
		Name string `json:"name"`
	}
	jsonSeam struct {
		Name     string      `json:"name"`
		A        []piece.Ref `json:"a"`
		B        []piece.Ref `json:"b"`
		LengthA  num         `json:"length_a"`
		LengthB  num         `json:"length_b"`
		Kind     string      `json:"kind"`
		Intended num         `json:"intended"`
		Layer    string      `json:"layer"`
	}
	jsonWorn struct {
		At      string `json:"at"`
		Body    num    `json:"body"`
		Garment num    `json:"garment"`
		Ease    num    `json:"ease"`
		Least   num    `json:"least"`
		From    string `json:"from"`
	}
	jsonAdjusted struct {
		What string `json:"what"`
		By   num    `json:"by"`
		Rule num    `json:"rule"`
		Now  num    `json:"now"`
		Why  string `json:"why"`
	}
	jsonNotion struct {
		Kind   string `json:"kind"`
		Name   string `json:"name"`
		Length num    `json:"length"`
		Edge   num    `json:"edge"`
		Count  int    `json:"count"`
		Note   string `json:"note"`
	}
	jsonFinding struct {
		Level  string   `json:"level"`
		Code   string   `json:"code"`
		Text   string   `json:"text"`
		Pieces []string `json:"pieces"`
	}
)

// outlineTolerance is how far a flattened outline may stray from its curve, in mm.
const outlineTolerance = 0.05

// JSON is the whole result as scripts read it (CONTRACT: job.json).
func (r *Result) JSON() ([]byte, error) {
	out := record{
		Format: 1, Garment: r.Job.Garment.Name, Job: r.Job.Number, Client: r.Job.Client, Date: r.Job.Date, Demo: r.Job.Demo,
		Tape: r.Job.House.Tape.String(), Level: string(r.Level), Style: map[string]any{},
		Measures: []jsonMeasure{}, Marks: []jsonMark{}, Adjusted: []jsonAdjusted{}, Notions: []jsonNotion{},
		Findings: JSONFindings(r.Findings), Worn: JSONWorn(r.Pattern.Worn),
	}
	var err error
	if out.Cloths, err = r.cloths(); err != nil {
		return nil, err
	}
	for _, o := range r.Job.Garment.Options {
		v := r.Job.Style[o.Name]
		if mm, ok := v.(float64); ok {
			v = num(mm)
		}
		out.Style[o.Name] = v
	}
	for _, m := range body.Measures {
		if v, ok := r.Card.Get(m.Name); ok {
			out.Measures = append(out.Measures, jsonMeasure{string(m.Name), num(v.MM), string(v.From), num(v.Spread), v.Confirmed, v.Why})
		}
	}
	for i := range r.Pattern.Pieces {
		p := &r.Pattern.Pieces[i]
		for _, m := range p.Marks {
			out.Marks = append(out.Marks, jsonMark{p.Name, m.Name, num(m.At.X), num(m.At.Y), m.From, m.Way, num(m.Distance), num(m.Exact), m.Taped, m.Why.String()})
		}
		out.Pieces = append(out.Pieces, pieceJSON(p))
	}
	for _, s := range r.Pattern.Seams {
		out.Seams = append(out.Seams, r.seamJSON(s))
	}
	out.Adjusted = JSONAdjusted(r.Pattern.Adjusted)
	for _, n := range r.Pattern.Notions {
		out.Notions = append(out.Notions, jsonNotion{n.Kind, n.Name, num(n.Length), num(n.Edge), n.Count, n.Note.String()})
	}
	if r.Quote != nil {
		var err error
		if out.Cost, err = json.Marshal(r.Quote.Record()); err != nil {
			return nil, err
		}
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(out); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

func pieceJSON(p *piece.Piece) jsonPiece {
	seam, cut := p.Outline(outlineTolerance)
	out := jsonPiece{Name: p.Name, Title: p.Title, Material: string(p.Material), Count: p.Count, Pair: p.Pair, OnFold: p.OnFold, Side: p.Side, CopyOf: p.CopyOf,
		SeamLine: outline(seam), CutLine: outline(cut), Grain: [2]xy{at(p.Grain[0]), at(p.Grain[1])}, Notches: []jsonNotch{}}
	for _, e := range p.Edges {
		out.Edges = append(out.Edges, jsonEdge{e.Name, num(e.Length()), num(e.Allowance), string(e.Finish)})
	}
	for _, n := range p.Notches {
		out.Notches = append(out.Notches, jsonNotch{n.Edge, num(n.At), n.Kind, n.Name})
	}
	return out
}

func (r *Result) seamJSON(s piece.Seam) jsonSeam {
	sum := func(refs []piece.Ref) (total float64) {
		for _, ref := range refs {
			total += r.Pattern.LengthOf(ref)
		}
		return total
	}
	return jsonSeam{s.Name, s.A, s.B, num(sum(s.A)), num(sum(s.B)), string(s.Kind), num(s.Intended), s.Layer}
}

// JSONWorn is the worn list as the contract has it.
func JSONWorn(ws []piece.Worn) []jsonWorn {
	out := []jsonWorn{}
	for _, w := range ws {
		out = append(out, jsonWorn{w.At, num(w.Body), num(w.Garment), num(w.Ease()), num(w.Least), w.BodyFrom})
	}
	return out
}

// JSONAdjusted is the list of adjustments as the contract has it.
func JSONAdjusted(as []piece.Adjustment) []jsonAdjusted {
	out := []jsonAdjusted{}
	for _, a := range as {
		out = append(out, jsonAdjusted{a.What, num(a.By), num(a.Rule), num(a.Now), a.Why.String()})
	}
	return out
}

// JSONFindings is the list of findings as the contract has it.
func JSONFindings(fs []piece.Finding) []jsonFinding {
	out := []jsonFinding{}
	for _, f := range fs {
		pieces := f.Pieces
		if pieces == nil {
			pieces = []string{}
		}
		out = append(out, jsonFinding{string(f.Level), f.Code, f.Text, pieces})
	}
	return out
}
