package render

import (
	"fmt"
	"strconv"
	"strings"

	"rungwise/engine/report"
)

// weeks writes every week of the plan, day by day, so that a day can be read
// without turning back.
func (w *writer) weeks() {
	p := w.r.Plan
	for n := 1; n <= mostWeek(p); n++ {
		w.section(fmt.Sprintf("week_%d", n), orElse(w.say("head_week", "n", strconv.Itoa(n)), fmt.Sprintf("Week %d", n)))
		if n == 1 {
			w.para(w.say("week_intro"))
		}
		var rest []string
		any := false
		for _, s := range p.Sessions {
			if s.Week != n {
				continue
			}
			if s.Kind == "rest" || len(s.Blocks) == 0 && s.Throws == 0 {
				rest = append(rest, weekday(s.Date))
				continue
			}
			any = true
			w.session(s)
		}
		if !any {
			w.para(w.say("week_empty", "limit", w.bound(n)))
		}
		w.para(w.say("week_rest", "day", list(rest)))
		w.weekTotal(n)
	}
}

func mostWeek(p *report.Plan) int {
	most := 0
	for _, s := range p.Sessions {
		most = max(most, s.Week)
	}
	return most
}

// bound is the limit that leaves no room in a week.
func (w *writer) bound(week int) string {
	for _, s := range w.r.Plan.Sessions {
		if s.Week == week && s.BoundWords != "" {
			return s.BoundWords
		}
	}
	return ""
}

func (w *writer) weekTotal(n int) {
	for _, t := range w.r.Plan.Week {
		if t.Week == n {
			w.para(w.say("week_total", "n", strconv.Itoa(t.Throws), "planned", none(t.High), "load", whole(t.Load), "cap", whole(t.Cap)))
		}
	}
}

// session writes one day: what it is for, and its parts in order.
func (w *writer) session(s report.Session) {
	w.subhead(orElse(w.say("week_day", "day", weekday(s.Date), "date", monthDay(s.Date)), esc(s.Date)))
	kind := orElse(w.words("kind_"+s.Kind), capital(humble(s.Kind))+" day")
	bound := ""
	if s.BoundWords != "" {
		bound = w.say("week_bound", "limit", strings.TrimRight(s.BoundWords, ". "))
	}
	own := ""
	switch s.Kind {
	case "light":
		own = w.say("week_light")
	case "game":
		own = w.say("week_game")
	}
	w.para(w.say("week_count", "kind", kind, "n", strconv.Itoa(s.Throws), "planned", none(s.High)), own, bound)
	if len(s.Blocks) == 0 {
		return
	}
	if w.lists {
		w.bullets(w.blockItems(s.Blocks)...)
	} else {
		var rows [][]string
		for _, b := range s.Blocks {
			rows = append(rows, []string{w.part(b), esc(w.does(b)), esc(times(b)), esc(effort(b))})
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
			items = append(items, join(bold(w.part(b)+", "+esc(w.does(b))+":"), esc(sentence(b.Exit))))
		}
	}
	if len(items) > 0 {
		w.para(w.say("go_no_go"))
		w.bullets(unique(items)...)
	}
}

// blockItems are the parts of a session in lines, for a narrow reader.
func (w *writer) blockItems(blocks []report.Block) []string {
	items := make([]string, len(blocks))
	for i, b := range blocks {
		at := ""
		if b.Effort > 0 {
			at = " at " + effort(b)
		}
		items[i] = join(bold(w.part(b)+":"), esc(strings.TrimSpace(w.does(b)+", "+times(b)+at)))
	}
	return items
}

// part names a block.
func (w *writer) part(b report.Block) string {
	return orElse(w.say("block_"+b.What), esc(capital(humble(b.What))))
}

// does says what is done in a block: the drill, or the throw.
func (w *writer) does(b report.Block) string {
	for _, d := range w.r.Plan.Drills {
		if d.ID == b.Drill && b.Drill != "" {
			return d.Title
		}
	}
	if b.Throw != "" {
		return orElse(b.Title, throwTitle(w.r, b.Throw))
	}
	if b.What == "warm_up" {
		return "easy throws"
	}
	return orElse(b.Title, humble(b.Drill))
}

// times says how often: "3x5", "8x", or the repeats of a move without a ball.
func times(b report.Block) string {
	switch {
	case b.Sets != "" && b.Throws == 0:
		return b.Sets + " no ball"
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
	w.section("parts", orElse(w.say("head_parts"), "How each part goes"))
	had := map[string]bool{}
	var items []string
	for _, s := range w.r.Plan.Sessions {
		for _, b := range s.Blocks {
			if !had[b.What] {
				had[b.What] = true
				items = append(items, w.how(b.What))
			}
		}
	}
	w.bullets(items...)
	if had["keep_up"] && w.r.Plan.Floor != nil {
		w.para(w.say("keep_up_floor"), w.say("keep_up_low_once"), w.say("keep_up_low_twice"))
	}
	w.para(w.say("had_it"), w.say("week_effort_counts"))
}

func (w *writer) how(what string) string {
	name := bold(orElse(w.say("block_"+what), esc(capital(humble(what)))) + ".")
	switch what {
	case "ladder":
		slope := ""
		if f := w.r.Plan.Focus; len(f) > 0 && f[0].OnSlope {
			slope = w.say("how_ladder_slope")
		}
		return join(name, w.say("how_ladder_below"), w.say("how_ladder_stuck"), slope)
	case "isolation":
		return join(name, w.say("how_isolation"), w.noBall())
	case "interleaved":
		return join(name, w.say("how_interleaved"), w.say("interleaved_trial"))
	}
	how := w.say("how_" + what)
	if how == "" {
		return ""
	}
	return join(name, how)
}

func (w *writer) noBall() string {
	for _, s := range w.r.Plan.Sessions {
		for _, b := range s.Blocks {
			if b.What == "isolation" && b.Throws == 0 {
				return w.say("how_isolation_no_ball")
			}
		}
	}
	return ""
}

func weekday(day string) string {
	t, ok := date(day)
	if !ok {
		return day
	}
	return t.Format("Monday")
}

func monthDay(day string) string {
	t, ok := date(day)
	if !ok {
		return day
	}
	return t.Format("2 January")
}

func whole(v float64) string { return strconv.FormatFloat(v, 'f', 0, 64) }

// none writes a count in a sentence.
func none(n int) string {
	if n == 0 {
		return "none"
	}
	return strconv.Itoa(n)
}
