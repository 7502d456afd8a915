package book

import (
	"context"
	"database/sql"
	"encoding/json"
	"math"
	"sort"
	"strings"
)

// Card is a tape card: what was measured of one person on one day.
type Card struct {
	ID       int64
	ClientID int64
	Taken    string    // the day
	By       string    // who held the tape
	Figure   string    // "women", "men", "child" or empty
	Age      float64   // years, 0 when not stated
	Measures []Measure // by name
	Corrects int64     // the card it corrects, 0 for none
	Note     string
	Made     string
}

// Measure is one measure of a card: as it was said, and in mm (degrees for an angle).
type Measure struct {
	Name      string  `json:"name"`
	Said      string  `json:"said"`
	MM        float64 `json:"mm"`
	Confirmed bool    `json:"confirmed,omitempty"`
}

// Measure is the measure of that name, or nil.
func (c *Card) Measure(name string) *Measure {
	for i := range c.Measures {
		if c.Measures[i].Name == name {
			return &c.Measures[i]
		}
	}
	return nil
}

// AddCard adds a card to a client's. A correction names the card it corrects, which stays.
func (tx *Tx) AddCard(clientID int64, c Card) (Card, error) {
	if len(c.Measures) == 0 {
		return c, mistake("the card has no measure")
	}
	if strings.TrimSpace(c.By) == "" {
		return c, mistake("the card does not say who held the tape")
	}
	sort.Slice(c.Measures, func(a, b int) bool { return c.Measures[a].Name < c.Measures[b].Name })
	for i, m := range c.Measures {
		if m.Name == "" || i > 0 && m.Name == c.Measures[i-1].Name || math.IsNaN(m.MM) || math.IsInf(m.MM, 0) {
			return c, mistake("the measure %q stands twice or has no size", m.Name)
		}
	}
	if c.Corrects != 0 {
		var owner int64
		if err := tx.tx.QueryRowContext(tx.ctx, "SELECT client_id FROM card WHERE id = ?", c.Corrects).Scan(&owner); isNone(err) || err == nil && owner != clientID {
			return c, mistake("card %d is none of this client's, so it cannot be corrected", c.Corrects)
		} else if err != nil {
			return c, err
		}
	}
	measures, err := json.Marshal(c.Measures)
	if err != nil {
		return c, err
	}
	c.ClientID, c.Made = clientID, tx.stamp()
	c.ID, err = tx.exec("INSERT INTO card (client_id, taken, by, figure, age, measures, corrects, note, made) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
		clientID, c.Taken, c.By, c.Figure, orNull(c.Age != 0, c.Age), string(measures), orNull(c.Corrects != 0, c.Corrects), c.Note, c.Made)
	return c, err
}

func orNull(ok bool, v any) any {
	if ok {
		return v
	}
	return nil
}

const cardColumns = "id, client_id, taken, by, figure, coalesce(age, 0), measures, coalesce(corrects, 0), note, made"

func scanCard(rows *sql.Rows, c *Card) error {
	var measures string
	if err := rows.Scan(&c.ID, &c.ClientID, &c.Taken, &c.By, &c.Figure, &c.Age, &measures, &c.Corrects, &c.Note, &c.Made); err != nil {
		return err
	}
	return json.Unmarshal([]byte(measures), &c.Measures)
}

// Cards lists a client's cards, the oldest first.
func (b *Book) Cards(ctx context.Context, clientID int64) ([]Card, error) {
	out, err := list(ctx, b.read, scanCard, "SELECT "+cardColumns+" FROM card WHERE client_id = ? ORDER BY taken, id", clientID)
	return out, b.fault(err)
}

// Card is a card by its number.
func (b *Book) Card(ctx context.Context, id int64) (Card, error) {
	out, err := list(ctx, b.read, scanCard, "SELECT "+cardColumns+" FROM card WHERE id = ?", id)
	if err == nil && len(out) == 0 {
		return Card{}, mistake("there is no card %d", id)
	}
	if err != nil {
		return Card{}, b.fault(err)
	}
	return out[0], nil
}

// LatestCard is a client's newest card.
func (b *Book) LatestCard(ctx context.Context, clientID int64) (Card, error) {
	out, err := list(ctx, b.read, scanCard, "SELECT "+cardColumns+" FROM card WHERE client_id = ? ORDER BY taken DESC, id DESC LIMIT 1", clientID)
	if err == nil && len(out) == 0 {
		return Card{}, mistake("the client has no tape card yet")
	}
	if err != nil {
		return Card{}, b.fault(err)
	}
	return out[0], nil
}

// EachCard goes through all cards with their client's code, in the order they were added.
func (b *Book) EachCard(ctx context.Context, do func(code string, c Card) error) error {
	rows, err := b.read.QueryContext(ctx, "SELECT client.code, card.id, client_id, taken, by, figure, coalesce(age, 0), measures, coalesce(corrects, 0), card.note, card.made FROM card JOIN client ON client.id = client_id ORDER BY card.id")
	if err != nil {
		return b.fault(err)
	}
	defer rows.Close()
	for rows.Next() {
		var c Card
		var code, measures string
		if err := rows.Scan(&code, &c.ID, &c.ClientID, &c.Taken, &c.By, &c.Figure, &c.Age, &measures, &c.Corrects, &c.Note, &c.Made); err != nil {
			return b.fault(err)
		}
		if err := json.Unmarshal([]byte(measures), &c.Measures); err != nil {
			return b.fault(err)
		}
		if err := do(code, c); err != nil {
			return err
		}
	}
	return b.fault(rows.Err())
}

// Difference is one measure on two cards. A measure that is missing on one of them has no text there.
type Difference struct {
	Name     string
	Was, Now string
	By       float64 // mm or degrees, 0 when it is missing on one
}

// Compare lists the measures that two cards do not have alike, by name.
func Compare(was, now Card) []Difference {
	var out []Difference
	names := map[string]bool{}
	for _, c := range []Card{was, now} {
		for _, m := range c.Measures {
			names[m.Name] = true
		}
	}
	for name := range names {
		a, b := was.Measure(name), now.Measure(name)
		switch {
		case a == nil:
			out = append(out, Difference{Name: name, Now: b.Said})
		case b == nil:
			out = append(out, Difference{Name: name, Was: a.Said})
		case math.Abs(a.MM-b.MM) > 0.005:
			out = append(out, Difference{name, a.Said, b.Said, b.MM - a.MM})
		}
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Name < out[j].Name })
	return out
}
