package casefile

import (
	"regexp"
	"testing"

	"rungwise/engine/source"
)

// What a new file explains reads as it stands once the marks of its comments are taken away.
func TestTheCommentsOfANewFileRead(t *testing.T) {
	text := regexp.MustCompile(`(?m)^# ([a-z]+:|  )`).ReplaceAll(New(Start{Code: "SM-40", Age: "17"}), []byte("$1"))
	v := vocabulary(t)
	c, ds := Parse(source.New("sm-40.yaml", text), v)
	if len(ds) > 0 {
		t.Fatal(ds.Sorted()[0])
	}
	if c.Screened.IsZero() || c.Reference.Throw == "" || len(c.Mound) == 0 || len(c.Load.Weeks) == 0 || len(c.Ladders) == 0 || len(c.Seen) == 0 {
		t.Errorf("a block of the template was not read: %+v", c)
	}
}
