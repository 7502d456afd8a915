// Package jobtest drafts the example jobs, for the tests of the rooms that work on drafted jobs.
package jobtest

import (
	"os"
	"path/filepath"
	"testing"

	"clothwright/job"
)

// Example drafts one of the jobs of examples/saltmarsh, named without its ".toml".
func Example(t testing.TB, name string) *job.Result {
	t.Helper()
	dir := filepath.Join(root(t), "examples", "saltmarsh")
	read := func(file string) ([]byte, error) { return os.ReadFile(filepath.Join(dir, file)) }
	src, err := read(name + ".toml")
	if err != nil {
		t.Fatal(err)
	}
	j, err := job.Read(name+".toml", src, read)
	if err != nil {
		t.Fatal(err)
	}
	r, err := j.Cut()
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// root is the folder of go.mod, above the package that is tested.
func root(t testing.TB) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir
		}
		up := filepath.Dir(dir)
		if up == dir {
			t.Fatal("there is no go.mod above the package")
		}
		dir = up
	}
}
