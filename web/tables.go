package web

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"time"
	"unicode/utf8"

	"clothwright/book"
	"clothwright/desk"
	"clothwright/tape"
)

// Tables of clients and cards go in and out as CSV, and the whole book as a copy.

// uploadPath is the one address that takes a file.
const uploadPath = "/room/tables/read"

// mostUpload is how large a table may be: 200,000 tape cards fit.
const mostUpload = 32 << 20

// leastBackupPassphrase is as the command asks.
const leastBackupPassphrase = 8

func (v *visit) tablesPage() error {
	if err := v.readable(); err != nil {
		return err
	}
	return v.show(tablesPage(v.chrome(v.words.T("tables.title"), "tables", nil)))
}

// tableOut hands out all clients or all cards as a table.
func (v *visit) tableOut() error {
	b, err := v.ledger()
	if err != nil {
		return err
	}
	write := map[string]func(context.Context, *book.Book, io.Writer) (int, error){"clients.csv": desk.WriteClients, "cards.csv": desk.WriteCards}[v.r.PathValue("table")]
	if write == nil {
		return errNotFound
	}
	var out bytes.Buffer // whole before it is sent, so that half a table is never taken for one
	if _, err := write(v.r.Context(), b, &out); err != nil {
		return err
	}
	v.patient()
	v.attach("text/csv; charset=utf-8", v.r.PathValue("table"))
	_, _ = v.w.Write(out.Bytes())
	return nil
}

// patient gives a long answer its time.
func (v *visit) patient() {
	_ = http.NewResponseController(v.w).SetWriteDeadline(time.Now().Add(10 * time.Minute))
}

// tableIn reads a table of clients or cards into the book, all of it or nothing.
func (v *visit) tableIn() error {
	rows, err := v.readTable()
	if err != nil {
		return v.again(err, (*visit).tablesPage)
	}
	v.tell(v.words.T("tables.read."+v.form("what"), "n", v.words.Number(float64(rows), 0)))
	return v.goTo("/room/tables")
}

func (v *visit) readTable() (rows int, err error) {
	name, src, err := v.uploaded("table")
	if err != nil {
		return 0, err
	}
	err = v.keep(func(ctx context.Context, b *book.Book) error {
		var t *desk.Table
		var err error
		switch v.form("what") {
		case "clients":
			t, err = desk.ReadClients(name, bytes.NewReader(src))
		case "cards":
			unit := tape.Unit(0)
			if u := v.form("unit"); u != "" {
				if unit, err = tape.ParseUnit(u); err != nil {
					return err
				}
			}
			t, err = desk.ReadCards(name, bytes.NewReader(src), unit)
		default:
			return errMangled
		}
		if err != nil {
			return err
		}
		rows, err = t.Keep(ctx, b)
		return err
	})
	return rows, err
}

// uploaded is a file that was sent, when it is a text as a table is: UTF-8, without signs that no text has.
func (v *visit) uploaded(field string) (name string, src []byte, err error) {
	f, head, err := v.r.FormFile(field)
	if err != nil || head.Size == 0 {
		return "", nil, plain(v.words.T("tables.nofile"))
	}
	defer f.Close()
	if src, err = io.ReadAll(io.LimitReader(f, mostUpload+1)); err != nil {
		return "", nil, errMangled
	}
	if len(src) > mostUpload {
		return "", nil, errLarge
	}
	if !utf8.Valid(src) || bytes.IndexByte(src, 0) >= 0 {
		return "", nil, plain(v.words.T("tables.notext"))
	}
	if name = clean(filepath.Base(head.Filename)); name == "" || name == "." {
		name = "table.csv"
	}
	return name, src, nil
}

// backup hands out a copy of the whole book, made and looked through while it may be in use; encrypted when a passphrase is given.
func (v *visit) backup() error {
	b, err := v.ledger()
	if err != nil {
		return v.again(err, (*visit).tablesPage)
	}
	pass := v.r.PostForm.Get("passphrase")
	switch n := utf8.RuneCountInString(pass); {
	case pass != v.r.PostForm.Get("once-more"):
		return v.again(plain(v.words.T("backup.differ")), (*visit).tablesPage)
	case n > 0 && n < leastBackupPassphrase:
		return v.again(plain(v.words.T("backup.short", "n", count(n), "least", count(leastBackupPassphrase))), (*visit).tablesPage)
	}
	dir, err := os.MkdirTemp(filepath.Dir(b.Path()), ".copy-*") // on the book's own disk, for its owner alone
	if err != nil {
		if dir, err = os.MkdirTemp("", "clothwright-*"); err != nil {
			return err
		}
	}
	defer os.RemoveAll(dir)
	name := "book-" + b.Today() + ".book"
	if pass != "" {
		name += ".age"
	}
	path := filepath.Join(dir, name)
	v.patient()
	if err := b.Backup(v.r.Context(), path, pass); err != nil {
		return v.again(err, (*visit).tablesPage)
	}
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return err
	}
	v.attach("application/octet-stream", name)
	v.w.Header().Set("Content-Length", fmt.Sprint(info.Size()))
	_, _ = io.Copy(v.w, f)
	return nil
}

// tell says something on the page that this browser opens next.
func (v *visit) tell(text string) {
	v.s.tellMu.Lock()
	defer v.s.tellMu.Unlock()
	if len(v.s.told) > mostTracked {
		clear(v.s.told)
	}
	if v.s.told == nil {
		v.s.told = map[string]string{}
	}
	v.s.told[v.id] = text
}

// heard is what the page before has to say, once.
func (v *visit) heard() string {
	if v.r.Method != http.MethodGet || v.live() {
		return ""
	}
	v.s.tellMu.Lock()
	defer v.s.tellMu.Unlock()
	text := v.s.told[v.id]
	delete(v.s.told, v.id)
	return text
}

// isUpload reports whether a request brings a file to the one address that takes any.
func isUpload(r *http.Request, kind string) bool {
	return kind == "multipart/form-data" && r.URL.Path == uploadPath
}

// readForm reads a form; one with a file stays in memory, since what is in it is nobody else's business.
func (v *visit) readForm() error {
	err := v.r.ParseForm()
	if err == nil && v.r.URL.Path == uploadPath {
		if err = v.r.ParseMultipartForm(mostUpload); errors.Is(err, http.ErrNotMultipart) {
			err = nil // a form without a file, as its token's check will find
		}
	}
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		return errLarge
	case err != nil:
		return errMangled
	}
	return nil
}
