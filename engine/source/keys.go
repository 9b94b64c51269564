package source

import (
	"slices"
	"strconv"
	"strings"
)

// Need says whether a key must stand in a map.
type Need int

// How much a key is needed.
const (
	May    Need = iota
	InBase      // a house's own entry can do without
	Told        // whoever reads the map tells in words of its own where it is missing
	Must
)

// Change says what a house may do with a key of an entry of the base. A key for
// which nothing is said stays as it is.
type Change int

// The ways in which a key may change.
const (
	Fixed    Change = iota
	Free            // in any way
	AtEnd           // words may follow the base's
	KeepYes         // a yes stays yes
	More            // a list may gain items and lose none
	Raise           // a number may only be raised
	Tighten         // numbers move only the way that the entry calls stricter
	Inside          // as the keys of the map itself say
	BaseOnly        // the base's alone: a house's entry has no such key
)

// Form is what a value looks like.
type Form int

// The forms of values.
const (
	Words     Form = iota
	Amount         // a number
	Whole          // a whole number from 0 up
	Truth          // yes or no
	Choice         // one of a few words
	Month          // year and month
	ID             // of an entry of Shape.Of, or of one of several concerns where that is ""
	Condition      // as package cond reads it
	FactName       // a name that conditions can read
	Facts          // names of facts, each with a value
	Weights        // ids of Shape.Of, each with one of a few words
	Group          // a map with the keys of Shape.Keys
	Pairs          // any keys, each with a Shape.Each
	Many           // a list of Shape.Each
	Some           // one Shape.Each or a list of them
)

// Shape is what a key takes.
type Shape struct {
	Form      Form
	Of        string
	Words     []string // of Choice and Weights
	Low, High float64  // of Amount; both 0: any
	Keys      []Known
	Each      *Shape
	Len       int // of Many; 0: any
}

// Each returns the shape of a list, of pairs or of some.
func Each(f Form, of Shape) Shape { return Shape{Form: f, Each: &of} }

// Known is one key of a map of a file: whoever reads the map, describes it to an
// editor or lays a house's over it asks here.
type Known struct {
	Name   string
	Need   Need
	Change Change
	Takes  Shape
	About  string // for whoever writes the file; "" where the name says it
	Since  string // why a house may not change it in any way, where that is told
	Told   bool   // it stands in the rule book
}

// Line is what the rule book says of a key: words after a label, or words alone.
type Line struct {
	Label, Text string
	Code        bool // a condition, to be shown as it is written
}

// Key is a known key, how it is read into a T and how it is told.
type Key[T any] struct {
	Known
	read func(o *Object, into *T)
	show func(*T) string // nil: the key is told in a way of its own or not at all
	tell func(*T) []Line
}

// In puts the key into the rule book behind a label, or without one as a sentence
// of its own. Without a function it is told as it is written.
func (k Key[T]) In(label string, show ...func(*T) string) Key[T] {
	text := k.show
	if len(show) > 0 {
		text = show[0]
	}
	return k.InLines(func(x *T) []Line {
		return []Line{{label, strings.Join(strings.Fields(text(x)), " "), k.Takes.Form == Condition}}
	})
}

// InLines puts several lines for the key into the rule book.
func (k Key[T]) InLines(tell func(*T) []Line) Key[T] { k.Told, k.tell = true, tell; return k }

// Tell is what the rule book says of the keys of a T; one without a value is left
// out.
func Tell[T any](keys []Key[T], x *T) []Line {
	var out []Line
	for _, k := range keys {
		if k.tell != nil {
			out = append(out, k.tell(x)...)
		}
	}
	return slices.DeleteFunc(out, func(l Line) bool { return l.Text == "" })
}

// Shown says how the value is told.
func (k Key[T]) Shown(show func(*T) string) Key[T] { k.show = show; return k }

// Because gives the reason that is told to whoever may not change the key.
func (k Key[T]) Because(why string) Key[T] { k.Since = why; return k }

// As says that the words have a form of their own.
func (k Key[T]) As(s Shape) Key[T] { k.Takes = s; return k }

// Reads is a key that is read as the function says.
func Reads[T any](name string, n Need, c Change, about string, takes Shape, read func(o *Object, into *T)) Key[T] {
	return Key[T]{Known: Known{Name: name, Need: n, Change: c, Takes: takes, About: about}, read: read}
}

// Text is a key that takes words.
func Text[T any](name string, n Need, c Change, about string, at func(*T) *string) Key[T] {
	read := func(o *Object, into *T) { *at(into) = o.Text(name) }
	return Reads(name, n, c, about, Shape{}, read).Shown(func(x *T) string { return *at(x) })
}

// Note is a key for people, which nothing reads.
func Note[T any](name string, about string) Key[T] {
	return Reads(name, May, Free, about, Shape{}, func(o *Object, _ *T) { o.Text(name) })
}

// OneOf is a key that takes one of a few words.
func OneOf[T any](name string, n Need, c Change, about string, words []string, at func(*T) *string) Key[T] {
	read := func(o *Object, into *T) { *at(into) = o.OneOf(name, words) }
	return Reads(name, n, c, about, Shape{Form: Choice, Words: words}, read).
		Shown(func(x *T) string { return strings.ReplaceAll(*at(x), "_", " ") })
}

// Number is a key that takes a number.
func Number[T any](name string, n Need, c Change, about string, at func(*T) *float64) Key[T] {
	return Reads(name, n, c, about, Shape{Form: Amount}, func(o *Object, into *T) { *at(into), _ = o.Number(name) })
}

// Count is a key that takes a whole number from 0 up.
func Count[T any](name string, n Need, c Change, about string, at func(*T) *int) Key[T] {
	read := func(o *Object, into *T) { *at(into), _ = o.Count(name) }
	return Reads(name, n, c, about, Shape{Form: Whole}, read).Shown(func(x *T) string { return strconv.Itoa(*at(x)) })
}

// YesNo is a key that takes yes or no.
func YesNo[T any](name string, n Need, c Change, about string, at func(*T) *bool) Key[T] {
	read := func(o *Object, into *T) { *at(into), _ = o.YesNo(name) }
	return Reads(name, n, c, about, Shape{Form: Truth}, read).Shown(func(x *T) string {
		if *at(x) {
			return "yes"
		}
		return "no"
	})
}

// Texts is a key that takes a word or a list of them.
func Texts[T any](name string, n Need, c Change, about string, at func(*T) *[]string) Key[T] {
	return Reads(name, n, c, about, Each(Some, Shape{}), func(o *Object, into *T) {
		for _, item := range o.Texts(name) {
			*at(into) = append(*at(into), item.Text())
		}
	}).Shown(func(x *T) string { return strings.Join(*at(x), ", ") })
}

// Fill reads the keys of a map into a T, in their order. The house's own map need
// not have what only the base must.
func Fill[T any](o *Object, keys []Key[T], into *T, house bool) {
	for _, k := range keys {
		if k.Need == Must || k.Need == InBase && !house {
			o.Need(k.Name)
		}
		k.read(o, into)
	}
}

// Describe tells of keys without the way in which they are read.
func Describe[T any](keys []Key[T]) []Known {
	out := make([]Known, len(keys))
	for i, k := range keys {
		out[i] = k.Known
	}
	return out
}
