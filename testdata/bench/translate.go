package bench

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"rungwise/engine/fact"
)

// words are the words and marks of a condition.
var words = regexp.MustCompile(`"[^"]*"|'[^']*'|[A-Za-z_][A-Za-z0-9_.]*|[0-9]+(?:\.[0-9]+)?|==|!=|<=|>=|&&|\|\||[-+*/<>()\[\],!]`)

// Dialect is how a library writes what differs between them.
type Dialect struct {
	Number func(n float64) string                            // a number
	OneOf  func(what string, list []string, not bool) string // whether a fact is in a list, or not
}

// number writes a number in the shortest way.
func number(n float64) string { return strconv.FormatFloat(n, 'f', -1, 64) }

// decimal writes a number so that it is never a whole one: cel keeps those apart.
func decimal(n float64) string {
	if s := number(n); strings.Contains(s, ".") {
		return s
	}
	return number(n) + ".0"
}

// Expr is the expression library that reads the conditions, asked to evaluate
// them too.
func Expr() Dialect {
	return Dialect{Number: number, OneOf: func(what string, list []string, not bool) string {
		return fmt.Sprintf("%s %s [%s]", what, map[bool]string{false: "in", true: "not in"}[not], strings.Join(list, ", "))
	}}
}

// Cel is cel-go's.
func Cel() Dialect {
	return Dialect{Number: decimal, OneOf: func(what string, list []string, not bool) string {
		return fmt.Sprintf("%s(%s in [%s])", map[bool]string{true: "!"}[not], what, strings.Join(list, ", "))
	}}
}

// Govaluate is govaluate's, whose lists need two members or more.
func Govaluate() Dialect {
	return Dialect{Number: number, OneOf: func(what string, list []string, not bool) string {
		equal := make([]string, len(list))
		for i, x := range list {
			equal[i] = what + " == " + x
		}
		return fmt.Sprintf("%s(%s)", map[bool]string{true: "!"}[not], strings.Join(equal, " || "))
	}}
}

// Flat is the name of a fact without its dot.
func Flat(name string) string { return strings.ReplaceAll(name, ".", "_") }

// Translate writes a condition in a dialect. It knows the forms that rules use:
// comparisons, lists after a fact, abs, between, and, or, not.
func Translate(text string, cat *fact.Catalogue, d Dialect) (string, error) {
	all := words.FindAllString(text, -1)
	if strings.Join(all, "") != strings.Join(strings.Fields(text), "") {
		return "", fmt.Errorf("%q holds what cannot be translated", text)
	}
	var out []string
	for i := 0; i < len(all); i++ {
		w := all[i]
		not := w == "not" && i+1 < len(all) && all[i+1] == "in"
		if w != "in" && !not {
			out = append(out, d.word(w, cat))
			continue
		}
		if not {
			i++
		}
		list, next, err := d.list(all, i+1, cat)
		if err != nil || len(out) == 0 {
			return "", fmt.Errorf("%q: a list must follow `in`", text)
		}
		out[len(out)-1] = d.OneOf(out[len(out)-1], list, not)
		i = next
	}
	return strings.Join(out, " "), nil
}

// word writes one word.
func (d Dialect) word(w string, cat *fact.Catalogue) string {
	switch w {
	case "and":
		return "&&"
	case "or":
		return "||"
	case "not":
		return "!"
	}
	if f, ok := cat.Lookup(w); ok {
		if f.Constant {
			return d.Number(f.Value)
		}
		return Flat(w)
	}
	if n, err := strconv.ParseFloat(w, 64); err == nil {
		return d.Number(n)
	}
	return strings.ReplaceAll(w, "'", `"`)
}

// list reads a list in square brackets and returns where it ends.
func (d Dialect) list(all []string, at int, cat *fact.Catalogue) (items []string, end int, err error) {
	if at >= len(all) || all[at] != "[" {
		return nil, 0, fmt.Errorf("no list")
	}
	for at++; at < len(all) && all[at] != "]"; at++ {
		if all[at] != "," {
			items = append(items, d.word(all[at], cat))
		}
	}
	return items, at, nil
}
