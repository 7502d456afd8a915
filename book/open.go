package book

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"github.com/pressly/goose/v3"
	"modernc.org/sqlite"

	words "clothwright/mistake" // a mistake is a Fault here
)

//go:embed migrations/*.sql
var migrations embed.FS

// Schema is the version of the file's tables that this program writes.
const Schema = 3

// applicationID marks the file as a book: SQLite keeps it in the file's head, where file(1) sees it. "clwb".
const applicationID = 0x636c7762

// wholeUpTo is how large a book is checked whole whenever it is opened. A page of 4 kB takes about a microsecond, so this
// stays well below what a person notices; a larger one is checked by every backup and by Check.
const wholeUpTo = 8 << 20

// Options say how a book is opened.
type Options struct {
	Now      func() time.Time // the clock; nil is time.Now
	Program  string           // the program's version, kept with each draft
	Wait     time.Duration    // how long a writer waits for another; 0 is ten seconds
	ReadOnly bool             // look, and change nothing
}

func (o *Options) fill() {
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Wait == 0 {
		o.Wait = 10 * time.Second
	}
	if o.Program == "" {
		o.Program = "unknown"
	}
}

// Book is an open book. Its methods may be called from several goroutines.
type Book struct {
	path  string
	o     Options
	write *sql.DB // one connection; nil when only looking
	read  *sql.DB
	mu    sync.Mutex // one Write at a time in this process
}

// Path is the book's file.
func (b *Book) Path() string { return b.path }

// Create makes a new, empty book. It refuses to touch a file that is there. The book is made under another name and takes its own
// when it is whole, so that nobody ever meets half a book.
func Create(path string, o Options) (*Book, error) {
	o.fill()
	exists := &Fault{Code: Exists, Text: fmt.Sprintf("there is a file %s already; a new book wants a new name", path)}
	if _, err := os.Lstat(path); err == nil {
		return nil, exists
	}
	temp, err := tempName(path)
	if err != nil {
		return nil, &Fault{Code: NoFile, Text: fmt.Sprintf("the book %s cannot be made: %s", path, system(err)), err: err}
	}
	defer func() {
		for _, suffix := range []string{"", "-wal", "-shm"} {
			os.Remove(temp + suffix)
		}
	}()
	b, err := open(temp, o, true)
	if err == nil {
		err = b.Close() // which takes the log into the file
	}
	if err != nil {
		var f *Fault
		if errors.As(err, &f) {
			f.Text = strings.ReplaceAll(f.Text, temp, path)
		}
		return nil, err
	}
	switch err := settle(temp, path); {
	case errors.Is(err, fs.ErrExist):
		return nil, exists
	case err != nil:
		return nil, &Fault{Code: NoFile, Text: fmt.Sprintf("the book %s cannot be made: %s", path, system(err)), err: err}
	}
	return open(path, o, false)
}

// Open opens a book. One that an older program wrote is copied to NAME.before-schema-N and brought up to date. The error is a
// [Fault].
func Open(path string, o Options) (*Book, error) {
	o.fill()
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, &Fault{Code: NoFile, Text: fmt.Sprintf("there is no book %s; clothwright book new makes one", path)}
	case err != nil:
		return nil, &Fault{Code: NoFile, Text: fmt.Sprintf("the book %s cannot be opened: %s", path, system(err))}
	case !info.Mode().IsRegular():
		return nil, &Fault{Code: NotABook, Text: fmt.Sprintf("%s is no file, so it is no book", path)}
	}
	if err := head(path); err != nil {
		return nil, err
	}
	if !o.ReadOnly {
		if info.Mode().Perm()&0o200 == 0 {
			return nil, &Fault{Code: WriteProtected, Text: fmt.Sprintf("the book %s is write-protected, so nothing can be written into it; give its owner the right to write", path)}
		}
		if info.Mode().Perm()&0o077 != 0 { // measures are nobody else's business
			if err := os.Chmod(path, 0o600); err != nil {
				return nil, &Fault{Code: WriteProtected, Text: fmt.Sprintf("the book %s can be read by others and that cannot be changed: %s", path, system(err))}
			}
		}
	}
	return open(path, o, false)
}

// head looks at the first bytes, before SQLite may touch the file.
func head(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return &Fault{Code: NoFile, Text: fmt.Sprintf("the book %s cannot be opened: %s", path, system(err))}
	}
	defer f.Close()
	var h [100]byte
	n, _ := f.Read(h[:])
	if n < len(h) || string(h[:16]) != "SQLite format 3\x00" {
		return &Fault{Code: NotABook, Text: fmt.Sprintf("%s is no book: its first bytes are another file's, or damaged; restore a backup, or look for the right file", path)}
	}
	return nil
}

func dsn(path string, query ...string) string {
	abs, err := filepath.Abs(path)
	if err != nil {
		abs = path
	}
	u := url.URL{Scheme: "file", Path: filepath.ToSlash(abs)}
	return u.String() + "?" + strings.Join(query, "&")
}

func open(path string, o Options, fresh bool) (*Book, error) {
	b := &Book{path: path, o: o}
	wait := fmt.Sprintf("_pragma=busy_timeout(%d)", o.Wait.Milliseconds())
	var err error
	if !o.ReadOnly {
		b.write, err = sql.Open("sqlite", dsn(path, "mode=rw", wait, "_pragma=journal_mode(WAL)", "_pragma=synchronous(FULL)", "_pragma=foreign_keys(1)",
			"_pragma=secure_delete(1)", "_pragma=trusted_schema(0)", "_txlock=immediate"))
		if err != nil {
			return nil, b.fault(err)
		}
		b.write.SetMaxOpenConns(1)
	}
	b.read, err = sql.Open("sqlite", dsn(path, "mode=ro", wait, "_pragma=query_only(1)", "_pragma=trusted_schema(0)"))
	if err != nil {
		return nil, b.fault(err)
	}
	b.read.SetMaxOpenConns(4)
	if err := b.ready(fresh); err != nil {
		b.Close()
		return nil, err
	}
	return b, nil
}

// ready looks whether the file is one that this program may use, before anything is written, then brings it up to date.
func (b *Book) ready(fresh bool) error {
	ctx := context.Background()
	if !fresh {
		empty, err := b.known(ctx, b.read)
		if err != nil {
			return err
		}
		fresh = empty
	}
	if b.write == nil {
		return nil
	}
	version := int64(0)
	if !fresh {
		var err error
		if version, err = schemaOf(ctx, b.read); err != nil {
			return b.fault(err)
		}
	}
	if version == Schema {
		return nil
	}
	return b.migrate(ctx, version)
}

// known says whether the file is empty, and refuses what is no book, newer or damaged.
func (b *Book) known(ctx context.Context, db *sql.DB) (empty bool, err error) {
	var id, tables int64
	if err := db.QueryRowContext(ctx, "PRAGMA application_id").Scan(&id); err != nil {
		return false, b.fault(err)
	}
	if err := db.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_schema").Scan(&tables); err != nil {
		return false, b.fault(err)
	}
	if tables == 0 && (id == 0 || id == applicationID) {
		if b.write == nil {
			return true, &Fault{Code: NotABook, Text: fmt.Sprintf("the book %s is empty: it was never finished", b.path)}
		}
		return true, nil
	}
	if id != applicationID {
		return false, &Fault{Code: NotABook, Text: fmt.Sprintf("%s is a database of another program, not a book", b.path)}
	}
	version, err := schemaOf(ctx, db)
	if err != nil {
		return false, b.fault(err)
	}
	if version > Schema {
		return false, &Fault{Code: Newer, Text: fmt.Sprintf("the book %s was written by a newer clothwright (schema %d; this one knows %d); use the newer program, the book was not touched", b.path, version, Schema)}
	}
	if version < Schema && b.write == nil {
		return false, &Fault{Code: Older, Text: fmt.Sprintf("the book %s is of schema %d and this program reads %d; open it for writing once to bring it up to date", b.path, version, Schema)}
	}
	if info, err := os.Stat(b.path); err == nil && info.Size() <= wholeUpTo {
		return false, b.quick(ctx, db)
	}
	return false, nil
}

func schemaOf(ctx context.Context, db *sql.DB) (int64, error) {
	var there int64
	if err := db.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_schema WHERE name = 'goose_db_version'").Scan(&there); err != nil || there == 0 {
		return 0, err
	}
	var v int64
	err := db.QueryRowContext(ctx, "SELECT coalesce(max(version_id), 0) FROM goose_db_version WHERE is_applied").Scan(&v)
	return v, err
}

func (b *Book) quick(ctx context.Context, db *sql.DB) error {
	var said string
	if err := db.QueryRowContext(ctx, "PRAGMA quick_check(1)").Scan(&said); err != nil {
		return b.fault(err)
	}
	if said != "ok" {
		return &Fault{Code: Damaged, Text: fmt.Sprintf("the book %s is damaged (%s); leave it as it is and restore a backup", b.path, oneLine(said))}
	}
	return nil
}

// migrate brings the tables up to date. A book with something in it is copied first.
func (b *Book) migrate(ctx context.Context, from int64) error {
	if from > 0 {
		keep := fmt.Sprintf("%s.before-schema-%d", b.path, Schema)
		if _, err := os.Stat(keep); errors.Is(err, fs.ErrNotExist) {
			if err := b.copyTo(ctx, keep); err != nil {
				return err
			}
		}
	}
	return b.migrateTo(ctx, Schema)
}

func (b *Book) migrateTo(ctx context.Context, version int64) error {
	files, err := fs.Sub(migrations, "migrations")
	if err != nil {
		return err
	}
	if _, err := b.write.ExecContext(ctx, fmt.Sprintf("PRAGMA application_id = %d", applicationID)); err != nil {
		return b.fault(err)
	}
	p, err := goose.NewProvider(goose.DialectSQLite3, b.write, files, goose.WithVerbose(false), goose.WithDisableGlobalRegistry(true))
	if err != nil {
		return b.fault(err)
	}
	// Two programs may open a fresh or an old book at once: the second finds the work done, or does it again from where it stands.
	for try := 0; ; try++ {
		_, err = p.UpTo(ctx, version)
		if err == nil || try == 4 {
			break
		}
		if v, e := schemaOf(ctx, b.write); e == nil && v >= version {
			return nil
		}
		time.Sleep(50 * time.Millisecond << try)
	}
	if err != nil {
		return b.fault(err)
	}
	return nil
}

// Close closes the book.
func (b *Book) Close() error {
	var first error
	for _, db := range []*sql.DB{b.read, b.write} {
		if db != nil {
			if err := db.Close(); err != nil && first == nil {
				first = b.fault(err)
			}
		}
	}
	return first
}

// Check looks at every page, row and reference of the book.
func (b *Book) Check(ctx context.Context) error { return b.check(ctx, b.read) }

func (b *Book) check(ctx context.Context, db *sql.DB) error {
	var said string
	if err := db.QueryRowContext(ctx, "PRAGMA integrity_check(1)").Scan(&said); err != nil {
		return b.fault(err)
	}
	if said != "ok" {
		return &Fault{Code: Damaged, Text: fmt.Sprintf("the book %s is damaged (%s); leave it as it is and restore a backup", b.path, oneLine(said))}
	}
	rows, err := db.QueryContext(ctx, "PRAGMA foreign_key_check")
	if err != nil {
		return b.fault(err)
	}
	defer rows.Close()
	if rows.Next() {
		var table, parent string
		var row, key sql.NullInt64
		if err := rows.Scan(&table, &row, &parent, &key); err != nil {
			return b.fault(err)
		}
		return &Fault{Code: Damaged, Text: fmt.Sprintf("the book %s is damaged (row %d of %s belongs to a %s that is not there); leave it as it is and restore a backup", b.path, row.Int64, table, parent)}
	}
	return b.fault(rows.Err())
}

// Code says what kind of fault it is.
type Code string

// The faults of a book.
const (
	NoFile         Code = "no-file"
	Exists         Code = "exists"
	NotABook       Code = "not-a-book"
	Newer          Code = "newer"
	Older          Code = "older"
	Damaged        Code = "damaged"
	WriteProtected Code = "write-protected"
	Full           Code = "full"
	Busy           Code = "busy"
	Failed         Code = "failed"
	Mistake        Code = "mistake" // of the one who asks: what was found and what is allowed
)

// Fault is what went wrong, in one sentence for a person. The book is as it was before.
type Fault struct {
	Code Code
	Text string
	err  error
}

// Error is the sentence.
func (f *Fault) Error() string { return f.Text }

// Unwrap is what the system said.
func (f *Fault) Unwrap() error { return f.err }

func mistake(format string, args ...any) error {
	return &Fault{Code: Mistake, Text: fmt.Sprintf(format, args...)}
}

// Primary result codes of SQLite, https://www.sqlite.org/rescode.html
const (
	sqliteBusy       = 5
	sqliteLocked     = 6
	sqliteReadOnly   = 8
	sqliteIO         = 10
	sqliteCorrupt    = 11
	sqliteFull       = 13
	sqliteCannotOpen = 14
	sqliteConstraint = 19
	sqliteNotADB     = 26
)

// fault turns what SQLite says into a sentence. nil stays nil, a Fault stays what it is.
func (b *Book) fault(err error) error {
	var f *Fault
	if err == nil || errors.As(err, &f) {
		return err
	}
	var s *sqlite.Error
	if !errors.As(err, &s) {
		if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
			return &Fault{Failed, "it was stopped before it was done; the book is as it was", err}
		}
		return &Fault{Failed, fmt.Sprintf("the book %s could not do it: %s", b.path, oneLine(err.Error())), err}
	}
	switch s.Code() & 0xff {
	case sqliteBusy, sqliteLocked:
		return &Fault{Busy, fmt.Sprintf("the book %s is being written by another program%s, and it was not done after %s; wait until it is done and do it again, nothing was written", b.path, b.writer(), b.o.Wait.Round(time.Second)), err}
	case sqliteReadOnly:
		return &Fault{WriteProtected, fmt.Sprintf("the book %s is write-protected, so nothing was written", b.path), err}
	case sqliteFull:
		return &Fault{Full, fmt.Sprintf("the disk that holds the book %s is full: nothing was written, the book is as it was; make room and do it again", b.path), err}
	case sqliteIO:
		if noRoom(err) {
			return &Fault{Full, fmt.Sprintf("the disk that holds the book %s is full: nothing was written, the book is as it was; make room and do it again", b.path), err}
		}
		return &Fault{Failed, fmt.Sprintf("the disk that holds the book %s did not answer as it should: nothing was written; look after the disk and restore a backup if it happens again", b.path), err}
	case sqliteCorrupt:
		return &Fault{Damaged, fmt.Sprintf("the book %s is damaged; leave it as it is and restore a backup", b.path), err}
	case sqliteNotADB:
		return &Fault{NotABook, fmt.Sprintf("%s is no book: its first bytes are another file's, or damaged; restore a backup, or look for the right file", b.path), err}
	case sqliteCannotOpen:
		return &Fault{NoFile, fmt.Sprintf("the book %s cannot be opened: its folder must be there and open to you", b.path), err}
	case sqliteConstraint:
		if _, after, ok := strings.Cut(s.Error(), "kept: "); ok {
			after, _, _ = strings.Cut(after, " (")
			return &Fault{Mistake, after, err}
		}
		return &Fault{Failed, fmt.Sprintf("the book %s refuses it (%s)", b.path, constraint(s.Error())), err}
	}
	return &Fault{Failed, fmt.Sprintf("the book %s could not do it: %s", b.path, oneLine(s.Error())), err}
}

func constraint(s string) string {
	_, after, ok := strings.Cut(s, "constraint failed: ")
	if !ok {
		after = s
	}
	after, _, _ = strings.Cut(after, " (")
	return oneLine(after)
}

// system is what the system says of a file, without the call and the path in front.
func system(err error) string { return words.System(err) }

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }
