package pages

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
)

func TestFilesOfNamesAllOfOneAthlete(t *testing.T) {
	dir := t.TempDir()
	const text = "rungwise: case/1\nathlete: {code: "
	for name, body := range map[string]string{
		"miller.yaml": text + "SM-4}\n", "miller.yaml~": "x", ".miller.yaml.lock": "", ".miller.yaml.new-1": "x", "miller.log.jsonl": "x", ".miller.log.jsonl.lock": "",
		"sm-4-plan.html": "x", "sm-4-coach.md": "x", "sub/again.yaml": text + "SM-4, age: lots}\n",
		"plans/sm-4-plan.md": "x", "plans/.sm-4-plan.md.new-2": "x", "plans/notes.md": "x", "plans/sm-40-plan.md": "x",
		"sub/again.plans.json": `{"folders": ["../elsewhere"]}`, "elsewhere/sm-4-coach.html": "x", "elsewhere/else.html": "x",
		"sm-4.yml": "athlete: [broken\n", ".sm-4.yml.tmp-7": "x", "torn.yaml": "athlete: {code: SM-4\n", "torn-40.yaml": "athlete: {code: SM-40\n",
		"gone/sm-4.yaml~": "x", "gone/sm-4.log.jsonl": "x", "other/sm-4.yaml": text + "SM-9}\n", "other/sm-4.log.jsonl": "x",
		"sm-40.yaml": text + "SM-40}\n", "sm-40-plan.html": "x", "miller.txt": "x", ".sm-40.yaml.lock": "",
	} {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(body), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	files, err := FilesOf("SM-4", dir)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, p := range files.Paths {
		name, _ := filepath.Rel(dir, p)
		got = append(got, name)
	}
	want := []string{".miller.log.jsonl.lock", ".miller.yaml.lock", ".miller.yaml.new-1", ".sm-4.yml.tmp-7", "elsewhere/sm-4-coach.html", "gone/sm-4.log.jsonl", "gone/sm-4.yaml~",
		"miller.log.jsonl", "miller.yaml", "miller.yaml~", "plans/.sm-4-plan.md.new-2", "plans/sm-4-plan.md", "sm-4-coach.md", "sm-4-plan.html",
		"sm-4.yml", "sub/again.plans.json", "sub/again.yaml", "torn.yaml"}
	if len(files.Unread) != 2 {
		t.Errorf("not read are %v", files.Unread)
	}
	if !slices.Equal(got, want) {
		t.Errorf("got  %v\nwant %v", got, want)
	}
}
