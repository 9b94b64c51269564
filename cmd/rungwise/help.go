package main

import (
	_ "embed"
	"strings"
	"text/template"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// helpText has the words of every command and flag, by name: `plan`, `plan long`,
// `plan example`, `plan --weeks`.
//
//go:embed help.tmpl
var helpText string

// helped fills in the words of a command, of its flags and of the commands under
// it.
func helped(c *cobra.Command, t *template.Template) {
	path := strings.TrimPrefix(c.CommandPath(), "rungwise ")
	words := func(name string) string {
		var b strings.Builder
		if d := t.Lookup(path + name); d != nil {
			_ = d.Execute(&b, nil) // there is nothing in it but words
		}
		return b.String()
	}
	c.Short, c.Long, c.Example = words(""), words(" long"), words(" example")
	ownFlags(c, func(f *pflag.Flag) {
		if f.Usage == "" {
			f.Usage = words(" --" + f.Name)
		}
	})
	for _, under := range c.Commands() {
		helped(under, t)
	}
}

// ownFlags visits the flags that a command declares itself.
func ownFlags(c *cobra.Command, visit func(*pflag.Flag)) {
	c.LocalNonPersistentFlags().VisitAll(visit)
	c.PersistentFlags().VisitAll(visit)
}

// declare adds flags by the variables that they fill; what a variable holds is the
// default.
func declare[T any](add func(into *T, name string, value T, usage string), flags map[string]*T) {
	for name, into := range flags {
		add(into, name, *into, "")
	}
}
