package rule

import (
	"strings"

	"rungwise/engine/safety"
	"rungwise/engine/source"
)

// AlarmList is a list of words of notes that may tell of an arm that hurts.
type AlarmList struct {
	Entry
	safety.Alarms
}

// Alarms joins the lists.
func (b *Base) Alarms() safety.Alarms {
	var out safety.Alarms
	for _, l := range b.AlarmLists {
		out.Words, out.Harmless, out.Beside = append(out.Words, l.Words...), append(out.Harmless, l.Harmless...), append(out.Beside, l.Beside...)
	}
	return out
}

func (r *reader) readAlarms() {
	for _, e := range r.section(AlarmsKey).entries {
		o := r.open(e, AlarmsKey)
		l := AlarmList{Entry: r.common(e, o, "why", "source", "since"), Alarms: safety.Alarms{Words: lower(o.Texts("words"))}}
		if e.base != nil {
			l.Harmless, l.Beside = lower(o.Texts("harmless")), lower(o.Texts("beside"))
		}
		o.Close()
		r.b.AlarmLists = append(r.b.AlarmLists, l)
	}
}

// alarmsAllowed lets a house add words and nothing else: a phrase called harmless
// could talk a pain away.
func (r *reader) alarmsAllowed(w wish) bool {
	if w.Kind == add {
		return true
	}
	r.fault(w.id, "O411", "alarming words stay as they are", "", "a house may add words of its own with add: {words: [...]}")
	return false
}

func lower(nodes []*source.Node) []string {
	var out []string
	for _, n := range nodes {
		if text := strings.ToLower(strings.TrimSpace(n.Text())); text != "" {
			out = append(out, text)
		}
	}
	return out
}
