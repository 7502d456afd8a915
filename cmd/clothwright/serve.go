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
	"strings"
	"syscall"

	"clothwright/web"
)

type serveCommand struct {
	Jobs          string `help:"The folder of job files; it is made when it is not there. The standard one is clothwright in your own folder." placeholder:"DIR"`
	Listen        string `default:"127.0.0.1:7319" help:"Where to listen. Anywhere but this machine itself needs a passphrase, set before." placeholder:"HOST:PORT"`
	SetPassphrase bool   `help:"Read a passphrase from the standard input, keep it for the folder, and end."`
	Quiet         bool   `help:"Do not log what is asked for."`
}

// Run serves the workroom until it is interrupted.
func (c *serveCommand) Run(w *world) error {
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
	if o.Lock != "" {
		fmt.Fprintln(w.out, "Others on this network may see what passes over it: use it only on a network of your own.")
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	return web.New(o).Serve(ctx, l)
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
