package casefile

import (
	"fmt"
	"slices"

	"rungwise/engine/checklist"
	"rungwise/engine/measure"
	"rungwise/engine/source"
	"rungwise/engine/unit"
)

// mostWeeks is how far back whole weeks are read.
const mostWeeks = 8

// root is the keys of a whole file.
func (r *reader) root() Block {
	b := Block{What: "a case file", About: "What was seen, thrown and counted of one athlete."}
	athlete := needed(r.group("athlete", r.athlete).by(func(n *source.Node) {
		r.block(n, r.athlete())
		n.Object(r.ds, "the athlete").Need("code") // which an editor may leave for later, and the reader not
	}))
	format := needed(Field{Key: "rungwise", Takes: TakesWord, Words: []string{Format}, About: "kind and version of the file"}.by(r.format))
	b.Fields = []Field{format, athlete}
	for _, group := range r.groups() {
		if group != "athlete" && group != "load" {
			b.Fields = append(b.Fields, r.group(group, func() Block { return r.asked(group) }))
		}
	}
	return b.with(
		r.group("load", r.load),
		r.group("reference", r.reference),
		r.group("mound", func() Block {
			return Block{What: "the mound", About: "bests off the mound", Fields: []Field{r.bests(&r.c.Mound)}}
		}),
		entries(r, "ladder", Some, &r.c.Ladders, r.ladder),
		r.group("seen", r.seen),
		r.group("training", r.training),
		entries(r, "disagrees", List, &r.c.Disagrees, r.dissent),
		entries(r, "candidates", List, &r.c.Compare, r.candidate))
}

func (b Block) with(more ...Field) Block {
	b.Fields = append(b.Fields, more...)
	return b
}

func (r *reader) format(n *source.Node) {
	if n.Text() != Format {
		n.Fault(r.ds, "C301", fmt.Sprintf("this program reads `%s`, this is %s", Format, n.Describe()), "", "write `rungwise: "+Format+"`")
	}
}

// groups lists the question groups in the order of the checklist.
func (r *reader) groups() []string {
	var out []string
	for _, q := range r.v.Checklist.Questions {
		if !slices.Contains(out, q.Group) {
			out = append(out, q.Group)
		}
	}
	return out
}

// questions are the keys of a group of the checklist.
func (r *reader) questions(group string) []Field {
	var out []Field
	for _, q := range r.v.Checklist.Questions {
		if q.Group == group {
			out = append(out, Field{Key: q.ID, Takes: TakesQuestion, Question: q}.by(func(n *source.Node) { r.answer(n, q) }))
		}
	}
	return out
}

func (r *reader) asked(group string) Block {
	b := Block{What: "the " + group, About: "the " + group, Fields: r.questions(group)}
	if group == "screen" {
		b.Lead = []string{"on"}
		b.Fields = append(b.Fields, r.date("on", "the day on which it was asked", &r.c.Screened))
	}
	return b
}

func (r *reader) athlete() Block {
	code := Field{Key: "code", About: "letters, digits and dashes, such as SM-04; never a name"}.by(r.code)
	return Block{What: "the athlete", About: "the athlete", Fields: append([]Field{code}, r.questions("athlete")...)}
}

func (r *reader) load() Block {
	l := &r.c.Load
	weeks := entries(r, "weeks", List, &l.Weeks, r.week)
	weeks.About, weeks.Most = "newest last", mostWeeks
	b := Block{What: "the load", About: "what was thrown", Fields: []Field{
		weeks,
		r.date("weeks_until", "last day of the newest week", &l.WeeksUntil),
		entries(r, "days", List, &l.Days, func(d *Day) Block { return r.day(d, r.date("on", "", &d.On)) }),
		entries(r, "games", List, &l.Games, func(d *Day) Block {
			ahead := func(o *source.Object, _ *source.Node) { d.On, _ = o.Date("on") }
			return r.day(d, Field{Key: "on", Takes: TakesDate, read: ahead})
		})}}
	return b.with(r.questions("load")...).with(
		r.date("last_high_effort", "", &l.LastHighEffort),
		r.number("innings_12m", "innings in twelve months", yearBound(), func(v float64) { l.Innings12m = &v }),
		r.number("months_off", "months of the last twelve without overhead throwing", monthsBound(), func(v float64) { l.MonthsOff = &v }),
		r.number("months_no_pitching", "months of the last twelve without competitive pitching", monthsBound(),
			func(v float64) { l.MonthsNoPitch = &v }),
		each(Field{Key: "positions", Own: true}, func(n *source.Node) { l.Positions = append(l.Positions, n.Text()) }),
		word(r, "season", "", []string{"off", "pre", "in"}, &l.Season))
}

func (r *reader) week(w *Week) Block {
	return Block{What: "a week", About: "a week", Fields: []Field{
		needed(r.count("throws", "", weekBound(), nil, &w.Throws)),
		r.count("high_effort", "", weekBound(), &w.Throws, &w.High)}}
}

func (r *reader) day(d *Day, on Field) Block {
	return Block{What: "a day", About: "a day", Fields: []Field{
		needed(on),
		r.count("throws", "throws, warm-up included", dayBound(), nil, &d.Throws),
		r.count("high_effort", "of these above 85 % effort", dayBound(), &d.Throws, &d.High),
		r.count("game", "pitches in a game", gameBound(), nil, &d.Game),
		r.number("innings", "", inningsBound(), func(v float64) { d.Innings = v })}}
}

func (r *reader) reference() Block {
	ref := &r.c.Reference
	return Block{What: "the reference", About: "the drill in which the athlete is best", place: &ref.Place, Fields: []Field{
		r.thrown(&ref.Throw),
		r.bests(&ref.Best),
		r.date("first_thrown", "", &ref.FirstThrown),
		r.date("last_thrown", "", &ref.LastThrown),
		entries(r, "sessions", List, &ref.Sessions, r.session),
		entries(r, "today", One, &ref.Sessions, r.session)}}
}

func (r *reader) bests(into *[]Best) Field { return entries(r, "best", List, into, r.best) }

func (r *reader) best(b *Best) Block {
	b.N = 3
	return Block{What: "a best", About: "the mean of a day's throws", Shared: "best", Fields: []Field{
		needed(r.date("on", "", &b.On)),
		needed(Field{Key: "speed", Takes: TakesSpeed}.by(func(n *source.Node) { b.Speed, _ = r.speed(n, unit.MPH) })),
		{Key: "n", Takes: TakesCount, About: "throws behind it, 3 where nothing is said", read: func(o *source.Object, _ *source.Node) {
			if n, _ := o.Count("n"); n > 0 {
				b.N = n
			}
		}}}}
}

func (r *reader) session(s *Session) Block {
	in := unit.MPH
	return Block{What: "a session", About: "a day on which the drill was thrown", Fields: []Field{
		needed(r.date("on", "", &s.On)),
		r.units(&in),
		r.speeds("speeds", &in, func(speeds []float64, throws int) { s.Speeds, s.Throws = speeds, throws })}}
}

func (r *reader) candidate(c *Candidate) Block {
	in := unit.MPH
	return Block{What: "a candidate drill", About: "another drill that could be the reference", Lead: []string{"throw"}, Fields: []Field{
		r.bests(&c.Best),
		r.date("first_thrown", "", &c.FirstThrown),
		r.thrown(&c.Throw),
		r.units(&in),
		r.speeds("speeds", &in, func(speeds []float64, _ int) { c.Speeds = speeds })}}
}

func (r *reader) ladder(l *Ladder) Block {
	in, first := unit.MPH, map[string]*source.Node{}
	return Block{What: "a ladder", About: "the ladder as it was thrown", place: &l.Place, Fields: []Field{
		r.date("on", "", &l.On),
		r.group("gun", func() Block {
			return Block{What: "the radar gun", About: "the radar gun", Fields: []Field{
				gun("name", "", &l.Gun),
				r.within("step", "the smallest step it shows, such as 0.1 mph", unit.MPH, 0.01, 5, func(v float64) { l.Step = v })}}
		}),
		r.units(&in),
		needed(entries(r, "rungs", List, &l.Rungs, func(x *Rung) Block { x.Unit = in; return r.rung(x, first) })),
		r.speeds("again", &in, func(speeds []float64, throws int) { l.Again, l.More = speeds, throws-len(speeds) })}}
}

// rung is one rung of a ladder; first holds the throws of the rungs before it.
func (r *reader) rung(x *Rung, first map[string]*source.Node) Block {
	throw := r.thrown(&x.Throw).by(func(n *source.Node) { x.Throw = r.throwOnce(n, first) })
	return Block{What: "a rung", About: "one rung", place: &x.Place, Fields: []Field{
		throw,
		r.units(&x.Unit),
		r.speeds("speeds", &x.Unit, func(speeds []float64, throws int) { x.Speeds, x.Throws = speeds, throws }),
		{Key: "held", Takes: TakesMark, Many: Some, read: func(o *source.Object, n *source.Node) { r.marks(o.Texts("held"), n, x) }},
		r.within("effort", "felt effort in percent, asked at once after the rung", unit.Percent, 1, 100, func(v float64) { x.Effort = &v }),
		r.told("miss", "release_miss", &x.Miss),
		r.told("net_miss", "release_miss", &x.NetMiss),
		r.told("focus", "focus_reported", &x.Focus),
		Field{Key: "hits", Takes: TakesHits, About: "hits of attempts, such as 6 of 10"}.by(func(n *source.Node) { r.hits(n, x) }),
		gun("gun", "where another radar gun was used", &x.Gun)}}
}

// seen takes looks by checkpoint and throw, in the order of the throw.
func (r *reader) seen() Block {
	b := Block{What: "what was seen", About: "checkpoints on video, by throw"}
	for _, p := range r.v.Checklist.Checkpoints {
		if p.Phase == checklist.Task {
			continue // told rung by rung
		}
		b.Fields = append(b.Fields, Field{Key: p.ID, Takes: TakesBlock, Block: func() Block { return r.byThrow(p) },
			read: func(o *source.Object, _ *source.Node) { r.looksByThrow(o.Fields(p.ID), p) }})
	}
	return b
}

func (r *reader) byThrow(p checklist.Checkpoint) Block {
	b := Block{About: p.Ask}
	for _, id := range r.v.Throws {
		b.Fields = append(b.Fields, Field{Key: id, Takes: TakesLook, Many: Some, Checkpoint: p, Block: r.anyLook(p)})
	}
	return b
}

func (r *reader) anyLook(p checklist.Checkpoint) func() Block {
	return func() Block { return r.look(new(Look), p) }
}

// look is one clip's answer with its details.
func (r *reader) look(l *Look, p checklist.Checkpoint) Block {
	clicked := func(key string, into *[]Point) Field {
		return Field{Key: key, Takes: TakesPoints}.by(func(n *source.Node) { *into = r.points(n, p) })
	}
	side := Field{Key: "toward", Takes: TakesScalar}.by(func(n *source.Node) {
		if r.choice(n, "toward", n.Text(), Sides()) {
			l.Toward = SideOf(n.Text())
		}
	})
	at := own("at", "where in the clip", &l.At)
	at.Takes = TakesScalar
	return Block{What: "a look", place: &l.Place, Fields: []Field{
		Field{Key: "answer", Takes: TakesLook, Checkpoint: p, Block: r.anyLook(p)}.by(func(n *source.Node) {
			place := l.Place
			*l, _ = r.looked(n, p)
			l.Place = place
		}),
		clicked("points", &l.Points), clicked("line", &l.Line), clicked("against", &l.Against),
		side,
		parsed(r, "scale", "", ScaleOf, func(s measure.PixelScale) { l.Scale = s }),
		Field{Key: "click", Takes: TakesNumber, About: "error of a click in pixels"}.by(func(n *source.Node) { r.clickError(n, l) }),
		parsed(r, "fps", "frames a second", unit.ParseRate, func(f unit.Rate) { l.FPS = f }),
		r.within("off_square", "how far the camera stood off, in degrees", unit.Deg, -90, 90, func(v float64) { l.OffSquare = &v }),
		r.date("on", "", &l.On),
		{Key: "sure", Takes: TakesYesNo, read: func(o *source.Object, _ *source.Node) {
			sure, known := o.YesNo("sure")
			l.Unsure = known && !sure
		}},
		own("clip", "", &l.Clip), at, own("by", "who looked", &l.By), own("note", "", &l.Note)}}
}

func (r *reader) training() Block {
	t := &r.c.Training
	return Block{What: "training", About: "when there is training", Fields: []Field{
		r.weekdays("days", "days of training", &t.Days),
		r.weekdays("mound", "days with a mound", &t.Mound),
		each(Field{Key: "off", Takes: TakesDate, About: "a day without throwing"}, func(n *source.Node) {
			if day, ok := n.Date(r.ds, "off"); ok {
				t.Off = append(t.Off, day)
			}
		})}}
}

func (r *reader) dissent(d *Dissent) Block {
	return Block{What: "a disagreement", About: "somebody who knows the athlete puts another factor first",
		Lead: []string{"first", "because"}, place: &d.Place, Fields: []Field{
			own("by", "", &d.By),
			needed(own("because", "", &d.Reason)),
			r.date("on", "", &d.On),
			needed(word(r, "first", "", r.v.Factors, &d.Factor))}}
}
