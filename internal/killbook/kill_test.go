package main

import (
	"os"
	"testing"
)

func TestMain(m *testing.M) {
	if act := os.Getenv(actVariable); act != "" {
		os.Exit(perform(act))
	}
	os.Exit(m.Run())
}

// Twenty kills; the command runs 500 and more.
func TestKills(t *testing.T) {
	r := newRun(t.TempDir(), "../../book/testdata/schema-1.book", 1)
	for i := range 20 {
		if err := r.one(i); err != nil {
			t.Fatalf("kill %d: %v", i, err)
		}
	}
	if err := r.last(); err != nil {
		t.Fatal(err)
	}
	if killed := r.killed(); killed < 8 {
		t.Errorf("only %d of 20 were killed before they were done", killed)
	}
}

// Two programs that write at once lose nothing of each other's.
func TestTwoPrograms(t *testing.T) {
	r := newRun(t.TempDir(), "", 2)
	type end struct {
		lines []string
		err   error
	}
	first, second := make(chan end), make(chan end)
	r.takes["table"], r.takes["write"] = 1<<40, 1<<40
	for name, c := range map[string]chan end{"a": first, "b": second} {
		go func() {
			other := newRun(r.dir, "", 3)
			other.takes["table"] = 1 << 50 // it is let to its end
			lines, _, err := other.kill("table", name, r.main, "")
			c <- end{lines, err}
		}()
	}
	a, b := <-first, <-second
	for _, e := range []end{a, b} {
		if e.err != nil || len(e.lines) != 2 || e.lines[1] != "ok done" {
			t.Fatalf("%v, %v", e.lines, e.err)
		}
	}
	if n, err := count1At(r.main); err != nil || n != 2*tableRows {
		t.Errorf("%d clients are in the book, %v; two programs read in %d each", n, err, tableRows)
	}
}
