package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"clothwright/book"
	"clothwright/desk"
	"clothwright/tape"
)

type clientCommand struct {
	Add    clientAddCommand    `cmd:"" help:"Add a client."`
	Find   clientFindCommand   `cmd:"" help:"Find clients by parts of their name; accents and capitals do not matter."`
	Show   clientShowCommand   `cmd:"" help:"Show a client: cards, jobs, own cloth, photos."`
	Change clientChangeCommand `cmd:"" help:"Write a client's name, contact or note anew."`
	Photo  clientPhotoCommand  `cmd:"" help:"Book where a photo lies; its bytes stay there."`
	Copy   clientCopyCommand   `cmd:"" help:"Write everything known of one person as JSON, for that person."`
	Forget clientForgetCommand `cmd:"" help:"Throw away everything known of one person."`
	Read   clientReadCommand   `cmd:"" help:"Read clients from a CSV file."`
	Write  clientWriteCommand  `cmd:"" help:"Write all clients to a CSV file."`
}

type clientAddCommand struct {
	InBook
	Name    string `arg:"" help:"The client's name, in any script."`
	Code    string `help:"A short code of your own; made when not given."`
	Contact string `help:"Telephone, mail, where to find them."`
	Note    string `help:"A note."`
}

func (c *clientAddCommand) Run(w *world) error {
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		var added book.Client
		err := b.Write(ctx, "adding a client", func(tx *book.Tx) (err error) {
			added, err = tx.AddClient(book.Client{Name: c.Name, Code: c.Code, Contact: c.Contact, Note: c.Note})
			return err
		})
		if err == nil {
			fmt.Fprintf(w.out, "%s %s\n", added.Code, added.Name)
		}
		return err
	})
}

type clientFindCommand struct {
	InBook
	Part []string `arg:"" optional:"" help:"Parts of the name; all are listed when none is given."`
	Most int      `default:"50" help:"How many to list at most."`
}

func (c *clientFindCommand) Run(w *world) error {
	return c.look(func(ctx context.Context, b *book.Book) error {
		found, err := b.Find(ctx, strings.Join(c.Part, " "), c.Most)
		for _, x := range found {
			fmt.Fprintf(w.out, "%-8s %s%s\n", x.Code, x.Name, behind(x.Contact))
		}
		if err == nil && len(found) == 0 {
			fmt.Fprintln(w.out, "nobody is called so")
		}
		return err
	})
}

func behind(s string) string {
	if s == "" {
		return ""
	}
	return ", " + s
}

type clientShowCommand struct {
	InBook
	Client string `arg:"" help:"The client's code, or the whole name."`
}

func (c *clientShowCommand) Run(w *world) error {
	return c.look(func(ctx context.Context, b *book.Book) error {
		x, err := b.Client(ctx, c.Client)
		if err != nil {
			return err
		}
		fmt.Fprintf(w.out, "%s %s%s%s\n", x.Code, x.Name, behind(x.Contact), behind(x.Note))
		cards, err := b.Cards(ctx, x.ID)
		if err != nil {
			return err
		}
		for _, k := range cards {
			fmt.Fprintf(w.out, "card %d of %s by %s, %d measures%s\n", k.ID, k.Taken, k.By, len(k.Measures), corrects(k))
		}
		jobs, err := b.Jobs(ctx, false, x.ID, 1000)
		if err != nil {
			return err
		}
		for _, j := range jobs {
			fmt.Fprintln(w.out, jobLine(j))
		}
		goods, err := b.Goods(ctx, x.ID, true)
		if err != nil {
			return err
		}
		for _, g := range goods {
			fmt.Fprintln(w.out, desk.GoodsLine(g))
		}
		photos, err := b.Photos(ctx, x.ID)
		for _, p := range photos {
			fmt.Fprintf(w.out, "photo %s of %s%s%s%s\n", p.Path, p.Day, behind(p.Job), behind(p.Note), behind(photoState(p)))
		}
		return err
	})
}

// photoState says when a picture is no longer what was booked.
func photoState(p book.Photo) string {
	src, err := os.ReadFile(p.Path)
	switch {
	case err != nil:
		return "not there now"
	case p.SHA != "" && book.SHA(src) != p.SHA:
		return "changed since it was booked"
	}
	return ""
}

func corrects(k book.Card) string {
	if k.Corrects == 0 {
		return ""
	}
	return fmt.Sprintf(", corrects card %d", k.Corrects)
}

type clientChangeCommand struct {
	InBook
	Client  string  `arg:"" help:"The client's code, or the whole name."`
	Name    *string `help:"The new name."`
	Contact *string `help:"The new contact."`
	Note    *string `help:"The new note."`
}

func (c *clientChangeCommand) Run(w *world) error {
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		return b.Write(ctx, "changing a client", func(tx *book.Tx) error {
			x, err := tx.Client(c.Client)
			if err != nil {
				return err
			}
			for _, f := range []struct{ from, to *string }{{c.Name, &x.Name}, {c.Contact, &x.Contact}, {c.Note, &x.Note}} {
				if f.from != nil {
					*f.to = *f.from
				}
			}
			if err := tx.ChangeClient(x); err != nil {
				return err
			}
			fmt.Fprintf(w.out, "%s %s%s%s\n", x.Code, x.Name, behind(x.Contact), behind(x.Note))
			return nil
		})
	})
}

type clientPhotoCommand struct {
	InBook
	Client string `arg:"" help:"The client's code, or the whole name."`
	Path   string `arg:"" help:"Where the photo lies."`
	Job    string `help:"The job it belongs to."`
	Cloth  int64  `help:"The number of the client's own cloth it shows."`
	Note   string `help:"What it shows."`
}

func (c *clientPhotoCommand) Run(w *world) error {
	src, err := os.ReadFile(c.Path)
	if err != nil {
		return fmt.Errorf("the photo %s cannot be read: %s", c.Path, plain(err))
	}
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		x, err := b.Client(ctx, c.Client)
		if err != nil {
			return err
		}
		err = b.Write(ctx, "booking a photo", func(tx *book.Tx) error {
			return tx.AddPhoto(x.ID, book.Photo{Job: c.Job, Goods: c.Cloth, Path: c.Path, Note: c.Note, Day: b.Today()}, src)
		})
		if err == nil {
			fmt.Fprintf(w.out, "%s is booked for %s\n", c.Path, x.Name)
		}
		return err
	})
}

type clientCopyCommand struct {
	InBook
	Client string `arg:"" help:"The client's code, or the whole name."`
	To     string `arg:"" help:"The file to write." placeholder:"FILE.json"`
}

func (c *clientCopyCommand) Run(w *world) error {
	return c.look(func(ctx context.Context, b *book.Book) error {
		x, err := b.Client(ctx, c.Client)
		if err != nil {
			return err
		}
		if err := privately(c.To, func(to io.Writer) error { return b.ExportClient(ctx, to, x.ID) }); err != nil {
			return err
		}
		fmt.Fprintf(w.out, "everything known of %s is in %s\n", x.Name, c.To)
		return nil
	})
}

type clientForgetCommand struct {
	InBook
	Client string `arg:"" help:"The client's code, or the whole name."`
	Yes    bool   `help:"Do it. Without this it is only said what would go."`
}

// forgetWords say what goes, in this order.
var forgetWords = []struct{ table, words string }{
	{"card", "tape cards"}, {"job", "jobs"}, {"draft", "drafts"}, {"quote", "quotations"}, {"payment", "payments"}, {"worked", "recorded times"}, {"fitting", "fittings"},
	{"pin", "pins"}, {"issue", "confirmation sheets"}, {"goods", "pieces of own cloth"}, {"photo", "photos (the pictures themselves stay where they lie)"},
}

func (c *clientForgetCommand) Run(w *world) error {
	return c.open(false, func(ctx context.Context, b *book.Book) error {
		x, err := b.Client(ctx, c.Client)
		if err != nil {
			return err
		}
		only := errors.New("only said")
		err = b.Write(ctx, "forgetting a client", func(tx *book.Tx) error {
			gone, err := tx.Forget(x.Code)
			if err != nil {
				return err
			}
			verb := "would go"
			if c.Yes {
				verb = "are gone"
			}
			for _, f := range forgetWords {
				if n := gone[f.table]; n > 0 {
					fmt.Fprintf(w.out, "%d %s %s\n", n, f.words, verb)
				}
			}
			if !c.Yes {
				return only
			}
			return nil
		})
		if errors.Is(err, only) {
			fmt.Fprintf(w.out, "nothing was thrown away; say --yes to forget %s for good, and client copy first if the law wants the payments kept\n", x.Name)
			return nil
		}
		if err != nil {
			return err
		}
		if err := b.Scrub(ctx); err != nil {
			return err
		}
		fmt.Fprintf(w.out, "%s is forgotten; older backups still know them\n", x.Code)
		return nil
	})
}

type clientReadCommand struct {
	InBook
	From string `arg:"" help:"The table: columns name, and if you like code, contact, note." placeholder:"FILE.csv"`
}

func (c *clientReadCommand) Run(w *world) error {
	return c.read(w, c.From, "clients", func(from io.Reader) (*desk.Table, error) { return desk.ReadClients(c.From, from) })
}

// read reads a table into the book, whole or not at all.
func (c *InBook) read(w *world, path, what string, open func(io.Reader) (*desk.Table, error)) error {
	f, err := openFile(path)
	if err != nil {
		return fmt.Errorf("%s cannot be read: %s", path, plain(err))
	}
	defer f.Close()
	t, err := open(f)
	if err != nil {
		return err
	}
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		n, err := t.Keep(ctx, b)
		if err == nil {
			fmt.Fprintf(w.out, "%d %s were read in\n", n, what)
		}
		return err
	})
}

type clientWriteCommand struct {
	InBook
	To string `arg:"" help:"The file to write." placeholder:"FILE.csv"`
}

func (c *clientWriteCommand) Run(w *world) error {
	return c.writeOut(w, c.To, "clients", desk.WriteClients)
}

// writeOut writes a table of the book.
func (c *InBook) writeOut(w *world, path, what string, write func(context.Context, *book.Book, io.Writer) (int, error)) error {
	return c.look(func(ctx context.Context, b *book.Book) error {
		n := 0
		err := privately(path, func(to io.Writer) (err error) { n, err = write(ctx, b, to); return err })
		if err == nil {
			fmt.Fprintf(w.out, "%d %s are in %s\n", n, what, path)
		}
		return err
	})
}

type cardCommand struct {
	Add     cardAddCommand     `cmd:"" help:"Add a tape card. A correction is a new card; the old one stays."`
	Show    cardShowCommand    `cmd:"" help:"Show a tape card."`
	Compare cardCompareCommand `cmd:"" help:"Show in what two cards differ."`
	Read    cardReadCommand    `cmd:"" help:"Read tape cards from a CSV file."`
	Write   cardWriteCommand   `cmd:"" help:"Write all tape cards to a CSV file."`
}

type cardAddCommand struct {
	InBook
	Client   string   `arg:"" help:"The client's code, or the whole name."`
	Measures []string `arg:"" help:"name=length, as chest_girth='92 cm' or arm_length='24 1/2 in'; an ! at its end says that a doubted figure was measured again." sep:"none"`
	By       string   `required:"" help:"Who held the tape."`
	On       string   `help:"The day it was taken; today when not given." placeholder:"DAY"`
	Figure   string   `enum:",women,men,child" default:"" help:"women, men or child."`
	Age      float64  `help:"In years."`
	Corrects int64    `help:"The number of the card it corrects."`
	Note     string   `help:"A note."`
}

func (c *cardAddCommand) Run(w *world) error {
	k := book.Card{By: c.By, Figure: c.Figure, Age: c.Age, Corrects: c.Corrects, Note: c.Note}
	if c.Age < 0 || c.Age > 120 {
		return fmt.Errorf("age is %g years; 0 to 120 is allowed", c.Age)
	}
	for _, s := range c.Measures {
		name, said, ok := strings.Cut(s, "=")
		if !ok {
			return fmt.Errorf("%q is no measure: name=length is wanted, as chest_girth='92 cm'", s)
		}
		m, err := desk.Measure(strings.TrimSpace(name), said, 0)
		if err != nil {
			return err
		}
		k.Measures = append(k.Measures, m)
	}
	return c.change(w, func(ctx context.Context, b *book.Book) error {
		x, err := b.Client(ctx, c.Client)
		if err != nil {
			return err
		}
		if k.Taken, err = desk.Day(b, c.On); err != nil {
			return err
		}
		before, hadOne := book.Card{}, false
		if cards, err := b.Cards(ctx, x.ID); err == nil && len(cards) > 0 {
			before, hadOne = cards[len(cards)-1], true
		}
		err = b.Write(ctx, "adding a tape card", func(tx *book.Tx) (err error) {
			k, err = tx.AddCard(x.ID, k)
			return err
		})
		if err != nil {
			return err
		}
		fmt.Fprintf(w.out, "card %d of %s: %d measures\n", k.ID, x.Name, len(k.Measures))
		if hadOne {
			differences(w, before, k)
		}
		return nil
	})
}

func differences(w *world, was, now book.Card) {
	ds := book.Compare(was, now)
	if len(ds) == 0 {
		fmt.Fprintf(w.out, "nothing differs from card %d of %s\n", was.ID, was.Taken)
		return
	}
	fmt.Fprintf(w.out, "against card %d of %s:\n", was.ID, was.Taken)
	for _, d := range ds {
		switch {
		case d.Was == "":
			fmt.Fprintf(w.out, "  %-18s new: %s\n", d.Name, d.Now)
		case d.Now == "":
			fmt.Fprintf(w.out, "  %-18s was %s, not on this card\n", d.Name, d.Was)
		default:
			by := tape.Signed(d.By, tape.UnitIn(d.Now))
			if strings.HasSuffix(d.Name, book.Slope) {
				by = fmt.Sprintf("%+.4g degrees", d.By)
			}
			fmt.Fprintf(w.out, "  %-18s %s, was %s (%s)\n", d.Name, d.Now, d.Was, by)
		}
	}
}

type cardShowCommand struct {
	InBook
	Card int64 `arg:"" help:"The card's number."`
}

func (c *cardShowCommand) Run(w *world) error {
	return c.look(func(ctx context.Context, b *book.Book) error {
		k, err := b.Card(ctx, c.Card)
		if err != nil {
			return err
		}
		fmt.Fprintf(w.out, "card %d of %s by %s%s%s%s\n", k.ID, k.Taken, k.By, behind(k.Figure), corrects(k), behind(k.Note))
		for _, m := range k.Measures {
			sure := ""
			if m.Confirmed {
				sure = ", measured again"
			}
			fmt.Fprintf(w.out, "  %-18s %s%s\n", m.Name, m.Said, sure)
		}
		return nil
	})
}

type cardCompareCommand struct {
	InBook
	Was int64 `arg:"" help:"The older card's number."`
	Now int64 `arg:"" help:"The newer card's number."`
}

func (c *cardCompareCommand) Run(w *world) error {
	return c.look(func(ctx context.Context, b *book.Book) error {
		was, err := b.Card(ctx, c.Was)
		if err != nil {
			return err
		}
		now, err := b.Card(ctx, c.Now)
		if err != nil {
			return err
		}
		if was.ClientID != now.ClientID {
			fmt.Fprintln(w.err, "warn: the two cards are of different people")
		}
		differences(w, was, now)
		return nil
	})
}

type cardReadCommand struct {
	InBook
	From string `arg:"" help:"The table: columns client (code or whole name), taken, by, and if you like figure, age, note; every other column is a measure." placeholder:"FILE.csv"`
	Unit string `default:"" enum:",mm,cm,in" help:"The unit of bare numbers: mm, cm or in; without it a bare number is a mistake."`
}

func (c *cardReadCommand) Run(w *world) error {
	unit := tape.Unit(0)
	if c.Unit != "" {
		unit, _ = tape.ParseUnit(c.Unit)
	}
	return c.read(w, c.From, "tape cards", func(from io.Reader) (*desk.Table, error) { return desk.ReadCards(c.From, from, unit) })
}

type cardWriteCommand struct {
	InBook
	To string `arg:"" help:"The file to write." placeholder:"FILE.csv"`
}

func (c *cardWriteCommand) Run(w *world) error {
	return c.writeOut(w, c.To, "tape cards", desk.WriteCards)
}
