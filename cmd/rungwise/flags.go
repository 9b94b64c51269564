package main

import (
	"fmt"
	"regexp"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"rungwise/engine"
)

// bindCommon declares the flags that every command has. --format and --json are
// other spellings of --as.
func (a *app) bindCommon(root *cobra.Command) {
	var names []string
	for _, f := range formats() {
		names = append(names, f.names[0])
	}
	f := root.PersistentFlags()
	declare(f.StringVar, map[string]*string{"house": &a.house, "log": &a.logFile, "on": &a.on})
	f.StringVar(&a.as, "as", "", "form of what is printed, as far as there is one: "+strings.Join(names, ", "))
	a.spelled(f, "json")
	declare(f.IntVar, map[string]*int{"width": &a.width})
	declare(f.BoolVar, map[string]*bool{"no-color": &a.noColor})
	completes(root, "as", names...)
	root.SetGlobalNormalizationFunc(func(_ *pflag.FlagSet, name string) pflag.NormalizedName {
		if name == "format" {
			name = "as"
		}
		return pflag.NormalizedName(name)
	})
}

// completes tells the words that a flag takes.
func completes(c *cobra.Command, flag string, words ...string) {
	_ = c.RegisterFlagCompletionFunc(flag, cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp)) // fails only for no flag
}

// onCase makes a command take one case file, and onFolder a folder, as its first
// argument.
func onCase(c *cobra.Command) *cobra.Command {
	c.ValidArgsFunction = caseFiles
	return c
}

func onFolder(c *cobra.Command) *cobra.Command {
	c.ValidArgsFunction = folders
	return c
}

// caseFiles completes the names of case files.
func caseFiles(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	if len(args) > 0 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	return []string{"yaml", "yml"}, cobra.ShellCompDirectiveFilterFileExt
}

// folders completes the names of folders.
func folders(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	if len(args) > 0 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	return nil, cobra.ShellCompDirectiveFilterDirs
}

// names completes what the rules in force have.
func (a *app) names(list func(*engine.Engine) []string) cobra.CompletionFunc {
	return func(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
		path := ""
		if len(args) > 0 {
			path = args[0]
		}
		e, err := a.open(path)
		if err != nil {
			return nil, cobra.ShellCompDirectiveError
		}
		return list(e), cobra.ShellCompDirectiveNoFileComp
	}
}

var inGo = regexp.MustCompile(`: strconv\..*$|: (invalid|parsing).*$`)

// plainFlag takes the words of the program's language out of a flag's fault.
func plainFlag(err error) error {
	return fmt.Errorf("%s; `--help` says what each takes", inGo.ReplaceAllString(err.Error(), ""))
}

// again is a call on a file as a line that can be corrected and run again, "" where
// it says nothing but the file.
func again(c *cobra.Command, file string) string {
	said := []string{c.CommandPath(), quoted(file)}
	words := said
	c.Flags().VisitAll(func(f *pflag.Flag) {
		switch v, ok := f.Value.(pflag.SliceValue); {
		case !f.Changed || f.Name == "ask":
		case ok:
			for _, one := range v.GetSlice() {
				words = append(words, "--"+f.Name, quoted(one))
			}
		case strings.HasPrefix(f.Value.Type(), "bool"):
			words = append(words, "--"+f.Name)
		default:
			words = append(words, "--"+f.Name, quoted(f.Value.String()))
		}
	})
	if len(words) == len(said) {
		return ""
	}
	return strings.Join(words, " ")
}

var bareWord = regexp.MustCompile(`^[A-Za-z0-9_./:=,%+-]+$`)

// quoted writes a word as a shell takes it.
func quoted(w string) string {
	if bareWord.MatchString(w) {
		return w
	}
	return "'" + strings.ReplaceAll(w, "'", `'\''`) + "'"
}

// dayFlag reads the day of a flag, "" for none.
func dayFlag(name, text, such string, into *time.Time) (err error) {
	if text == "" {
		return nil
	}
	if *into, err = time.Parse(time.DateOnly, text); err != nil {
		return mistake("--%s takes a day such as %s, not %q", name, such, text)
	}
	return nil
}
