package source

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"rungwise/engine/diag"
)

// Object reads the keys of one map strictly: a key that nobody asked for is a
// fault, told with the nearest name that was asked for. Every reader returns a
// zero value for a missing key and adds a fault for a wrong one, so a caller
// reads all it wants and looks at the list at the end.
type Object struct {
	node  *Node
	what  string
	ds    *diag.List
	known []string
}

// Object starts reading a map; what names it in messages ("a factor"). A value
// that is not a map is a fault, and reads as a map with no keys.
func (n *Node) Object(ds *diag.List, what string) *Object {
	if n.Kind() != Map && n != nil {
		n.Fault(ds, "Y220", fmt.Sprintf("%s was expected here, this is %s", what, n.Describe()), "", "write `name: value` lines, indented alike")
	}
	return &Object{node: n, what: what, ds: ds}
}

// Node returns the map itself.
func (o *Object) Node() *Node { return o.node }

// Get returns the value of a key, or nil when it is missing.
func (o *Object) Get(key string) *Node {
	if !slices.Contains(o.known, key) {
		o.known = append(o.known, key)
	}
	if v := o.node.Get(key); v.Kind() != Nothing {
		return v
	}
	return nil
}

// Has reports whether the key stands in the map with a value.
func (o *Object) Has(key string) bool { return o.Get(key) != nil }

// Need is Get, and a fault when the key is missing.
func (o *Object) Need(key string) *Node {
	v := o.Get(key)
	if v == nil && o.node.Kind() == Map {
		o.node.Fault(o.ds, "Y221", fmt.Sprintf("%s has no `%s`", o.what, key), "", fmt.Sprintf("add a line `%s: ...`", key))
	}
	return v
}

// Text returns the words of a key.
func (o *Object) Text(key string) string { return o.text(o.Get(key), key) }

// NeedText returns the words of a key that must be there.
func (o *Object) NeedText(key string) string { return o.text(o.Need(key), key) }

func (o *Object) text(v *Node, key string) string {
	if v != nil && v.Kind() != Scalar {
		v.Fault(o.ds, "Y222", fmt.Sprintf("`%s` takes words, this is %s", key, v.Describe()), "", "put the text in quotes")
		return ""
	}
	return strings.TrimSpace(v.Text())
}

// Number returns the number of a key and whether one is there.
func (o *Object) Number(key string) (float64, bool) { return o.Get(key).Number(o.ds, key) }

// Count returns a whole number of a key that is not negative, and whether one
// is there.
func (o *Object) Count(key string) (int, bool) {
	v := o.Get(key)
	n, ok := v.Number(o.ds, key)
	if ok && (n != math.Trunc(n) || n < 0 || n > 1e9) {
		v.Fault(o.ds, "Y224", fmt.Sprintf("`%s` is a count, so a whole number from 0 up", key), "", "write the number of throws, days or pitches")
		return 0, false
	}
	return int(n), ok
}

// YesNo returns the yes or no of a key and whether one is there.
func (o *Object) YesNo(key string) (yes, known bool) {
	v := o.Get(key)
	switch v.Text() {
	case "yes", "true":
		return true, true
	case "no", "false":
		return false, true
	}
	if v != nil {
		v.Fault(o.ds, "Y225", fmt.Sprintf("`%s` is yes or no", key), "", "write yes or no")
	}
	return false, false
}

// Date returns the calendar date of a key at midnight UTC, and whether one is
// there.
func (o *Object) Date(key string) (time.Time, bool) { return o.Get(key).Date(o.ds, key) }

// Texts returns the values of a list of words; one word alone is a list of
// one.
func (o *Object) Texts(key string) []*Node {
	v := o.Get(key)
	switch v.Kind() {
	case Scalar:
		return []*Node{v}
	case List:
		var out []*Node
		for _, item := range v.Items() {
			if item.Kind() != Scalar {
				item.Fault(o.ds, "Y222", fmt.Sprintf("`%s` takes a list of words, this is %s", key, item.Describe()), "", "write one word per entry")
				continue
			}
			out = append(out, item)
		}
		return out
	case Map:
		v.Fault(o.ds, "Y222", fmt.Sprintf("`%s` takes a list of words", key), "", "write [first, second]")
	}
	return nil
}

// Object reads the map of a key; it is nil when the key is missing.
func (o *Object) Object(key, what string) *Object {
	v := o.Get(key)
	if v == nil {
		return nil
	}
	return v.Object(o.ds, what)
}

// Items returns the list of a key; anything but a list is a fault.
func (o *Object) Items(key string) []*Node {
	v := o.Get(key)
	if v != nil && v.Kind() != List {
		v.Fault(o.ds, "Y226", fmt.Sprintf("`%s` takes a list, this is %s", key, v.Describe()), "", "start each entry with a dash on a line of its own")
		return nil
	}
	return v.Items()
}

// Fields returns the pairs of a map of a key; anything but a map is a fault.
func (o *Object) Fields(key string) []Field {
	v := o.Get(key)
	if v != nil && v.Kind() != Map {
		v.Fault(o.ds, "Y227", fmt.Sprintf("`%s` takes `name: value` pairs, this is %s", key, v.Describe()), "", "write {name: value, name: value}")
		return nil
	}
	return v.Fields()
}

// Close reports every key that nobody asked for.
func (o *Object) Close() {
	if o == nil {
		return
	}
	for _, f := range o.node.Fields() {
		key := f.Key.Text()
		if slices.Contains(o.known, key) {
			continue
		}
		help := "it takes: " + strings.Join(o.known, ", ")
		if near, ok := diag.Nearest(key, o.known); ok {
			help = fmt.Sprintf("the closest name is `%s`", near)
		}
		f.Key.Fault(o.ds, "Y228", fmt.Sprintf("%s has nothing called `%s`", o.what, key), "", help)
	}
}

// Number reads a scalar as a plain number; what names it in messages. No node
// is no number, and no fault.
func (n *Node) Number(ds *diag.List, what string) (float64, bool) {
	if n == nil {
		return 0, false
	}
	text := n.Text()
	v, err := strconv.ParseFloat(text, 64)
	if err == nil && !n.Quoted() && !math.IsNaN(v) && !math.IsInf(v, 0) {
		return v, true
	}
	help := "write the digits alone"
	point := strings.Replace(text, ",", ".", 1)
	if _, err := strconv.ParseFloat(point, 64); err == nil && point != text {
		help = "write " + point
	}
	if n.Quoted() {
		help = "write it without quotes"
	}
	n.Fault(ds, "Y223", fmt.Sprintf("`%s` is a number, this is %s", what, n.Describe()), "", help)
	return 0, false
}

// Date reads a scalar as a calendar date, at midnight UTC, as Number does.
func (n *Node) Date(ds *diag.List, what string) (time.Time, bool) {
	if n == nil {
		return time.Time{}, false
	}
	t, err := time.Parse(time.DateOnly, n.Text())
	if err != nil {
		n.Fault(ds, "Y229", fmt.Sprintf("`%s` is a date, this is %s", what, n.Describe()), "", "write it as year-month-day, such as 2026-11-09")
		return time.Time{}, false
	}
	return t, true
}
