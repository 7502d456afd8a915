package main

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"testing"
)

// A draft is cut again by the script that was kept, whatever the program's own script says today: an older one, told apart by a
// comment, gives the same record, and one that drafts otherwise does not.
func TestCutAgainByTheKeptScript(t *testing.T) {
	const path = "../../examples/saltmarsh/five.toml"
	src, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	_, d, err := frozen(path, src, filesBeside(path))
	if err != nil {
		t.Fatal(err)
	}
	if d.HouseName == "" || len(d.House) == 0 || len(d.Script) == 0 || d.ScriptName != "rib-zip-jacket" {
		t.Fatalf("the draft does not keep what it was made of: house %q of %d bytes, script %q of %d bytes", d.HouseName, len(d.House), d.ScriptName, len(d.Script))
	}
	record := func() []byte {
		r, err := again(d)
		if err != nil {
			t.Fatal(err)
		}
		out, err := r.JSON() // not laid: it is the drafting that is compared here
		if err != nil {
			t.Fatal(err)
		}
		return out
	}
	today := record()
	built := d.Script
	d.Script = append([]byte("# as it was last year\n"), built...)
	if !bytes.Equal(record(), today) {
		t.Error("the kept script does not give what the same script of the program gives")
	}
	d.Script = bytes.Replace(built, []byte("m.neck_base_girth / 6"), []byte("m.neck_base_girth / 5"), -1)
	if bytes.Equal(d.Script, built) {
		t.Skip("the script has no such rule of the neck to change, so another script was not tried")
	}
	if bytes.Equal(record(), today) {
		t.Error("another script was kept, and the program's own was used")
	}
}

// Lengths as cloth is sold: metres beside what the tape says.
func TestLength(t *testing.T) {
	for s, want := range map[string]float64{"3.2 m": 3200, "12m": 12000, "115 cm": 1150, "45 in": 1143, "900 mm": 900, "2,5 m": 2500} {
		if got, err := length(s); err != nil || got != want {
			t.Errorf("%q is %g mm, %v; want %g", s, got, err, want)
		}
	}
	for _, s := range []string{"", "m", "three m", "5", "-2 m", "2 mmm"} {
		if got, err := length(s); err == nil {
			t.Errorf("%q is taken for %g mm", s, got)
		}
	}
}

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
