package book

import (
	"context"
	"database/sql"
	"fmt"
	"sort"
	"strings"
)

// Fit is a fitting, planned or held.
type Fit struct {
	ID    int64
	JobID int64
	Day   string
	Held  bool
	By    string
	Note  string
	Pins  []Pin
}

// Pin is one thing pinned at a fitting.
type Pin struct {
	Said    string  // as it was said
	Side    string  // "left", "right" or empty for both
	Place   string  // a row of Places
	MM      float64 // signed: what the place's measure is to become larger by; for what no measure carries, as said
	Measure string  // what carries it to the next draft, as arm_length, left.arm_length or style.front_wider; empty when a job file has no way to say it
}

// Slope is the one measure that carries a pin and is no length: a pin at the shoulder's end is mm there, and degrees on the card.
const Slope = "shoulder_slope"

// Styled stands before the name of a choice of style that carries a pin.
const Styled = "style."

// Carried says whether the next draft's job file can hold it.
func (p Pin) Carried() bool { return p.Measure != "" }

// Places are the places a pin may be at, the measure or the choice of style that carries a change there, and the words for more and
// less. What none stands for, and what is pinned on one side where a job file has no figure for a side, is kept and printed on the
// docket, and has to be made by hand: a hem, since no measure and no choice is its width alone, and a pocket, whose place the
// garment's script works out.
var Places = []struct {
	Name       string
	Measure    string
	More, Less []string
}{
	{"sleeve", "arm_length", []string{"longer"}, []string{"shorter"}},
	{"length", "body_length", []string{"longer"}, []string{"shorter"}},
	{"chest", "chest_girth", []string{"wider", "out"}, []string{"narrower", "in"}},
	{"waist", "waist_girth", []string{"wider", "out"}, []string{"narrower", "in"}},
	{"hip", "hip_girth", []string{"wider", "out"}, []string{"narrower", "in"}},
	{"back", "back_width", []string{"wider"}, []string{"narrower"}},
	{"shoulders", "shoulder_width", []string{"wider"}, []string{"narrower"}},
	{"upper arm", "upper_arm_girth", []string{"wider", "out"}, []string{"narrower", "in"}},
	{"wrist", "wrist_girth", []string{"wider", "out"}, []string{"narrower", "in"}},
	{"neck", "neck_base_girth", []string{"wider", "out"}, []string{"narrower", "in"}},
	{"armhole", "underarm_depth", []string{"deeper", "lower"}, []string{"higher"}},
	{"shoulder", Slope, []string{"lower"}, []string{"higher"}},
	{"collar", Styled + "collar_height", []string{"higher"}, []string{"lower"}},
	{"hem", "", []string{"wider", "out"}, []string{"narrower", "in"}},
	{"pocket", "", []string{"lower"}, []string{"higher"}},
	{"front", Styled + "front_wider", []string{"wider", "out"}, []string{"narrower", "in"}},
}

// sided are the measures that a job file takes on one side alone, under [left] and [right].
var sided = map[string]bool{"arm_length": true, "upper_arm_girth": true, "wrist_girth": true, "hand_girth": true, Slope: true}

// carrier is what carries a pin at a row of Places.
func carrier(side, measure string) string {
	switch {
	case side == "":
		return measure
	case sided[measure]:
		return side + "." + measure
	}
	return ""
}

// ParsePin reads what was pinned: [left|right] PLACE (+|-|a word as longer, lower, in) LENGTH, as "sleeve +1/2 in" or "left
// shoulder lower 1/4 in". length reads a length and returns mm.
func ParsePin(said string, length func(string) (float64, error)) (Pin, error) {
	p := Pin{Said: strings.Join(strings.Fields(said), " ")}
	rest := strings.ToLower(p.Said)
	for _, side := range []string{"left", "right"} {
		if after, ok := strings.CutPrefix(rest, side+" "); ok {
			p.Side, rest = side, after
		}
	}
	row := -1
	for i, pl := range Places {
		if strings.HasPrefix(rest, pl.Name+" ") && (row < 0 || len(pl.Name) > len(Places[row].Name)) {
			row, p.Place = i, pl.Name
		}
	}
	if row < 0 {
		var names []string
		for _, pl := range Places {
			names = append(names, pl.Name)
		}
		return p, mistake("%q names no place that can be pinned; %s can, with left or right before it", said, strings.Join(names, ", "))
	}
	pl := Places[row]
	rest = strings.TrimSpace(rest[len(pl.Name):])
	sign := 0.0
	for _, w := range []struct {
		words []string
		sign  float64
	}{{append([]string{"+"}, pl.More...), 1}, {append([]string{"-", "−"}, pl.Less...), -1}} {
		for _, word := range w.words {
			if after, ok := strings.CutPrefix(rest, word); ok && sign == 0 {
				rest, sign = strings.TrimSpace(after), w.sign
			}
		}
	}
	if sign == 0 {
		return p, mistake("%q does not say which way; +, -, %s are allowed at the %s", said, strings.Join(append(append([]string{}, pl.More...), pl.Less...), ", "), pl.Name)
	}
	mm, err := length(rest)
	if err != nil {
		return p, mistake("%q: %s", said, err)
	}
	if !(mm > 0 && mm <= 300) {
		return p, mistake("%q: a pin moves cloth by more than nothing and at most 300 mm", said)
	}
	p.MM = sign * mm
	p.Measure = carrier(p.Side, pl.Measure)
	return p, nil
}

// AddFit books a fitting: planned, or held with what was pinned. A held fitting takes the place of the job's oldest planned one.
func (tx *Tx) AddFit(number string, f Fit) (Fit, error) {
	j, err := tx.Job(number)
	if err != nil {
		return f, err
	}
	if j.State == HandedOver || j.State == Dropped {
		return f, mistake("job %s is %s: there is nothing left to fit", number, j.State)
	}
	if f.Held {
		if _, err := tx.exec("DELETE FROM fitting WHERE id = (SELECT id FROM fitting WHERE job_id = ? AND held = 0 ORDER BY day, id LIMIT 1)", j.ID); err != nil {
			return f, err
		}
	}
	f.JobID = j.ID
	if f.ID, err = tx.exec("INSERT INTO fitting (job_id, day, held, by, note, made) VALUES (?, ?, ?, ?, ?, ?)", j.ID, f.Day, f.Held, f.By, f.Note, tx.stamp()); err != nil {
		return f, err
	}
	for _, p := range f.Pins {
		if _, err := tx.exec("INSERT INTO pin (fitting_id, said, side, place, mm, measure) VALUES (?, ?, ?, ?, ?, ?)", f.ID, p.Said, p.Side, p.Place, p.MM, p.Measure); err != nil {
			return f, err
		}
	}
	return f, nil
}

// Fits lists a job's fittings with their pins, by day.
func (b *Book) Fits(ctx context.Context, jobID int64) ([]Fit, error) {
	out, err := list(ctx, b.read, func(rows *sql.Rows, f *Fit) error {
		return rows.Scan(&f.ID, &f.JobID, &f.Day, &f.Held, &f.By, &f.Note)
	}, "SELECT id, job_id, day, held, by, note FROM fitting WHERE job_id = ? ORDER BY day, id", jobID)
	if err != nil {
		return nil, b.fault(err)
	}
	for i := range out {
		if out[i].Pins, err = list(ctx, b.read, scanPin, "SELECT said, side, place, mm, measure FROM pin WHERE fitting_id = ? ORDER BY id", out[i].ID); err != nil {
			return nil, b.fault(err)
		}
	}
	return out, nil
}

func scanPin(rows *sql.Rows, p *Pin) error {
	if err := rows.Scan(&p.Said, &p.Side, &p.Place, &p.MM, &p.Measure); err != nil {
		return err
	}
	p.now()
	return nil
}

// now is a pin as today's job file can say it: one that was booked when no measure carried it may be carried since.
func (p *Pin) now() {
	for _, pl := range Places {
		if pl.Name == p.Place {
			p.Measure = carrier(p.Side, pl.Measure)
		}
	}
}

// Adjustment is what the fittings so far have taught for one measure of a client's garment.
type Adjustment struct {
	Measure string
	MM      float64  // added to what the card says; degrees for an angle
	Said    []string // the pins it is the sum of, with their day
}

// Adjustments sums up all pins of a client's fittings of one garment: what the next draft carries, by measure, and the pins that
// it cannot carry. Pins of the job before are left out when before is not 0: they are in its first draft already.
func (b *Book) Adjustments(ctx context.Context, clientID int64, garment string, ofJob int64) (carried []Adjustment, byHand []Pin, err error) {
	type dated struct {
		Pin
		day string
	}
	query, args := `SELECT said, side, place, mm, measure, day FROM pin JOIN fitting ON fitting.id = fitting_id JOIN job ON job.id = fitting.job_id
		WHERE held = 1 AND client_id = ? AND garment = ?`, []any{clientID, garment}
	if ofJob != 0 {
		query += " AND job.id = ?"
		args = append(args, ofJob)
	}
	pins, err := list(ctx, b.read, func(rows *sql.Rows, p *dated) error {
		if err := rows.Scan(&p.Said, &p.Side, &p.Place, &p.MM, &p.Measure, &p.day); err != nil {
			return err
		}
		p.now()
		return nil
	}, query+" ORDER BY day, pin.id", args...)
	if err != nil {
		return nil, nil, b.fault(err)
	}
	at := map[string]int{}
	for _, p := range pins {
		if !p.Carried() {
			byHand = append(byHand, p.Pin)
			continue
		}
		i, ok := at[p.Measure]
		if !ok {
			i = len(carried)
			at[p.Measure] = i
			carried = append(carried, Adjustment{Measure: p.Measure})
		}
		carried[i].MM += p.MM
		carried[i].Said = append(carried[i].Said, fmt.Sprintf("%s (%s)", p.Said, p.day))
	}
	sort.Slice(carried, func(a, b int) bool { return carried[a].Measure < carried[b].Measure })
	return carried, byHand, nil
}
