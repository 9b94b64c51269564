package rulebook

import (
	"slices"
	"strings"

	"rungwise/engine/checklist"
	"rungwise/engine/rule"
)

// Case writes the schema of a case file.
func Case(b *rule.Base) ([]byte, error) {
	c := &caseSchema{b: b}
	n := object("What was seen, thrown and counted of one athlete.", c.top()...).needs("rungwise", "athlete")
	n.Schema, n.Title = Draft, "rungwise case file"
	n.Defs = append([]field{{"throw", throwIDs(b)}, {"speed", speed()}, {"best", bestNode()}, {"points", points()}}, c.defs...)
	return text(n)
}

type caseSchema struct {
	b    *rule.Base
	defs []field
}

func (c *caseSchema) top() []field {
	out := []field{{"rungwise", oneOf("kind and version of the file", []string{"case/1"})}}
	for _, group := range c.groups() {
		fields := c.questions(group)
		about := "the " + group
		switch group {
		case "athlete":
			fields = append([]field{{"code", words("letters, digits and dashes, such as SM-04; never a name")}}, fields...)
		case "screen":
			fields = append([]field{{"on", date("the day on which it was asked")}}, fields...)
		case "load":
			continue
		}
		out = append(out, field{group, object(about, fields...)})
	}
	out = append(out, field{"load", c.load()}, field{"reference", c.reference()},
		field{"mound", object("bests off the mound", field{"best", list(ref("best"))})},
		field{"ladder", some(c.ladder())}, field{"seen", c.seen()}, field{"training", training()},
		field{"disagrees", list(object("somebody who knows the athlete puts another factor first",
			field{"first", oneOf("", c.b.IDs(rule.Factors))}, field{"because", words("")}, field{"by", words("")}, field{"on", date("")}).needs("first", "because"))},
		field{"candidates", list(object("another drill that could be the reference", field{"throw", ref("throw")}, field{"best", list(ref("best"))},
			field{"first_thrown", date("")}, field{"unit", units()}, field{"speeds", some(ref("speed"))}).needs("throw"))})
	return out
}

func (c *caseSchema) groups() []string {
	out := []string{"athlete"}
	for _, q := range c.b.Checklist.Questions {
		if !slices.Contains(out, q.Group) {
			out = append(out, q.Group)
		}
	}
	return out
}

func (c *caseSchema) questions(group string) []field {
	var out []field
	for _, q := range c.b.Checklist.Questions {
		if q.Group == group {
			out = append(out, field{q.ID, question(q)})
		}
	}
	return out
}

func throwIDs(b *rule.Base) *node { return oneOf("a throw variation", b.IDs(rule.Throws)) }

func units() *node { return oneOf("unit of the speeds", []string{"mph", "km/h", "m/s"}) }

func speed() *node {
	return &node{About: "a speed, in the unit told beside it or with its own; a dash is a throw that the gun missed", Any: []*node{number(""), {Kind: "string"}}}
}

func bestNode() *node {
	return object("the mean of a day's throws", field{"on", date("")}, field{"speed", ref("speed")}, field{"n", count("throws behind it, 3 where nothing is said")}).needs("on", "speed")
}

func points() *node {
	two := list(number("pixels"))
	two.Least, two.Most = 2, 2
	n := list(two)
	n.About, n.Least = "clicked places, each [x, y] in pixels", 2
	return n
}

func (c *caseSchema) load() *node {
	day := func(more ...field) *node {
		return object("a day", append([]field{{"on", date("")}, {"throws", count("throws, warm-up included")},
			{"high_effort", count("of these above 85 % effort")}, {"game", count("pitches in a game")}, {"innings", number("")}}, more...)...).needs("on")
	}
	weeks := list(object("a week", field{"throws", count("")}, field{"high_effort", count("")}).needs("throws"))
	weeks.About, weeks.Most = "newest last", 8
	out := []field{{"weeks", weeks}, {"weeks_until", date("last day of the newest week")}, {"days", list(day())}, {"games", list(day())}}
	out = append(out, c.questions("load")...)
	return object("what was thrown", append(out, field{"last_high_effort", date("")}, field{"innings_12m", number("innings in twelve months")},
		field{"months_off", number("months of the last twelve without overhead throwing")},
		field{"months_no_pitching", number("months of the last twelve without competitive pitching")},
		field{"positions", some(words(""))}, field{"season", oneOf("", []string{"off", "pre", "in"})})...)
}

func (c *caseSchema) reference() *node {
	session := object("a day on which the drill was thrown", field{"on", date("")}, field{"unit", units()}, field{"speeds", some(ref("speed"))}).needs("on")
	return object("the drill in which the athlete is best", field{"throw", ref("throw")}, field{"best", list(ref("best"))},
		field{"first_thrown", date("")}, field{"last_thrown", date("")}, field{"sessions", list(session)}, field{"today", session}).needs("throw")
}

func (c *caseSchema) ladder() *node {
	rung := object("one rung", field{"throw", ref("throw")}, field{"unit", units()}, field{"speeds", some(ref("speed"))},
		field{"held", some(&node{About: "did the pattern hold", Enum: []any{"yes", "partly", "no", "could_not_see", "y", "p", "n", "x", true, false}})},
		field{"effort", scalar("felt effort in percent, asked at once after the rung")},
		field{"miss", c.told("release_miss")}, field{"net_miss", c.told("release_miss")}, field{"focus", c.told("focus_reported")},
		field{"hits", &node{Kind: "string", About: "hits of attempts, such as 6 of 10", Form: `^\d{1,4} of \d{1,4}$`}},
		field{"gun", words("where another radar gun was used")}).needs("throw")
	return object("the ladder as it was thrown", field{"on", date("")},
		field{"gun", object("the radar gun", field{"name", words("")}, field{"step", scalar("the smallest step it shows, such as 0.1 mph")})},
		field{"unit", units()}, field{"rungs", list(rung)}, field{"again", some(ref("speed"))}).needs("rungs")
}

// told is an answer of a checkpoint that is told rung by rung.
func (c *caseSchema) told(id string) *node {
	p, ok := c.b.Checklist.Checkpoint(id)
	if !ok {
		return scalar("")
	}
	n := oneOf(p.Ask, nil)
	n.Form = ""
	for _, a := range p.Answers {
		n.Enum = append(n.Enum, a.ID)
	}
	n.Enum = append(n.Enum, "could_not_see")
	return n
}

// seen takes looks by checkpoint and throw; what a look is, is defined once for
// each checkpoint.
func (c *caseSchema) seen() *node {
	out := object("checkpoints on video, by throw")
	for _, p := range c.b.Checklist.Checkpoints {
		if p.Phase == checklist.Task {
			continue // told rung by rung
		}
		name := "look_" + p.ID
		c.defs = append(c.defs, field{name, look(p)})
		n := object(p.Ask)
		for _, t := range c.b.Throws {
			n.Fields = append(n.Fields, field{t.ID, some(ref(name))})
		}
		out.Fields = append(out.Fields, field{p.ID, n})
	}
	return out
}

// look takes an answer, a measurement, or either with how it was got.
func look(p checklist.Checkpoint) *node {
	answers := []any{}
	about := []string{strings.TrimSpace(p.Title + ", " + p.Moment)}
	for _, a := range p.Answers {
		answers = append(answers, a.ID)
		about = append(about, a.ID+": "+a.Label)
	}
	word := &node{Enum: append(answers, "could_not_see")}
	short := []*node{word}
	if p.Measure != nil {
		short = append(short, &node{Kind: "number"}, &node{Kind: "string", Form: `^[-+.0-9]`})
		about = append(about, "or a number in "+p.Measure.Unit)
	}
	long := object("", field{"answer", &node{Any: short}}, field{"points", ref("points")}, field{"line", ref("points")}, field{"against", ref("points")},
		field{"toward", scalar("")}, field{"scale", scalar("")}, field{"click", number("error of a click in pixels")}, field{"fps", scalar("frames a second")},
		field{"off_square", scalar("how far the camera stood off, in degrees")}, field{"on", date("")}, field{"sure", truth("")}, field{"clip", words("")},
		field{"at", scalar("where in the clip")}, field{"by", words("who looked")}, field{"note", words("")})
	return &node{About: strings.Join(about, "\n"), Any: append(append([]*node{}, short...), long)}
}

func training() *node {
	days := func(about string) *node {
		return some(oneOf(about, []string{"mon", "tue", "wed", "thu", "fri", "sat", "sun"}))
	}
	return object("when there is training", field{"days", days("days of training")}, field{"mound", days("days with a mound")}, field{"off", some(date("a day without throwing"))})
}
