package main

import (
	"os"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"clothwright": func() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }})
}

// Each script in testdata is one promise to whoever types the command.
func TestPromises(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(e *testscript.Env) error {
			root, err := os.Getwd()
			e.Setenv("EXAMPLES", root+"/../../examples/saltmarsh")
			return err
		},
	})
}
