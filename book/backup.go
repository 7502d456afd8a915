package book

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"sort"
	"strings"
	"time"

	"filippo.io/age"
)

// Backup writes a copy of the book to a new file, while the book may be in use, and looks at every page of the copy before it takes
// its name. With a passphrase the copy is encrypted by age (scrypt recipient), for anyone with the age tool to open, then opened again
// and compared. Half a backup never bears a backup's name.
func (b *Book) Backup(ctx context.Context, to, passphrase string) error {
	if _, err := os.Stat(to); err == nil {
		return &Fault{Code: Exists, Text: fmt.Sprintf("there is a file %s already; a backup wants a new name", to)}
	}
	if passphrase == "" {
		return b.copyTo(ctx, to)
	}
	plain, err := tempName(to)
	if err != nil {
		return b.noCopy(to, err)
	}
	os.Remove(plain)
	defer os.Remove(plain)
	if err := b.copyTo(ctx, plain); err != nil {
		return err
	}
	r, err := age.NewScryptRecipient(passphrase)
	if err != nil {
		return mistake("the passphrase is not usable: %s", oneLine(err.Error()))
	}
	r.SetWorkFactor(passphraseWork)
	in, err := os.Open(plain)
	if err != nil {
		return b.noCopy(to, err)
	}
	defer in.Close()
	sum := sha256.New()
	return writeWhole(to, func(out *os.File) error {
		w, err := age.Encrypt(out, r)
		if err != nil {
			return err
		}
		if _, err := io.Copy(w, io.TeeReader(in, sum)); err != nil {
			return err
		}
		if err := w.Close(); err != nil {
			return err
		}
		return opens(out, passphrase, sum.Sum(nil))
	})
}

// opens looks whether an encrypted file opens with its passphrase and holds what went into it.
func opens(f *os.File, passphrase string, want []byte) error {
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return err
	}
	id, err := age.NewScryptIdentity(passphrase)
	if err != nil {
		return err
	}
	in, err := age.Decrypt(f, id)
	if err != nil {
		return err
	}
	got := sha256.New()
	if _, err := io.Copy(got, in); err != nil {
		return err
	}
	if !bytes.Equal(got.Sum(nil), want) {
		return errors.New("it does not open as it was written")
	}
	return nil
}

// OwnPassphrase is Passphrase of a file that a room names for every day, which its owner alone may read.
func OwnPassphrase(path string) (string, error) {
	info, err := os.Stat(path)
	if err == nil && runtime.GOOS != "windows" && info.Mode().Perm()&0o077 != 0 {
		return "", mistake("the passphrase file %s can be read by others; its owner alone is allowed to (chmod 600)", path)
	}
	return Passphrase(path)
}

// Passphrase reads the first line of a file.
func Passphrase(path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", mistake("the passphrase file %s cannot be read: %s", path, system(err))
	}
	defer f.Close()
	line, err := bufio.NewReader(io.LimitReader(f, 4096)).ReadString('\n')
	if err != nil && !errors.Is(err, io.EOF) {
		return "", mistake("the passphrase file %s cannot be read: %s", path, system(err))
	}
	line = strings.TrimRight(line, "\r\n")
	if len(line) < 8 {
		return "", mistake("the passphrase in %s is %d letters long; at least 8 are wanted, several words are better", path, len(line))
	}
	return line, nil
}

// Daily makes the day's backup where the room has a folder for it and none of today lies there yet, encrypted where the room names a
// passphrase file. A backup that cannot be encrypted is not made. made is empty when there was nothing to do.
func (b *Book) Daily(ctx context.Context) (made string, thrown []string, err error) {
	dir, err := b.Setting(ctx, SetBackups)
	if err != nil || dir == "" || b.BackedUpOn(dir, b.Today()) {
		return "", nil, err
	}
	path, err := b.Setting(ctx, SetPhrase)
	if err != nil {
		return "", nil, err
	}
	phrase := ""
	if path != "" {
		if phrase, err = OwnPassphrase(path); err != nil {
			return "", nil, err
		}
	}
	return b.BackupInto(ctx, dir, phrase)
}

// InTheOpen lists the dated backups in a folder that are not encrypted.
func (b *Book) InTheOpen(dir string) []string {
	entries, _ := os.ReadDir(dir)
	name := strings.TrimSuffix(filepath.Base(b.path), filepath.Ext(b.path))
	var out []string
	for _, e := range entries {
		if _, ok := datedAs(e.Name(), name); ok && !strings.HasSuffix(e.Name(), ".age") {
			out = append(out, e.Name())
		}
	}
	return out
}

// passphraseWork is the logarithm of the work that one guess at a passphrase costs: age's own default, about a second.
var passphraseWork = 18

func (b *Book) noCopy(to string, err error) error {
	if noRoom(err) {
		return &Fault{Full, fmt.Sprintf("the disk is full: the copy %s was not made, the book is as it was", to), err}
	}
	return &Fault{Failed, fmt.Sprintf("the copy %s cannot be made: %s", to, system(err)), err}
}

// copyTo makes a checked copy. VACUUM INTO reads the book at one moment and takes what is in its log along.
func (b *Book) copyTo(ctx context.Context, to string) error {
	temp, err := tempName(to)
	if err != nil {
		return b.noCopy(to, err)
	}
	defer os.Remove(temp)
	// A connection of its own, so that whoever writes meanwhile does not wait for the copy.
	db, err := sql.Open("sqlite", dsn(b.path, "mode=ro", fmt.Sprintf("_pragma=busy_timeout(%d)", b.o.Wait.Milliseconds())))
	if err != nil {
		return b.fault(err)
	}
	defer db.Close()
	if _, err := db.ExecContext(ctx, "VACUUM INTO ?", temp); err != nil {
		if noRoom(err) || strings.Contains(err.Error(), "full") {
			return &Fault{Full, fmt.Sprintf("the disk is full: the copy %s was not made, the book is as it was", to), err}
		}
		return b.fault(err)
	}
	if err := verify(ctx, temp); err != nil {
		return err
	}
	if err := settle(temp, to); err != nil {
		return b.noCopy(to, err)
	}
	return nil
}

// tempName makes an empty file of its own beside the one to write, readable by its owner alone.
func tempName(to string) (string, error) {
	f, err := os.CreateTemp(filepath.Dir(to), "."+filepath.Base(to)+".*.part")
	if err != nil {
		return "", err
	}
	return f.Name(), f.Close()
}

// settle brings a finished file to the disk and gives it its name, unless the name is taken.
func settle(temp, to string) error {
	f, err := os.OpenFile(temp, os.O_RDWR, 0o600)
	if err != nil {
		return err
	}
	err = f.Sync()
	if e := f.Close(); err == nil {
		err = e
	}
	if err != nil {
		return err
	}
	if err := os.Link(temp, to); err != nil { // unlike a rename, a link never takes another file's place
		if errors.Is(err, fs.ErrExist) {
			return err
		}
		if err := os.Rename(temp, to); err != nil {
			return err
		}
	}
	if d, err := os.Open(filepath.Dir(to)); err == nil {
		d.Sync()
		d.Close()
	}
	return nil
}

// writeWhole writes a file under another name and gives it its own when it is whole.
func writeWhole(to string, write func(*os.File) error) error {
	temp, err := tempName(to)
	if err == nil {
		defer os.Remove(temp)
		var f *os.File
		if f, err = os.OpenFile(temp, os.O_RDWR|os.O_TRUNC, 0o600); err == nil {
			err = write(f)
			if e := f.Close(); err == nil {
				err = e
			}
		}
		if err == nil {
			err = settle(temp, to)
		}
	}
	var f *Fault
	switch {
	case err == nil || errors.As(err, &f):
		return err
	case noRoom(err):
		return &Fault{Full, fmt.Sprintf("the disk is full: %s was not written", to), err}
	}
	return &Fault{Failed, fmt.Sprintf("%s cannot be written: %s", to, system(err)), err}
}

// verify looks at every page and reference of a copy, without changing it.
func verify(ctx context.Context, path string) error {
	db, err := sql.Open("sqlite", dsn(path, "mode=ro", "immutable=1", "_pragma=query_only(1)"))
	if err != nil {
		return err
	}
	defer db.Close()
	c := &Book{path: path, read: db}
	if _, err := c.known(ctx, db); err != nil {
		var f *Fault
		if !errors.As(err, &f) || f.Code != Older { // a copy may be older: it is brought up to date when it is opened
			return err
		}
	}
	return c.check(ctx, db)
}

// Restore makes a book of a backup, which stays as it is. It is decrypted when it must be, looked through to the last page, and
// only then takes the name to, which must be free.
func Restore(ctx context.Context, from, to, passphrase string) error {
	if _, err := os.Stat(to); err == nil {
		return &Fault{Code: Exists, Text: fmt.Sprintf("there is a file %s already: a backup is restored under a new name, so that nothing is lost; move the old one away first", to)}
	}
	in, err := os.Open(from)
	if err != nil {
		return &Fault{Code: NoFile, Text: fmt.Sprintf("the backup %s cannot be read: %s", from, system(err))}
	}
	defer in.Close()
	if info, err := in.Stat(); err == nil && !info.Mode().IsRegular() {
		return &Fault{Code: NoFile, Text: fmt.Sprintf("the backup %s is no file", from)}
	}
	head := make([]byte, 22)
	n, _ := io.ReadFull(in, head)
	if _, err := in.Seek(0, io.SeekStart); err != nil {
		return &Fault{Code: NoFile, Text: fmt.Sprintf("the backup %s cannot be read: %s", from, system(err))}
	}
	source := io.Reader(in)
	if strings.HasPrefix(string(head[:n]), "age-encryption.org/v1") {
		if passphrase == "" {
			return mistake("the backup %s is encrypted: its passphrase is wanted (--passphrase-file)", from)
		}
		id, err := age.NewScryptIdentity(passphrase)
		if err != nil {
			return mistake("the passphrase is not usable: %s", oneLine(err.Error()))
		}
		if source, err = age.Decrypt(in, id); err != nil {
			return mistake("the backup %s does not open with this passphrase", from)
		}
	}
	temp, err := tempName(to)
	if err != nil {
		return &Fault{Failed, fmt.Sprintf("the book %s cannot be made: %s", to, system(err)), err}
	}
	defer os.Remove(temp)
	f, err := os.OpenFile(temp, os.O_WRONLY|os.O_TRUNC, 0o600)
	if err != nil {
		return &Fault{Failed, fmt.Sprintf("the book %s cannot be made: %s", to, system(err)), err}
	}
	_, err = io.Copy(f, source)
	if e := f.Close(); err == nil {
		err = e
	}
	switch {
	case err != nil && noRoom(err):
		return &Fault{Full, fmt.Sprintf("the disk is full: the book %s was not made", to), err}
	case err != nil:
		return &Fault{Damaged, fmt.Sprintf("the backup %s is damaged or cut short: %s; take another", from, oneLine(err.Error())), err}
	}
	if err := verify(ctx, temp); err != nil {
		var f *Fault
		if errors.As(err, &f) {
			f.Text = fmt.Sprintf("the backup %s is no whole book, nothing was restored: take another (%s)", from, strings.NewReplacer("the book "+temp, "it", temp, "it").Replace(f.Text))
		}
		return err
	}
	if err := settle(temp, to); err != nil {
		return &Fault{Failed, fmt.Sprintf("the book %s cannot be made: %s", to, system(err)), err}
	}
	return nil
}

// dated is how dated backups are called: the book's name, the day and the minute.
const dated = "2006-01-02-1504"

// BackupInto makes a dated backup in a folder and thins out the old ones. It returns the new backup's path and those thrown away.
func (b *Book) BackupInto(ctx context.Context, dir, passphrase string) (made string, thrown []string, err error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", nil, &Fault{Failed, fmt.Sprintf("the folder %s for backups cannot be made: %s", dir, system(err)), err}
	}
	name, ext := strings.TrimSuffix(filepath.Base(b.path), filepath.Ext(b.path)), ".book"
	if passphrase != "" {
		ext = ".book.age"
	}
	made = filepath.Join(dir, name+"-"+b.o.Now().Format(dated)+ext)
	for n := 2; ; n++ {
		if _, err := os.Stat(made); err != nil {
			break
		}
		made = filepath.Join(dir, fmt.Sprintf("%s-%s.%d%s", name, b.o.Now().Format(dated), n, ext))
	}
	if err := b.Backup(ctx, made, passphrase); err != nil {
		return "", nil, err
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		return made, nil, &Fault{Failed, fmt.Sprintf("the folder %s cannot be read: %s", dir, system(err)), err}
	}
	for _, e := range entries { // what a killed backup left half-written
		if info, err := e.Info(); err == nil && strings.HasPrefix(e.Name(), "."+name+"-") && strings.HasSuffix(e.Name(), ".part") && time.Since(info.ModTime()) > 24*time.Hour {
			os.Remove(filepath.Join(dir, e.Name()))
		}
	}
	all := map[time.Time]string{}
	var times []time.Time
	for _, e := range entries {
		if t, ok := datedAs(e.Name(), name); ok {
			all[t] = filepath.Join(dir, e.Name())
			times = append(times, t)
		}
	}
	keep := map[time.Time]bool{}
	for _, t := range Thin(times) {
		keep[t] = true
	}
	for _, t := range times {
		if path := all[t]; !keep[t] && path != made {
			if os.Remove(path) == nil {
				thrown = append(thrown, path)
			}
		}
	}
	sort.Strings(thrown)
	return made, thrown, nil
}

// BackedUpOn says whether a dated backup of that day lies in the folder.
func (b *Book) BackedUpOn(dir, day string) bool {
	entries, _ := os.ReadDir(dir)
	name := strings.TrimSuffix(filepath.Base(b.path), filepath.Ext(b.path))
	for _, e := range entries {
		if t, ok := datedAs(e.Name(), name); ok && t.Format(Day) == day {
			return true
		}
	}
	return false
}

// datedAs reads the moment off a dated backup's name. Several of one minute are told apart by a number.
func datedAs(file, name string) (time.Time, bool) {
	s, ok := strings.CutPrefix(file, name+"-")
	if !ok {
		return time.Time{}, false
	}
	s, ok = strings.CutSuffix(strings.TrimSuffix(s, ".age"), ".book")
	if !ok {
		return time.Time{}, false
	}
	n := 0
	if day, number, cut := strings.Cut(s, "."); cut {
		if _, err := fmt.Sscanf(number, "%d", &n); err != nil {
			return time.Time{}, false
		}
		s = day
	}
	t, err := time.Parse(dated, s)
	return t.Add(time.Duration(n) * time.Second), err == nil
}

// Thin says which backups are kept: the newest of each of the last 7 days that have any, of each of the last 5 weeks (as ISO 8601 counts
// them) and of each of the last 12 months, and always the newest of all.
func Thin(times []time.Time) []time.Time {
	sorted := append([]time.Time(nil), times...)
	sort.Slice(sorted, func(a, b int) bool { return sorted[a].After(sorted[b]) })
	keep := map[time.Time]bool{}
	for _, by := range []struct {
		most int
		of   func(time.Time) string
	}{
		{7, func(t time.Time) string { return t.Format(Day) }},
		{5, func(t time.Time) string { y, w := t.ISOWeek(); return fmt.Sprint(y, " ", w) }},
		{12, func(t time.Time) string { return t.Format("2006-01") }},
	} {
		seen := map[string]bool{}
		for _, t := range sorted {
			if k := by.of(t); !seen[k] && len(seen) < by.most {
				seen[k] = true
				keep[t] = true
			}
		}
	}
	var out []time.Time
	for _, t := range sorted {
		if keep[t] {
			out = append(out, t)
		}
	}
	return out
}
