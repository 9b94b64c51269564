package main

import (
	_ "embed"

	"github.com/spf13/cobra"

	"rungwise/engine/report"
)

// licences holds the notice of every module that is linked in, on any of the
// systems that the program is built for. A test holds it against the modules.
//
//go:generate env RUNGWISE_UPDATE=1 go test -count=1 -run ^TestLicences$ .
//go:embed licences.txt
var licences string

func (a *app) licencesCommand() *cobra.Command {
	c := &cobra.Command{
		Use:  "licences",
		Args: cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			return a.show(shown{record: report.Licences{Rungwise: "licences/1", Text: licences}})
		},
	}
	return a.prints(c, shown{record: report.Licences{}})
}
