package engine

import (
	"errors"

	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/source"
)

// anyCode stands for the code of a case while the rest is checked.
const anyCode = "A-1"

// titled puts the id of the reference drill in the place of its title.
func (e *Engine) titled(s casefile.Start) casefile.Start {
	if id, err := e.Named("throws", s.Reference); err == nil {
		s.Reference = id
	}
	return s
}

// CheckStart says what is wrong with what a new case begins with, as far as it is
// told; nil for nothing.
func (e *Engine) CheckStart(s casefile.Start) error {
	if s.Code == "" {
		s.Code = anyCode
	}
	_, ds := e.Case(source.New("", casefile.New(e.titled(s))))
	for _, d := range ds.Sorted() {
		if d.Level != diag.Error {
			continue
		}
		if d.Help != "" {
			return errors.New(d.Headline + "; " + d.Help)
		}
		return errors.New(d.Headline)
	}
	return nil
}

// Start writes a new case file, which is checked as any other before. The error
// may be *Faults, and casefile.ErrExists.
func (e *Engine) Start(path string, s casefile.Start) error {
	text := casefile.New(e.titled(s))
	if k, ds := e.Case(source.New(path, text)); k == nil {
		return &Faults{ds, "nothing was written"}
	}
	return casefile.Create(path, text)
}
