// Command killbook kills a program that uses a book, by SIGKILL, at random moments while it writes, reads tables in, reads a
// whole export in, brings an older book up to date, and makes backups. After each kill it opens the book again and looks
// whether everything that was acknowledged is there, nothing is half done, and every file that bears a backup's name is a
// whole book.
//
//	go run ./internal/killbook -kills 500
//
// It runs itself as the program to be killed. The first fault ends it with exit 1; the folder is then left for looking at.
package main

import (
	"flag"
	"fmt"
	"os"
	"time"
)

func main() {
	if act := os.Getenv(actVariable); act != "" {
		os.Exit(perform(act))
	}
	kills := flag.Int("kills", 500, "how many times to kill")
	seed := flag.Int64("seed", time.Now().UnixNano(), "the seed of the random moments")
	old := flag.String("old", "book/testdata/schema-1.book", "a book of schema 1, to be brought up to date")
	flag.Parse()
	dir, err := os.MkdirTemp("", "killbook-")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	r := newRun(dir, *old, *seed)
	fmt.Printf("seed %d\n", *seed)
	for i := 0; r.killed() < *kills; i++ { // some are done before their moment comes
		if err := r.one(i); err != nil {
			fmt.Fprintf(os.Stderr, "kill %d (seed %d, %s): %s\n", i, *seed, dir, err)
			os.Exit(1)
		}
	}
	if err := r.last(); err != nil {
		fmt.Fprintf(os.Stderr, "at the end (seed %d, %s): %s\n", *seed, dir, err)
		os.Exit(1)
	}
	r.tell(os.Stdout)
	os.RemoveAll(dir)
}
