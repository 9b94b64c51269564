package rule

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"rungwise/engine/diag"
	"rungwise/engine/source"
	"rungwise/engine/workload"
)

// wordList says what the words of a drill, a throw or a sentence mean for the
// counts, whatever the keys beside them say. A phrase is words with single
// blanks between them.
type wordList struct {
	throws    []string // that a ball is thrown
	notThrown []string // phrases with such a word that say the opposite
	weighted  []string // that the ball is heavier or lighter than a baseball
	hard      []string // that it is thrown hard
	counted   []string // what is counted, after a number
	many      []string // numbers in words that no dose has
}

// readWordList reads the base's words; a house has no such key.
func (r *reader) readWordList() {
	if r.plain == nil {
		return
	}
	list := func(key string, at func(*wordList) *[]string) source.Key[wordList] {
		return source.Texts(key, may, fixed, "", at)
	}
	o := r.plain.Object(&r.ds, "`plain_words`")
	source.Fill(o, []source.Key[wordList]{
		list("throws", func(w *wordList) *[]string { return &w.throws }),
		list("not_thrown", func(w *wordList) *[]string { return &w.notThrown }),
		list("weighted", func(w *wordList) *[]string { return &w.weighted }),
		list("hard", func(w *wordList) *[]string { return &w.hard }),
		list("counted", func(w *wordList) *[]string { return &w.counted }),
		list("many", func(w *wordList) *[]string { return &w.many }),
	}, &r.says, false)
	o.Close()
}

// phrase is a text as words with single blanks between and around them, letters
// and digits apart.
func phrase(text string) string {
	var b strings.Builder
	b.WriteByte(' ')
	var last rune = ' '
	for _, c := range strings.ToLower(text) {
		if !unicode.IsLetter(c) && !unicode.IsDigit(c) {
			c = ' '
		}
		if c != ' ' && last != ' ' && unicode.IsDigit(c) != unicode.IsDigit(last) {
			b.WriteByte(' ')
		}
		if c != ' ' || last != ' ' {
			b.WriteRune(c)
		}
		last = c
	}
	return strings.TrimRight(b.String(), " ") + " "
}

// spoken returns the first of some phrases that a text holds.
func spoken(text string, phrases []string) string {
	for _, p := range phrases {
		if strings.Contains(text, " "+p+" ") {
			return p
		}
	}
	return ""
}

// changed reports whether a house made or changed an entry.
func (e *entry) changed() bool { return e.base == nil || len(e.changes) > 0 }

// said calls do with each text that a house wrote into an entry, until do has
// told of a fault.
func (e *entry) said(keys []string, do func(n *source.Node, text string) (told bool)) {
	if !e.changed() {
		return
	}
	for _, key := range keys {
		n := e.node.Get(key)
		if n == nil || e.base.Get(key) != nil && flow(e.base.Get(key)) == flow(n) {
			continue
		}
		if do(n, phrase(flow(n))) {
			return
		}
	}
}

// honestDrill refuses a drill of a house whose words ask for more than its keys
// count.
func (r *reader) honestDrill(e *entry, d *Drill) {
	hard := r.b.Workload.Weights.Class(d.Effort) == workload.High
	e.said([]string{"title", "how", "cue", "exit", "equipment"}, func(n *source.Node, text string) bool {
		without := text
		for _, p := range r.says.notThrown {
			without = strings.ReplaceAll(without, " "+p+" ", " ")
		}
		throws, weighted, hardly := spoken(without, r.says.throws), spoken(text, r.says.weighted), spoken(text, r.says.hard)
		switch {
		case d.Throws == 0 && throws != "" && n != e.node.Get("equipment") && n != e.node.Get("exit"):
			r.dishonest(n, e, throws, "its dose counts no throw", "write the throws of a set in dose:, or take the word out")
		case !d.Weighted && weighted != "":
			r.dishonest(n, e, weighted, "it is not weighted", "write weighted: yes, or take the word out")
		case !hard && hardly != "":
			r.dishonest(n, e, hardly, fmt.Sprintf("its effort is %g %%", d.Effort), "take the word out; a drill is no hard throw")
		default:
			return r.counts(n, e, text)
		}
		return true
	})
}

func (r *reader) dishonest(n *source.Node, e *entry, word, but, help string) {
	r.fault(n, "O418", fmt.Sprintf("`%s` says %q, and %s", e.id, word, but), "", help)
}

// checkCounts refuses numbers of throws in the words of some keys.
func (r *reader) checkCounts(e *entry, keys ...string) {
	e.said(keys, func(n *source.Node, text string) bool { return r.counts(n, e, text) })
}

// counts refuses a number of throws in words: how many there are, the plan works
// out and the dose says.
func (r *reader) counts(n *source.Node, e *entry, text string) bool {
	words := strings.Fields(text)
	for i, w := range words {
		v, err := strconv.Atoi(w)
		big := err == nil && float64(v) > r.b.Value(mostThrows, 10) || err != nil && slices.Contains(r.says.many, w)
		next := words[min(i+1, len(words)):min(i+4, len(words))]
		if big && slices.ContainsFunc(next, func(w string) bool { return slices.Contains(r.says.counted, w) || slices.Contains(r.says.throws, w) }) {
			r.dishonest(n, e, strings.Join(words[i:min(i+4, len(words))], " "), "a number of throws is no matter of words", "leave it to the dose and the plan")
			return true
		}
	}
	return false
}

// honestThrow refuses a throw of a house that counts for less than it asks: a
// new one is a hard throw unless it states an effort that is not, and off the
// mound where it asks what only the base's throws off the mound ask.
func (r *reader) honestThrow(e *entry, t *Throw) {
	if !e.changed() {
		return
	}
	class := r.b.Workload.Weights.Class(t.Effort)
	switch {
	case e.base == nil && !t.HighEffort && (t.Effort <= 0 || class == workload.High):
		r.fault(orNode(e.node.Get("high_effort"), e.name), "O419", fmt.Sprintf("the throw `%s` is no hard throw and does not say which effort it asks", e.id), "",
			fmt.Sprintf("write high_effort: yes, or effort: with at most %g", r.b.Workload.Weights.ModerateTo))
	case !t.OnMound && r.leastOf(t, func(base *source.Node) float64 { return map[bool]float64{true: 1}[yes(base, "on_mound")] }) > 0:
		r.fault(orNode(e.node.Get("on_mound"), e.name), "O419", fmt.Sprintf("the throw `%s` asks what only throws off the mound ask", e.id), "", "write on_mound: yes")
	default:
		min, _ := number(e.node.Get("ages"), "min")
		if least := r.leastOf(t, func(base *source.Node) float64 { n, _ := number(base.Get("ages"), "min"); return n }); min < least {
			r.fault(orNode(e.node.Get("ages"), e.name), "O419", fmt.Sprintf("the throw `%s` asks what the base asks from %g years on", e.id, least), "", fmt.Sprintf("write ages: {min: %g}", least))
		}
	}
	e.said([]string{"title", "in_words"}, func(n *source.Node, text string) bool {
		if weighted := spoken(text, r.says.weighted); weighted != "" {
			r.dishonest(n, e, weighted, "throws are thrown with a baseball", "make a drill of it, with weighted: yes")
			return true
		}
		if hard := spoken(text, r.says.hard); hard != "" && !t.HighEffort {
			r.dishonest(n, e, hard, "it does not count as a hard throw", "write high_effort: yes, or take the word out")
			return true
		}
		return r.counts(n, e, text)
	})
}

func orNode(n, other *source.Node) *source.Node {
	if n == nil {
		return other
	}
	return n
}

// leastOf is the most that the demands of a throw ask for by themselves: for each
// of its values, the least that any throw of the base with that value has.
func (r *reader) leastOf(t *Throw, of func(base *source.Node) float64) float64 {
	most := 0.0
	for i, value := range t.Demands {
		least, any := 0.0, false
		for _, e := range r.section(Throws).entries {
			if e.base == nil || r.b.Demands[i].Values[value] != text(e.base.Get("demands"), r.b.Demands[i].ID) {
				continue
			}
			if n := of(e.base); !any || n < least {
				least, any = n, true
			}
		}
		most = max(most, least)
	}
	return most
}

// The numbers that bound a dose.
const (
	mostSets   = "dose_sets_most"
	mostThrows = "dose_throws_most"
	mostReps   = "dose_reps_most"
)

// boundedDose refuses a dose that nobody can mean.
func (r *reader) boundedDose(o *source.Object, key, limit string, n int) {
	if l, ok := r.b.Limit(limit); ok && float64(n) > l.Value {
		r.fault(o.Get(key), "O417", fmt.Sprintf("`%s` is %d, and a drill has at most %g", key, n, l.Value), "", "write fewer; a longer drill is two drills", "it stands at "+at(l.Origin))
	}
}

var (
	placeholder = regexp.MustCompile(`\{([a-z][a-z0-9_]*)\}`)
	touches     = regexp.MustCompile(`^([\p{L}\p{N}_{]|[^\p{L}\p{N}]?\p{N})`)
	touched     = regexp.MustCompile(`([\p{L}\p{N}_}]|\p{N}[^\p{L}\p{N}]?)$`)
)

// checkPlaceholders refuses a placeholder that the base's sentence does not
// have, since nothing would fill it, and one that touches a letter or a digit,
// since what fills it would read as something else.
func (r *reader) checkPlaceholders(e *entry) {
	known := map[string]bool{}
	var names []string
	before := e.base
	if before == nil {
		before = e.node
	}
	for _, m := range placeholder.FindAllStringSubmatch(text(before, "text"), -1) {
		known[m[1]] = true
		names = append(names, "{"+m[1]+"}")
	}
	node := e.node.Get("text")
	for _, m := range placeholder.FindAllStringSubmatchIndex(node.Text(), -1) {
		name, from := node.Text()[m[2]:m[3]], utf8.RuneCountInString(node.Text()[:m[0]])
		d := diag.Diagnostic{Place: node.PlaceAt(from, from+len(name)+2), Notes: []string{"it stands at " + at(e.origin)}}
		switch {
		case !known[name]:
			d.Code, d.Headline = "O415", fmt.Sprintf("nothing fills `{%s}` in this sentence", name)
			d.Help = "use only what the base's sentence has: " + orElse(strings.Join(names, ", "), "none")
		case touches.MatchString(node.Text()[m[1]:]) || touched.MatchString(node.Text()[:m[0]]):
			d.Code, d.Headline = "O422", fmt.Sprintf("`{%s}` does not stand alone", name)
			d.Help = "leave a blank between it and letters, and no digit beside it"
		default:
			continue
		}
		r.ds.Add(d)
	}
}
