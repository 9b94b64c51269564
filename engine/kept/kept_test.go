package kept

import (
	"os"
	"path/filepath"
	"testing"
)

// What was put is found in the next run under the same key, what was not used
// there goes, and a spoilt file only costs time.
func TestKept(t *testing.T) {
	dir := t.TempDir()
	run := func(put bool, keys ...string) (found int) {
		s := Open(dir, "athletes")
		for _, k := range keys {
			v := 0
			if s.Get(k, &v) {
				found++
				continue
			}
			if put {
				s.Put(k, len(k))
			}
		}
		s.Close()
		return found
	}
	a, b := Key("a", "bc"), Key("ab", "c")
	for i, want := range []int{0, 2, 1, 1} {
		keys := []string{a, b}
		if i >= 2 {
			keys = keys[:1]
		}
		if got := run(true, keys...); got != want {
			t.Errorf("run %d found %d, not %d", i, got, want)
		}
	}
	if got := run(false, a, b); got != 1 {
		t.Errorf("what was not used is still there: %d", got)
	}
	files, _ := filepath.Glob(filepath.Join(dir, "*"))
	if len(files) != 1 {
		t.Fatalf("kept in %v", files)
	}
	if info, err := os.Stat(files[0]); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("anybody may read it: %v, %v", info, err)
	}
	if err := os.WriteFile(files[0], []byte("{\"key\":\"x\"}\nrubbish\n\x00"), 0o600); err != nil {
		t.Fatal(err)
	}
	if got := run(true, a); got != 0 {
		t.Errorf("%d found in a spoilt file", got)
	}
	none := Open("", "athletes")
	none.Put(a, 1)
	none.Close()
	if none.Get(a, new(int)) {
		t.Error("a store without a folder keeps something")
	}
}
