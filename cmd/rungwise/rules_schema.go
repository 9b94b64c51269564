package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/ruletest"
)

func (a *app) rulesSchema() *cobra.Command {
	c := &cobra.Command{
		Use:   "schema [case|house]",
		Short: "the JSON Schema of case files or house files, for editors",
		Long: "The JSON Schema of case files or of house files, with the names of the rules in\n" +
			"force. With --out both are written into a folder under the names that new files\n" +
			"refer to in their first line; editors then complete and underline names.",
		Example: "  rungwise rules schema house > house.schema.json\n" +
			"  rungwise rules schema --out athletes",
		Args:      cobra.MaximumNArgs(1),
		ValidArgs: []string{"case", "house"},
	}
	out := c.Flags().String("out", "", "write both schemas into this folder")
	c.RunE = func(_ *cobra.Command, args []string) error {
		e, err := a.open("")
		if err != nil {
			return err
		}
		if *out != "" {
			return a.schemas(e, *out)
		}
		if len(args) == 0 || args[0] != "case" && args[0] != "house" {
			return status{usage, errors.New("say which schema: `rungwise rules schema case` or `rungwise rules schema house`")}
		}
		text, err := e.Schema(args[0])
		if err != nil {
			return status{failed, err}
		}
		_, err = a.out.Write(text)
		return err
	}
	return c
}

func (a *app) schemas(e *engine.Engine, dir string) error {
	if err := a.schemaFile(e, filepath.Join(dir, ruletest.CaseSchema), "case"); err != nil {
		return err
	}
	return a.schemaFile(e, filepath.Join(dir, ruletest.HouseSchema), "house")
}

// schemaBeside writes the schema of house files where there is none yet.
func (a *app) schemaBeside(e *engine.Engine, dir string) error {
	path := filepath.Join(dir, ruletest.HouseSchema)
	if _, err := os.Stat(path); err == nil {
		return nil
	}
	return a.schemaFile(e, path, "house")
}

// schemaFile writes a schema, over an older one where there is one.
func (a *app) schemaFile(e *engine.Engine, path, kind string) error {
	text, err := e.Schema(kind)
	if err != nil {
		return status{failed, err}
	}
	if err := os.WriteFile(path, text, 0o644); err != nil {
		return status{failed, fmt.Errorf("%s: could not be written", path)}
	}
	return nil
}

func (a *app) rulesDoc() *cobra.Command {
	var html bool
	var out string
	c := &cobra.Command{
		Use:   "doc [HOUSE]",
		Short: "the rules as a book, as Markdown or as one page",
		Example: "  rungwise rules doc house > rules.md\n" +
			"  rungwise rules doc house --html --out rules.html",
		Args:              cobra.MaximumNArgs(1),
		ValidArgsFunction: folders,
	}
	c.Flags().BoolVar(&html, "html", false, "one HTML page that needs nothing else")
	c.Flags().StringVar(&out, "out", "", "write to this file")
	c.RunE = func(_ *cobra.Command, args []string) error {
		if len(args) > 0 {
			a.house = args[0]
		}
		e, err := a.open("")
		if err != nil {
			return err
		}
		text, err := e.RuleBook(html)
		if err != nil {
			return status{failed, err}
		}
		if out == "" {
			_, err = a.out.Write(text)
			return err
		}
		if err := os.WriteFile(out, text, 0o644); err != nil {
			return status{failed, fmt.Errorf("%s: could not be written", out)}
		}
		fmt.Fprintf(a.err, "wrote %s\n", out)
		return nil
	}
	return c
}
