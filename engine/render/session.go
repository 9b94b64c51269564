package render

import (
	"slices"
	"strconv"
	"strings"

	"rungwise/engine/report"
)

// weeks writes every week of the plan, day by day, so that a day can be read
// without turning back.
func (w *writer) weeks() {
	p := w.r.Plan
	last := 0
	for _, s := range p.Sessions {
		last = max(last, s.Week)
	}
	for n := 1; n <= last; n++ {
		w.section("week_"+strconv.Itoa(n), "head_week", "n", strconv.Itoa(n))
		if n == 1 {
			w.says("week_intro")
		}
		w.week(slices.DeleteFunc(slices.Clone(p.Sessions), func(s report.Session) bool { return s.Week != n }))
		for _, t := range p.Week {
			if t.Week == n {
				w.para(w.say("week_total", "n", strconv.Itoa(t.Throws), "planned", none(t.High), "load", whole(t.Load), "cap", whole(t.Cap)))
			}
		}
	}
}

// week writes the days of one week; days without throws stand in one line.
func (w *writer) week(days []report.Session) {
	var rest []string
	bound := ""
	for _, s := range days {
		bound = orElse(bound, s.BoundWords)
		if resting(s) {
			rest = append(rest, dayAs(s.Date, "Monday"))
		} else {
			w.session(s)
		}
	}
	if len(rest) == len(days) {
		w.para(w.say("week_empty", "limit", bound))
	}
	w.para(w.say("week_rest", "day", list(rest)))
}

func resting(s report.Session) bool {
	return s.Kind == "rest" || len(s.Blocks) == 0 && s.Throws == 0
}

// session writes one day: what it is for, and its parts in order.
func (w *writer) session(s report.Session) {
	w.subhead(orElse(w.say("week_day", "day", dayAs(s.Date, "Monday"), "date", dayAs(s.Date, "2 January")), esc(s.Date)))
	kind := orElse(w.raw("kind_"+s.Kind), capital(humble(s.Kind))+" day")
	w.para(w.say("week_count", "kind", kind, "n", strconv.Itoa(s.Throws), "planned", none(s.High)), w.say("week_"+s.Kind),
		w.say("week_bound", "limit", strings.TrimRight(s.BoundWords, ". ")))
	if w.lists {
		var items []string
		for _, b := range s.Blocks {
			items = append(items, join(bold(w.part(b.What)+":"), esc(w.block(b))))
		}
		w.bullets(items...)
	} else {
		var rows [][]string
		for _, b := range s.Blocks {
			rows = append(rows, []string{w.part(b.What), esc(w.does(b)), esc(w.times(b)), esc(effort(b))})
		}
		w.table([]string{"Part", "Do", "Times", "At"}, rows)
	}
	w.goNoGo(s.Blocks)
}

// goNoGo says after which part a session goes on, stays where it is or ends. The
// test of a drill stands on its card.
func (w *writer) goNoGo(blocks []report.Block) {
	var items []string
	for _, b := range blocks {
		if b.Exit != "" && b.What != "isolation" {
			items = append(items, join(bold(w.part(b.What)+", "+esc(w.does(b))+":"), line(b.Exit)))
		}
	}
	if len(items) > 0 {
		w.says("go_no_go")
		w.bullets(unique(items)...)
	}
}

// block is a part of a session in a line.
func (w *writer) block(b report.Block) string {
	at := ""
	if b.Effort > 0 {
		at = " at " + effort(b)
	}
	return w.does(b) + ", " + w.times(b) + at
}

// part names a kind of block.
func (w *writer) part(what string) string {
	return orElse(w.say("block_"+what), esc(capital(humble(what))))
}

// does says what is done in a block: the drill, or the throw.
func (w *writer) does(b report.Block) string {
	for _, d := range w.r.Plan.Drills {
		if d.ID == b.Drill && b.Drill != "" {
			return d.Title
		}
	}
	switch {
	case b.Throw != "":
		return orElse(b.Title, throwTitle(w.r, b.Throw))
	case b.What == "warm_up":
		return w.raw("easy_throws")
	}
	return orElse(b.Title, humble(b.Drill))
}

// times says how often: "3x5", "8x", or the repeats of a move without a ball.
func (w *writer) times(b report.Block) string {
	switch {
	case b.Sets != "" && b.Throws == 0:
		return w.raw("no_ball", "sets", b.Sets)
	case b.Sets != "":
		return b.Sets
	}
	return strconv.Itoa(b.Throws) + "x"
}

func effort(b report.Block) string {
	if b.Effort <= 0 {
		return ""
	}
	return strconv.Itoa(b.Effort) + " %"
}

// parts says once how each part of a session goes, in the order they first come.
func (w *writer) parts() {
	w.section("parts", "head_parts")
	slope := false
	if f := w.r.Plan.Focus; len(f) > 0 {
		slope = f[0].OnSlope
	}
	blocks, noBall := []string{}, false
	for _, s := range w.r.Plan.Sessions {
		for _, b := range s.Blocks {
			noBall = noBall || b.What == "isolation" && b.Throws == 0
			if !slices.Contains(blocks, b.What) {
				blocks = append(blocks, b.What)
			}
		}
	}
	var items []string
	for _, what := range blocks {
		ids := []string{"how_" + what}
		switch {
		case what == "ladder" && slope:
			ids = []string{"how_ladder_below", "how_ladder_stuck", "how_ladder_slope"}
		case what == "ladder":
			ids = []string{"how_ladder_below", "how_ladder_stuck"}
		case what == "isolation" && noBall:
			ids = append(ids, "how_isolation_no_ball")
		case what == "interleaved":
			ids = append(ids, "interleaved_trial")
		}
		if how := join(w.all(ids)...); how != "" {
			items = append(items, join(bold(w.part(what)+"."), how))
		}
	}
	w.bullets(items...)
	if slices.Contains(blocks, "keep_up") && w.r.Plan.Floor != nil {
		w.says("keep_up_floor", "keep_up_low_once", "keep_up_low_twice")
	}
	w.says("had_it", "week_effort_counts")
}

// none writes a count in a sentence.
func none(n int) string {
	if n == 0 {
		return "none"
	}
	return strconv.Itoa(n)
}
