package render

import (
	"flag"
	"os"
	"path/filepath"
	"testing"
)

var pages = flag.String("pages", "", "write the sample pages into this directory, to look at")

// TestWritePages leaves pages and charts for a look with a browser.
func TestWritePages(t *testing.T) {
	if *pages == "" {
		t.Skip("only with -pages")
	}
	for name, r := range samples() {
		for _, kind := range []string{AthletePage, CoachPage} {
			o := Options{Words: houseWords(t), Page: kind}
			text, err := HTML(r, o)
			if err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join(*pages, name+"_"+kind+".html"), text, 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
}
