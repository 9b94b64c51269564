//go:build unix

package casefile

import (
	"bytes"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// Where the disk is full in the middle of a line, the log is as it was before,
// and the next entry stands on a line of its own.
func TestAFailedAppendLeavesNoTornLine(t *testing.T) {
	if path := os.Getenv("RUNGWISE_TEST_FULL"); path != "" {
		onAFullDisk(t, path)
		return
	}
	path := filepath.Join(t.TempDir(), "a.log.jsonl")
	entry := Entry{Entered: "2026-11-12", On: "2026-11-11", What: LogSession, Health: fine(), Throws: 20}
	if _, err := AppendEntry(path, entry); err != nil {
		t.Fatal(err)
	}
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	child := exec.Command(os.Args[0], "-test.run=^TestAFailedAppendLeavesNoTornLine$")
	child.Env = append(os.Environ(), "RUNGWISE_TEST_FULL="+path)
	if said, err := child.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, said)
	}
	if after, err := os.ReadFile(path); err != nil || !bytes.Equal(before, after) {
		t.Fatalf("the log became %q, %v", after, err)
	}
	if e, err := AppendEntry(path, entry); err != nil || e.ID != 2 {
		t.Errorf("the next entry is %d, %v", e.ID, err)
	}
	if l, said := readLog(t, path, "2026-11-12"); len(l.Entries) != 2 || said != "" {
		t.Errorf("%d entries: %s", len(l.Entries), said)
	}
}

// onAFullDisk appends where no file may grow by more than a part of a line.
func onAFullDisk(t *testing.T, path string) {
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	signal.Ignore(syscall.SIGXFSZ)
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: uint64(info.Size() + 20), Max: uint64(info.Size() + 20)}); err != nil {
		t.Skip("no limit can be set here: ", err)
	}
	entry := Entry{Entered: "2026-11-12", On: "2026-11-11", What: LogSession, Health: fine(), Throws: 20}
	if _, err := AppendEntry(path, entry); err == nil || !strings.Contains(err.Error(), "nothing was logged") {
		t.Errorf("the append says %v", err)
	}
}
