package web

import (
	"bytes"
	"context"
	"encoding/csv"
	"mime/multipart"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"clothwright/book"
)

// sendFile sends a file with fields as a browser's form does.
func (h hand) sendFile(path, name string, file []byte, pairs ...string) (int, string, http.Header) {
	h.t.Helper()
	var body bytes.Buffer
	w := multipart.NewWriter(&body)
	for i := 0; i+1 < len(pairs); i += 2 {
		w.WriteField(pairs[i], pairs[i+1])
	}
	if file != nil {
		f, err := w.CreateFormFile("table", name)
		if err != nil {
			h.t.Fatal(err)
		}
		f.Write(file)
	}
	w.Close()
	return h.send("POST", path, body.String(), func(r *http.Request) { r.Header.Set("Content-Type", w.FormDataContentType()) })
}

// Clients and cards go out as tables, and come into another book as they were.
func TestTablesGoOutAndIn(t *testing.T) {
	from, to := openLedger(t), openLedger(t)
	from.inSeason()
	a, b := from.hand(t), to.hand(t)
	for _, what := range []string{"clients", "cards"} {
		path := "/room/tables/out/" + what + ".csv"
		status, table, head := a.send("GET", path, "", nil)
		if status != 200 || !strings.HasPrefix(head.Get("Content-Type"), "text/csv") || !strings.HasPrefix(head.Get("Content-Disposition"), "attachment") {
			t.Fatalf("%s is answered with %d", path, status)
		}
		rows, err := csv.NewReader(strings.NewReader(table)).ReadAll()
		if err != nil || len(rows) != 4 { // RFC 4180: three rows and a header
			t.Fatalf("%s has %d rows, %v", what, len(rows), err)
		}
		if status, page, _ := b.sendFile(uploadPath, what+".csv", []byte(table), "token", b.token, "what", what); status != 303 {
			t.Fatalf("reading %s in is answered with %d: %s", what, status, mainOf(page))
		}
		if page := b.get("/room/tables"); !strings.Contains(page, ">3 ") {
			t.Errorf("it is not said how many were read in: %s", mainOf(page))
		}
		if _, again, _ := b.send("GET", path, "", nil); again != table {
			t.Errorf("the second book gives another table of %s", what)
		}
	}
	if status, _, _ := a.send("GET", "/room/tables/out/settings.csv", "", nil); status != 404 {
		t.Errorf("a table that is none is answered with %d", status)
	}
}

// What is sent is looked at: its size, whether it is a text, its columns, every row. Nothing of a table at fault is kept.
func TestTablesAtFault(t *testing.T) {
	r := openLedger(t)
	r.inSeason()
	h := r.hand(t)
	wide := []byte{0xff, 0xfe, 'n', 0, 'a', 0, 'm', 0, 'e', 0}
	for _, x := range []struct {
		what string
		file []byte
		kind string
		want int
		said string
	}{
		{"no file", nil, "clients", 422, "Choose the file"},
		{"an empty file", []byte{}, "clients", 422, "Choose the file"},
		{"a program", append([]byte("\x7fELF\x00\x01"), bytes.Repeat([]byte{0}, 300)...), "clients", 422, "This file is no table"},
		{"a picture", []byte("\x89PNG\r\n\x1a\n\x00"), "clients", 422, "This file is no table"},
		{"UTF-16, as some programs save", wide, "clients", 422, "This file is no table"},
		{"Latin-1", []byte("name\nJos\xe9\n"), "clients", 422, "This file is no table"},
		{"another column", []byte("name,shoe\nA,38\n"), "clients", 422, `column &#34;shoe&#34;`},
		{"no column of names", []byte("code\nX\n"), "clients", 422, "name is missing"},
		{"a row too short", []byte("name,note\nA,b\nB\n"), "clients", 422, "t.csv:3"},
		{"a bad row after good ones", []byte("name\nGood One\n\"\"\n"), "clients", 422, "nothing was read in"},
		{"a measure that nobody has", []byte("client,taken,by,chest_girth\nC0001,2026-03-01,Ama,9 m\n"), "cards", 422, "t.csv:2"},
		{"a bare number", []byte("client,taken,by,chest_girth\nC0001,2026-03-01,Ama,92\n"), "cards", 422, "t.csv:2"},
		{"a client who is not there", []byte("client,taken,by,chest_girth\nC9,2026-03-01,Ama,92 cm\n"), "cards", 422, "no client"},
		{"of no kind", []byte("name\nA\n"), "elephants", 400, ""},
		{"too large", bytes.Repeat([]byte("name\n"), mostUpload/5+64<<10), "clients", 413, ""},
	} {
		status, page, _ := h.sendFile(uploadPath, "../../t.csv", x.file, "token", h.token, "what", x.kind)
		if status != x.want || !strings.Contains(page, x.said) {
			t.Errorf("%s is answered with %d; %d and %q are wanted: %s", x.what, status, x.want, x.said, mainOf(page))
		}
	}
	if status, _, _ := h.sendFile(uploadPath, "t.csv", []byte("name\nForged\n"), "what", "clients"); status != 403 {
		t.Errorf("a table without a token is answered with %d", status)
	}
	if status, _, _ := h.sendFile("/clients/new", "t.csv", []byte("name\nForged\n"), "token", h.token, "name", "x"); status != 415 {
		t.Errorf("a file sent elsewhere is answered with %d", status)
	}
	if status, _, _ := h.sendFile("/room/tables/backup", "t.csv", []byte("name\nForged\n"), "token", h.token); status != 415 {
		t.Errorf("a file sent for a copy is answered with %d", status)
	}
	if found, err := r.book.Find(context.Background(), "", 10); err != nil || len(found) != 3 {
		t.Errorf("%d clients are in the book; the three of before are wanted", len(found))
	}
	if status, page, _ := h.sendFile(uploadPath, "t.csv", []byte("client,taken,by,chest_girth\nC0001,2026-03-01,Ama,92\n"), "token", h.token, "what", "cards", "unit", "cm"); status != 303 {
		t.Errorf("a bare number with a unit said is answered with %d: %s", status, mainOf(page))
	}
}

// Before signing in no file is read, however large.
func TestNoTableOfStrangers(t *testing.T) {
	c, _, _ := locked(t, "lantern otter gable thimble")
	h := hand{c, c.token("/enter")}
	if status, _, _ := h.sendFile(uploadPath, "t.csv", []byte("name\nForged\n"), "token", h.token, "what", "clients"); status != http.StatusUnauthorized {
		t.Errorf("a stranger's table is answered with %d", status)
	}
}

// The copy is a whole book; with a passphrase it opens to that alone, as age files do.
func TestACopyOfTheBook(t *testing.T) {
	r := openLedger(t)
	r.inSeason()
	h := r.hand(t)
	for _, pass := range []string{"", "gable otter lantern"} {
		status, src, head := h.send("POST", "/room/tables/backup", form("token", h.token, "passphrase", pass, "once-more", pass), nil)
		if status != 200 || !strings.HasPrefix(head.Get("Content-Disposition"), "attachment") {
			t.Fatalf("the copy is answered with %d", status)
		}
		if got := strings.HasPrefix(src, "age-encryption.org/v1"); got != (pass != "") {
			t.Errorf("with %q the copy is encrypted: %v", pass, got)
		}
		dir := t.TempDir()
		file, back := filepath.Join(dir, "copy"), filepath.Join(dir, "back.book")
		if pass != "" {
			file += ".age"
		}
		if err := os.WriteFile(file, []byte(src), 0o600); err != nil {
			t.Fatal(err)
		}
		if pass != "" {
			if err := book.Restore(context.Background(), file, back, "gable otter lanterns"); err == nil {
				t.Error("another passphrase opens the copy")
			}
		}
		if err := book.Restore(context.Background(), file, back, pass); err != nil {
			t.Fatal(err)
		}
		b, err := book.Open(back, book.Options{ReadOnly: true})
		if err != nil {
			t.Fatal(err)
		}
		if found, err := b.Find(context.Background(), "花", 2); err != nil || len(found) != 1 {
			t.Errorf("in the copy %d are found, %v", len(found), err)
		}
		b.Close()
	}
	for _, x := range [][2]string{{"long enough", "other"}, {"short", "short"}} {
		h.post("/room/tables/backup", 422, "passphrase", x[0], "once-more", x[1])
	}
	left, err := filepath.Glob(filepath.Join(filepath.Dir(r.book.Path()), ".copy-*"))
	if err != nil || len(left) > 0 {
		t.Errorf("copies are left behind: %v", left)
	}
}
