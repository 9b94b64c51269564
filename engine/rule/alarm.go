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

func (r *reader) alarms() list[AlarmList] {
	words := func(key, about string, n source.Need, c source.Change, at func(*AlarmList) *[]string) source.Key[AlarmList] {
		return source.Reads(key, n, c, about, source.Each(source.Some, source.Shape{}), func(o *source.Object, l *AlarmList) { *at(l) = lower(o.Texts(key)) }).
			In(key, func(l *AlarmList) string { return strings.Join(*at(l), ", ") })
	}
	return list[AlarmList]{name: AlarmsKey, of: func(b *Base) *[]AlarmList { return &b.AlarmLists },
		need: []string{"why", "source", "since"}, keys: []source.Key[AlarmList]{
			words("words", "beginnings of words that may tell of an arm that hurts", may, fixed, func(l *AlarmList) *[]string { return &l.Words }),
			words("harmless", "", may, source.BaseOnly, func(l *AlarmList) *[]string { return &l.Harmless }),
			words("beside", "", may, source.BaseOnly, func(l *AlarmList) *[]string { return &l.Beside }),
		}}
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
