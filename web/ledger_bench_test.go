package web

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"clothwright/book"
)

// BenchmarkLedger is what the server does for the pages of a large book: 50,000 clients and 100,000 orders, one in twenty open, each with a quotation. A search must answer in less
// than 100 ms to follow a hand that types.
func BenchmarkLedger(b *testing.B) {
	day := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	bk, err := book.Create(filepath.Join(b.TempDir(), "large.book"), book.Options{Now: func() time.Time { return day }})
	if err != nil {
		b.Fatal(err)
	}
	defer bk.Close()
	given, family := []string{"Ọláídé", "Ngọc", "花子", "Anna", "Kofi", "María", "अनिता", "João"}, []string{"Ṣóyẹmí", "Phạm", "梅林", "Berg", "Mensah", "Núñez", "देवी", "Araújo"}
	for done := 0; done < 50000; done += 5000 {
		if err := bk.Write(context.Background(), "filling", func(tx *book.Tx) error {
			for i := done; i < done+5000; i++ {
				c, err := tx.AddClient(book.Client{Name: fmt.Sprintf("%s %s %d", given[i%8], family[i/8%8], i), Contact: "invented"})
				if err != nil {
					return err
				}
				for k := range 2 {
					j, err := tx.AddJob(c.ID, book.Job{Number: fmt.Sprintf("J-%06d", 2*i+k), Garment: "rib-zip-jacket", Due: day.AddDate(0, 0, (2*i+k)%700-350).Format(book.Day)})
					if err != nil {
						return err
					}
					if _, err := tx.AddQuote(j.ID, book.Quoted{Draft: 1, Currency: "EUR", Total: 30000, Deposit: 15000, Minutes: 300, Words: "{}", Costing: []byte("x")}); err != nil {
						return err
					}
					if (2*i+k)%20 != 0 { // most orders of a large book are closed
						if _, err := tx.Move(j.Number, book.Dropped, ""); err != nil {
							return err
						}
					}
				}
			}
			return nil
		}); err != nil {
			b.Fatal(err)
		}
	}
	f, err := OpenFolder(b.TempDir())
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	s := New(Options{Store: f, Key: randomBytes(32), Book: bk})
	visitor := newVisit()
	for _, x := range []struct{ what, method, path, body string }{
		{"clients, a part of a name", "POST", "/clients/find", form("part", "soy 499")},
		{"clients, nobody", "POST", "/clients/find", form("part", "zzzz")},
		{"clients, one letter", "POST", "/clients/find", form("part", "a")},
		{"orders, open", "GET", "/orders", ""},
		{"orders, a part of a name in all", "POST", "/orders/find", form("part", "soyemi 49", "state", "all")},
		{"orders, a number", "POST", "/orders/find", form("part", "j-0999", "state", "all")},
		{"week", "GET", "/week", ""},
		{"money", "GET", "/money", ""},
		{"one client", "GET", "/clients/" + s.signed(aClient, 777), ""},
	} {
		b.Run(x.what, func(b *testing.B) {
			for b.Loop() {
				r := httptest.NewRequest(x.method, x.path, strings.NewReader(x.body))
				r.Host = "127.0.0.1"
				r.AddCookie(&http.Cookie{Name: visitCookie, Value: visitor})
				if x.method == "POST" {
					r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
					r.Header.Set("X-Form-Token", s.token(visitor))
					r.Header.Set("HX-Request", "true")
				} else {
					r.ContentLength, r.Body = 0, http.NoBody
				}
				w := httptest.NewRecorder()
				s.ServeHTTP(w, r)
				if w.Code != 200 {
					b.Fatalf("%d: %s", w.Code, mainOf(w.Body.String()))
				}
			}
		})
	}
}
