package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"clothwright/book"
)

// The program to be killed is told what to do by its environment.
const (
	actVariable  = "KILLBOOK_ACT"
	bookVariable = "KILLBOOK_BOOK"
	runVariable  = "KILLBOOK_RUN"
	fromVariable = "KILLBOOK_FROM"
)

// tableRows is how many clients a table has that is read in at once.
const tableRows = 250

var ctx = context.Background()

// perform does one act until it is done or killed, and says each thing that is certain on a line of its own.
func perform(act string) int {
	path, run, from := os.Getenv(bookVariable), os.Getenv(runVariable), os.Getenv(fromVariable)
	fmt.Println("begun")
	b, err := openOrCreate(path)
	if err == nil {
		err = acts[act](b, run, from)
	}
	if err != nil {
		fmt.Println("failed", err)
		return 1
	}
	return 0
}

func openOrCreate(path string) (*book.Book, error) {
	if _, err := os.Stat(path); err != nil {
		b, err := book.Create(path, book.Options{Program: "killbook"})
		var f *book.Fault
		if !errors.As(err, &f) || f.Code != book.Exists { // another program may have made it just now
			return b, err
		}
	}
	return book.Open(path, book.Options{Program: "killbook"})
}

var acts = map[string]func(b *book.Book, run, from string) error{
	"write":   write,
	"table":   table,
	"export":  export,
	"migrate": func(b *book.Book, run, from string) error { return done() },
	"backup":  backup,
}

func done() error { fmt.Println("ok done"); return nil }

// write books whole orders, one transaction each, until it is killed.
func write(b *book.Book, run, _ string) error {
	for i := range 100000 {
		if err := b.Write(ctx, "an order", func(tx *book.Tx) error { return order(tx, fmt.Sprintf("%s-%d", run, i)) }); err != nil {
			return err
		}
		fmt.Println("ok", i)
	}
	return nil
}

// secret is what some backups are encrypted with.
const secret = "no secret at all"

// order writes one row into each of six tables, has the job signed and cut, and takes for it from the shelf the one thing that it
// puts there: whatever is killed, the shelf holds none.
func order(tx *book.Tx, name string) error {
	c, err := tx.AddClient(book.Client{Name: "w " + name, Note: strings.Repeat("n", 500)})
	if err != nil {
		return err
	}
	k, err := tx.AddCard(c.ID, book.Card{Taken: "2026-03-02", By: "killbook", Measures: []book.Measure{{Name: "chest_girth", Said: "92 cm", MM: 920}}})
	if err != nil {
		return err
	}
	j, err := tx.AddJob(c.ID, book.Job{Number: name, Garment: "g"})
	if err != nil {
		return err
	}
	if _, err := tx.AddDraft(j.ID, book.Draft{CardID: k.ID, Name: "j", File: []byte("x"), ScriptName: "g", Script: []byte("s"), Level: "ok", Record: []byte(strings.Repeat(name, 300))}); err != nil {
		return err
	}
	if _, err := tx.AddQuote(j.ID, book.Quoted{Draft: 1, Currency: "EUR", Total: 100, Minutes: 60, Words: "[]", Costing: []byte("c")}); err != nil {
		return err
	}
	if err := tx.Pay(name, book.Payment{Day: "2026-03-02", Amount: 50, Currency: "EUR"}); err != nil {
		return err
	}
	if _, err := tx.AddIssue(j.ID, book.Issue{Draft: 1, Quote: 1}); err != nil {
		return err
	}
	if _, err := tx.Agree(name); err != nil {
		return err
	}
	for _, s := range []book.State{book.Confirmed, book.BeingCut} {
		if _, err := tx.Move(name, s, ""); err != nil {
			return err
		}
	}
	if _, err := tx.PutShelf(book.Shelf{Code: "z", Kind: "zip", Name: "a zip"}, 1, "", "2026-03-02", "bought"); err != nil {
		return err
	}
	_, err = tx.TakeForCut(name, []book.Need{{What: "zip", Kind: "zip", Quantity: 1, Is: func(book.Shelf) bool { return true }}})
	return err
}

// table reads a table of clients in, all in one transaction.
func table(b *book.Book, run, _ string) error {
	err := b.Write(ctx, "a table", func(tx *book.Tx) error {
		for i := range tableRows {
			if _, err := tx.AddClient(book.Client{Name: fmt.Sprintf("t %s row %d", run, i)}); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	return done()
}

// export reads a whole book in.
func export(b *book.Book, _, from string) error {
	f, err := os.Open(from)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := b.Write(ctx, "an export", func(tx *book.Tx) error { return tx.Import(io.Reader(f)) }); err != nil {
		return err
	}
	return done()
}

// backup makes dated backups, and writes in between, until it is killed.
func backup(b *book.Book, run, dir string) error {
	for i := range 100000 {
		if err := b.Write(ctx, "an order", func(tx *book.Tx) error { return order(tx, fmt.Sprintf("%s-%d", run, i)) }); err != nil {
			return err
		}
		fmt.Println("ok", i)
		to, phrase := fmt.Sprintf("%s/%s-%d.book", dir, run, i), ""
		if i%8 == 1 {
			to, phrase = to+".age", secret
		}
		if err := b.Backup(ctx, to, phrase); err != nil {
			return err
		}
		fmt.Println("backup", to)
	}
	return nil
}
