package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log"
	"net"
	"os"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"

	"clothwright/book"
	"clothwright/web"
)

type serveCommand struct {
	Jobs          string `help:"The folder of job files; it is made when it is not there. The standard one is clothwright in your own folder." placeholder:"DIR"`
	Listen        string `default:"127.0.0.1:7319" help:"Where to listen. Anywhere but this machine itself needs a passphrase, set before." placeholder:"HOST:PORT"`
	Book          string `env:"CLOTHWRIGHT_BOOK" help:"The book of clients, orders and money, whose pages then stand beside the jobs." placeholder:"FILE"`
	Today         string `env:"CLOTHWRIGHT_TODAY" help:"The day to work by, as 2026-03-02; the computer's when not given." placeholder:"DAY"`
	SetPassphrase bool   `help:"Read a passphrase from the standard input, keep it for the folder, and end."`
	Quiet         bool   `help:"Do not log what is asked for."`
}

// Run serves the workroom until it is interrupted.
func (c *serveCommand) Run(w *world) error {
	if host, port, err := net.SplitHostPort(c.Listen); err != nil || !isPort(port) || strings.ContainsAny(host, " /") {
		return fmt.Errorf("--listen is %q; an address and a port are wanted, as 127.0.0.1:7319", c.Listen)
	}
	dir := c.Jobs
	if dir == "" {
		home, err := os.UserHomeDir()
		if err != nil {
			return errors.New("your own folder is not known; say with --jobs where the jobs are kept")
		}
		dir = filepath.Join(home, "clothwright")
	}
	folder, err := web.OpenFolder(dir)
	if err != nil {
		return err
	}
	defer folder.Close()
	if c.SetPassphrase {
		return setPassphrase(w, folder, os.Stdin)
	}
	o := web.Options{Store: folder}
	if c.Book != "" {
		if o.Book, err = c.openBook(); err != nil {
			var f *book.Fault
			if !errors.As(err, &f) || f.Code == book.NoFile || f.Code == book.Mistake {
				return err
			}
			fmt.Fprintf(w.err, "warn: %s\n", err)
			o.BookFault = err
		} else {
			defer o.Book.Close()
		}
	}
	if !web.Loopback(c.Listen) {
		if o.Lock, err = folder.Lock(); errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("%s can be reached from other machines, and the folder %s has no passphrase; set one with --set-passphrase, or listen on 127.0.0.1", c.Listen, dir)
		} else if err != nil {
			return err
		}
	}
	if o.Key, err = folder.Secret(); err != nil {
		return fmt.Errorf("the folder %s cannot be written to: %s", dir, plain(err))
	}
	if !c.Quiet {
		o.Log = log.New(w.err, "", log.LstdFlags)
	}
	l, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return fmt.Errorf("%s cannot be listened on: %s", c.Listen, lastOf(err))
	}
	fmt.Fprintf(w.out, "The workroom is open at http://%s/ and keeps its jobs in %s.\n", l.Addr(), dir)
	if o.Book != nil {
		fmt.Fprintf(w.out, "Its book is %s.\n", c.Book)
	}
	if o.Lock != "" {
		fmt.Fprintln(w.out, "Others on this network may see what passes over it: use it only on a network of your own.")
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	return web.New(o).Serve(ctx, l)
}

func isPort(s string) bool {
	_, err := strconv.ParseUint(s, 10, 16)
	return err == nil
}

// bookWait is how long a page waits for another program that writes in the book, before it says so. It is less than a page's script waits for
// an answer.
const bookWait = 4 * time.Second

// openBook opens the book to write; one that is write-protected only to look.
func (c *serveCommand) openBook() (*book.Book, error) {
	o, err := (&InBook{Book: c.Book, Today: c.Today}).options()
	if err != nil {
		return nil, err
	}
	o.Wait = bookWait
	b, err := book.Open(c.Book, o)
	var f *book.Fault
	if errors.As(err, &f) && f.Code == book.WriteProtected {
		o.ReadOnly = true
		return book.Open(c.Book, o)
	}
	return b, err
}

// setPassphrase keeps the passphrase that is on the first line of in.
func setPassphrase(w *world, folder *web.Folder, in io.Reader) error {
	line, err := bufio.NewReader(io.LimitReader(in, 1024)).ReadString('\n')
	if err != nil && !errors.Is(err, io.EOF) {
		return fmt.Errorf("the passphrase cannot be read: %s", plain(err))
	}
	lock, err := web.NewLock(strings.TrimRight(line, "\r\n"))
	if err != nil {
		return err
	}
	if err := folder.SetLock(lock); err != nil {
		return fmt.Errorf("the passphrase cannot be kept: %s", plain(err))
	}
	fmt.Fprintln(w.out, "The passphrase is set; it counts from the next start.")
	return nil
}

// lastOf is the last part of a wrapped error: "address already in use".
func lastOf(err error) string {
	for {
		next := errors.Unwrap(err)
		if next == nil {
			return err.Error()
		}
		err = next
	}
}
