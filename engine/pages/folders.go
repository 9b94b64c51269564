package pages

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"rungwise/engine/casefile"
)

// List is the file beside a case that holds the folders to which its pages were
// written.
func List(casePath string) string {
	return strings.TrimSuffix(casefile.LogPath(casePath), ".log.jsonl") + ".plans.json"
}

type folders struct {
	Folders []string `json:"folders"` // from the folder of the case where they lie in it
}

// Remember keeps a folder to which pages of a case are written.
func Remember(casePath, dir string) error {
	all, err := Folders(casePath)
	if err != nil {
		return err
	}
	home, err := filepath.Abs(filepath.Dir(casePath))
	if err != nil {
		return err
	}
	var out folders
	for _, d := range append(all, dir) {
		if d, err = filepath.Abs(d); err != nil {
			return err
		}
		if near, err := filepath.Rel(home, d); err == nil && filepath.IsLocal(near) {
			d = near
		}
		out.Folders = append(out.Folders, filepath.ToSlash(d))
	}
	slices.Sort(out.Folders)
	if out.Folders = slices.Compact(out.Folders); len(out.Folders) == len(all) {
		return nil
	}
	data, err := json.MarshalIndent(out, "", "  ")
	if err != nil {
		return err
	}
	return casefile.Put(List(casePath), append(data, '\n'))
}

// Folders lists the folders to which pages of a case were written; none is no
// error.
func Folders(casePath string) ([]string, error) {
	text, there := read(List(casePath))
	if !there {
		return nil, nil
	}
	var in folders
	if err := json.Unmarshal(text, &in); err != nil {
		return nil, fmt.Errorf("%s cannot be read, so it is not known where the pages of this athlete lie: move it away and write them again with --out", List(casePath))
	}
	var out []string
	for _, d := range in.Folders {
		if d = filepath.FromSlash(d); !filepath.IsAbs(d) {
			d = filepath.Join(filepath.Dir(casePath), d)
		}
		out = append(out, d)
	}
	return out, nil
}

// Withdraw writes the record over every page of ours in every folder to which
// pages of the case were written. It is what a stop does: the pages then say
// what to do now, and the calendars cancel what they held. A folder that is gone
// has nothing to withdraw.
func (j Job) Withdraw(casePath string) (told []string, err error) {
	all, err := Folders(casePath)
	if err != nil {
		return nil, err
	}
	var faults []error
	for _, dir := range all {
		if info, err := os.Stat(dir); err != nil || !info.IsDir() {
			continue
		}
		lines, err := j.Write(dir, nil)
		told = append(told, lines...)
		if err != nil {
			faults = append(faults, err)
		}
	}
	return told, errors.Join(faults...)
}
