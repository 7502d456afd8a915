package web

import (
	"context"
	"crypto/aes"
	"crypto/sha256"
	"encoding/base32"
	"encoding/binary"
	"errors"
	"net/http"
	"strings"

	"github.com/a-h/templ"

	"clothwright/book"
)

// An address names a row of the book by a sign: the row's number and kind, enciphered by the server's key. It says nothing about the
// person, cannot be counted up, and stays the same from start to start.

var signLetters = base32.StdEncoding.WithPadding(base32.NoPadding)

// Kinds of rows that addresses name.
const (
	aClient = "client"
	aCard   = "card"
	anOrder = "order"
	aCloth  = "cloth"
	aThing  = "thing"
)

func (s *Server) signed(kind string, id int64) string {
	var b [aes.BlockSize]byte
	mark := sha256.Sum256([]byte(kind))
	copy(b[:8], mark[:8])
	binary.BigEndian.PutUint64(b[8:], uint64(id))
	s.signs.Encrypt(b[:], b[:])
	return strings.ToLower(signLetters.EncodeToString(b[:]))
}

// rowOf reads a sign. A sign of another kind, or one that nobody was given, is no row.
func (s *Server) rowOf(kind, sign string) (int64, error) {
	b, err := signLetters.DecodeString(strings.ToUpper(sign))
	if err != nil || len(b) != aes.BlockSize || strings.ToLower(sign) != sign {
		return 0, errNotFound
	}
	s.signs.Decrypt(b, b)
	mark := sha256.Sum256([]byte(kind))
	id := int64(binary.BigEndian.Uint64(b[8:]))
	if string(b[:8]) != string(mark[:8]) || id <= 0 || s.signed(kind, id) != sign {
		return 0, errNotFound
	}
	return id, nil
}

// Client is the address of a client's page.
func (c chrome) Client(id int64) templ.SafeURL {
	return templ.URL("/clients/" + c.signed(aClient, id))
}

// CardOf is the address of a client's tape card.
func (c chrome) CardOf(client, card int64) templ.SafeURL {
	return c.Client(client) + templ.URL("/cards/"+c.signed(aCard, card))
}

// Order is the address of the page of one order.
func (c chrome) Order(id int64) templ.SafeURL { return templ.URL("/order/" + c.signed(anOrder, id)) }

// Sign is a row's sign, for a form.
func (c chrome) Sign(kind string, id int64) string { return c.signed(kind, id) }

// ledger is the book, or why there is none.
func (v *visit) ledger() (*book.Book, error) {
	switch {
	case v.s.bookFault != nil:
		return nil, v.s.bookFault
	case v.s.book == nil:
		return nil, errNotFound
	}
	return v.s.book, nil
}

// orderHere is the order that the address names by {order}.
func (v *visit) orderHere() (book.Job, error) {
	b, err := v.ledger()
	if err != nil {
		return book.Job{}, err
	}
	id, err := v.s.rowOf(anOrder, v.r.PathValue("order"))
	if err != nil {
		return book.Job{}, err
	}
	return b.JobByID(v.r.Context(), id)
}

// clientHere is the client that the address names by {client}.
func (v *visit) clientHere() (book.Client, error) {
	b, err := v.ledger()
	if err != nil {
		return book.Client{}, err
	}
	id, err := v.s.rowOf(aClient, v.r.PathValue("client"))
	if err != nil {
		return book.Client{}, err
	}
	return b.ClientByID(v.r.Context(), id)
}

// today is the day to work by: the book's, else the clock's.
func (v *visit) today() string {
	if v.s.book != nil {
		return v.s.book.Today()
	}
	return v.s.now().Format(book.Day)
}

// keep does something at the desk that changes the book, and afterwards makes the day's first backup when the room wants one. What the
// desk says when it does not do it is a sentence for the one who asked.
func (v *visit) keep(do func(ctx context.Context, b *book.Book) error) error {
	b, err := v.ledger()
	if err != nil {
		return err
	}
	if err := do(v.r.Context(), b); err != nil {
		var no refusal
		if err = v.said(err); errors.As(err, &no) {
			return err
		}
		if _, _, said := saidOf(err); said {
			return err
		}
		return plain(err.Error())
	}
	v.s.backUp()
	return nil
}

// write changes the book in one transaction, as keep does.
func (v *visit) write(what string, do func(tx *book.Tx) error) error {
	return v.keep(func(ctx context.Context, b *book.Book) error { return b.Write(ctx, what, do) })
}

// backUp makes today's backup beside the work, once a day. What goes wrong is said on the room's page.
func (s *Server) backUp() {
	if !s.backing.TryLock() {
		return
	}
	go func() {
		defer s.backing.Unlock()
		_, _, err := s.book.Daily(context.Background())
		s.noBackup.Store(&err)
		if err != nil {
			s.log.Printf("today's backup failed: %T", err)
		}
	}()
}

// backupFault is the sentence of what went wrong with the last backup, empty when nothing did.
func (s *Server) backupFault() string {
	if p := s.noBackup.Load(); p != nil && *p != nil {
		return sentence((*p).Error())
	}
	return ""
}

// plain is a mistake of the one who types, found on the page itself, in a sentence.
type plain string

func (p plain) Error() string { return string(p) }

// saidOf is the sentence and the status of an error that is told to the one who asked; ok is false when it is none.
func saidOf(err error) (text string, status int, ok bool) {
	var p plain
	if errors.As(err, &p) {
		return sentence(string(p)), http.StatusUnprocessableEntity, true
	}
	var f *book.Fault
	if !errors.As(err, &f) {
		return "", 0, false
	}
	status = http.StatusServiceUnavailable
	switch f.Code {
	case book.Mistake:
		status = http.StatusUnprocessableEntity
	case book.Full:
		status = http.StatusInsufficientStorage
	case book.WriteProtected:
		status = http.StatusForbidden
	}
	return sentence(err.Error()), status, true
}

// again shows a page once more with what was typed, since the change was not made, and says why not.
func (v *visit) again(err error, page func(*visit) error) error {
	text, status, ok := saidOf(err)
	if !ok {
		return err
	}
	if bad := v.readable(); bad != nil { // then there is no page to show it on
		return err
	}
	v.wrong, v.typed = text, v.r.PostForm
	v.w.WriteHeader(status)
	return page(v)
}

// readable says why the book cannot be read, when it cannot.
func (v *visit) readable() error {
	b, err := v.ledger()
	if err == nil {
		_, err = b.Setting(v.r.Context(), book.SetName)
	}
	return err
}

// Again is what was typed into a field when its change could not be made, else what is kept.
func (c chrome) Again(name, kept string) string {
	if c.Typed.Has(name) {
		return c.Typed.Get(name)
	}
	return kept
}

// notFound answers a search as it is typed with the sentence of what is wrong with the book, where its finds would stand.
func (v *visit) notFound(err error) error {
	if text, _, ok := saidOf(err); ok && v.live() {
		return v.show(foundWrong(text))
	}
	return err
}
