package book

import (
	"flag"
	"os"
	"path/filepath"
	"testing"
)

var updateOld = flag.Bool("update-old", false, "write testdata/schema-1.book anew")

// The book of schema 1 that is kept, as the first version of the program would have left it, opens and is brought up to date.
func TestKeptOldBook(t *testing.T) {
	const kept = "testdata/schema-1.book"
	if *updateOld {
		b := old(t, filepath.Join(t.TempDir(), "old.book"))
		defer b.Close()
		if _, err := b.write.Exec("PRAGMA wal_checkpoint(TRUNCATE)"); err != nil {
			t.Fatal(err)
		}
		src, err := os.ReadFile(b.path)
		if err == nil {
			err = os.WriteFile(kept, src, 0o644)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	src, err := os.ReadFile(kept)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "old.book")
	if err := os.WriteFile(path, src, 0o600); err != nil {
		t.Fatal(err)
	}
	b, err := Open(path, options())
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	if got, err := b.Find(ctx, "early", 10); err != nil || len(got) != 1 {
		t.Errorf("%v, %v", got, err)
	}
	if err := b.Check(ctx); err != nil {
		t.Error(err)
	}
}
