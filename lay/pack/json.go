package pack

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
)

type problemFile struct {
	Name      string      `json:"name"`
	Width     float64     `json:"cloth_width"`
	Gap       float64     `json:"gap,omitempty"`
	MaxLength float64     `json:"max_length,omitempty"`
	Pieces    []pieceFile `json:"pieces"`
	Obstacles [][]pair    `json:"obstacles,omitempty"`
	Locked    []placeFile `json:"locked,omitempty"`
}

type pieceFile struct {
	ID       string      `json:"id"`
	Quantity int         `json:"quantity"`
	Turns    []float64   `json:"turns"`
	Flip     bool        `json:"flip,omitempty"`
	OnEdge   bool        `json:"on_edge,omitempty"`
	Ways     []wayFile   `json:"ways,omitempty"`
	Repeat   *repeatFile `json:"repeat,omitempty"`
	Outline  []pair      `json:"outline"`
}

type repeatFile struct {
	Point  pair    `json:"point"`
	From   pair    `json:"from"`
	Along  float64 `json:"along,omitempty"`
	Across float64 `json:"across,omitempty"`
}

type wayFile struct {
	Turn    float64 `json:"turn"`
	Flipped bool    `json:"flipped,omitempty"`
	From    float64 `json:"from,omitempty"`
	To      float64 `json:"to,omitempty"`
}

// pair is a point as it is written: two numbers, neither fewer nor more.
type pair [2]float64

// UnmarshalJSON reads the two numbers.
func (p *pair) UnmarshalJSON(text []byte) error {
	var xy []*float64
	if err := json.Unmarshal(text, &xy); err != nil || len(xy) != 2 || xy[0] == nil || xy[1] == nil {
		return badPoint(text)
	}
	p[0], p[1] = *xy[0], *xy[1]
	return nil
}

// badPoint is what stands where a point belongs.
type badPoint []byte

func (b badPoint) Error() string {
	s := string(b)
	if len(s) > 40 {
		s = s[:40] + "…"
	}
	return s + " stands where a point belongs; two numbers are wanted, as [3, 4.5]."
}

type layFile struct {
	Length      float64     `json:"length"`
	Utilisation float64     `json:"utilisation"`
	Seconds     float64     `json:"seconds"`
	Seed        uint64      `json:"seed"`
	Places      []placeFile `json:"places"`
}

type placeFile struct {
	ID      string  `json:"id"`
	Copy    int     `json:"copy"`
	Turn    float64 `json:"turn"`
	Flipped bool    `json:"flipped,omitempty"`
	X       float64 `json:"x"`
	Y       float64 `json:"y"`
}

// ReadJSON reads a problem: {"name", "cloth_width", "pieces": [{"id",
// "quantity", "turns": [degrees], "outline": [[x, y], ...]}]} and, if wanted,
// "gap", "max_length", "obstacles", "locked" and a piece's "flip", "on_edge",
// "ways" ({"turn", "flipped", "from", "to"}) and "repeat" ({"point": [x, y],
// "from": [x, y], "along", "across"}).
// Other fields are passed over. An outline that repeats its first point at the
// end loses the repeat. It checks the form only; see Check for the meaning.
func ReadJSON(r io.Reader) (Problem, error) {
	var f problemFile
	d := json.NewDecoder(r)
	if err := d.Decode(&f); err != nil {
		return Problem{}, Fault{Text: "the file of pieces cannot be read: " + plain(err)}
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return Problem{}, Fault{Text: fmt.Sprintf("the file of pieces cannot be read: it goes on at byte %d, where it should end.", d.InputOffset())}
	}
	if f.Width == 0 {
		return Problem{}, Fault{Text: "cloth_width, the strip's width, is missing or 0; it must be a number more than 0."}
	}
	p := Problem{Name: f.Name, Width: f.Width, Gap: f.Gap, MaxLength: f.MaxLength}
	for _, q := range f.Pieces {
		one := Piece{ID: q.ID, Quantity: q.Quantity, Turns: q.Turns, Flip: q.Flip, OnEdge: q.OnEdge, Outline: outlineOf(q.Outline)}
		for _, w := range q.Ways {
			one.Ways = append(one.Ways, Way(w))
		}
		if r := q.Repeat; r != nil {
			one.Repeat = Repeat{Point{r.Point[0], r.Point[1]}, Point{r.From[0], r.From[1]}, r.Along, r.Across}
		}
		p.Pieces = append(p.Pieces, one)
	}
	for _, o := range f.Obstacles {
		p.Obstacles = append(p.Obstacles, outlineOf(o))
	}
	for _, l := range f.Locked {
		p.Locked = append(p.Locked, Place(l))
	}
	return p, nil
}

// plain says what is wrong with a JSON text without naming Go types.
func plain(err error) string {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	var point badPoint
	switch {
	case errors.As(err, &point):
		return point.Error()
	case errors.Is(err, io.EOF):
		return "it is empty."
	case errors.Is(err, io.ErrUnexpectedEOF):
		return "it ends in the middle."
	case errors.As(err, &syntax):
		return fmt.Sprintf("it is not JSON at byte %d.", syntax.Offset)
	case errors.As(err, &kind):
		return fmt.Sprintf("%q at byte %d is a %s, which is not what belongs there.", kind.Field, kind.Offset, kind.Value)
	}
	return "the reader failed (" + err.Error() + ")."
}

func outlineOf(pairs []pair) []Point {
	out := make([]Point, len(pairs))
	for i, q := range pairs {
		out[i] = Point{q[0], q[1]}
	}
	if n := len(out); n > 3 && out[0] == out[n-1] {
		out = out[:n-1]
	}
	return out
}

// WriteJSON writes a lay in the form {"length", "utilisation" (0 to 1),
// "seconds", "seed", "places": [{"id", "copy", "turn", "x", "y"}]}; a mirrored
// place also has "flipped". Lengths are written in full so that the places stay
// exactly as validated.
func WriteJSON(w io.Writer, l Lay) error {
	f := layFile{Length: l.Length, Utilisation: l.Utilisation, Seconds: math.Round(l.Seconds*1000) / 1000, Seed: l.Seed, Places: []placeFile{}}
	for _, q := range l.Places {
		f.Places = append(f.Places, placeFile(q))
	}
	e := json.NewEncoder(w)
	e.SetIndent("", " ")
	return e.Encode(f)
}

// WriteProblemJSON writes a problem in the form that ReadJSON reads.
func WriteProblemJSON(w io.Writer, p Problem) error {
	f := problemFile{Name: p.Name, Width: p.Width, Gap: p.Gap, MaxLength: p.MaxLength, Pieces: []pieceFile{}}
	for _, q := range p.Pieces {
		one := pieceFile{ID: q.ID, Quantity: q.Quantity, Turns: q.Turns, Flip: q.Flip, OnEdge: q.OnEdge, Outline: pairsOf(q.Outline)}
		for _, w := range q.Ways {
			one.Ways = append(one.Ways, wayFile(w))
		}
		if r := q.Repeat; r.on() {
			one.Repeat = &repeatFile{pair{r.Point.X, r.Point.Y}, pair{r.From.X, r.From.Y}, r.Along, r.Across}
		}
		f.Pieces = append(f.Pieces, one)
	}
	for _, o := range p.Obstacles {
		f.Obstacles = append(f.Obstacles, pairsOf(o))
	}
	for _, l := range p.Locked {
		f.Locked = append(f.Locked, placeFile(l))
	}
	return json.NewEncoder(w).Encode(f)
}

func pairsOf(pts []Point) []pair {
	out := make([]pair, len(pts))
	for i, p := range pts {
		out[i] = pair{p.X, p.Y}
	}
	return out
}
