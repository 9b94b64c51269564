package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/render"
	"rungwise/engine/report"
	"rungwise/engine/rule"
)

// options says how a record is put into words on this run.
func (a *app) options(e *engine.Engine) render.Options {
	words := func(id string) string {
		text, _ := e.Base().Words(id)
		return text
	}
	return render.Options{Width: a.columns(), Words: words}
}

// print shows Markdown: styled on a terminal, as it is in a pipe.
func (a *app) print(markdown string) error {
	if yes, _ := a.terminal(); yes {
		return render.Terminal(a.bare.out, markdown, a.columns(), !a.noColor)
	}
	_, err := fmt.Fprint(a.out, markdown)
	return err
}

// show prints a record as JSON or in words.
func (a *app) show(r *report.Report, words string) error {
	if a.json {
		return render.JSON(a.out, r)
	}
	return a.print(words)
}

// verdict is how a run ends: a case that is referred, or that lacks the safety
// answers, needs attention.
func verdict(r *report.Report) error {
	switch r.Gate.Verdict {
	case rule.Refer, rule.NotEnough:
		return status{attention, nil}
	}
	return nil
}

// write puts files into a folder. It replaces none that is there unless it
// holds the same bytes.
func (a *app) write(dir string, files map[string][]byte, order []string) error {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return status{failed, fmt.Errorf("%s: the folder could not be made", dir)}
	}
	for _, name := range order {
		path := filepath.Join(dir, name)
		err := casefile.Create(path, files[name])
		if errors.Is(err, casefile.ErrExists) && same(path, files[name]) {
			err = nil
		}
		if errors.Is(err, casefile.ErrExists) {
			return status{failed, fmt.Errorf("%s is there already and says something else: move it away, or choose another folder with --out", path)}
		}
		if err != nil {
			return status{failed, err}
		}
		fmt.Fprintf(a.err, "wrote %s\n", path)
	}
	return nil
}

func same(path string, data []byte) bool {
	old, err := os.ReadFile(path)
	return err == nil && string(old) == string(data)
}
