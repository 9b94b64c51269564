package ask

import (
	"strings"
	"time"

	tea "charm.land/bubbletea/v2"

	"rungwise/engine/prompt"
)

// What a screen waits for before a key counts.
const (
	toBeRead  = iota // a safety question that has just come up
	betweens         // the pause after a key or a paste
	restReply        // the other part of a torn reply
	waits            // how many there are
)

// The waits (house defaults). No hand gives two keys within a few hundredths of a
// second; a terminal's late reply comes in one go, or torn.
const (
	settle   = prompt.Settle
	burst    = 15 * time.Millisecond
	afterEsc = 100 * time.Millisecond // what follows Esc within this belongs to it
	rest     = 2 * time.Second
)

// pace tells the keys that somebody pressed at the present question from those
// that only arrived: the rest of a terminal's reply, a paste without its marks,
// what was typed before the question was there. It knows no clock: the end of a
// wait is a message that queues behind every key that came before it, so that a
// slow machine cannot make a burst look like typing.
type pace struct {
	nth     [waits]int // the last wait of each kind
	waiting [waits]bool
}

// passed is the end of one wait.
type passed struct{ what, nth int }

// wait begins a wait; one of the same kind that is under way ends no more.
func (p *pace) wait(what int, d time.Duration) tea.Cmd {
	p.nth[what]++
	p.waiting[what] = true
	end := passed{what, p.nth[what]}
	return tea.Tick(d, func(time.Time) tea.Msg { return end })
}

func (p *pace) pass(m passed) {
	if p.nth[m.what] == m.nth {
		p.waiting[m.what] = false
	}
}

// key says why a key does not count, "" where it does, and what to wait for
// after it. Safety questions take no key of a burst; elsewhere text may come in
// one, and nothing else.
func (p *pace) key(k tea.KeyPressMsg, safety, text bool) (why string, after tea.Cmd) {
	fast := p.waiting[betweens]
	after = p.wait(betweens, burst)
	switch {
	case k.Mod.Contains(tea.ModAlt) && strings.ContainsRune("[]po_^x\\", k.Code):
		return notTyped, tea.Batch(after, p.wait(restReply, rest)) // Esc with one of these begins or ends a reply
	case p.waiting[restReply]:
		if fast {
			after = tea.Batch(after, p.wait(restReply, rest))
		}
		return notTyped, after
	case safety && p.waiting[toBeRead]:
		return "that key came before the question was there; read it, then answer", after
	case fast && (safety || !text):
		return "keys faster than a hand types are not taken; press one at a time", after
	case k.Code == tea.KeyEscape:
		return "", tea.Batch(after, p.wait(restReply, afterEsc))
	}
	return "", after
}

const notTyped = "the terminal sent signs that nobody typed, so no key counts for a moment; then press it again"
