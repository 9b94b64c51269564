package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"regexp"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"rungwise/engine"
	"rungwise/engine/casefile"
	"rungwise/engine/diag"
)

// kept logs what a call says of the arm by itself, where the call could not be
// logged as it is: nothing that is told of a body is lost beside a slip of the
// fingers. It returns why the call failed.
func (a *app) kept(path string, f logFlags, why error) error {
	if _, err := os.Stat(path); err != nil || path == "-" || why == nil || errors.Is(why, errOtherFile) {
		return why
	}
	today, err := a.today()
	if err != nil {
		return why
	}
	e, _ := engine.Open(engine.Options{Trade: a.trade, Today: today}) // the house may be what is wrong
	if e == nil {
		return why
	}
	x := f.ofTheArm(e)
	if x.Health.Complaint() == "" && x.Unread == "" && x.Note == "" {
		return why
	}
	x.Entered, x.On = today.Format(time.DateOnly), today.Format(time.DateOnly)
	log, err := casefile.LogOf(path)
	if err == nil {
		x, err = casefile.AppendEntry(log, x)
	}
	if err != nil {
		fmt.Fprintf(a.err, "what is wrong with the arm could not be logged: %s\n", diag.Clean(err.Error()))
		return why
	}
	fmt.Fprintf(a.err, "what is wrong with the arm is logged by itself, as entry %d\n", x.ID)
	quiet := *a
	quiet.out, quiet.err = io.Discard, io.Discard
	if e, k, err := quiet.readCase(path); err == nil {
		if err := a.withdrawn(e, k, path); err != nil {
			return err
		}
	}
	return why
}

// ofTheArm is what the flags say of the body and nothing else. What is not
// understood is kept as it stands.
func (f logFlags) ofTheArm(e *engine.Engine) casefile.Entry {
	x := casefile.Entry{What: casefile.LogSession, Health: &casefile.Health{}}
	var unread []string
	if f.slip != "" {
		s := e.ReadSlip(f.slip)
		x.Health, x.Note = s.Health, s.Note
		if s.Unread != "" {
			unread = append(unread, s.Unread)
		}
	}
	f.flag(x.Health)
	for _, place := range []string{f.sore, f.asked} {
		at, err := casefile.SoreAt(place, e.Places())
		switch {
		case place == "" || at == "none":
		case strings.EqualFold(place, "pain"):
			x.Health.Pain = "yes"
		case err != nil:
			unread = append(unread, "sore: "+place)
		default:
			x.Health.Sore = at
		}
	}
	if f.note != "" {
		x.Note = f.note
	}
	if e.Alarming(x.Note) == "" {
		x.Note = ""
	}
	if e.Alarming(f.other) != "" {
		unread = append(unread, f.other)
	}
	x.Unread = strings.Join(unread, "; ")
	return x
}

// flag puts what the yes or no flags tell into answers.
func (f logFlags) flag(h *casefile.Health) {
	for _, q := range []struct {
		yes  bool
		into *string
	}{{f.pain, &h.Pain}, {f.numbness, &h.Numbness}, {f.pop, &h.Pop}, {f.suddenLoss, &h.SuddenLoss}} {
		if q.yes {
			*q.into = "yes"
		}
	}
}

// mistyped answers a flag that cannot be read: in plain words, and what the other
// flags say of the arm is kept.
func (a *app) mistyped(c *cobra.Command, err error) error {
	err = status{usage, plainFlag(err)}
	var f logFlags
	probe := &cobra.Command{FParseErrWhitelist: cobra.FParseErrWhitelist{UnknownFlags: true}}
	f.bindArm(probe)
	_ = probe.ParseFlags(a.args) // what it understands is enough
	for _, path := range probe.Flags().Args() {
		if path != c.Name() {
			return a.kept(path, f, err)
		}
	}
	return err
}

var inGo = regexp.MustCompile(`: strconv\..*$|: (invalid|parsing).*$`)

// plainFlag takes the words of the program's language out of a flag's fault.
func plainFlag(err error) error {
	return fmt.Errorf("%s; `--help` says what each takes", inGo.ReplaceAllString(err.Error(), ""))
}

// yes is a flag that is there or not. Whatever is written behind it but a no is a
// yes: it tells of a body.
type yes struct{ into *bool }

// String returns yes or no.
func (y yes) String() string {
	if y.into != nil && *y.into {
		return "yes"
	}
	return "no"
}

// Set takes what is written behind the flag.
func (y yes) Set(text string) error {
	switch strings.ToLower(text) {
	case "no", "n", "false", "0":
		*y.into = false
	default:
		*y.into = true
	}
	return nil
}

// Type names what the flag takes; nothing.
func (y yes) Type() string { return "bool" }

// IsBoolFlag lets the flag stand alone.
func (y yes) IsBoolFlag() bool { return true }
