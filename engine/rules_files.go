package engine

import (
	"archive/zip"
	"bytes"
	"context"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/report"
	"rungwise/engine/rulebook"
	"rungwise/engine/source"
)

// SetSpacing sets the spacing of the rule files named and of those in the folders
// named, or only lists those that it would set. The list holds what is wrong with
// files that cannot be set.
func SetSpacing(paths []string, only bool) (set report.Written, bad diag.List, err error) {
	set = report.Written{Rungwise: "spacing/1", Files: []string{}}
	files, err := ruleFiles(paths)
	if err != nil {
		return set, nil, err
	}
	for _, p := range files {
		f, err := casefile.Read(p)
		if err != nil {
			return set, bad, err
		}
		data, ds, err := rulebook.Format(f)
		if err != nil {
			return set, bad, err
		}
		if ds.Errors() > 0 {
			bad = append(bad, ds...)
			continue
		}
		if data == nil || bytes.Equal(data, f.Bytes) {
			continue
		}
		if set.Files = append(set.Files, p); only {
			continue
		}
		if err := casefile.Replace(f, data); err != nil {
			return set, bad, err
		}
	}
	return set, bad, nil
}

// ruleFiles lists the files named, and the rule files of the folders named.
func ruleFiles(paths []string) (out []string, err error) {
	for _, path := range paths {
		err := filepath.WalkDir(path, func(p string, d fs.DirEntry, err error) error {
			if err == nil && !d.IsDir() && (p == path || source.IsYAML(p)) {
				out = append(out, p)
			}
			return err
		})
		if err != nil {
			return out, fmt.Errorf("%s: could not be read", path)
		}
	}
	return out, nil
}

// pollEvery is how often a watched folder is looked at: often enough that an
// answer comes within a tenth of a second of a save.
const pollEvery = 20 * time.Millisecond

// Watch calls now and whenever a rule file of a folder was saved, until the context
// ends or the call fails.
func Watch(ctx context.Context, dir string, call func() error) error {
	before := ""
	for {
		if now := snapshot(dir); now != before {
			before = now
			if err := call(); err != nil {
				return err
			}
		}
		select {
		case <-ctx.Done():
			return nil
		case <-time.After(pollEvery):
		}
	}
}

// snapshot tells the files of a folder apart from what they were: their names,
// sizes and times.
func snapshot(dir string) string {
	var b strings.Builder
	files, _ := ruleFiles([]string{dir}) // what cannot be read is told by the check
	for _, p := range files {
		if info, err := os.Stat(p); err == nil {
			fmt.Fprintf(&b, "%s %d %d\n", p, info.Size(), info.ModTime().UnixNano())
		}
	}
	return b.String()
}

// AtRevision reads a folder as it was at a git revision.
func AtRevision(dir, rev string) (fs.FS, error) {
	if rev == "" || strings.HasPrefix(rev, "-") {
		return nil, fmt.Errorf("%q is no git revision", rev)
	}
	cmd := exec.Command("git", "-C", dir, "archive", "--format=zip", rev, ".")
	var out, said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &said
	if err := cmd.Run(); err != nil {
		return nil, fmt.Errorf("git does not give %s at %s: %s", dir, rev, strings.TrimSpace(said.String()))
	}
	return zip.NewReader(bytes.NewReader(out.Bytes()), int64(out.Len()))
}
