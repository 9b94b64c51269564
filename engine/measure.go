package engine

import (
	"fmt"

	"rungwise/engine/casefile"
	"rungwise/engine/checklist"
	"rungwise/engine/compose"
	"rungwise/engine/diag"
	"rungwise/engine/report"
	"rungwise/engine/source"
	"rungwise/engine/unit"
)

// Checkpoint returns the checkpoint of an id or a title; the error names the closest one.
func (e *Engine) Checkpoint(id string) (checklist.Checkpoint, error) {
	if p, ok := e.base.Checklist.Checkpoint(e.checkpointID(id)); ok {
		return p, nil
	}
	f := &unit.Fault{Says: fmt.Sprintf("there is no checkpoint called %q", id), Help: "`rungwise rules list facts` shows them all"}
	if near, ok := diag.Nearest(id, e.base.Checklist.CheckpointIDs()); ok {
		f.Help = "the closest name is " + near
	}
	return checklist.Checkpoint{}, f
}

// Cameras tells what a frame rate can answer.
func (e *Engine) Cameras(fps float64) *report.Cameras { return compose.Cameras(e.base.Checklist, fps) }

// Agreement compares two gradings of the same clips.
func (e *Engine) Agreement(first, second *casefile.Case) (*report.Agreement, error) {
	return compose.Agreement(first, second, e.base)
}

// AddLook returns a case file's bytes with one more clip of a checkpoint on a
// throw, and the case as it then reads. With errors in the list nothing may be
// written and the case is nil.
func (e *Engine) AddLook(f *source.File, checkpoint, throw string, look casefile.Look) ([]byte, *casefile.Case, diag.List) {
	out, err := f.Append([]string{"seen", checkpoint, throw}, look.Text())
	if err != nil {
		return nil, nil, diag.List{{Place: f.Place(0, 0), Code: "C340", Headline: err.Error(), Help: "write the line by hand"}}
	}
	c, ds := e.Case(source.New(f.Path, out))
	return out, c, ds
}

// Compared is the row of a checkpoint in a case's record, where it may be
// spoken of and was seen at all.
func (e *Engine) Compared(c *casefile.Case, checkpoint string) *report.Row {
	r, err := e.Triage(c)
	if err != nil {
		return nil
	}
	for i := range r.Comparison.Rows {
		if row := &r.Comparison.Rows[i]; row.Checkpoint == checkpoint && (row.Best != "" || row.Stuck != "") {
			return row
		}
	}
	return nil
}
