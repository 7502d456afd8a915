package main

import (
	"io"
	"os"
	"path/filepath"
	"testing"
)

// A file that is written for one person is theirs alone, and is whole or not there.
func TestPrivately(t *testing.T) {
	path := filepath.Join(t.TempDir(), "person.json")
	if err := privately(path, func(to io.Writer) error { _, err := to.Write([]byte("x")); return err }); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("%v, %v", info.Mode(), err)
	}
	bad := filepath.Join(filepath.Dir(path), "bad.json")
	if err := privately(bad, func(to io.Writer) error { to.Write([]byte("half")); return os.ErrClosed }); err == nil {
		t.Error("a failed file is called written")
	}
	if left, _ := filepath.Glob(filepath.Join(filepath.Dir(path), "*bad*")); len(left) > 0 {
		t.Errorf("%v is left", left)
	}
}
