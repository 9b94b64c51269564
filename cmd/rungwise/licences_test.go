package main

import (
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"rungwise/engine/diag"
)

// linked lists the modules that are in the program as it is built for a system,
// Go's own library among them, with the folders of their packages.
func linked(t *testing.T, system string) map[string][]string {
	t.Helper()
	list := exec.Command("go", "list", "-deps", "-f", `{{with .Module}}{{if not .Main}}{{.Path}} {{.Version}}|{{.Dir}}|{{$.Dir}}{{end}}{{else}}Go and its library|{{.Root}}|{{.Root}}{{end}}`, ".")
	list.Env = append(os.Environ(), "GOOS="+system, "CGO_ENABLED=0")
	out, err := list.Output()
	if err != nil {
		t.Fatal(err)
	}
	modules := map[string][]string{}
	for line := range strings.Lines(string(out)) {
		part := strings.Split(strings.TrimSpace(line), "|")
		if len(part) != 3 {
			continue
		}
		for dir := part[2]; len(dir) >= len(part[1]); dir = filepath.Dir(dir) { // a package may have a notice of its own
			if !slices.Contains(modules[part[0]], dir) {
				modules[part[0]] = append(modules[part[0]], dir)
			}
		}
	}
	return modules
}

var isNotice = regexp.MustCompile(`(?i)^(licen[cs]e|copying|notice|patents|third.?party)`)

// notices are the files of a module that have to go with it, in words.
func notices(t *testing.T, module string, dirs []string) string {
	t.Helper()
	var out strings.Builder
	slices.Sort(dirs)
	for _, dir := range dirs {
		files, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range files {
			if f.IsDir() || !isNotice.MatchString(f.Name()) || strings.HasSuffix(f.Name(), ".go") {
				continue
			}
			b, err := os.ReadFile(filepath.Join(dir, f.Name()))
			if err != nil {
				t.Fatal(err)
			}
			text := diag.Clean(strings.NewReplacer("\r\n", "\n", "\f", "").Replace(string(b)))
			fmt.Fprintf(&out, "%s\n\n", strings.Trim(text, "\n"))
		}
	}
	if out.Len() == 0 {
		t.Errorf("%s has no notice that could be found", module)
	}
	return out.String()
}

const ruler = "======== "

// Every module that is linked in stands in licences.txt with its notices, and no
// other. RUNGWISE_UPDATE writes the file.
func TestLicences(t *testing.T) {
	systems := []string{"linux"}
	if os.Getenv("RUNGWISE_UPDATE") != "" {
		systems = []string{"linux", "darwin", "windows"}
	}
	modules := map[string][]string{}
	for _, s := range systems {
		for m, dirs := range linked(t, s) {
			modules[m] = slices.Compact(slices.Sorted(slices.Values(append(modules[m], dirs...))))
		}
	}
	if len(modules) < 30 {
		t.Fatalf("only %d modules are linked in", len(modules))
	}
	want := map[string]string{"rungwise": notices(t, "rungwise", []string{"../.."})}
	for m, dirs := range modules {
		want[m] = notices(t, m, dirs)
	}
	if os.Getenv("RUNGWISE_UPDATE") != "" {
		write(t, want)
	}
	b, err := os.ReadFile("licences.txt")
	if err != nil {
		t.Fatal(err)
	}
	has := map[string]string{}
	for part := range strings.SplitSeq(string(b), ruler) {
		name, text, _ := strings.Cut(part, "\n")
		has[name] = text
	}
	sums, err := os.ReadFile("../../go.sum")
	if err != nil {
		t.Fatal(err)
	}
	for m, text := range want {
		if strings.TrimSpace(has[m]) != strings.TrimSpace(text) {
			t.Errorf("the notices of %s are missing or old: go generate ./cmd/rungwise", m)
		}
	}
	for m := range has {
		if _, known := want[m]; !known && m != "" && !strings.Contains(string(sums), m+" h1:") {
			t.Errorf("%s is not linked in any more: go generate ./cmd/rungwise", m)
		}
	}
}

func write(t *testing.T, want map[string]string) {
	t.Helper()
	var out strings.Builder
	names := slices.DeleteFunc(slices.Sorted(maps.Keys(want)), func(n string) bool { return n == "rungwise" })
	for _, n := range append([]string{"rungwise"}, names...) {
		fmt.Fprintf(&out, "%s%s\n\n%s", ruler, n, want[n])
	}
	if err := os.WriteFile("licences.txt", []byte(out.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}
