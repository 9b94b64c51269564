package radar

import (
	"fmt"
	"slices"
	"strings"

	"rungwise/engine/diag"
	"rungwise/engine/unit"
)

// synonyms lists what the columns are called, in the languages in which such
// files are met. Source: common practice, no source.
func synonyms(role string) []string {
	switch role {
	case Speed:
		return []string{"speed", "spd", "velo", "vel", "velocity", "v", "ball speed", "ball velocity", "pitch speed", "pitch velocity", "throw speed",
			"throwing speed", "throwing velocity", "release speed", "release velocity", "peak", "peak speed", "peak velocity", "reading", "radar", "gun",
			"geschwindigkeit", "tempo", "vitesse", "velocidad", "velocità", "velocita", "velocidade", "snelheid", "hastighet", "hastighed", "球速", "速度", "구속", "скорость"}
	case Throw:
		return []string{"throw", "rung", "drill", "throw type", "throw name", "throw id", "exercise", "kind", "type", "wurf", "übung", "uebung",
			"lancer", "exercice", "lanzamiento", "ejercicio", "lancio", "esercizio", "arremesso", "worp", "oefening", "種目", "投球"}
	case Held:
		return []string{"held", "pattern", "pattern held", "holds", "hold", "kept", "mark", "gehalten", "muster", "tenu", "mantenido", "tenuto"}
	case Date:
		return []string{"date", "day", "on", "session date", "datum", "tag", "jour", "fecha", "data", "dia", "día", "dag", "日付", "날짜", "дата"}
	case Unit:
		return []string{"unit", "units", "einheit", "unité", "unite", "unidad", "unità", "unita", "unidade", "eenheid"}
	case Stamp:
		return []string{"time", "clock", "timestamp", "time stamp", "uhrzeit", "zeit", "heure", "hora", "ora", "tijd", "no", "nr", "num", "number",
			"index", "id", "row", "seq", "#", "throw no", "throw number", "pitch no", "pitch number", "pitch", "shot", "count", "nummer", "numéro", "número", "n°", "時刻"}
	}
	return nil
}

// rolesOf tells which columns of a line are headings that are known. Of two
// headings for one column the first counts here; checkHeading refuses two.
func (r *reader) rolesOf(rec record) map[string]int {
	roles := map[string]int{}
	for i, c := range rec.cells {
		if role, _ := r.roleOf(c); role != "" && !has(roles, role) {
			roles[role] = i
		}
	}
	return roles
}

// roleOf tells which column a heading stands for, and the unit it names.
func (r *reader) roleOf(heading string) (role string, named unit.Unit) {
	plain, named := splitUnit(heading)
	for _, c := range r.o.Columns {
		if name := fold(c.Heading); name == fold(heading) || name == plain {
			return c.Role, named
		}
	}
	if plain == "" && named != unit.None {
		return r.unlessNamed(Speed), named
	}
	for _, role := range roles() {
		if slices.Contains(synonyms(role), plain) {
			return r.unlessNamed(role), named
		}
	}
	return "", named
}

// unlessNamed drops a known heading where the caller named another for its
// column.
func (r *reader) unlessNamed(role string) string {
	if slices.ContainsFunc(r.o.Columns, func(c Column) bool { return c.Role == role }) {
		return ""
	}
	return role
}

// fold brings the ways of writing a heading to one form.
func fold(s string) string {
	return strings.Join(strings.Fields(between.Replace(strings.ToLower(s))), " ")
}

var between = strings.NewReplacer("\u00a0", " ", "\u202f", " ", "_", " ", "-", " ", ".", " ", ":", " ")

// splitUnit takes the unit of a speed out of a heading: "Speed (mph)",
// "velo [km/h]", "speed_kmh", "mph".
func splitUnit(heading string) (plain string, named unit.Unit) {
	h := strings.ToLower(strings.TrimSpace(heading))
	if i := strings.IndexAny(h, "([{"); i >= 0 {
		inside := strings.TrimRight(h[i+1:], ")]} \t")
		if u, ok := unit.OfSpeed(inside); ok {
			return fold(h[:i]), u
		}
		return fold(h), unit.None
	}
	words := strings.Fields(fold(h))
	for n := min(3, len(words)); n > 0; n-- {
		if u, ok := unit.OfSpeed(strings.Join(words[len(words)-n:], " ")); ok {
			words = words[:len(words)-n]
			if k := len(words); k > 0 && words[k-1] == "in" {
				words = words[:k-1]
			}
			return strings.Join(words, " "), u
		}
	}
	return strings.Join(words, " "), unit.None
}

// checkHeading refuses a heading that could mean two things or lacks one.
func (r *reader) checkHeading() {
	first := map[string]int{}
	for i, c := range r.heading.cells {
		role, named := r.roleOf(c)
		if role == "" || role == Stamp {
			continue
		}
		if before, twice := first[role]; twice {
			r.ds.Add(diag.Diagnostic{Place: r.place(r.heading, i), Code: "R611", Headline: fmt.Sprintf("two headings could be the %s: `%s` and `%s`",
				role, r.heading.cell(before), strings.TrimSpace(c)), Help: fmt.Sprintf("say which with --column %s=HEADING", role)})
			continue
		}
		first[role] = i
		if role == Speed {
			r.unit = named
		}
	}
	for _, c := range r.o.Columns {
		if !has(r.roles, c.Role) {
			r.refuseAt(r.place(r.heading, -1), "R612", fmt.Sprintf("no heading is called %q", c.Heading), "headings are read on this line")
		}
	}
	if !has(r.roles, Throw) && r.o.Throw == "" {
		r.refuseAt(r.place(r.heading, -1), "R613", "no column says which throw a reading belongs to",
			"head a column `throw`, or give the one throw of the whole file with --throw")
	}
	r.checkUnit()
}

// checkUnit wants a unit from somewhere, and no two that differ.
func (r *reader) checkUnit() {
	at := r.place(r.heading, r.roles[Speed])
	switch {
	case r.unit != unit.None && r.o.Unit != unit.None && r.unit != r.o.Unit:
		r.refuseAt(at, "R614", fmt.Sprintf("the heading says %s and --unit says %s", r.unit, r.o.Unit), "leave --unit out, or mend the heading")
	case r.unit == unit.None && r.o.Unit == unit.None && !has(r.roles, Unit) && !r.cellsNameUnits():
		r.refuseAt(at, "R615", "nothing says in which unit the speeds are", "give it with --unit mph, km/h or m/s, or write it into the heading, such as speed (mph)")
	}
}

// cellsNameUnits reports whether any reading has its unit beside it.
func (r *reader) cellsNameUnits() bool {
	return slices.ContainsFunc(r.body, func(rec record) bool {
		q, err := unit.Parse(rec.cell(r.roles[Speed]))
		return err == nil && q.Unit.Kind() == unit.Speed
	})
}
