package engine

import (
	"os"
	"testing"
	"time"

	"rungwise/testdata/cases"
)

// Neither the base nor the valid house of the invented club is looser than the
// base, and most athletes drawn get a plan, so that this says something.
func TestTheBaseAndTheClubHoldTheirLimits(t *testing.T) {
	n := 200
	if *study {
		n = DeepJudging
	}
	k := NewChecker(Shipped(), false)
	for _, dir := range []string{"", "../testdata/house/saltmarsh"} {
		start := time.Now()
		c := k.Check(nil, "", day())
		if dir != "" {
			c = k.Check(os.DirFS(dir), dir, day())
		}
		got, err := k.Judge(c, os.DirFS(dir), dir, day(), Athletes{Files: cases.FS, On: cases.Day()}, n)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range got.Findings {
			t.Errorf("%s: %s", dir, f)
		}
		t.Logf("%q: %d athletes, %d planned, %s", dir, got.Athletes, got.Planned, time.Since(start))
		if got.Planned*3 < got.Athletes {
			t.Errorf("%d of %d athletes got a plan: too few to mean anything", got.Planned, got.Athletes)
		}
	}
}
