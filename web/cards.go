package web

import (
	"crypto/hmac"
	"crypto/sha256"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"clothwright/body"
	"clothwright/book"
	"clothwright/phrase"
	"clothwright/tape"
)

// A tape card on its way into the book is kept in the store at every key, as a job is; the book holds it from the moment its writer
// says so, and from then on it is never changed.

// cardInHand is the ID in the store of the card that is being written for a client; each client has one at most.
func (v *visit) cardInHand(x book.Client) string {
	m := hmac.New(sha256.New, v.s.key)
	fmt.Fprintf(m, "card in hand of client %d, made %s", x.ID, x.Made)
	return strings.ToLower(idLetters.EncodeToString(m.Sum(nil)[:idLength*5/8]))
}

// unitOfCard is the tape most of a card's measures were read from.
func unitOfCard(k book.Card) string {
	inches := 0
	for _, m := range k.Measures {
		s := strings.ToLower(m.Said)
		switch {
		case strings.HasSuffix(s, "in") || strings.HasSuffix(s, `"`) || strings.HasSuffix(s, "″"):
			inches++
		case strings.HasSuffix(s, "m"):
			inches--
		}
	}
	if inches > 0 {
		return "in"
	}
	return "cm"
}

// fromCard is a record with what a card says.
func fromCard(k book.Card) *Record {
	r := &Record{Unit: unitOfCard(k), Figure: k.Figure, Measures: map[string]Typed{}, Style: map[string]string{}}
	if k.Age != 0 {
		r.Age = strconv.FormatFloat(k.Age, 'f', -1, 64)
	}
	for _, m := range k.Measures {
		into := &r.Measures
		name := m.Name
		if n, ok := strings.CutPrefix(name, "left."); ok {
			into, name = &r.Left, n
		} else if n, ok := strings.CutPrefix(name, "right."); ok {
			into, name = &r.Right, n
		}
		if *into == nil {
			*into = map[string]Typed{}
		}
		m.Name = name
		(*into)[name] = Typed{bare(m, unitOf(r)), m.Confirmed}
	}
	return r
}

// bare is a measure as it was said, without the unit that its field says already.
func bare(m book.Measure, unit tape.Unit) string {
	row, ok := body.Lookup(m.Name)
	if !ok || row.Kind == body.Angle {
		return m.Said
	}
	s := strings.TrimSpace(strings.TrimSuffix(m.Said, unit.String()))
	if mm, err := tape.Parse(s, unit); err == nil && math.Abs(mm-m.MM) < 0.001 {
		return s
	}
	return m.Said
}

// cardFrom reads a record as a card for the book.
func cardFrom(r *Record, w *Words) (book.Card, error) {
	k := book.Card{Taken: r.Date, Figure: r.Figure, Note: r.Note}
	if r.Kept.Writing != nil {
		k.By, k.Corrects = r.Kept.Writing.By, r.Kept.Writing.Corrects
	}
	if r.Age != "" {
		var err error
		if k.Age, err = strconv.ParseFloat(unlocal(r.Age), 64); err != nil || !(k.Age >= 0 && k.Age <= 120) {
			return k, plain(w.Say(phrase.Of("age is %q; 0 to 120 years is allowed", r.Age)))
		}
	}
	for _, of := range []struct {
		side  string
		taken map[string]Typed
	}{{"", r.Measures}, {"left.", r.Left}, {"right.", r.Right}} {
		for _, row := range body.Measures {
			typed := of.taken[string(row.Name)]
			if strings.TrimSpace(typed.Text) == "" {
				continue
			}
			mm, _, err := readMeasure(row, typed.Text, unitOf(r), tapeOf(r.Unit))
			if err != nil {
				return k, plain(w.Say(phrase.Of("%s: %s", row.Title, phrase.From(err))))
			}
			said := typed.Text
			if row.Kind != body.Angle && !parses(said) {
				said += " " + r.Unit
			}
			k.Measures = append(k.Measures, book.Measure{Name: of.side + string(row.Name), Said: said, MM: mm, Confirmed: typed.Confirmed})
		}
	}
	return k, nil
}

// changed is one measure that differs on two cards.
type changed struct {
	Name     string
	Title    string
	Was, Now string
	By       string // how much more or less, empty when it is missing on one
	More     bool
}

// compared lists what differs on two cards, in the order of a tape card.
func compared(w *Words, was, now book.Card) []changed {
	t := tapeOf(unitOfCard(now))
	found := map[string]book.Difference{}
	for _, d := range book.Compare(was, now) {
		found[d.Name] = d
	}
	var out []changed
	for _, row := range body.Measures {
		d, ok := found[string(row.Name)]
		if !ok {
			continue
		}
		c := changed{Name: d.Name, Title: titleOf(w, d.Name), Was: d.Was, Now: d.Now}
		if d.Was != "" && d.Now != "" {
			c.By, c.More = by(row, d.By, t), d.By > 0
		}
		out = append(out, c)
	}
	return out
}

// by is a difference on a tape, with its sign.
func by(row body.Measure, mm float64, t tape.Tape) string {
	sign := "+"
	if mm < 0 {
		sign = "−"
	}
	if row.Kind == body.Angle {
		return sign + strconv.FormatFloat(math.Abs(mm), 'f', -1, 64) + "°"
	}
	return sign + t.Fine(math.Abs(mm))
}

// cardLines are cards, given with the oldest first, with the newest first and what changed from one to the next.
func (v *visit) cardLines(cards []book.Card) []cardLine {
	var out []cardLine
	day := map[int64]string{}
	for i, k := range cards {
		day[k.ID] = k.Taken
		l := cardLine{Card: k, First: i == 0}
		if i > 0 {
			l.Changed = compared(v.words, cards[i-1], k)
		}
		if k.Corrects != 0 {
			l.Mends = day[k.Corrects]
		}
		out = append(out, l)
	}
	slices.Reverse(out)
	return out
}

// cardView is the page of one card.
type cardView struct {
	Client  book.Client
	Card    book.Card
	Mends   string
	Against *book.Card  // the card it is compared with, nil for none
	Others  []book.Card // all the client's other cards, the newest first
	Rows    []cardRow
	Newest  bool
}

// cardRow is a measure on the page of a card.
type cardRow struct {
	changed
	Confirmed bool
	Differs   bool
}

func (v *visit) cardPage() error {
	x, err := v.clientHere()
	if err != nil {
		return err
	}
	k, err := v.cardOf(x, v.r.PathValue("card"))
	if err != nil {
		return err
	}
	cards, err := v.s.book.Cards(v.r.Context(), x.ID)
	if err != nil {
		return err
	}
	view := cardView{Client: x, Card: k, Newest: cards[len(cards)-1].ID == k.ID}
	var against *book.Card
	for i, other := range cards {
		if other.ID == k.Corrects {
			view.Mends = other.Taken
		}
		if other.ID == k.ID {
			if i > 0 {
				against = &cards[i-1]
			}
			continue
		}
		view.Others = append(view.Others, other)
	}
	slices.Reverse(view.Others)
	if sign := v.r.PathValue("other"); sign != "" {
		other, err := v.cardOf(x, sign)
		if err != nil {
			return err
		}
		against = &other
	}
	view.Against = against
	view.Rows = cardRows(v.words, k, against)
	return v.show(cardPage(v.chrome(v.words.T("card.title"), "client-card", nil), view))
}

// cardRows are the measures of a card, and of the one it is compared with, in the order of a tape card.
func cardRows(w *Words, k book.Card, against *book.Card) []cardRow {
	differs := map[string]changed{}
	if against != nil {
		for _, c := range compared(w, *against, k) {
			differs[c.Name] = c
		}
	}
	var out []cardRow
	for _, row := range body.Measures {
		name := string(row.Name)
		m := k.Measure(name)
		c, ok := differs[name]
		if m == nil && !ok {
			continue
		}
		if !ok {
			c = changed{Name: name, Title: titleOf(w, name), Now: m.Said}
			if against != nil {
				if was := against.Measure(name); was != nil {
					c.Was = was.Said
				}
			}
		}
		out = append(out, cardRow{c, m != nil && m.Confirmed, ok})
	}
	return out
}

// cardBegin begins a card for the book: a fresh one, or one that corrects another and begins with what that says. One that is being written
// already is gone on with.
func (v *visit) cardBegin() error {
	x, err := v.clientHere()
	if err != nil {
		return v.again(err, (*visit).clientPage)
	}
	at := v.clientPath(x.ID) + "/card"
	id := v.cardInHand(x)
	if _, err := v.s.store.Load(id); err == nil {
		return v.goTo(at)
	}
	r := &Record{Unit: "cm", Measures: map[string]Typed{}, Style: map[string]string{}}
	if v.words.Lang == "en" {
		r.Unit = "in"
	}
	writing := &Writing{}
	if last, err := v.s.book.LatestCard(v.r.Context(), x.ID); err == nil {
		r.Unit, r.Figure = unitOfCard(last), last.Figure
	}
	if sign := v.form("corrects"); sign != "" {
		k, err := v.cardOf(x, sign)
		if err != nil {
			return v.again(err, (*visit).clientPage)
		}
		r = fromCard(k)
		writing.Corrects = k.ID
	}
	r.ID, r.Garment, r.Client, r.Date = id, "rib-zip-jacket", x.Name, v.today()
	r.Kept.Client, r.Kept.Since, r.Kept.Writing = x.Code, x.Made, writing
	if err := v.s.store.Create(r); err != nil {
		return err
	}
	return v.goTo(at)
}

// handView is the page of a card that is being written.
type handView struct {
	Client  book.Client
	Record  *Record
	Card    tapeCard
	Compare *book.Card // the card before, nil for none
	Mends   string     // the day of the card it corrects
}

// inHand is the client's card that is being written, with what the card before says beside each measure.
func (v *visit) inHand() (handView, error) {
	x, err := v.clientHere()
	if err != nil {
		return handView{}, err
	}
	r, err := v.s.store.Load(v.cardInHand(x))
	if err != nil {
		return handView{Client: x}, err
	}
	h := handView{Client: x, Record: r, Card: readCard(r, v.words)}
	var before book.Card
	if r.Kept.Writing.Corrects != 0 {
		before, err = v.s.book.Card(v.r.Context(), r.Kept.Writing.Corrects)
		h.Mends = before.Taken
	} else {
		before, err = v.s.book.LatestCard(v.r.Context(), x.ID)
	}
	if err == nil {
		h.Compare = &before
		h.Card.beside(v.words, before, r)
	}
	return h, nil
}

// beside says beside each measure what the card before says, and how much the new one differs.
func (c *tapeCard) beside(w *Words, before book.Card, r *Record) {
	for _, list := range [][]field{c.Main, c.More} {
		for i := range list {
			f := &list[i]
			m := before.Measure(string(f.Name))
			if m == nil {
				continue
			}
			f.Before = w.T("card.before", "said", m.Said)
			if f.Text == "" || f.Wrong != "" {
				continue
			}
			if mm, _, err := readMeasure(f.Measure, f.Text, unitOf(r), tapeOf(r.Unit)); err == nil && math.Abs(mm-m.MM) > 0.005 {
				f.Before += ", " + by(f.Measure, mm-m.MM, tapeOf(r.Unit))
			}
		}
	}
}

func (v *visit) cardWritePage() error {
	h, err := v.inHand()
	if errors.Is(err, ErrNone) { // written into the book meanwhile, or thrown away
		return v.goTo(v.clientPath(h.Client.ID))
	}
	if err != nil {
		return err
	}
	title := v.words.T("card.new")
	if h.Mends != "" {
		title = v.words.T("card.correction")
	}
	return v.show(cardWritePage(v.chrome(title, "client-card-write", nil), h, title))
}

// cardWrite keeps what was typed, and writes the card into the book when it is said so.
func (v *visit) cardWrite() error {
	x, err := v.clientHere()
	if err != nil {
		return err
	}
	id := v.cardInHand(x)
	err = v.s.store.Change(id, func(r *Record) error {
		v.takeDetails(r)
		v.takeMeasures(r)
		r.Client = x.Name
		if r.Kept.Writing != nil && v.r.PostForm.Has("by") {
			r.Kept.Writing.By = v.form("by")
		}
		return nil
	})
	if errors.Is(err, ErrNone) && !v.live() { // a second press of the same button
		return v.goTo(v.clientPath(x.ID))
	}
	if err != nil {
		return err
	}
	if v.live() {
		h, err := v.inHand()
		if err != nil {
			return err
		}
		return v.show(measureNotes(v.chrome("", "", nil), h.Card))
	}
	if v.form("then") != "book" {
		return v.goTo(v.clientPath(x.ID) + "/card")
	}
	if err := v.bookCard(x, id); err != nil {
		return v.again(err, (*visit).cardWritePage)
	}
	v.tell(v.words.T("told.card"))
	return v.goTo(v.clientPath(x.ID) + "#cards")
}

// bookCard writes the card in hand into the book, once.
func (v *visit) bookCard(x book.Client, id string) error {
	v.s.carding.Lock()
	defer v.s.carding.Unlock()
	r, err := v.s.store.Load(id)
	if errors.Is(err, ErrNone) {
		return nil // it is there: somebody pressed twice
	}
	if err != nil {
		return err
	}
	k, err := cardFrom(r, v.words)
	if err != nil {
		return err
	}
	if k.Taken, err = book.ParseDay(k.Taken); err != nil {
		return err
	}
	if err := v.write("adding a tape card", func(tx *book.Tx) error { _, err := tx.AddCard(x.ID, k); return err }); err != nil {
		return err
	}
	return v.s.store.Remove(id)
}

// cardDrop throws a card away that is not in the book yet.
func (v *visit) cardDrop() error {
	x, err := v.clientHere()
	if err != nil {
		return err
	}
	if err := v.s.store.Remove(v.cardInHand(x)); err != nil && !errors.Is(err, ErrNone) {
		return err
	}
	return v.goTo(v.clientPath(x.ID))
}
