package main

import (
	"strings"
	"testing"
	"text/template"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// Every command and flag has words of its own, and no words are left over.
func TestEveryFlagHasItsHelp(t *testing.T) {
	a := &app{kinds: map[*cobra.Command][]shown{}}
	used := map[string]bool{"help": true}
	var walk func(c *cobra.Command)
	walk = func(c *cobra.Command) {
		path := strings.TrimPrefix(c.CommandPath(), "rungwise ")
		for name, words := range map[string]string{"": c.Short, " long": c.Long, " example": c.Example} {
			used[path+name] = words != ""
		}
		if c.Short == "" {
			t.Errorf("%s says nothing about itself", path)
		}
		ownFlags(c, func(f *pflag.Flag) {
			used[path+" --"+f.Name] = true
			if f.Usage == "" {
				t.Errorf("%s --%s says nothing about itself", path, f.Name)
			}
		})
		for _, under := range c.Commands() {
			walk(under)
		}
	}
	walk(a.root())
	for _, x := range template.Must(template.New("help").Parse(helpText)).Templates() {
		if !used[x.Name()] {
			t.Errorf("nothing is called %q", x.Name())
		}
	}
}
