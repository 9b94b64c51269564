package main

import (
	"os"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"rungwise/engine"
	"rungwise/testdata/frozen"
)

// TestMain lets the scripts call the real program by its name. It knows the
// frozen trade, so that a new drill moves no script.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"rungwise": func() {
		os.Exit(run(outside(engine.Trade{Rules: frozen.Rules(), Checklists: frozen.Checklists()})))
	}})
}

// TestScripts runs every script of testdata/script: the commands as a coach
// types them, with what they must print and how they must end. `-update`
// rewrites what `cmp` compares with.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "../../testdata/script",
		UpdateScripts:       os.Getenv("RUNGWISE_UPDATE") != "",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Deadline:            time.Now().Add(8 * time.Minute),
		Setup: func(e *testscript.Env) error {
			cases, err := os.ReadDir("../../testdata/cases")
			if err != nil {
				return err
			}
			for _, c := range cases {
				b, err := os.ReadFile("../../testdata/cases/" + c.Name())
				if err != nil {
					return err
				}
				if err := os.WriteFile(e.Cd+"/"+c.Name(), b, 0o600); err != nil {
					return err
				}
			}
			if err := os.CopyFS(e.Cd+"/.saltmarsh", os.DirFS("../../testdata/house/saltmarsh")); err != nil {
				return err
			}
			e.Setenv("XDG_CACHE_HOME", e.WorkDir+"/.cache")
			e.Setenv("HOME", e.WorkDir)
			return nil
		},
	})
}
