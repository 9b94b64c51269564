package casefile

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

func TestReplaceRefusesWhatSomebodyElseWrote(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.yaml")
	if err := Create(path, []byte("one\n")); err != nil {
		t.Fatal(err)
	}
	f, err := Read(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte("theirs\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := Replace(f, []byte("ours\n")); !errors.Is(err, ErrChanged) {
		t.Fatalf("got %v", err)
	}
	if b, _ := os.ReadFile(path); string(b) != "theirs\n" {
		t.Errorf("the other text was lost: %q", b)
	}
}

func TestReplaceKeepsTheTextBeforeAndTheMode(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.yaml")
	if err := Create(path, []byte("one\n")); err != nil {
		t.Fatal(err)
	}
	f, err := Read(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := Replace(f, []byte("two\n")); err != nil {
		t.Fatal(err)
	}
	before, _ := os.ReadFile(path + "~")
	info, err := os.Stat(path)
	if err != nil || string(before) != "one\n" || info.Mode().Perm() != 0o600 {
		t.Errorf("before is %q, mode %v, %v", before, info.Mode(), err)
	}
}

func TestCreateNeverReplaces(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.yaml")
	if err := Create(path, nil); err != nil {
		t.Fatal(err)
	}
	if err := Create(path, nil); !errors.Is(err, ErrExists) {
		t.Errorf("got %v", err)
	}
}

func TestAppendEndsATornLineFirst(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.log.jsonl")
	if err := os.WriteFile(path, []byte(`{"cut":`), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := AppendEntry(path, Entry{Entered: "2026-11-12", On: "2026-11-12", What: LogScreen}); err != nil {
		t.Fatal(err)
	}
	if b, _ := os.ReadFile(path); !strings.HasPrefix(string(b), "{\"cut\":\n{\"rungwise\"") || !strings.HasSuffix(string(b), "}\n") {
		t.Errorf("got %q", b)
	}
}

func TestManyWritersLoseNothing(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.log.jsonl")
	var wg sync.WaitGroup
	for w := range 8 {
		wg.Go(func() {
			for i := range 10 {
				if err := locked(path, func() error { return grow(path, fmt.Appendf(nil, "%d %d\n", w, i)) }); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Wait()
	b, err := os.ReadFile(path)
	if err != nil || bytes.Count(b, []byte("\n")) != 80 {
		t.Errorf("%d lines, %v", bytes.Count(b, []byte("\n")), err)
	}
}

func TestWritesLeaveNothingBehind(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.yaml")
	if err := Create(path, []byte("x\n")); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, ".a.yaml.new-123"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	f, err := Read(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := Replace(f, []byte("y\n")); err != nil {
		t.Fatal(err)
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if strings.Contains(e.Name(), ".new-") {
			t.Errorf("%s was left behind", e.Name())
		}
	}
}
