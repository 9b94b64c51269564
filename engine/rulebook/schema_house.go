package rulebook

import (
	"slices"

	"rungwise/engine/checklist"
	"rungwise/engine/rule"
)

// House writes the schema of a house file.
func House(b *rule.Base) ([]byte, error) {
	h := &houseSchema{b: b}
	n := object("House rules laid over the base.", field{"extends", oneOf("what the rules are laid over", []string{"base"})},
		field{"house", words("name of the house")}).needs("extends")
	for _, c := range h.concerns() {
		n.fields = append(n.fields, field{c.name, list(h.change(c))})
	}
	n.schema, n.title = Draft, "rungwise house rules"
	n.defs = []field{{"facts", h.facts()}, {"source", h.source()}, {"factor", oneOf("a factor", factorIDs(b))}, {"throw", throwIDs(b)},
		{"condition", words("a condition, such as best.hinge == \"holds\" and changed.stride_line; `rungwise rules list facts` shows the names")}}
	return text(n)
}

type houseSchema struct{ b *rule.Base }

// concern is one list of a house file: what an entry holds, which keys a new one
// needs, and the ids that are there.
type concern struct {
	name   string
	fields []field
	need   []string
	ids    []string
}

// change is one change of an entry.
func (h *houseSchema) change(c concern) *node {
	whole := object("", append([]field{{"title", words("a few words for lists")}, {"why", words("why this is so")}, {"source", ref("source")}, {"since", month()}}, c.fields...)...)
	added, part := *whole, *whole
	added.need = c.need
	added.about = "a new entry, or what is added to a gate or a caution"
	part.about = "keys of the base's entry that are to be otherwise"
	id := words("id of the entry")
	if len(c.ids) > 0 {
		id = &node{about: "id of an entry of the base, or of a new one", any: []*node{oneOf("", c.ids), {kind: "string", pattern: "^[a-z0-9][a-z0-9_-]*$"}}}
	}
	if c.name == rule.Gates || c.name == rule.Cautions {
		added.need = nil // one of the base's is widened with a condition alone
	}
	return object("", field{"id", id}, field{"add", &added}, field{"replace", whole}, field{"set", &part}, field{"disable", truth("switches it off")},
		field{"because", words("why the house wants it so")}, field{"by", words("who decided")}, field{"until", date("last day on which it holds")},
		field{"base", scalar("fingerprint of the base's entry it was written against")}).needs("id", "because", "by")
}

// facts takes what an example or a case says is known.
func (h *houseSchema) facts() *node {
	n := object("what is known")
	for i := range h.b.Catalogue.Len() {
		if f := h.b.Catalogue.At(i); !f.Constant {
			n.fields = append(n.fields, field{f.Name, value(f)})
		}
	}
	return n
}

func (h *houseSchema) source() *node {
	all := append([]string{"common practice", "house default", "from memory"}, ids(h.b.Sources, func(c rule.Citation) string { return c.ID })...)
	return &node{about: "where it comes from", any: []*node{oneOf("", all), {kind: "string", pattern: "^[a-z][a-z0-9_]*$"}}}
}

func (h *houseSchema) weights(about string, ids, words []string) *node {
	n := object(about)
	for _, id := range ids {
		n.fields = append(n.fields, field{id, oneOf("", words)})
	}
	return n
}

func (h *houseSchema) examples() field {
	return field{"examples", object("", field{"fires", ref("facts")}, field{"silent", ref("facts")}).needs("fires", "silent")}
}

func often() []string { return []string{"nearly_always", "usually", "often", "sometimes"} }

func (h *houseSchema) demands() []string {
	return ids(h.b.Demands, func(d rule.Demand) string { return d.ID })
}

func (h *houseSchema) concerns() []concern {
	out := []concern{h.signs(), h.factors(), h.drills(), h.throws(), h.gates(), h.cautions()}
	return append(out, h.numbers()...)
}

func (h *houseSchema) signs() concern {
	return concern{name: rule.Signs, need: []string{"when", "why", "source", "examples"}, ids: ids(h.b.Signs, func(s rule.Sign) string { return s.ID }), fields: []field{
		{"when", ref("condition")},
		{"seen_with", h.weights("how often it is seen when the factor is there", factorIDs(h.b), often())},
		{"otherwise", oneOf("how often it is seen with none of them", []string{"rarely", "seldom", "sometimes", "often"})},
		{"supports", h.weights("short form of seen_with and otherwise", factorIDs(h.b), []string{"strong", "moderate", "weak"})},
		{"group", words("near-copies share a group")}, {"beside", some(words("wider signs that it stands beside on purpose"))},
		{"reading", oneOf("", []string{"eye", "measured", "asked"})}, h.examples()}}
}

func (h *houseSchema) factors() concern {
	return concern{name: rule.Factors, need: []string{"phase", "how_common", "in_words", "why", "source"}, ids: factorIDs(h.b), fields: []field{
		{"phase", oneOf("", []string{checklist.BeforeLanding, checklist.AfterLanding, checklist.Task})},
		{"how_common", oneOf("as a cause by itself", []string{"rare", "occasional", "common"})},
		{"can_cause", h.weights("factors downstream", factorIDs(h.b), often())}, {"breaks_at", h.weights("where it tends to show", h.demands(), often())},
		{"in_words", words("two sentences for the athlete")}, {"looks_like_but_is_not", words("")}, {"drills", oneOf("", []string{"none"})}}}
}

func (h *houseSchema) drills() concern {
	return concern{name: rule.Drills, need: []string{"factors", "step", "how", "cue", "effort", "dose", "slope", "put_back", "put_back_throws", "exit", "why", "source"},
		ids: ids(h.b.Drills, func(d rule.Drill) string { return d.ID }), fields: []field{
			{"factors", some(ref("factor"))}, {"loads", some(oneOf("parts with a screen that it asks most of", rule.Screened()))}, {"step", count("within a factor, 1 is the easiest to feel")}, {"how", words("")}, {"cue", words("something to do to the ball, the ground or the target")},
			{"cue_source", words("")}, {"effort", between("effort asked, in percent", 0, 100)},
			{"dose", object("", field{"sets", count("")}, field{"throws", count("a set; 0 for a move without a ball")}, field{"reps", count("moves a set")}).needs("sets", "throws")},
			{"equipment", some(words(""))}, {"slope", oneOf("", []string{"flat", "slope", "either"})}, {"put_back", ref("throw")}, {"put_back_throws", count("")},
			{"exit", words("the test that says it is learned")}, {"ages", object("", field{"min", count("years")})}, {"weighted", truth("")}, {"not_with", words("")}}}
}

func (h *houseSchema) throws() concern {
	demands := object("what the throw asks")
	for _, d := range h.b.Demands {
		n := oneOf(d.Adds, d.Values)
		n.enum = append(n.enum, falseFor(d.Values)...)
		n.kind = ""
		demands.fields = append(demands.fields, field{d.ID, n})
	}
	demands.need = h.demands()
	share := func(more ...field) *node {
		return object("part of a full-effort running throw", append([]field{{"low", between("", 0, 1.1)}, {"high", between("", 0, 1.1)}, {"source", ref("source")}}, more...)...).needs("low", "high")
	}
	return concern{name: rule.Throws, need: []string{"in_words", "demands", "share", "high_effort", "can_be_reference", "on_mound", "source"},
		ids: ids(h.b.Throws, func(t rule.Throw) string { return t.ID }), fields: []field{
			{"in_words", words("how to do it")}, {"demands", demands}, {"share", share()}, {"for", some(share(field{"age_below", count("years")}))},
			{"high_effort", truth("counts as a pitch")}, {"can_be_reference", truth("")}, {"on_mound", truth("")}, {"ages", object("for whom", field{"min", count("youngest age")})},
			{"effort", between("effort asked of a throw that is not hard, in percent", 1, 100)}}}
}

// falseFor is how an editor reads the value "no".
func falseFor(values []string) []any {
	if slices.Contains(values, "no") {
		return []any{false}
	}
	return nil
}

func (h *houseSchema) gates() concern {
	return concern{name: rule.Gates, ids: ids(h.b.Gates, func(g rule.Gate) string { return g.ID }), fields: []field{
		{"verdict", oneOf("", []string{rule.Refer, rule.NotEnough, rule.NotThisQuestion, rule.Restore, rule.NoneFound, rule.GoOn})},
		{"when", ref("condition")}, {"unless", ref("condition")}, {"needs", some(oneOf("a fact that must be known", h.names()))}, {"unanswered", oneOf("", []string{rule.NotEnough})},
		{"says", words("")}, {"do", words("")}, {"low_confidence", truth("")}, {"caution", words("")}, h.examples()}}
}

func (h *houseSchema) names() []string {
	var out []string
	for i := range h.b.Catalogue.Len() {
		if f := h.b.Catalogue.At(i); !f.Constant {
			out = append(out, f.Name)
		}
	}
	return out
}

func (h *houseSchema) cautions() concern {
	return concern{name: rule.Cautions, ids: ids(h.b.Cautions, func(c rule.Caution) string { return c.ID }), fields: []field{
		{"when", ref("condition")}, {"level", oneOf("", []string{rule.Stop, rule.Limit, rule.Note})}, {"text", words("")}, h.examples()}}
}

// numbers are the limits, tables, checkpoints, sources, sentences and cases.
func (h *houseSchema) numbers() []concern {
	about := []field{{"unit", words("")}, {"grade", oneOf("", []string{"published", "common practice", "house default"})}, {"reviewed", month()},
		{"hard", truth("what a plan never passes")}, {"free", truth("permits nothing, so a house may put its own there")}, {"tighten", oneOf("which way is stricter", []string{"down", "up"})}}
	ages := list(count("years"))
	ages.least, ages.most = 2, 2
	return []concern{
		{name: rule.LimitsKey, ids: append(ids(h.b.Limits, func(l rule.Number) string { return l.ID }), ids(h.b.ByAge, func(l rule.AgeNumber) string { return l.ID })...),
			need: []string{"value", "unit", "why", "source"}, fields: append([]field{{"value", number("")}, {"to_14", number("")}, {"to_18", number("")}, {"adult", number("")}}, about...)},
		{name: rule.ByAge, ids: ids(h.b.ByAge, func(l rule.AgeNumber) string { return l.ID }),
			fields: append([]field{{"value", number("for every age")}, {"to_14", number("")}, {"to_18", number("")}, {"adult", number("")}}, about...)},
		{name: rule.PitchRows, fields: []field{{"ages", ages}, {"daily", count("most pitches a day")}, {"rest", list(count("most pitches that need so many days of rest"))}}},
		{name: rule.InningsRows, fields: append([]field{{"ages", ages}, {"most", number("most innings in twelve months")}}, about[1:]...)},
		h.checkpoints(),
		{name: rule.Sources, need: []string{"cite", "provenance", "says"}, fields: []field{{"cite", words("")}, {"says", words("")}, {"provenance", oneOf("", []string{"seen", "quoted", "memory", "computed"})},
			{"grade", words("")}, {"url", words("")}, {"reviewed", month()}}},
		{name: rule.Wordings, ids: ids(h.b.Wording, func(s rule.Sentence) string { return s.ID }), need: []string{"text"},
			fields: []field{{"text", words("a sentence with {placeholders}")}, {"safety", truth("a house may add to it and not replace it")}, {"about", words("")}, {"note", words("")}}},
		{name: rule.AlarmsKey, need: []string{"words", "why", "source"}, fields: []field{{"words", some(words("beginnings of words that may tell of an arm that hurts"))}}},
		{name: rule.Cases, need: []string{"given"}, fields: []field{{"note", words("")}, {"given", ref("facts")}, {"expect", h.expectation()}, {"not_expect", h.expectation()}}},
	}
}

func (h *houseSchema) checkpoints() concern {
	answers := &node{kind: "object", about: "id: what the coach sees, best first", others: words("")}
	ends := list(number(""))
	ends.least, ends.most = 2, 2
	measure := object("", field{"kind", oneOf("", []string{"interval", "angle", "line", "length", "share", "percent"})}, field{"unit", words("")}, field{"range", ends},
		field{"tolerance", number("")}, field{"tolerance_source", words("")}, field{"throw_sd", number("")}, field{"between_days", number("")}, field{"rate", number("")},
		field{"peak_rate", number("")}, field{"may_be_frames", truth("")}, field{"bands", &node{kind: "object", others: ends}})
	measure.open = true
	return concern{name: rule.Checkpoints, need: []string{"title", "phase", "moment", "view", "ask", "help", "reading", "source"}, fields: []field{
		{"phase", oneOf("", []string{checklist.BeforeLanding, checklist.AfterLanding, checklist.Both, checklist.Task})}, {"moment", words("")}, {"view", words("")},
		{"ask", words("")}, {"help", words("")}, {"answers", answers}, {"ordered", truth("")}, {"measure", measure},
		{"reading", oneOf("", []string{checklist.Eye, checklist.Measured, checklist.Asked})}, {"read_by", words("who reads it where no rule does")}}}
}

func (h *houseSchema) expectation() *node {
	signs := some(words("signs, gates and cautions"))
	return object("", field{"first", ref("factor")}, field{"first_two", some(ref("factor"))}, field{"possible", some(ref("factor"))},
		field{"consequence", &node{kind: "object", about: "factor: the one it follows from", others: ref("factor")}}, field{"fires", signs}, field{"silent", signs},
		field{"gate", oneOf("verdict of the gate that decides", []string{rule.Refer, rule.NotEnough, rule.NotThisQuestion, rule.Restore, rule.NoneFound, rule.GoOn})},
		field{"cautions", some(oneOf("", ids(h.b.Cautions, func(c rule.Caution) string { return c.ID })))})
}
