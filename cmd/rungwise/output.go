package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"rungwise/engine/diag"
	"rungwise/engine/render"
	"rungwise/engine/rulebook"
)

// The record goes to standard output in one form, and nothing else does where a
// program reads that form; what is said beside it goes to the error stream.

// shown is a record on its way out.
type shown struct {
	record any    // nil: there is nothing but words
	words  string // its Markdown; "" where it is told in plain lines
	lines  any    // whose plain lines they are, nil = the record's own
}

// writer prints a record; nil for a record that has not the form.
type writer func(a *app, s shown) func(io.Writer) error

// format is one form of a record.
type format struct {
	names   []string // the first is its own
	machine bool     // a program reads it
	write   writer
}

// formats is every form that there is: a new one is an entry.
func formats() []format {
	return []format{
		{[]string{"text"}, false, either(of(book(rulebook.Book.Markdown)), (*app).text)},
		{[]string{"markdown", "md"}, false, either(of(book(rulebook.Book.Markdown)), markdown)},
		{[]string{"json"}, true, either(of(reported("json")), record)},
		{[]string{"csv"}, true, of(render.RosterCSV)},
		{[]string{"html"}, true, either(of(render.RosterPage), of(bookPage))},
		{[]string{"sarif"}, true, of(reported("sarif"))},
		{[]string{"junit"}, true, of(reported("junit"))},
	}
}

// of writes the records of one type.
func of[T any](write func(io.Writer, T) error) writer {
	return func(_ *app, s shown) func(io.Writer) error {
		r, ok := s.record.(T)
		if !ok {
			return nil
		}
		return func(w io.Writer) error { return write(w, r) }
	}
}

func either(writers ...writer) writer {
	return func(a *app, s shown) func(io.Writer) error {
		for _, w := range writers {
			if write := w(a, s); write != nil {
				return write
			}
		}
		return nil
	}
}

// reports is a record that other programs read as diagnostics.
type reports interface{ Report() diag.Report }

func reported(form string) func(io.Writer, reports) error {
	return func(w io.Writer, r reports) error { return r.Report().Write(w, form) }
}

func bookPage(w io.Writer, b rulebook.Book) error {
	text, err := b.HTML()
	if err == nil {
		_, err = w.Write(text)
	}
	return err
}

func book(text func(rulebook.Book) []byte) func(io.Writer, rulebook.Book) error {
	return func(w io.Writer, b rulebook.Book) error { _, err := w.Write(text(b)); return err }
}

// record writes JSON of any record; a book and words by themselves are none.
func record(a *app, s shown) func(io.Writer) error {
	if _, text := s.record.(rulebook.Book); text || s.record == nil {
		return nil
	}
	return of(render.JSON)(a, s)
}

// text is for whoever called: set on a terminal, as it is in a pipe.
func (a *app) text(s shown) func(io.Writer) error {
	if s.words == "" {
		return func(w io.Writer) error { return render.Lines(w, cmp.Or(s.lines, s.record)) }
	}
	if yes, _ := a.terminal(); yes {
		return func(io.Writer) error { return render.Terminal(a.bare.out, s.words, a.columns(), !a.noColor) }
	}
	return markdown(a, s)
}

func markdown(_ *app, s shown) func(io.Writer) error {
	if s.words == "" {
		return nil
	}
	return func(w io.Writer) error { _, err := io.WriteString(w, s.words); return err }
}

// prints says what a command prints, by a record of the type: a form that it has
// not is refused before anything is done.
func (a *app) prints(c *cobra.Command, like ...shown) *cobra.Command {
	a.kinds[c] = like
	return c
}

// choose finds the form that was asked for, and refuses one that there is not or
// that the command has not.
func (a *app) choose(c *cobra.Command) error {
	var names, has []string
	at := -1
	for i, f := range formats() {
		names = append(names, f.names[0])
		if slices.Contains(f.names, cmp.Or(a.as, "text")) {
			at = i
		}
		if slices.ContainsFunc(a.kinds[c], func(s shown) bool { return f.write(a, s) != nil }) {
			has = append(has, f.names[0])
		}
	}
	if at < 0 {
		near, _ := diag.Nearest(a.as, names)
		return mistake("there is no form called %s; did you mean %s?", a.as, cmp.Or(near, "text"))
	}
	a.form = formats()[at]
	if len(has) > 0 && !slices.Contains(has, a.form.names[0]) {
		return mistake("`%s` has no form %s; it takes %s", c.CommandPath(), a.form.names[0], strings.Join(has, ", "))
	}
	return nil
}

// show prints a record in the form that was asked for.
func (a *app) show(s shown) error { return a.showOn(a.out, s) }

func (a *app) showOn(w io.Writer, s shown) error {
	write := a.form.write(a, s)
	if write == nil {
		return mistake("this has no form %s", a.form.names[0])
	}
	return write(w)
}

// say tells something beside the record.
func (a *app) say(format string, args ...any) { fmt.Fprintf(a.err, format+"\n", args...) }

// spelled adds a flag that is another spelling of --as.
func (a *app) spelled(fl *pflag.FlagSet, name string) {
	fl.BoolFunc(name, "", func(v string) error {
		if v == "true" {
			a.as = name
		}
		return nil
	})
}

// beside is where prose goes that is not the record: the error stream where a
// program reads the output.
func (a *app) beside() io.Writer {
	if a.form.machine {
		return a.err
	}
	return a.out
}
