package book

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"strings"
	"syscall"
	"time"

	"modernc.org/sqlite"
)

// Tx is one change of the book in the making.
type Tx struct {
	b   *Book
	ctx context.Context
	tx  *sql.Tx
	now time.Time
}

// Write runs do in one transaction. What says what is being done, for another program that has to wait: "adding a client". When
// Write returns nil the whole change is on the disk; else nothing of it is.
func (b *Book) Write(ctx context.Context, what string, do func(tx *Tx) error) error {
	if b.write == nil {
		return &Fault{Code: WriteProtected, Text: fmt.Sprintf("the book %s was opened to look only", b.path)}
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	tx, err := b.write.BeginTx(ctx, nil)
	if err != nil {
		return b.fault(err)
	}
	b.sign(what)
	defer b.unsign()
	defer tx.Rollback()
	if err := do(&Tx{b, ctx, tx, b.o.Now()}); err != nil {
		var s *sqlite.Error
		if errors.As(err, &s) {
			return b.fault(err)
		}
		return err // the caller's own
	}
	return b.fault(tx.Commit())
}

// The slip beside the book says who writes. It is words only: the lock is SQLite's, and goes when its program goes.
func (b *Book) slip() string { return b.path + "-writer" }

func (b *Book) sign(what string) {
	words := fmt.Sprintf("%s (process %d, since %s)\n", what, os.Getpid(), time.Now().Format("15:04:05"))
	os.WriteFile(b.slip(), []byte(words), 0o600) // an unwritten slip only makes a sentence shorter
}

func (b *Book) unsign() { os.Remove(b.slip()) }

// writer is what the slip says.
func (b *Book) writer() string {
	s, err := os.ReadFile(b.slip())
	if err != nil || len(s) > 300 {
		return ""
	}
	return ", " + strings.TrimSpace(string(s))
}

// noRoom says whether the system had no room left.
func noRoom(err error) bool {
	return errors.Is(err, syscall.ENOSPC) || strings.Contains(err.Error(), "no space left")
}

// asker is what a question is put to: the book or a change in the making.
type asker interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

func (tx *Tx) exec(query string, args ...any) (int64, error) {
	r, err := tx.tx.ExecContext(tx.ctx, query, args...)
	if err != nil {
		return 0, err
	}
	return r.LastInsertId()
}

// stamp is the moment of the change, for the column "made".
func (tx *Tx) stamp() string { return tx.now.UTC().Format(time.RFC3339) }

// Today is the day of the change.
func (tx *Tx) Today() string { return tx.now.Format(Day) }

// Today is the day by the book's clock.
func (b *Book) Today() string { return b.o.Now().Format(Day) }

// Day is the layout of a day.
const Day = "2006-01-02"

// ParseDay reads a day as 2026-03-02. The error is a sentence.
func ParseDay(s string) (string, error) {
	t, err := time.Parse(Day, strings.TrimSpace(s))
	if err != nil {
		return "", mistake("%q is no day; year, month and day are allowed, as 2026-03-02", s)
	}
	if y := t.Year(); y < 1900 || y > 2200 {
		return "", mistake("%q is no day of a living client; 1900 to 2200 is allowed", s)
	}
	return t.Format(Day), nil
}

// list collects rows.
func list[T any](ctx context.Context, q asker, scan func(rows *sql.Rows, v *T) error, query string, args ...any) ([]T, error) {
	rows, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []T
	for rows.Next() {
		var v T
		if err := scan(rows, &v); err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	return out, rows.Err()
}
