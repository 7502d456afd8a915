package book

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Client is one person the room makes for.
type Client struct {
	ID      int64
	Code    string // short, of the room's choosing; made from the number when not given: "C0001"
	Name    string
	Contact string
	Note    string
	Made    string
}

const clientColumns = "id, code, name, contact, note, made"

func scanClient(rows *sql.Rows, c *Client) error {
	return rows.Scan(&c.ID, &c.Code, &c.Name, &c.Contact, &c.Note, &c.Made)
}

// AddClient adds a client and returns it with its code.
func (tx *Tx) AddClient(c Client) (Client, error) {
	c.Name, c.Code = strings.TrimSpace(c.Name), strings.TrimSpace(c.Code)
	if err := c.check(); err != nil {
		return c, err
	}
	if c.Code == "" {
		var n int64
		if err := tx.tx.QueryRowContext(tx.ctx, "SELECT coalesce(max(id), 0) + 1 FROM client").Scan(&n); err != nil {
			return c, err
		}
		for ; ; n++ {
			c.Code = fmt.Sprintf("C%04d", n)
			if _, err := clientBy(tx.ctx, tx.tx, c.Code); err != nil {
				break
			}
		}
	} else if was, err := clientBy(tx.ctx, tx.tx, c.Code); err == nil {
		return c, mistake("the code %s is %s's already", c.Code, was.Name)
	}
	c.Made = tx.stamp()
	var err error
	c.ID, err = tx.exec("INSERT INTO client (code, name, folded, contact, note, made) VALUES (?, ?, ?, ?, ?, ?)", c.Code, c.Name, Fold(c.Name), c.Contact, c.Note, c.Made)
	return c, err
}

func (c *Client) check() error {
	switch {
	case c.Name == "" || utf8.RuneCountInString(c.Name) > 200:
		return mistake("a client's name has 1 to 200 letters; %d are found", utf8.RuneCountInString(c.Name))
	case strings.ContainsFunc(c.Name, unicode.IsControl):
		return mistake("a client's name stands on one line; a line break or another control character is in %q", c.Name)
	case !utf8.ValidString(c.Name + c.Code + c.Contact + c.Note):
		return mistake("the client's name or note holds bytes that are no letters (UTF-8 is wanted)")
	case utf8.RuneCountInString(c.Code) > 40 || strings.ContainsAny(c.Code, "\n\r\t,;"):
		return mistake("the code %q: 1 to 40 letters and digits are allowed, without commas", c.Code)
	}
	return nil
}

// ChangeClient writes a client's name, contact and note anew; its code stays.
func (tx *Tx) ChangeClient(c Client) error {
	c.Name = strings.TrimSpace(c.Name)
	if err := c.check(); err != nil {
		return err
	}
	r, err := tx.tx.ExecContext(tx.ctx, "UPDATE client SET name = ?, folded = ?, contact = ?, note = ? WHERE code = ?", c.Name, Fold(c.Name), c.Contact, c.Note, c.Code)
	if err != nil {
		return err
	}
	if n, _ := r.RowsAffected(); n == 0 {
		return mistake("no client has the code %s", c.Code)
	}
	return nil
}

// Client finds a client by its code, or by its whole name when only one client has it.
func (b *Book) Client(ctx context.Context, codeOrName string) (Client, error) {
	c, err := clientBy(ctx, b.read, codeOrName)
	return c, b.fault(err)
}

// ClientByID is a client by the number of its row.
func (b *Book) ClientByID(ctx context.Context, id int64) (Client, error) {
	found, err := list(ctx, b.read, scanClient, "SELECT "+clientColumns+" FROM client WHERE id = ?", id)
	if err == nil && len(found) == 0 {
		return Client{}, mistake("there is no such client in the book, or no longer")
	}
	if err != nil {
		return Client{}, b.fault(err)
	}
	return found[0], nil
}

// Client finds a client in a change, as Book.Client does.
func (tx *Tx) Client(codeOrName string) (Client, error) { return clientBy(tx.ctx, tx.tx, codeOrName) }

func clientBy(ctx context.Context, q asker, s string) (Client, error) {
	s = strings.TrimSpace(s)
	found, err := list(ctx, q, scanClient, "SELECT "+clientColumns+" FROM client WHERE code = ?", s)
	if err == nil && len(found) == 0 {
		found, err = list(ctx, q, scanClient, "SELECT "+clientColumns+" FROM client WHERE folded = ? ORDER BY id LIMIT 2", Fold(s))
	}
	switch {
	case err != nil:
		return Client{}, err
	case len(found) == 0:
		return Client{}, mistake("no client has the code or the name %q; clothwright client find looks for a part of a name", s)
	case len(found) > 1:
		return Client{}, mistake("more than one client is called %q: say the code (%s, %s)", s, found[0].Code, found[1].Code)
	}
	return found[0], nil
}

// Find lists clients whose name has all the parts, which are looked for without accents and capitals: "soy ola" finds Ọláídé
// Ṣóyẹmí. An empty part finds everyone. At most so many are returned, by name.
func (b *Book) Find(ctx context.Context, part string, most int) ([]Client, error) {
	query, args := "SELECT "+clientColumns+" FROM client WHERE id IN (SELECT id FROM client INDEXED BY client_folded WHERE 1", []any{}
	for _, p := range strings.Fields(Fold(part)) {
		query += " AND instr(folded, ?) > 0"
		args = append(args, p)
	}
	query += " ORDER BY folded, id LIMIT ?) ORDER BY folded, id"
	out, err := list(ctx, b.read, scanClient, query, append(args, most)...)
	return out, b.fault(err)
}

// EachClient goes through all clients in the order they were added.
func (b *Book) EachClient(ctx context.Context, do func(Client) error) error {
	rows, err := b.read.QueryContext(ctx, "SELECT "+clientColumns+" FROM client ORDER BY id")
	if err != nil {
		return b.fault(err)
	}
	defer rows.Close()
	for rows.Next() {
		var c Client
		if err := scanClient(rows, &c); err != nil {
			return b.fault(err)
		}
		if err := do(c); err != nil {
			return err
		}
	}
	return b.fault(rows.Err())
}

// Forget throws a client away with everything that is known of that person: cards, jobs, drafts, quotations, payments, fittings,
// cloth and references of photos. What they took from the shelf stays counted, without their name. It says what went.
func (tx *Tx) Forget(code string) (map[string]int, error) {
	c, err := tx.Client(code)
	if err != nil {
		return nil, err
	}
	gone, err := holds(tx.ctx, tx.tx, c.ID)
	if err != nil {
		return nil, err
	}
	if _, err := tx.exec("UPDATE shelf_move SET why = '' WHERE job_id IN (SELECT id FROM job WHERE client_id = ?)", c.ID); err != nil {
		return nil, err
	}
	if _, err := tx.exec("DELETE FROM client WHERE id = ?", c.ID); err != nil {
		return nil, err
	}
	return gone, tx.sweep()
}

// Holds counts what the book knows of a client, by table: what Forget would throw away.
func (b *Book) Holds(ctx context.Context, clientID int64) (map[string]int, error) {
	out, err := holds(ctx, b.read, clientID)
	return out, b.fault(err)
}

func holds(ctx context.Context, q asker, clientID int64) (map[string]int, error) {
	out := map[string]int{}
	for _, t := range tables {
		if t.ofClient == "" || t.name == "shelf_move" {
			continue
		}
		var n int
		if err := q.QueryRowContext(ctx, "SELECT count(*) FROM "+t.name+" WHERE "+t.ofClient, sql.Named("client", clientID)).Scan(&n); err != nil {
			return nil, err
		}
		if n > 0 {
			out[t.name] = n
		}
	}
	return out, nil
}

// sweep throws away kept files that nothing uses any more: a script or house file may be made for one person.
func (tx *Tx) sweep() error {
	_, err := tx.exec(`DELETE FROM kept WHERE sha NOT IN (SELECT house FROM draft WHERE house IS NOT NULL) AND sha NOT IN (SELECT script FROM draft)
		AND sha NOT IN (SELECT costing FROM quote) AND sha NOT IN (SELECT value FROM setting)`)
	return err
}

// Scrub writes the file anew, so that nothing of what was thrown away is left in its free pages or its log.
func (b *Book) Scrub(ctx context.Context) error {
	if b.write == nil {
		return &Fault{Code: WriteProtected, Text: fmt.Sprintf("the book %s was opened to look only", b.path)}
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	if _, err := b.write.ExecContext(ctx, "VACUUM"); err != nil {
		return b.fault(err)
	}
	var busy, a, c int64
	if err := b.write.QueryRowContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)").Scan(&busy, &a, &c); err != nil {
		return b.fault(err)
	}
	if busy != 0 {
		return &Fault{Code: Busy, Text: fmt.Sprintf("the person is thrown away, but another program reads the book %s, so traces may be left in %s-wal; close it and run clothwright book check --scrub", b.path, b.path)}
	}
	return nil
}

// isNone says that a question had no answer.
func isNone(err error) bool { return errors.Is(err, sql.ErrNoRows) }
