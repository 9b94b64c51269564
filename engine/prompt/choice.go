package prompt

import (
	"fmt"
	"strconv"
	"strings"

	"rungwise/engine/diag"
)

// Choice is one answer that a key, its id or its words give.
type Choice struct{ Key, ID, Label string }

// Choices are the answers that a question takes.
type Choices []Choice

// YesNo are the answers yes and no, each with its key.
func YesNo(yes, no string) Choices {
	return Choices{{Key: yes, ID: "yes", Label: "yes"}, {Key: no, ID: "no", Label: "no"}}
}

// Words makes a choice of each word, with no keys.
func Words(ids ...string) Choices {
	out := make(Choices, len(ids))
	for i, id := range ids {
		out[i] = Choice{ID: id, Label: strings.ReplaceAll(id, "_", " ")}
	}
	return out
}

// Pick finds the choice that a reply names by key, id or label. The first letter
// stands for yes and for no.
func (c Choices) Pick(text string) (Choice, bool) {
	text = strings.TrimSpace(text)
	if text == "" {
		return Choice{}, false
	}
	for _, o := range c {
		short := (o.ID == "yes" || o.ID == "no") && strings.EqualFold(text, o.ID[:1])
		if text == o.Key || short || strings.EqualFold(text, o.ID) || strings.EqualFold(text, o.Label) ||
			strings.EqualFold(text, strings.ReplaceAll(o.ID, "_", " ")) {
			return o, true
		}
	}
	return Choice{}, false
}

// Takes says in words what is taken: the choices, and what else.
func (c Choices) Takes(more ...string) string {
	var all []string
	for _, o := range c {
		if o.Key == "" {
			all = append(all, o.Label)
			continue
		}
		all = append(all, fmt.Sprintf("%s (%s)", o.Key, o.Label))
	}
	return "it takes " + strings.Join(append(all, more...), ", ")
}

// Refuse refuses a reply that is no answer, with the nearest one, else with all
// that is taken.
func (c Choices) Refuse(text string, more ...string) error {
	var ids []string
	for _, o := range c {
		ids = append(ids, o.ID)
	}
	help := c.Takes(more...)
	if near, ok := diag.Nearest(strings.TrimSpace(text), ids); ok {
		help = fmt.Sprintf("did you mean %s?", near)
	}
	return Refuse(help, "%s is no answer to this", Quote(text))
}

// Refusal says in plain words why an answer was not taken.
type Refusal struct {
	Says string // what is wrong, lower case, no final period
	Help string // what would be taken; may be empty
}

// Error returns what is wrong and what would be taken.
func (r *Refusal) Error() string {
	if r.Help == "" {
		return r.Says
	}
	return r.Says + "; " + r.Help
}

// Refuse makes a refusal.
func Refuse(help, format string, args ...any) error {
	return &Refusal{Says: fmt.Sprintf(format, args...), Help: help}
}

// mostQuoted is how much of an answer is said again.
const mostQuoted = 40

// Quote shows what somebody wrote, shortened and without control characters.
func Quote(s string) string {
	s = diag.Clean(strings.TrimSpace(s))
	if r := []rune(s); len(r) > mostQuoted {
		s = string(r[:mostQuoted]) + "..."
	}
	return strconv.Quote(s)
}
