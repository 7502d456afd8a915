package desk

import (
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"slices"
	"strconv"
	"strings"

	"clothwright/body"
	"clothwright/book"
	"clothwright/tape"
)

// Table is a table whose header row was read and found sound: its rows wait to be kept.
type Table struct {
	*table
	what string
	row  func(tx *book.Tx, get func(column string) string) error
}

// Keep reads the rows into the book, all or none, and says how many there were. The error names the line at fault.
func (t *Table) Keep(ctx context.Context, b *book.Book) (rows int, err error) {
	err = b.Write(ctx, "reading "+t.what+" from a table", func(tx *book.Tx) error {
		return t.each(func(_ int, get func(string) string) error {
			rows++
			return t.row(tx, get)
		})
	})
	if err != nil {
		return 0, fmt.Errorf("%w; nothing was read in", err)
	}
	return rows, nil
}

// ReadClients opens a table (CSV) of clients: the column name, and if there are code, contact and note. Name is how errors call it.
func ReadClients(name string, from io.Reader) (*Table, error) {
	t, err := openTable(name, from)
	if err != nil {
		return nil, err
	}
	for column := range t.column {
		switch column {
		case "name", "code", "contact", "note":
		default:
			return nil, mistake("%s:1: the column %q is not known; name, code, contact and note are", name, column)
		}
	}
	if _, ok := t.column["name"]; !ok {
		return nil, mistake("%s:1: the column name is missing", name)
	}
	return &Table{t, "clients", func(tx *book.Tx, get func(string) string) error {
		_, err := tx.AddClient(book.Client{Name: get("name"), Code: get("code"), Contact: get("contact"), Note: get("note")})
		return err
	}}, nil
}

// ReadCards opens a table (CSV) of tape cards: the columns client (code or whole name), taken and by, if there are figure, age and
// note, and a column a measure. Unit is that of bare numbers, 0 when there is none.
func ReadCards(name string, from io.Reader, unit tape.Unit) (*Table, error) {
	t, err := openTable(name, from)
	if err != nil {
		return nil, err
	}
	var measures []string
	seen := map[string]string{}
	for column := range t.column {
		switch column {
		case "client", "taken", "by", "figure", "age", "note":
			continue
		}
		row, side, ok := lookup(column)
		if !ok {
			return nil, mistake("%s:1: the column %q is no measure; see docs/measures.md for the names", name, column)
		}
		if other, twice := seen[side+string(row.Name)]; twice {
			return nil, mistake("%s:1: the columns %q and %q are the same measure", name, other, column)
		}
		seen[side+string(row.Name)] = column
		measures = append(measures, column)
	}
	for _, must := range []string{"client", "taken", "by"} {
		if _, ok := t.column[must]; !ok {
			return nil, mistake("%s:1: the column %s is missing", name, must)
		}
	}
	return &Table{t, "tape cards", func(tx *book.Tx, get func(string) string) error {
		x, err := tx.Client(get("client"))
		if err != nil {
			return err
		}
		k := book.Card{By: get("by"), Note: get("note"), Figure: strings.ToLower(get("figure"))}
		switch k.Figure {
		case "", "women", "men", "child":
		default:
			return mistake("figure is %q; women, men and child are allowed, or nothing", k.Figure)
		}
		if k.Taken, err = book.ParseDay(get("taken")); err != nil {
			return err
		}
		if s := get("age"); s != "" {
			if k.Age, err = strconv.ParseFloat(s, 64); err != nil || !(k.Age >= 0 && k.Age <= 120) {
				return mistake("age is %q; 0 to 120 years is allowed", s)
			}
		}
		for _, column := range measures {
			if s := get(column); s != "" {
				m, err := Measure(column, s, unit)
				if err != nil {
					return err
				}
				k.Measures = append(k.Measures, m)
			}
		}
		_, err = tx.AddCard(x.ID, k)
		return err
	}}, nil
}

// WriteClients writes all clients as a table (CSV) that ReadClients reads, and says how many there are.
func WriteClients(ctx context.Context, b *book.Book, to io.Writer) (rows int, err error) {
	out := csv.NewWriter(to)
	out.Write([]string{"code", "name", "contact", "note"})
	err = b.EachClient(ctx, func(x book.Client) error {
		rows++
		return out.Write([]string{x.Code, x.Name, x.Contact, x.Note})
	})
	if out.Flush(); err == nil {
		err = out.Error()
	}
	return rows, err
}

// WriteCards writes all tape cards as a table (CSV) that ReadCards reads, and says how many there are.
func WriteCards(ctx context.Context, b *book.Book, to io.Writer) (rows int, err error) {
	out := csv.NewWriter(to)
	head := []string{"client", "taken", "by", "figure", "age", "note"}
	var measures []string
	for _, m := range body.Measures {
		measures = append(measures, string(m.Name))
	}
	sides := map[string]bool{} // a column each where any card has it
	if err := b.EachCard(ctx, func(_ string, k book.Card) error {
		for _, m := range k.Measures {
			sides[m.Name] = strings.Contains(m.Name, ".")
		}
		return nil
	}); err != nil {
		return 0, err
	}
	for _, name := range slices.Sorted(maps.Keys(sides)) {
		if sides[name] {
			measures = append(measures, name)
		}
	}
	out.Write(append(head, measures...))
	err = b.EachCard(ctx, func(code string, k book.Card) error {
		rows++
		row := []string{code, k.Taken, k.By, k.Figure, "", k.Note}
		if k.Age != 0 {
			row[4] = strconv.FormatFloat(k.Age, 'f', -1, 64)
		}
		for _, name := range measures {
			s := ""
			if got := k.Measure(name); got != nil {
				s = got.Said
				if got.Confirmed {
					s += " !"
				}
			}
			row = append(row, s)
		}
		return out.Write(row)
	})
	if out.Flush(); err == nil {
		err = out.Error()
	}
	return rows, err
}

// table is a CSV file being read.
type table struct {
	name   string
	r      *csv.Reader
	column map[string]int
}

func openTable(name string, from io.Reader) (*table, error) {
	t := &table{name: name, r: csv.NewReader(from), column: map[string]int{}}
	t.r.FieldsPerRecord = -1
	head, err := t.r.Read()
	if err != nil {
		return nil, mistake("%s has no header row that can be read", name)
	}
	for i, h := range head {
		h = strings.ToLower(strings.TrimSpace(strings.TrimPrefix(h, "\ufeff")))
		if _, twice := t.column[h]; twice {
			return nil, mistake("%s:1: the column %q stands twice", name, h)
		}
		t.column[h] = i
	}
	return t, nil
}

// each reads the rows; get gives a row's field by its column, empty when there is none.
func (t *table) each(do func(line int, get func(column string) string) error) error {
	for {
		rec, err := t.r.Read()
		if errors.Is(err, io.EOF) {
			return nil
		}
		var parse *csv.ParseError
		if errors.As(err, &parse) {
			return mistake("%s:%d: the row cannot be read: %s", t.name, parse.Line, parse.Err)
		}
		if err != nil {
			return mistake("%s cannot be read: %s", t.name, systemSays(err))
		}
		line, _ := t.r.FieldPos(0)
		if len(rec) != len(t.column) {
			return mistake("%s:%d: the row has %d fields; %d are wanted", t.name, line, len(rec), len(t.column))
		}
		err = do(line, func(column string) string {
			if i, ok := t.column[column]; ok {
				return strings.TrimSpace(rec[i])
			}
			return ""
		})
		if err != nil {
			return fmt.Errorf("%s:%d: %w", t.name, line, err)
		}
	}
}

// systemSays is what the system says of a file, without the call and the path in front.
func systemSays(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}
