// Package pages keeps the pages and calendars of an athlete in their folders.
//
// Its invariant: a page of ours in a folder that was written to says what the
// newest record says, a refusal included; what somebody has written or changed
// by hand is never lost, and a file that is not ours is never touched.
package pages

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"rungwise/engine/casefile"
	"rungwise/engine/render"
	"rungwise/engine/report"
)

// Kinds lists the kinds of page by their names.
func Kinds() []string { return []string{"md", "html", "ics", "json"} }

// mostBytes is beyond any page of ours.
const mostBytes = 16 << 20

// Job is one record on its way into folders.
type Job struct {
	Report  *report.Report
	Options render.Options
	From    string // hash of what the record was made from
}

// Of is the record of a case on its way, made from its file, its log and the rules.
func Of(c *casefile.Case, r *report.Report, o render.Options) Job {
	parts := [][]byte{c.File.Bytes, []byte(r.On), []byte(r.Rules.Hash)}
	if c.Log != nil {
		if log, err := json.Marshal(c.Log.Entries); err == nil {
			parts = append(parts, log)
		}
	}
	return Job{Report: r, Options: o, From: From(parts...)}
}

// page is one file of a folder.
type page struct{ name, kind, face string }

// pagesOf lists the pages of an athlete.
func pagesOf(code string) []page {
	base := strings.ToLower(code)
	return []page{
		{base + "-plan.md", "md", render.AthletePage}, {base + "-coach.md", "md", render.CoachPage},
		{base + "-plan.html", "html", render.AthletePage}, {base + "-coach.html", "html", render.CoachPage},
		{base + "-plan.ics", "ics", ""}, {base + "-plan.json", "json", ""},
	}
}

// Write writes the pages of the kinds given into a folder, and every other page
// of ours that is there, so that none is left that says something older. It
// tells what it did, a line each; the error tells of every file that could not
// be written, and comes after all the others are.
func (j Job) Write(dir string, kinds []string) (told []string, err error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("%s: the folder could not be made", dir)
	}
	var faults []error
	for _, p := range pagesOf(j.Report.Case) {
		lines, err := j.one(filepath.Join(dir, p.name), p, slices.Contains(kinds, p.kind))
		told = append(told, lines...)
		if err != nil {
			faults = append(faults, err)
		}
	}
	return told, errors.Join(faults...)
}

// one writes one page; one that is not wanted is written only where an older
// one of ours is there.
func (j Job) one(path string, p page, wanted bool) (told []string, err error) {
	old, there := read(path)
	ours, intact := marked(p.name, old)
	if !wanted && !ours {
		if there && j.Report.Plan == nil {
			told = append(told, path+" is not as we wrote it and was left alone: look whether it still shows a plan")
		}
		return told, nil
	}
	if !ours {
		old = nil
	}
	data, err := j.render(p, old)
	switch {
	case errors.Is(err, render.ErrNoPlan):
		return nil, nil
	case err != nil:
		return nil, err
	}
	data = stamp(p.name, data, j.From)
	switch {
	case !there:
		err = casefile.Create(path, data)
	case !ours:
		return nil, fmt.Errorf("%s is there already and says something else: move it away, or choose another folder with --out", path)
	case !intact:
		var aside string
		if aside, err = moveAside(path); err == nil {
			told = append(told, fmt.Sprintf("%s was changed by hand since it was written: that one is kept as %s", path, aside))
			err = casefile.Create(path, data)
		}
	case !bytes.Equal(old, data):
		err = casefile.Put(path, data)
	}
	if err != nil {
		return told, err
	}
	return append(told, "wrote "+path), nil
}

// read reads a page that may be there. What is no ordinary file of a page's size
// is there, and not ours.
func read(path string) (text []byte, there bool) {
	info, err := os.Lstat(path)
	if err != nil {
		return nil, !errors.Is(err, os.ErrNotExist)
	}
	if !info.Mode().IsRegular() || info.Size() > mostBytes {
		return nil, true
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, true
	}
	defer f.Close()
	if text, err = io.ReadAll(io.LimitReader(f, mostBytes)); err != nil {
		return nil, true
	}
	return text, true
}

// mostAside bounds how many changed pages may lie beside ours.
const mostAside = 99

// moveAside gives a page a free name beside it.
func moveAside(path string) (string, error) {
	for n := 1; n <= mostAside; n++ {
		to := path + "~"
		if n > 1 {
			to += fmt.Sprint(n)
		}
		if _, err := os.Lstat(to); errors.Is(err, os.ErrNotExist) {
			return to, os.Rename(path, to)
		}
	}
	return "", fmt.Errorf("%s was changed by hand, and too many older ones lie beside it: move them away", path)
}

// render makes one page; before is the calendar that it follows.
func (j Job) render(p page, before []byte) ([]byte, error) {
	o := j.Options
	o.Width, o.Page = 100, p.face
	switch p.kind {
	case "md":
		if p.face == render.CoachPage {
			return []byte(render.CoachPlan(j.Report, o)), nil
		}
		return []byte(render.Plan(j.Report, o)), nil
	case "html":
		return render.HTML(j.Report, o)
	case "ics":
		data, err := render.CalendarAfter(j.Report, before, o)
		if errors.Is(err, render.ErrOldCalendar) {
			return render.Calendar(j.Report, o)
		}
		return data, err
	}
	var b bytes.Buffer
	err := render.JSON(&b, j.Report)
	return b.Bytes(), err
}
