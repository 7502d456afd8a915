// Package book is the workroom's memory: one SQLite file that holds clients, tape cards, jobs with everything needed to cut
// them again, quotations, payments, fittings, the client's own cloth, the shelf and the room's habits.
//
// # How to use it
//
// [Create] makes a book, [Open] opens one and brings an older one up to date. Everything that changes it goes through
// [Book.Write], which runs a function in one transaction: when it returns without error the change is on the disk, else
// nothing of it is. Everything that reads goes through the book's own methods and sees whole changes only.
//
//	err := b.Write(ctx, "adding a client", func(tx *book.Tx) error {
//		_, err := tx.AddClient(book.Client{Name: "Ọláídé Ṣóyẹmí"})
//		return err
//	})
//
// # What it promises
//
// Tape cards, drafts, quotations and payments are never overwritten: the file itself refuses it. A correction is a new
// card, a change a new draft. They go only with the client they belong to, by [Tx.Forget].
//
// One writer at a time: a second one waits, and after [Options.Wait] is told who writes. Readers never wait. The file is
// readable by its owner alone. A file that is newer than the program, damaged, no book, write-protected or on a full disk is a
// [Fault] of one sentence, and the book is as it was.
//
// Days are texts, as 2026-03-02, lengths millimetres, amounts whole numbers of the currency's smallest unit.
package book
