package draft

import (
	"go.starlark.net/starlark"

	"clothwright/curve"
	"clothwright/piece"
)

func runPiece(c *call) (starlark.Value, error) {
	p := piece.Piece{Count: 1}
	var material string
	var inset length
	err := c.take("name", &p.Name, "title", &p.Title, "material", &material, "count?", &p.Count, "pair?", &p.Pair, "on_fold?", &p.OnFold,
		"cloth?", &p.Start.Cloth, "from_edge?", &p.Start.From, "inset?", &inset, "line?", &p.Start.Line, "why?", (*told)(&p.Start.Why), "note?", &p.Note, "side?", &p.Side)
	if err != nil {
		return nil, err
	}
	p.Material, p.Start.In = piece.Material(material), float64(inset)
	return c.host.newPiece(p)
}

func (d *drafter) newPiece(p piece.Piece) (*draftPiece, error) {
	if p.Name == "" {
		return nil, (&call{}).fail("a piece needs a name")
	}
	for _, q := range d.pieces {
		if q.p.Name == p.Name {
			return nil, (&call{}).fail("piece %q is begun twice", p.Name)
		}
	}
	if len(d.pieces) >= maxPieces {
		return nil, (&call{}).fail("piece %q is one too many: at most %d are allowed", p.Name, maxPieces)
	}
	q := &draftPiece{host: d, p: &p, chalked: map[*pathValue]bool{}, marks: map[string]bool{}, drawnFrom: map[string]curve.Point{}}
	d.pieces = append(d.pieces, q)
	return q, nil
}

func runTrial(c *call) (starlark.Value, error) {
	if err := c.take(); err != nil {
		return nil, err
	}
	return &draftPiece{host: c.host, p: &piece.Piece{}, trial: true, drawnFrom: map[string]curve.Point{}}, nil
}

func runRepeat(c *call) (starlark.Value, error) {
	var of *draftPiece
	p := piece.Piece{}
	var material string
	var allowance length
	if err := c.take("of", &of, "name", &p.Name, "title", &p.Title, "material", &material, "count", &p.Count, "allowance?", &allowance, "pair?", &p.Pair, "note?", &p.Note); err != nil {
		return nil, err
	}
	if !of.closed {
		return nil, c.fail("piece %q repeats %q before that one's outline is closed", p.Name, of.p.Name)
	}
	p.Material, p.CopyOf, p.OnFold = piece.Material(material), of.p.Name, of.p.OnFold
	p.Start = of.p.Start
	p.Side = of.p.Side
	q, err := c.host.newPiece(p)
	if err != nil {
		return nil, err
	}
	for _, e := range of.p.Edges {
		if e.Finish != piece.Fold {
			e.Allowance, e.Finish, e.Corner = float64(allowance), piece.Cut, piece.Mitre
		}
		q.p.Edges = append(q.p.Edges, e)
	}
	q.notches = append(q.notches, of.notches...)
	q.closed, q.rim, q.grain = true, of.rim, of.grain
	return q, nil
}
