// Package web is the workroom in a browser: measuring, designing, laying, chalking and printing one job after another,
// served from the one program to a phone, a tablet or a desk on the same machine or in the same room.
//
// # How it is put together
//
// A [Server] shows what package job works out and keeps what is typed in a [Store]; it works nothing out itself.
// [Folder] is the store that is a folder of job files, each of which the command line reads as well. Pages are rendered
// here, on the server; a little script in static/ sends each change as it is typed and puts the answer in its
// place. Without script the same pages work by ordinary forms.
//
// Everything that is typed is kept as it was typed, right or wrong, at every change: a reload, a closed lid or a
// stopped server loses nothing. A field that could not be sent yet stays in the browser's tab and is sent again.
//
// # Laying by hand
//
// On the lay's page a script of our own (static/lay.js) lets pieces be dragged, turned and locked and shows at once what overlaps. The server
// judges every lay again, exactly, and keeps each shape's place ([KeptLay]); a lay that overlaps is kept too, says so, and is printed as not to be
// cut. A search goes on from it round what is locked. The sheets, the record and the price are those of the lay that is kept; the book gets it with the job file.
//
// # The book
//
// With Options.Book the pages of clients, orders and money stand beside the jobs. They read package book and do what package desk does, and add no
// rule of their own. An address names a row by a sign that only this room's key can make or read. A tape card that is being typed is a record in the
// Store until it is written into the book; a longer form is held in the browser's tab until its change is made. What the book or the desk
// refuses is said in its own sentence above the form, which still holds what was typed.
//
// A designed job that is put into the book remembers its order (Kept.Order); an order that is opened for changing is such a job again, drafted by
// the order's own house file, and comes back as the next draft. A job that was changed since it was last in step with its order is never written over.
//
// # What is guarded
//
// The server listens on this machine alone unless it is given a passphrase ([Lock]); then everybody signs in, and
// guessing is slowed. Every change needs a form token that belongs to the visitor's cookie, and must come from the same
// site. Pages allow no script or style but the program's own files. A job's number in an address is random; no
// address holds anything about a client, and the log holds no address, only the kind of page. One address takes a file, a table of
// at most 32 MB that must be a text; it is read of nobody who has not signed in, and stays in memory.
//
// # Languages
//
// The words of the pages are in words/, one file a language; see docs/translating.md. What the rooms below say, findings
// above all, is in English.
package web
