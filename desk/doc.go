// Package desk is what the workroom does with its book at the desk: it takes orders, drafts them again after a fitting, names
// a price and a day, has it agreed, and follows the job until it is handed over.
//
// # How to use it
//
// Each act is a function that is given the open book and what was said, and returns what was done as values and sheets as bytes.
// It prints nothing, opens no file and asks no clock but the book's; the command line and the pages find their own words.
//
//	made, err := desk.Redraft(ctx, b, "SRC-01", desk.Change{Why: "after the fitting"})
//
// What is drawn before it is booked is two steps, so that a sheet that cannot be written is not booked: [Price] then
// [Priced.Keep] (of several jobs laid together [PriceTogether] then [Together.Keep]), [Confirm] then [Confirmation.Issue].
//
// # What it promises
//
// A draft is frozen with everything it was made of ([Freeze]), and [Again] cuts it from those bytes alone. An act is one
// transaction of the book: it is done whole or not at all. An error is one sentence; where a value that was handed in is at fault, or
// something must be done first, it is a [Fault] that says which.
package desk

import (
	"fmt"

	"clothwright/book"
)

// Fault is a mistake in what was handed in, or something that must be done first.
type Fault struct {
	Code  string // one of the codes below; empty for a value that is at fault
	Field string // the value meant: "ask", "discount", "deposit", "length", "width"; may be empty
	Text  string // the sentence
}

// The codes of what must be done first.
const (
	NoCosting = "no-costing" // the room has no costing file
	NoHours   = "no-hours"   // the room has no working hours
	NoQuote   = "no-quote"   // the job has no quotation
	NotAgain  = "not-again"  // a quotation cannot be reckoned again
	NoDay     = "no-day"     // no day can be promised
	NoClient  = "no-client"  // the job file names no client
	NoTape    = "no-tape"    // nobody is named who held the tape
	OwnScript = "own-script" // the garment has a script of its own
)

// mistake is a fault of no value in particular.
func mistake(format string, args ...any) error { return &Fault{Text: fmt.Sprintf(format, args...)} }

// Error is the sentence, behind the value it means.
func (f *Fault) Error() string {
	if f.Field != "" {
		return f.Field + ": " + f.Text
	}
	return f.Text
}

// Day is the day given, or the book's today.
func Day(b *book.Book, given string) (string, error) {
	if given == "" {
		return b.Today(), nil
	}
	return book.ParseDay(given)
}
