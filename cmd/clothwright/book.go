package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"time"

	"clothwright/book"
)

// InBook is what every command that uses the book takes.
type InBook struct {
	Book  string `required:"" env:"CLOTHWRIGHT_BOOK" help:"The book: the file that holds clients, cards, jobs and money." placeholder:"FILE"`
	Today string `env:"CLOTHWRIGHT_TODAY" help:"The day to work by, as 2026-03-02; the computer's when not given." placeholder:"DAY"`
}

func (c *InBook) options() (book.Options, error) {
	o := book.Options{Program: version()}
	if c.Book == "" {
		return o, errors.New("no book is named; --book FILE or CLOTHWRIGHT_BOOK names one")
	}
	if c.Today == "" {
		return o, nil
	}
	day, err := book.ParseDay(c.Today)
	if err != nil {
		return o, err
	}
	t, err := time.Parse(book.Day, day)
	o.Now = func() time.Time { return t }
	return o, err
}

// version is what a draft remembers of the program that made it.
func version() string {
	v := "clothwright"
	if info, ok := debug.ReadBuildInfo(); ok {
		v += " " + info.Main.Version
		for _, s := range info.Settings {
			if s.Key == "vcs.revision" {
				v += " " + s.Value
			}
		}
	}
	return v
}

// look opens the book to read it.
func (c *InBook) look(do func(ctx context.Context, b *book.Book) error) error {
	return c.open(true, do)
}

// change opens the book, runs do, and makes the day's first backup when the room wants one.
func (c *InBook) change(w *world, do func(ctx context.Context, b *book.Book) error) error {
	return c.open(false, func(ctx context.Context, b *book.Book) error {
		if err := do(ctx, b); err != nil {
			return err
		}
		made, thrown, err := b.Daily(ctx)
		switch {
		case err != nil:
			fmt.Fprintf(w.err, "warn: what you did is in the book, but today's backup failed: %s\n", err)
		case made != "":
			fmt.Fprintf(w.out, "backed up to %s%s\n", made, thinned(thrown))
		}
		return nil
	})
}

func thinned(thrown []string) string {
	if len(thrown) == 0 {
		return ""
	}
	return fmt.Sprintf("; %d old ones thinned out", len(thrown))
}

func (c *InBook) open(readOnly bool, do func(ctx context.Context, b *book.Book) error) error {
	o, err := c.options()
	if err != nil {
		return err
	}
	o.ReadOnly = readOnly
	b, err := book.Open(c.Book, o)
	if err != nil {
		return err
	}
	defer b.Close()
	return flagged(sentences(do(context.Background(), b)))
}

type bookCommand struct {
	New     bookNewCommand     `cmd:"" help:"Make a new, empty book."`
	Check   bookCheckCommand   `cmd:"" help:"Look at every page and reference of the book."`
	Room    bookRoomCommand    `cmd:"" help:"Show or set the room's habits: hours, closed days, house file, costing file, folder for backups."`
	Backup  bookBackupCommand  `cmd:"" help:"Copy the book while it is in use; the copy is checked to its last page."`
	Restore bookRestoreCommand `cmd:"" help:"Make a book of a backup, after checking it."`
	Write   bookWriteCommand   `cmd:"" help:"Write everything in the book as JSON."`
	Read    bookReadCommand    `cmd:"" help:"Read such JSON into a new book; it is then the same book."`
}

type bookNewCommand struct{ InBook }

func (c *bookNewCommand) Run(w *world) error {
	o, err := c.options()
	if err != nil {
		return err
	}
	b, err := book.Create(c.Book, o)
	if err != nil {
		return err
	}
	fmt.Fprintf(w.out, "a new book: %s\n", c.Book)
	return b.Close()
}

type bookCheckCommand struct {
	InBook
	Scrub bool `help:"Also write the file anew, so that nothing thrown away is left in its free pages."`
}

func (c *bookCheckCommand) Run(w *world) error {
	return c.open(!c.Scrub, func(ctx context.Context, b *book.Book) error {
		if err := b.Check(ctx); err != nil {
			return err
		}
		if c.Scrub {
			if err := b.Scrub(ctx); err != nil {
				return err
			}
		}
		fmt.Fprintf(w.out, "%s is sound\n", c.Book)
		return nil
	})
}

type bookRoomCommand struct {
	InBook
	Name    *string `help:"The room's name, as clients read it."`
	Hours   *string `help:"Hours really left for sewing, by day." placeholder:"mon-fri 6, sat 3"`
	Closed  *string `help:"Days the room is closed." placeholder:"2026-12-24..2026-12-27"`
	House   *string `help:"The house file for new jobs; its bytes are kept." placeholder:"FILE"`
	Costing *string `help:"The costing file for quotations; its bytes are kept." placeholder:"FILE"`
	Backups *string `help:"The folder for a backup on every day that the book is changed; '' for none." placeholder:"DIR"`
	Phrase  *string `name:"passphrase-file" help:"Encrypt those backups by age with the passphrase in this file, which stays where it is and is not put into the book; '' for plain ones." placeholder:"FILE"`
}

func (c *bookRoomCommand) Run(w *world) error {
	texts := []struct {
		key   string
		value *string
	}{{book.SetName, c.Name}, {book.SetHours, c.Hours}, {book.SetClosed, c.Closed}, {book.SetBackups, c.Backups}, {book.SetPhrase, c.Phrase}}
	files := []struct {
		key   string
		path  *string
		check func(name string, src []byte) error
	}{{book.SetHouse, c.House, checkHouse}, {book.SetCosting, c.Costing, checkCosting}}
	setting := false
	for _, t := range texts {
		setting = setting || t.value != nil
	}
	for _, f := range files {
		setting = setting || f.path != nil
	}
	show := func(ctx context.Context, b *book.Book) error {
		for _, t := range texts {
			v, err := b.Setting(ctx, t.key)
			if err != nil {
				return err
			}
			fmt.Fprintf(w.out, "%-15s %s\n", t.key, orNone(v))
		}
		for _, f := range files {
			src, ok, err := b.SettingFile(ctx, f.key)
			if err != nil {
				return err
			}
			v := ""
			if ok {
				v = fmt.Sprintf("kept, %d bytes", len(src))
			}
			fmt.Fprintf(w.out, "%-15s %s\n", f.key, orNone(v))
		}
		return nil
	}
	if !setting {
		return c.look(show)
	}
	if c.Hours != nil || c.Closed != nil {
		if _, err := book.ParseHours(value(c.Hours), value(c.Closed)); err != nil {
			return err
		}
	}
	bytes := map[string][]byte{}
	for _, f := range files {
		if f.path == nil || *f.path == "" {
			continue
		}
		src, err := readFile(*f.path)
		if err != nil {
			return fmt.Errorf("%s cannot be read: %s", *f.path, plain(err))
		}
		if err := f.check(*f.path, src); err != nil {
			return err
		}
		bytes[f.key] = src
	}
	if c.Backups != nil && *c.Backups != "" {
		abs, err := filepath.Abs(*c.Backups)
		if err != nil {
			return err
		}
		c.Backups = &abs
		texts[3].value = &abs
	}
	if c.Phrase != nil && *c.Phrase != "" {
		abs, err := filepath.Abs(*c.Phrase)
		if err != nil {
			return err
		}
		if _, err := book.OwnPassphrase(abs); err != nil {
			return err
		}
		texts[4].value = &abs
	}
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		err := b.Write(ctx, "setting the room's habits", func(tx *book.Tx) error {
			for _, t := range texts {
				if t.value != nil {
					if err := tx.Set(t.key, strings.TrimSpace(*t.value)); err != nil {
						return err
					}
				}
			}
			for _, f := range files {
				if f.path == nil {
					continue
				}
				if src, ok := bytes[f.key]; ok {
					if err := tx.SetFile(f.key, src); err != nil {
						return err
					}
				} else if err := tx.Set(f.key, ""); err != nil {
					return err
				}
			}
			return nil
		})
		if err != nil {
			return err
		}
		if err := show(ctx, b); err != nil {
			return err
		}
		dir, err := b.Setting(ctx, book.SetBackups)
		if plain := b.InTheOpen(dir); err == nil && c.Phrase != nil && *c.Phrase != "" && len(plain) > 0 {
			fmt.Fprintf(w.out, "note: %d backups made before in %s are not encrypted; look that they are where nobody else reads them, or throw them away\n", len(plain), dir)
		}
		return err
	})
}

func value(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}

func orNone(s string) string {
	if s == "" {
		return "–"
	}
	return s
}

type bookBackupCommand struct {
	InBook
	To         string `arg:"" help:"The folder for a dated backup, which also thins out older ones; or a file name ending in .book or .age." placeholder:"DIR|FILE"`
	Passphrase string `name:"passphrase-file" help:"Encrypt by age with the passphrase in this file." placeholder:"FILE"`
}

func (c *bookBackupCommand) Run(w *world) error {
	pass, err := passphrase(c.Passphrase)
	if err != nil {
		return err
	}
	return c.look(func(ctx context.Context, b *book.Book) error {
		if strings.HasSuffix(c.To, ".book") || strings.HasSuffix(c.To, ".age") {
			if err := b.Backup(ctx, c.To, pass); err != nil {
				return err
			}
			fmt.Fprintf(w.out, "backed up to %s\n", c.To)
			return nil
		}
		made, thrown, err := b.BackupInto(ctx, c.To, pass)
		if err != nil {
			return err
		}
		fmt.Fprintf(w.out, "backed up to %s%s\n", made, thinned(thrown))
		return nil
	})
}

// passphrase is that of a file, empty when no file is named.
func passphrase(path string) (string, error) {
	if path == "" {
		return "", nil
	}
	return book.Passphrase(path)
}

type bookRestoreCommand struct {
	InBook
	From       string `arg:"" help:"The backup." placeholder:"FILE"`
	Passphrase string `name:"passphrase-file" help:"The passphrase it was encrypted with." placeholder:"FILE"`
}

func (c *bookRestoreCommand) Run(w *world) error {
	pass, err := passphrase(c.Passphrase)
	if err != nil {
		return err
	}
	if err := book.Restore(context.Background(), c.From, c.Book, pass); err != nil {
		return err
	}
	fmt.Fprintf(w.out, "%s is restored from %s and sound\n", c.Book, c.From)
	return nil
}

type bookWriteCommand struct {
	InBook
	To string `arg:"" help:"The file to write." placeholder:"FILE.json"`
}

func (c *bookWriteCommand) Run(w *world) error {
	return c.look(func(ctx context.Context, b *book.Book) error {
		if err := privately(c.To, func(to io.Writer) error { return b.Export(ctx, to) }); err != nil {
			return err
		}
		fmt.Fprintf(w.out, "everything is in %s\n", c.To)
		return nil
	})
}

// privately writes a file that its owner alone can read, whole or not at all.
func privately(path string, write func(io.Writer) error) error {
	t, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*") // readable by its owner alone
	if err != nil {
		return fmt.Errorf("%s cannot be written: %s", path, plain(err))
	}
	defer os.Remove(t.Name())
	err = write(t)
	if e := t.Sync(); err == nil {
		err = e
	}
	if e := t.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Rename(t.Name(), path)
	}
	var f *book.Fault
	if err != nil && !errors.As(err, &f) {
		return fmt.Errorf("%s cannot be written: %s", path, plain(err))
	}
	return err
}

type bookReadCommand struct {
	InBook
	From string `arg:"" help:"The JSON." placeholder:"FILE.json"`
}

func (c *bookReadCommand) Run(w *world) error {
	f, err := openFile(c.From)
	if err != nil {
		return fmt.Errorf("%s cannot be read: %s", c.From, plain(err))
	}
	defer f.Close()
	o, err := c.options()
	if err != nil {
		return err
	}
	made := false
	b, err := book.Open(c.Book, o)
	var fault *book.Fault
	if errors.As(err, &fault) && fault.Code == book.NoFile {
		b, err = book.Create(c.Book, o)
		made = err == nil
	}
	if err != nil {
		return err
	}
	err = b.Write(context.Background(), "reading an export in", func(tx *book.Tx) error { return tx.Import(f) })
	b.Close()
	if err != nil {
		if made { // what was made for the export goes with it
			for _, suffix := range []string{"", "-wal", "-shm"} {
				os.Remove(c.Book + suffix)
			}
		}
		return fmt.Errorf("%s: %w", c.From, err)
	}
	fmt.Fprintf(w.out, "%s holds everything of %s\n", c.Book, c.From)
	return nil
}
