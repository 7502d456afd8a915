package web

import (
	"fmt"
	"sort"
	"strconv"
	"strings"

	"clothwright/book"
)

// roomPages are the pages behind the room's door, in their order.
var roomPages = []struct{ name, path string }{
	{"room", "/room"}, {"money", "/money"}, {"cloth", "/cloth"}, {"shelf", "/shelf"}, {"times", "/times"}, {"tables", "/room/tables"},
}

// habits is how the room works.
type habits struct {
	Name     string
	Days     []workday
	Closed   []closing
	Past     []closing
	House    string
	HasHouse bool
	Costing  string
	HasCost  bool
	Backups  string
	Failed   string // why the last backup could not be made
}

// workday is one day of the week and the hours worked on it, as a field holds them.
type workday struct {
	Name  string // as in the book: "mon"
	Index int    // as time.Weekday counts
	Hours string
}

// closing is one entry of the closed days.
type closing struct{ Text, From, To string }

// Monday comes first, as ISO 8601 has it.
var weekOrder = []struct {
	name  string
	index int
}{{"mon", 1}, {"tue", 2}, {"wed", 3}, {"thu", 4}, {"fri", 5}, {"sat", 6}, {"sun", 0}}

func (v *visit) roomPage() error {
	b, err := v.ledger()
	if err != nil {
		return err
	}
	h, err := v.habitsOf(b)
	if err != nil {
		return err
	}
	return v.show(roomPage(v.chrome(v.words.T("room.title"), "room", nil), h))
}

func (v *visit) habitsOf(b *book.Book) (habits, error) {
	h := habits{Failed: v.s.backupFault()}
	ctx := v.r.Context()
	closed := ""
	for key, into := range map[string]*string{book.SetName: &h.Name, book.SetBackups: &h.Backups, book.SetClosed: &closed} {
		var err error
		if *into, err = b.Setting(ctx, key); err != nil {
			return h, err
		}
	}
	for _, f := range []struct {
		key  string
		text *string
		has  *bool
	}{{book.SetHouse, &h.House, &h.HasHouse}, {book.SetCosting, &h.Costing, &h.HasCost}} {
		src, ok, err := b.SettingFile(ctx, f.key)
		if err != nil {
			return h, err
		}
		*f.text, *f.has = strings.ToValidUTF8(string(src), "?"), ok
	}
	hours, err := b.Hours(ctx)
	if err != nil {
		return h, err
	}
	for _, d := range weekOrder {
		text := ""
		if m := hours.Minutes[d.index]; m > 0 {
			text = hoursText(v.words, m)
		}
		h.Days = append(h.Days, workday{d.name, d.index, text})
	}
	today := b.Today()
	for _, c := range closings(closed) {
		if c.To < today {
			h.Past = append(h.Past, c)
		} else {
			h.Closed = append(h.Closed, c)
		}
	}
	return h, nil
}

// closings reads the closed days as the book keeps them, by day.
func closings(text string) []closing {
	var out []closing
	for _, part := range strings.Split(text, ",") {
		if part = strings.TrimSpace(part); part == "" {
			continue
		}
		from, to, is := strings.Cut(part, "..")
		if !is {
			to = from
		}
		out = append(out, closing{part, strings.TrimSpace(from), strings.TrimSpace(to)})
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].From < out[j].From })
	return out
}

// roomHours keeps the hours of each day of the week.
func (v *visit) roomHours() error {
	var parts []string
	for _, d := range weekOrder {
		s := unlocal(v.form("hours." + d.name))
		if s == "" {
			continue
		}
		h, err := strconv.ParseFloat(s, 64)
		if err != nil || !(h >= 0 && h <= 24) {
			return v.again(plain(v.words.T("room.badhours", "day", v.words.T("day."+strconv.Itoa(d.index)), "found", v.form("hours."+d.name))), (*visit).roomPage)
		}
		if h > 0 {
			parts = append(parts, fmt.Sprintf("%s %s", d.name, strconv.FormatFloat(h, 'f', -1, 64)))
		}
	}
	if err := v.setRoom(book.SetHours, strings.Join(parts, ", ")); err != nil {
		return v.again(err, (*visit).roomPage)
	}
	v.tell(v.words.T("told.room"))
	return v.goTo("/room")
}

// roomClosed adds days on which the room is closed, or opens it again on some.
func (v *visit) roomClosed() error {
	b, err := v.ledger()
	if err != nil {
		return err
	}
	now, err := b.Setting(v.r.Context(), book.SetClosed)
	if err != nil {
		return v.again(err, (*visit).roomPage)
	}
	list := closings(now)
	if gone := v.form("open"); gone != "" {
		kept := list[:0]
		for _, c := range list {
			if c.Text != gone {
				kept = append(kept, c)
			}
		}
		list = kept
	} else {
		from, err := book.ParseDay(v.form("from"))
		if err != nil {
			return v.again(err, (*visit).roomPage)
		}
		to, err := book.ParseDay(v.orElse("to", from))
		if err != nil {
			return v.again(err, (*visit).roomPage)
		}
		text := from
		if to != from {
			text = from + ".." + to
		}
		list = append(list, closing{text, from, to})
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].From < list[j].From })
	var parts []string
	for _, c := range list {
		parts = append(parts, c.Text)
	}
	if err := v.setRoom(book.SetClosed, strings.Join(parts, ", ")); err != nil {
		return v.again(err, (*visit).roomPage)
	}
	v.tell(v.words.T("told.room"))
	return v.goTo("/room")
}

// setRoom keeps a setting of hours or closed days after it was read through.
func (v *visit) setRoom(key, value string) error {
	hours, closed := "", value
	if key == book.SetHours {
		hours, closed = value, ""
	}
	if _, err := book.ParseHours(hours, closed); err != nil {
		return err
	}
	return v.write("setting the room's habits", func(tx *book.Tx) error { return tx.Set(key, value) })
}

// againIf is what was typed into a field of the form that was sent, when it is this one of several alike.
func againIf(c chrome, mine bool, name, kept string) string {
	if mine {
		return c.Again(name, kept)
	}
	return kept
}

// onShelf is how much of something is there, as the reader's language writes it.
func onShelf(c chrome, s book.Shelf) string {
	if s.Unit == "mm" {
		return c.Metres(float64(s.Left))
	}
	return c.Number(float64(s.Left), 0)
}

// closingWords says closed days: one day, or from one to another.
func closingWords(c chrome, d closing) string {
	if d.From == d.To {
		return c.Date(d.From)
	}
	return c.T("room.fromto", "from", c.Date(d.From), "to", c.Date(d.To))
}
