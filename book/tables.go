package book

import (
	"bufio"
	"context"
	"database/sql"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
)

// tables are all tables of the book, each after those it refers to, with the rows that belong to one client (:client).
var tables = []struct{ name, key, ofClient string }{
	{"setting", "key", ""},
	{"kept", "sha", ""},
	{"client", "id", "id = :client"},
	{"card", "id", "client_id = :client"},
	{"job", "id", "client_id = :client"},
	{"step", "id", ofJob},
	{"draft", "id", ofJob},
	{"quote", "id", ofJob},
	{"payment", "id", ofJob},
	{"worked", "id", ofJob},
	{"fitting", "id", ofJob},
	{"pin", "id", "fitting_id IN (SELECT id FROM fitting WHERE " + ofJob + ")"},
	{"issue", "id", ofJob},
	{"goods", "id", "client_id = :client"},
	{"goods_out", "id", "goods_id IN (SELECT id FROM goods WHERE client_id = :client)"},
	{"shelf", "id", ""},
	{"shelf_move", "id", ofJob},
	{"photo", "id", "client_id = :client"},
}

const ofJob = "job_id IN (SELECT id FROM job WHERE client_id = :client)"

// The JSON of a whole book, for anyone to read:
//
//	{"format":1,"schema":3,"tables":[{"table":"client","columns":["id",…],"rows":[
//	[1,"C0001",…],
//	…
//	]},…]}
//
// Numbers are numbers, texts texts, nothing is null, bytes are {"base64":"…"}.

// Export writes everything in the book as JSON: the same book gives the same bytes. It sees the book as it is at one moment,
// whoever writes meanwhile.
func (b *Book) Export(ctx context.Context, w io.Writer) error { return b.export(ctx, w, 0) }

// ExportClient writes everything that is known of one client, in the same form; files that others use too (house, script, costing)
// are in it as far as that client's jobs use them.
func (b *Book) ExportClient(ctx context.Context, w io.Writer, clientID int64) error {
	return b.export(ctx, w, clientID)
}

func (b *Book) export(ctx context.Context, to io.Writer, clientID int64) error {
	tx, err := b.read.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return b.fault(err)
	}
	defer tx.Rollback()
	w := bufio.NewWriter(to)
	fmt.Fprintf(w, "{\"format\":1,\"schema\":%d,\"tables\":[", Schema)
	first := true
	for _, t := range tables {
		where := ""
		switch {
		case clientID == 0:
		case t.name == "kept":
			where = ` WHERE sha IN (SELECT house FROM draft WHERE ` + ofJob + `) OR sha IN (SELECT script FROM draft WHERE ` + ofJob + `) OR sha IN (SELECT costing FROM quote WHERE ` + ofJob + `)`
		case t.ofClient == "" || t.name == "shelf_move":
			continue
		default:
			where = " WHERE " + t.ofClient
		}
		if !first {
			w.WriteString(",")
		}
		first = false
		if err := exportTable(ctx, tx, w, t.name, where, t.key, clientID); err != nil {
			return b.fault(err)
		}
	}
	w.WriteString("]}\n")
	return w.Flush()
}

func exportTable(ctx context.Context, tx *sql.Tx, w *bufio.Writer, table, where, key string, clientID int64) error {
	var args []any
	if where != "" {
		args = append(args, sql.Named("client", clientID))
	}
	rows, err := tx.QueryContext(ctx, "SELECT * FROM "+table+where+" ORDER BY "+key, args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		return err
	}
	head, err := json.Marshal(columns)
	if err != nil {
		return err
	}
	fmt.Fprintf(w, "\n{\"table\":%q,\"columns\":%s,\"rows\":[", table, head)
	values := make([]any, len(columns))
	at := make([]any, len(columns))
	for i := range values {
		at[i] = &values[i]
	}
	for n := 0; rows.Next(); n++ {
		if err := rows.Scan(at...); err != nil {
			return err
		}
		if n > 0 {
			w.WriteString(",")
		}
		w.WriteString("\n[")
		for i, v := range values {
			if i > 0 {
				w.WriteString(",")
			}
			if err := writeValue(w, v); err != nil {
				return err
			}
		}
		w.WriteString("]")
	}
	w.WriteString("]}")
	return rows.Err()
}

func writeValue(w *bufio.Writer, v any) error {
	switch v := v.(type) {
	case nil:
		w.WriteString("null")
	case int64:
		w.WriteString(strconv.FormatInt(v, 10))
	case float64:
		s := strconv.FormatFloat(v, 'g', -1, 64)
		if !strings.ContainsAny(s, ".e") {
			s += ".0" // so that it comes back as the kind of number it was
		}
		w.WriteString(s)
	case string:
		e := json.NewEncoder(noNewline{w})
		e.SetEscapeHTML(false)
		return e.Encode(v)
	case []byte:
		fmt.Fprintf(w, `{"base64":"%s"}`, base64.StdEncoding.EncodeToString(v))
	default:
		return fmt.Errorf("a value of kind %T", v)
	}
	return nil
}

// noNewline drops the newline that a JSON encoder puts behind each value.
type noNewline struct{ w io.Writer }

func (n noNewline) Write(p []byte) (int, error) {
	if k := len(p); k > 0 && p[k-1] == '\n' {
		_, err := n.w.Write(p[:k-1])
		return k, err
	}
	return n.w.Write(p)
}

// Import reads what Export wrote into an empty book, all of it or nothing. The book is then the same: it exports the same bytes.
func (tx *Tx) Import(r io.Reader) error {
	for _, t := range tables {
		var n int
		if err := tx.tx.QueryRowContext(tx.ctx, "SELECT count(*) FROM (SELECT 1 FROM "+t.name+" LIMIT 1)").Scan(&n); err != nil {
			return err
		}
		if n > 0 {
			return mistake("the book %s is not empty: an export is read into a new book only", tx.b.path)
		}
	}
	if _, err := tx.exec("PRAGMA defer_foreign_keys = ON"); err != nil {
		return err
	}
	d := json.NewDecoder(bufio.NewReader(r))
	d.UseNumber()
	im := importer{tx: tx, d: d}
	if err := im.run(); err != nil {
		var f *Fault
		if errors.As(err, &f) {
			return err
		}
		var syntax *json.SyntaxError
		if errors.As(err, &syntax) || errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, io.EOF) {
			return mistake("the export cannot be read to its end: it is cut short or damaged at byte %d", d.InputOffset())
		}
		return err
	}
	var bad int
	if err := tx.tx.QueryRowContext(tx.ctx, "SELECT count(*) FROM pragma_foreign_key_check").Scan(&bad); err != nil {
		return err
	}
	if bad > 0 {
		return mistake("the export refers to %d things that are not in it, so it is not whole; nothing was read in", bad)
	}
	return nil
}

type importer struct {
	tx *Tx
	d  *json.Decoder
}

func (im *importer) expect(want json.Delim) error {
	t, err := im.d.Token()
	if err != nil {
		return err
	}
	if t != want {
		return mistake("this is no export of a book: %q is found near byte %d", fmt.Sprint(t), im.d.InputOffset())
	}
	return nil
}

func (im *importer) run() error {
	if err := im.expect('{'); err != nil {
		return err
	}
	format, schema := int64(0), int64(0)
	for im.d.More() {
		t, err := im.d.Token()
		if err != nil {
			return err
		}
		switch t {
		case "format", "schema":
			var n json.Number
			if err := im.d.Decode(&n); err != nil {
				return err
			}
			v, _ := n.Int64()
			if t == "format" {
				format = v
			} else {
				schema = v
			}
		case "tables":
			if format != 1 || schema < 1 {
				return mistake("this is no export of a book: format is %d, 1 is allowed", format)
			}
			if schema > Schema {
				return mistake("the export is of a newer clothwright (schema %d; this one knows %d)", schema, Schema)
			}
			if err := im.expect('['); err != nil {
				return err
			}
			for im.d.More() {
				if err := im.table(); err != nil {
					return err
				}
			}
			if err := im.expect(']'); err != nil {
				return err
			}
		default:
			return mistake("this is no export of a book: %v is found", t)
		}
	}
	if format == 0 {
		return mistake("this is no export of a book")
	}
	return im.expect('}')
}

func (im *importer) table() error {
	if err := im.expect('{'); err != nil {
		return err
	}
	name, query := "", ""
	var columns []string
	for im.d.More() {
		t, err := im.d.Token()
		if err != nil {
			return err
		}
		switch t {
		case "table":
			if err := im.d.Decode(&name); err != nil {
				return err
			}
			if !isTable(name) {
				return mistake("the export holds a table %q, which no book has", name)
			}
		case "columns":
			if err := im.d.Decode(&columns); err != nil {
				return err
			}
			if query, err = im.insert(name, columns); err != nil {
				return err
			}
		case "rows":
			if query == "" {
				return mistake("the export names rows before their columns")
			}
			if err := im.rows(query, len(columns), name); err != nil {
				return err
			}
		default:
			return mistake("this is no export of a book: %v is found in table %s", t, name)
		}
	}
	return im.expect('}')
}

func isTable(name string) bool {
	for _, t := range tables {
		if t.name == name {
			return true
		}
	}
	return false
}

// insert makes the statement for a table's rows. Every column must be one the table has.
func (im *importer) insert(name string, columns []string) (string, error) {
	if name == "" || len(columns) == 0 {
		return "", mistake("the export has a table without a name or columns")
	}
	have, err := list(im.tx.ctx, im.tx.tx, func(rows *sql.Rows, s *string) error { return rows.Scan(s) }, "SELECT name FROM pragma_table_info(?)", name)
	if err != nil {
		return "", err
	}
	for _, c := range columns {
		ok := false
		for _, h := range have {
			ok = ok || h == c
		}
		if !ok {
			return "", mistake("the export has a column %q in table %s, which no book has", c, name)
		}
	}
	return "INSERT INTO " + name + " (" + strings.Join(columns, ", ") + ") VALUES (?" + strings.Repeat(", ?", len(columns)-1) + ")", nil
}

func (im *importer) rows(query string, width int, name string) error {
	if err := im.expect('['); err != nil {
		return err
	}
	s, err := im.tx.tx.PrepareContext(im.tx.ctx, query)
	if err != nil {
		return err
	}
	defer s.Close()
	for im.d.More() {
		var row []any
		if err := im.d.Decode(&row); err != nil {
			return err
		}
		if len(row) != width {
			return mistake("a row of table %s has %d values and %d columns", name, len(row), width)
		}
		for i := range row {
			if row[i], err = value(row[i]); err != nil {
				return err
			}
		}
		if _, err := s.ExecContext(im.tx.ctx, row...); err != nil {
			return err
		}
	}
	return im.expect(']')
}

func value(v any) (any, error) {
	switch v := v.(type) {
	case nil, string:
		return v, nil
	case json.Number:
		if strings.ContainsAny(string(v), ".eE") {
			return v.Float64()
		}
		return v.Int64()
	case map[string]any:
		if s, ok := v["base64"].(string); ok && len(v) == 1 {
			return base64.StdEncoding.DecodeString(s)
		}
	}
	return nil, mistake("the export holds a value that no book has")
}
