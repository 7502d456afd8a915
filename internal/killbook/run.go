package main

import (
	"bufio"
	"fmt"
	"io"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"clothwright/book"
)

// run is one folder with one book that lives through all kills.
type run struct {
	dir, old string
	rnd      *rand.Rand
	main     string                   // the book that is written on and on
	whole    string                   // an export to read in
	clients  int                      // acknowledged in the main book, and found
	takes    map[string]time.Duration // how long each act was last seen to take to its end
	counts   map[string]*count
}

// killed is how many were killed so far.
func (r *run) killed() int {
	n := 0
	for _, c := range r.counts {
		n += c.kills
	}
	return n
}

// count is what became of the kills during one act.
type count struct{ kills, early, midway, after, acknowledged int }

var order5 = []string{"write", "table", "backup", "migrate", "export"}

func newRun(dir, old string, seed int64) *run {
	r := &run{dir: dir, old: old, rnd: rand.New(rand.NewSource(seed)), main: filepath.Join(dir, "main.book"), whole: filepath.Join(dir, "whole.json"), takes: map[string]time.Duration{}, counts: map[string]*count{}}
	for _, a := range order5 {
		r.counts[a] = &count{}
	}
	return r
}

// one starts an act, kills it, and looks at what is left.
func (r *run) one(i int) error {
	act := order5[i%len(order5)]
	name := fmt.Sprintf("%s%d", act, i)
	path, from := r.main, ""
	switch act {
	case "migrate":
		path = filepath.Join(r.dir, name+".book")
		src, err := os.ReadFile(r.old)
		if err != nil {
			return err
		}
		if err := os.WriteFile(path, src, 0o600); err != nil {
			return err
		}
	case "export":
		path, from = filepath.Join(r.dir, name+".book"), r.whole
		if err := r.makeWhole(); err != nil {
			return err
		}
	case "backup":
		from = filepath.Join(r.dir, name+"-backups")
		if err := os.Mkdir(from, 0o700); err != nil {
			return err
		}
	}
	lines, killed, err := r.kill(act, name, path, from)
	if err != nil {
		return err
	}
	c := r.counts[act]
	if killed {
		c.kills++
	}
	ok, ready := 0, false
	for _, l := range lines {
		ready = ready || l == "begun"
		switch {
		case strings.HasPrefix(l, "failed"):
			return fmt.Errorf("%s could not be done: %s", act, l)
		case strings.HasPrefix(l, "ok"):
			ok++
		}
	}
	c.acknowledged += ok
	switch {
	case !ready:
		c.early++
	case ok > 0 && act != "write" && act != "backup":
		c.after++
	default:
		c.midway++
	}
	return r.look(act, name, path, from, lines, ok)
}

// kill runs an act and kills it at a random moment. It returns the lines said before.
func (r *run) kill(act, name, path, from string) (lines []string, killed bool, err error) {
	self, err := os.Executable()
	if err != nil {
		return nil, false, err
	}
	cmd := exec.Command(self)
	cmd.Env = append(os.Environ(), actVariable+"="+act, bookVariable+"="+path, runVariable+"="+name, fromVariable+"="+from)
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	if err != nil {
		return nil, false, err
	}
	most := r.takes[act]
	if most == 0 {
		most = 150 * time.Millisecond
	}
	began := time.Now()
	if err := cmd.Start(); err != nil {
		return nil, false, err
	}
	timer := time.AfterFunc(time.Duration(r.rnd.Int63n(int64(most))), func() { cmd.Process.Kill() })
	text, err := io.ReadAll(bufio.NewReader(out))
	if err != nil {
		return nil, false, err
	}
	ended := cmd.Wait()
	killed = !timer.Stop() && ended != nil
	for _, l := range strings.Split(string(text), "\n") {
		if l = strings.TrimSpace(l); l != "" {
			lines = append(lines, l)
		}
	}
	// The moments are spread over what the act takes, so that as many as can be fall into it.
	if took := time.Since(began); !killed || len(lines) <= 1 {
		if !killed {
			r.takes[act] = took
		} else if took > most*3/4 {
			r.takes[act] = most * 5 / 4
		}
	}
	return lines, killed, nil
}

// look opens what was left and compares it with what was acknowledged.
func (r *run) look(act, name, path, from string, lines []string, ok int) error {
	info, err := os.Stat(path)
	if err != nil && ok == 0 {
		return nil // killed before the file was made
	}
	if err != nil {
		return fmt.Errorf("the book is gone: %w", err)
	}
	if info.Mode().Perm() != 0o600 {
		return fmt.Errorf("the book can be read by others: %v", info.Mode())
	}
	b, err := book.Open(path, book.Options{Program: "killbook"})
	if err != nil {
		return fmt.Errorf("the book does not open: %w", err)
	}
	defer b.Close()
	if err := b.Check(ctx); err != nil {
		return err
	}
	switch act {
	case "write", "backup":
		if err := r.orders(b, name, lines, ok); err != nil {
			return err
		}
	case "table":
		n, err := count1(b, "t "+name)
		if err != nil {
			return err
		}
		if n != 0 && n != tableRows || n == 0 && ok > 0 {
			return fmt.Errorf("%d rows of a table of %d are in the book, %d acknowledged", n, tableRows, ok)
		}
		r.clients += n
	case "migrate":
		if found, err := b.Find(ctx, "early", 10); err != nil || len(found) != 1 {
			return fmt.Errorf("the client of the older book is not there: %v, %v", found, err)
		}
		// It is of today's schema, or it would not have opened; it can be written.
		if err := b.Write(ctx, "an order", func(tx *book.Tx) error { return order(tx, name) }); err != nil {
			return err
		}
		if copies, _ := filepath.Glob(path + ".before-schema-*"); len(copies) > 0 {
			to := copies[0] + ".tried"
			if err := book.Restore(ctx, copies[0], to, ""); err != nil {
				return fmt.Errorf("the copy from before is not whole: %w", err)
			}
		}
	case "export":
		n, err := count1(b, "")
		if err != nil {
			return err
		}
		want, err := count1At(filepath.Join(r.dir, "whole.book"))
		if err != nil {
			return err
		}
		if n != 0 && n != want || n == 0 && ok > 0 {
			return fmt.Errorf("%d of %d clients of an export are in the book", n, want)
		}
	}
	if act == "backup" {
		return backups(from, lines)
	}
	return nil
}

// orders looks for every acknowledged order whole, and for none half.
func (r *run) orders(b *book.Book, name string, lines []string, ok int) error {
	n, err := count1(b, "w "+name)
	if err != nil {
		return err
	}
	if s, ok, err := b.Thing(ctx, "z"); err != nil || ok && s.Left != 0 {
		return fmt.Errorf("%d are on the shelf; what each order puts there it takes: %v", s.Left, err)
	}
	if n != ok && n != ok+1 { // one more may have reached the disk before it could be said
		return fmt.Errorf("%d orders are in the book and %d were acknowledged", n, ok)
	}
	for i := range n {
		number := fmt.Sprintf("%s-%d", name, i)
		j, err := b.Job(ctx, number)
		if err != nil {
			return err
		}
		d, err := b.Draft(ctx, j.ID, 1)
		if err != nil {
			return err
		}
		cards, err := b.Cards(ctx, j.ClientID)
		if err != nil {
			return err
		}
		paid, err := b.Payments(ctx, j.ID)
		if err != nil {
			return err
		}
		if len(cards) != 1 || len(paid) != 1 || j.State != book.BeingCut || string(d.Record) != strings.Repeat(number, 300) {
			return fmt.Errorf("order %s is half there: %d cards, %d payments", number, len(cards), len(paid))
		}
	}
	r.clients += n
	return nil
}

// backups tries every file that bears a backup's name, and misses none that was acknowledged.
func backups(dir string, lines []string) error {
	there := map[string]bool{}
	files, err := filepath.Glob(filepath.Join(dir, "*.book"))
	if err != nil {
		return err
	}
	hidden, err := filepath.Glob(filepath.Join(dir, "*.age"))
	if err != nil {
		return err
	}
	files = append(files, hidden...)
	for _, f := range files {
		there[f] = true
		if err := book.Restore(ctx, f, f+".tried", secret); err != nil {
			return fmt.Errorf("a backup is not whole: %w", err)
		}
		os.Remove(f + ".tried")
	}
	for _, l := range lines {
		if path, ok := strings.CutPrefix(l, "backup "); ok && !there[path] {
			return fmt.Errorf("the backup %s was acknowledged and is not there", path)
		}
	}
	return os.RemoveAll(dir)
}

func count1(b *book.Book, begins string) (int, error) {
	n := 0
	err := b.EachClient(ctx, func(c book.Client) error {
		if begins == "" || strings.HasPrefix(c.Name, begins+"-") || strings.HasPrefix(c.Name, begins+" ") {
			n++
		}
		return nil
	})
	return n, err
}

func count1At(path string) (int, error) {
	b, err := book.Open(path, book.Options{ReadOnly: true})
	if err != nil {
		return 0, err
	}
	defer b.Close()
	return count1(b, "")
}

// makeWhole makes the export that is read in, once.
func (r *run) makeWhole() error {
	if _, err := os.Stat(r.whole); err == nil {
		return nil
	}
	b, err := book.Create(filepath.Join(r.dir, "whole.book"), book.Options{Program: "killbook"})
	if err != nil {
		return err
	}
	defer b.Close()
	if err := b.Write(ctx, "orders", func(tx *book.Tx) error {
		for i := range 150 {
			if err := order(tx, fmt.Sprintf("whole-%d", i)); err != nil {
				return err
			}
		}
		return nil
	}); err != nil {
		return err
	}
	f, err := os.Create(r.whole)
	if err != nil {
		return err
	}
	if err := b.Export(ctx, f); err != nil {
		return err
	}
	return f.Close()
}

// last looks at the main book as a whole: it has lived through every kill, and must hold all that was ever found in it.
func (r *run) last() error {
	if _, err := os.Stat(r.main); err != nil {
		return nil
	}
	b, err := book.Open(r.main, book.Options{Program: "killbook"})
	if err != nil {
		return err
	}
	defer b.Close()
	if err := b.Check(ctx); err != nil {
		return err
	}
	n, err := count1(b, "")
	if err != nil {
		return err
	}
	if n != r.clients {
		return fmt.Errorf("%d clients are in the book; %d were found after the kills", n, r.clients)
	}
	return nil
}

// tell prints what became of the kills.
func (r *run) tell(w io.Writer) {
	total := 0
	fmt.Fprintf(w, "%-8s %6s %15s %8s %10s %13s\n", "act", "kills", "before it began", "midway", "just after", "acknowledged")
	for _, a := range order5 {
		c := r.counts[a]
		total += c.kills
		fmt.Fprintf(w, "%-8s %6d %15d %8d %10d %13d\n", a, c.kills, c.early, c.midway, c.after, c.acknowledged)
	}
	fmt.Fprintf(w, "%d kills; every acknowledged change was there, nothing half done, every book opened clean and sound; the main book holds %d clients\n", total, r.clients)
}
