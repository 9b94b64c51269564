package radar

import (
	"fmt"
	"slices"
	"strings"

	"rungwise/engine/casefile"
	"rungwise/engine/diag"
	"rungwise/engine/unit"
)

// rows reads every line under the heading.
func (r *reader) rows() {
	again := r.repeated()
	seen := map[string]int{}
	for i, rec := range r.body {
		if rec.filled() == 0 {
			continue
		}
		row := r.row(rec)
		if row.Status == Taken && again[i] > 0 {
			row.skip(fmt.Sprintf("the lines under this heading stand already from line %d on", again[i]))
		}
		if key, ok := r.stamped(rec); ok && row.Status == Taken {
			if first, twice := seen[key]; twice {
				row.skip(fmt.Sprintf("the same line as line %d", first))
			} else {
				seen[key] = rec.line
			}
		}
		r.m.Rows = append(r.m.Rows, row)
	}
	r.days()
}

func (r *Row) skip(why string) { r.Status, r.Why = Skipped, why }

// row reads one line.
func (r *reader) row(rec record) Row {
	row := Row{Place: r.place(rec, r.roles[Speed])}
	text := rec.cell(r.roles[Speed])
	switch {
	case slices.Equal(rec.cells, r.heading.cells):
		row.skip("the heading again")
	case summary(rec, r.roles[Speed]):
		row.skip("a summary, not a throw")
	case rec.filled() > len(r.heading.cells):
		row.fail(r.place(rec, len(r.heading.cells)), fmt.Sprintf("%s under a heading of %d", counted(rec.filled(), "cell"), len(r.heading.cells)),
			"a decimal comma needs quotation marks, or another separator than the comma")
	case noReading(text):
		row.skip("no reading")
	default:
		r.fields(&row, rec)
	}
	return row
}

func (r *Row) fail(at diag.Place, why, help string) {
	r.Place, r.Status, r.Why, r.Help = at, NotUnderstood, why, help
}

// fields reads the cells of a line that holds a reading.
func (r *reader) fields(row *Row, rec record) {
	q, why, help := r.speed(rec)
	if why != "" {
		row.fail(r.place(rec, r.roles[Speed]), why, help)
		return
	}
	row.Speed, row.Throw = q, r.o.Throw
	if at, ok := r.roles[Throw]; ok {
		id, help := r.throw(rec.cell(at))
		if id == "" {
			why := fmt.Sprintf("no throw is called %q", short(rec.cell(at)))
			if rec.cell(at) == "" {
				why = "the line names no throw"
			}
			row.fail(r.place(rec, at), why, help)
			return
		}
		row.Throw = id
	}
	if at, ok := r.roles[Held]; ok {
		mark, known := markOf(rec.cell(at))
		if !known {
			row.fail(r.place(rec, at), fmt.Sprintf("%q does not say whether the pattern held", short(rec.cell(at))), "write yes, partly or no, x where nobody could see, or leave it empty")
			return
		}
		row.Mark = mark
	}
	if at, ok := r.roles[Date]; ok {
		r.date(row, rec, at)
	}
}

func (r *reader) date(row *Row, rec record, at int) {
	d, ok := r.readDate(rec.cell(at))
	switch {
	case !ok:
		row.fail(r.place(rec, at), fmt.Sprintf("%q is not a date", short(rec.cell(at))), "write it like 2026-11-09")
	case !r.o.Today.IsZero() && d.After(r.o.Today):
		row.fail(r.place(rec, at), fmt.Sprintf("%s lies after today", d.Format("2006-01-02")), "check the clock of the gun, or give the day with --on")
	case !r.o.Day.IsZero() && !d.Equal(r.o.Day):
		row.On = d
		row.skip("of another day, " + d.Format("2006-01-02"))
	default:
		row.On = d
	}
}

// speed reads a reading with its unit: beside it, in the unit column, in the
// heading, or as the caller says. Two that differ are not understood.
func (r *reader) speed(rec record) (q unit.Quantity, why, help string) {
	text := rec.cell(r.roles[Speed])
	u := r.unit
	if at, ok := r.roles[Unit]; ok && rec.cell(at) != "" {
		named, known := unit.OfSpeed(rec.cell(at))
		if !known || u != unit.None && named != u {
			return q, fmt.Sprintf("the unit %q does not fit a speed here", short(rec.cell(at))), "mph, km/h or m/s, and the same as in the heading"
		}
		u = named
	}
	q, err := unit.Read(text, unit.None, unit.Range{})
	if err != nil {
		if q, err = unit.Parse(text); err != nil || q.Unit.Kind() != unit.Speed {
			return q, fmt.Sprintf("%q is not a speed", short(text)), faultHelp(err)
		}
		if u != unit.None && q.Unit != u {
			return q, fmt.Sprintf("%q is in another unit than the file's %s", short(text), u), ""
		}
		return q, believable(q), "check the number and its unit"
	}
	if u == unit.None {
		u = r.o.Unit
	}
	if u == unit.None {
		return q, fmt.Sprintf("%q has no unit", short(text)), "write it beside the number, or give --unit"
	}
	q.Unit = u
	return q, believable(q), "check the number and its unit"
}

func faultHelp(err error) string {
	if f, ok := err.(*unit.Fault); ok {
		return f.Help
	}
	return "write a number, such as 84.6"
}

// believable refuses what nobody throws; it catches km/h taken for mph.
func believable(q unit.Quantity) string {
	if _, ok := casefile.Believed(q); !ok {
		return "nobody throws " + q.Text(1)
	}
	return ""
}

// named is what a cell says of a throw.
type named struct{ id, help string }

// throw finds the id that a cell names, once for each way of writing it.
func (r *reader) throw(cell string) (id, help string) {
	n, known := r.names[cell]
	if !known {
		n = r.name(cell)
		r.names[cell] = n
	}
	return n.id, n.help
}

// name finds an id by id or title. A near miss is told and not taken: flat_lift
// and flat_no_lift are near, too.
func (r *reader) name(cell string) named {
	if cell == "" {
		return named{help: "name it on every line"}
	}
	cell = fold(cell)
	var names []string
	for _, n := range r.o.Throws {
		id, title := fold(n.ID), fold(n.Title)
		if cell == id || cell == title {
			return named{id: n.ID}
		}
		names = append(names, id, title)
	}
	if near, ok := diag.Nearest(cell, names); ok {
		i := slices.Index(names, near) / 2
		return named{help: fmt.Sprintf("did you mean `%s`?", r.o.Throws[i].ID)}
	}
	return named{help: "`rungwise rules list throws` shows the names"}
}

// noReading tells the ways in which guns and people write that there was none.
func noReading(text string) bool {
	switch strings.ToLower(strings.TrimSpace(text)) {
	case "", "-", "--", "---", "–", "—", ".", "?", "x", "n/a", "na", "nan", "null", "none", "no read", "no reading", "miss", "missed", "err", "error", "0", "00", "000", "0.0", "0,0":
		return true
	}
	return false
}

// summary reports whether a line says that it sums others up: a cell beside the
// reading that is such a word and no more ("max effort" is a remark).
func summary(rec record, speed int) bool {
	for i, c := range rec.cells {
		word := fold(c)
		for _, of := range []string{" speed", " velo", " velocity"} {
			word = strings.TrimSuffix(word, of)
		}
		if i != speed && slices.Contains(summaryWords(), word) {
			return true
		}
	}
	return false
}

func summaryWords() []string {
	return []string{"average", "avg", "mean", "max", "maximum", "min", "minimum", "total", "sum", "sd", "std", "stdev", "median",
		"durchschnitt", "mittel", "mittelwert", "summe", "moyenne", "promedio", "media", "médiane", "gemiddelde", "平均", "合計"}
}

// markOf reads whether the pattern held, also as a number. An empty cell is no mark.
func markOf(cell string) (mark string, known bool) {
	switch cell {
	case "":
		return "", true
	case "1", "1.0":
		cell = "yes"
	case "0.5", "0,5", ".5":
		cell = "partly"
	case "0", "0.0":
		cell = "no"
	case "-":
		cell = casefile.CouldNotSee
	}
	return casefile.ReadMark(cell)
}

// stamped returns what makes a line one of its kind, where something does: a
// time of day or a number of the throw. Without one, two equal lines are two
// throws of one speed.
func (r *reader) stamped(rec record) (key string, ok bool) {
	stamp := ""
	if at, has := r.roles[Stamp]; has {
		stamp = rec.cell(at)
	}
	if at, has := r.roles[Date]; has && stamp == "" && strings.Contains(rec.cell(at), ":") {
		stamp = rec.cell(at)
	}
	return strings.Join(rec.cells, "\x00"), stamp != ""
}

// repeated finds blocks of lines under a repeated heading that stand above as
// well: an export pasted twice. It returns, by line, where the first begins.
func (r *reader) repeated() map[int]int {
	out, first := map[int]int{}, map[string]int{}
	from := 0
	for i := 0; i <= len(r.body); i++ {
		if i < len(r.body) && !slices.Equal(r.body[i].cells, r.heading.cells) {
			continue
		}
		if block := r.body[from:i]; len(block) > 1 {
			var text strings.Builder
			for _, rec := range block {
				text.WriteString(strings.Join(rec.cells, "\x00") + "\x01")
			}
			at, known := first[text.String()]
			if !known {
				first[text.String()] = from
			}
			for n := from; known && n < i; n++ {
				out[n] = r.body[at].line
			}
		}
		from = i + 1
	}
	return out
}

// days wants the taken lines to be of one day.
func (r *reader) days() {
	for _, row := range r.m.Rows {
		if row.Status != Taken || row.On.IsZero() {
			continue
		}
		if !r.m.On.IsZero() && !row.On.Equal(r.m.On) {
			r.refuseAt(row.Place, "R616", fmt.Sprintf("the file holds more than one day: %s and %s", r.m.On.Format("2006-01-02"), row.On.Format("2006-01-02")),
				"take one with --day "+r.m.On.Format("2006-01-02"))
			return
		}
		r.m.On = row.On
	}
}

func short(s string) string {
	if r := []rune(s); len(r) > 30 {
		return string(r[:30]) + "..."
	}
	return s
}
