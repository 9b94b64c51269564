package casefile

import (
	"fmt"
	"slices"
	"time"

	"rungwise/engine/checklist"
	"rungwise/engine/diag"
	"rungwise/engine/fact"
	"rungwise/engine/source"
	"rungwise/engine/unit"
)

// Takes says what a key of a case file takes.
type Takes int

// The kinds of values.
const (
	TakesText     Takes = iota
	TakesScalar         // whatever stands on one line
	TakesDate           // year-month-day
	TakesCount          // a whole number from 0 up
	TakesNumber         // any number
	TakesYesNo          // yes or no
	TakesWord           // one of Field.Words
	TakesThrow          // the id of a throw
	TakesSpeed          // a speed with its unit, or in the one told beside it
	TakesMark           // did the pattern hold
	TakesPoints         // clicked places
	TakesHits           // hits of attempts, such as 6 of 10
	TakesGun            // what somebody calls his radar gun
	TakesQuestion       // an answer to Field.Question
	TakesBlock          // named values, Field.Block
	TakesLook           // a look at Field.Checkpoint, short or as Field.Block
)

// Many says how many values a key takes.
type Many int

// A key takes one value, one or a list of them, or a list.
const (
	One Many = iota
	Some
	List
)

// Field is one key of a case file: what it takes and how it is read. Whoever reads, exports or describes a case asks
// here.
type Field struct {
	Key        string
	Takes      Takes
	Many       Many
	About      string   // what the key does not say by itself
	Words      []string // of TakesWord
	Needed     bool
	Own        bool // words of somebody's own, which never leave the house
	Most       int  // entries of a list; 0 = any number
	Question   checklist.Question
	Checkpoint checklist.Checkpoint
	Block      func() Block

	read func(o *source.Object, n *source.Node)
}

// Block is the keys of one group.
type Block struct {
	What   string   // in messages: "a rung"
	About  string   // for whoever writes one
	Shared string   // its name, where it stands in several places
	Lead   []string // the keys that whoever writes one is offered first
	Fields []Field

	place *diag.Place // to be filled in
}

// Field returns the field of a key, and whether there is one.
func (b Block) Field(key string) (Field, bool) {
	i := slices.IndexFunc(b.Fields, func(f Field) bool { return f.Key == key })
	if i < 0 {
		return Field{}, false
	}
	return b.Fields[i], true
}

// Shape is every key that a case file may hold.
func Shape(v Vocabulary) Block { return (&reader{v: v, ds: &diag.List{}, c: &Case{}}).root() }

// block reads a group strictly: a key that it does not have is a fault.
func (r *reader) block(n *source.Node, b Block) {
	o := n.Object(r.ds, b.What)
	if b.place != nil {
		*b.place = n.Place()
	}
	for _, f := range b.Fields {
		at := o.Get(f.Key)
		if f.Needed {
			o.Need(f.Key)
		}
		if at != nil {
			f.read(o, at)
		}
		if items := at.Items(); f.Most > 0 && len(items) > f.Most {
			items[0].Fault(r.ds, "C310", fmt.Sprintf("at most %d %s are read", f.Most, f.Key), "", "keep the newest, last")
		}
	}
	o.Close()
}

// by is the field with what reads it, for which the value alone is enough.
func (f Field) by(read func(n *source.Node)) Field {
	f.read = func(_ *source.Object, n *source.Node) { read(n) }
	return f
}

func needed(f Field) Field {
	f.Needed = true
	return f
}

// group is a key with a block of its own.
func (r *reader) group(key string, b func() Block) Field {
	return Field{Key: key, Takes: TakesBlock, Block: b}.by(func(n *source.Node) { r.block(n, b()) })
}

// entries is a key with a list of blocks; of Some, a single block too.
func entries[T any](r *reader, key string, many Many, into *[]T, block func(*T) Block) Field {
	return Field{Key: key, Takes: TakesBlock, Many: many, Block: func() Block { return block(new(T)) },
		read: func(o *source.Object, n *source.Node) {
			all := []*source.Node{n}
			if many == List || n.Kind() == source.List {
				all = o.Items(key)
			}
			for _, n := range all {
				one := new(T)
				r.block(n, block(one))
				*into = append(*into, *one)
			}
		}}
}

// own is a key with words of somebody's own.
func own(key, about string, into *string) Field {
	return Field{Key: key, About: about, Own: true, read: func(o *source.Object, _ *source.Node) { *into = o.Text(key) }}
}

// each is a key with one value or a list of them, taken one by one.
func each(f Field, take func(n *source.Node)) Field {
	f.Many, f.read = Some, func(o *source.Object, _ *source.Node) {
		for _, n := range o.Texts(f.Key) {
			take(n)
		}
	}
	return f
}

// date is a key with a day that does not lie ahead.
func (r *reader) date(key, about string, into *time.Time) Field {
	return Field{Key: key, Takes: TakesDate, About: about, read: func(o *source.Object, n *source.Node) {
		*into, _ = o.Date(key)
		if !r.v.Today.IsZero() && into.After(r.v.Today) {
			n.Fault(r.ds, "C307", n.Text()+" lies after today", "", "check the year and the month, or give the day with --on")
		}
	}}
}

// count is a key with a count up to a bound, of hard throws among all that were counted before; nil for any others.
func (r *reader) count(key, about string, most bound, among, into *int) Field {
	return Field{Key: key, Takes: TakesCount, About: about, read: func(o *source.Object, n *source.Node) {
		v, ok := o.Count(key)
		if *into = v; ok {
			r.believed(n, float64(v), most)
		}
		if among != nil && v > *among {
			n.Fault(r.ds, "C311", "more high-effort throws than throws", "", "high-effort throws are counted among the throws")
		}
	}}
}

// number is a key with a number up to a bound.
func (r *reader) number(key, about string, most bound, take func(float64)) Field {
	return Field{Key: key, Takes: TakesNumber, About: about, read: func(o *source.Object, n *source.Node) {
		if v, ok := o.Number(key); ok && r.believed(n, v, most) {
			take(v)
		}
	}}
}

// parsed is a key with a value that another package reads from its text.
func parsed[T any](r *reader, key, about string, parse func(string) (T, error), take func(T)) Field {
	return Field{Key: key, Takes: TakesScalar, About: about}.by(func(n *source.Node) {
		v, err := parse(n.Text())
		if err != nil {
			r.quantity(n, key, err)
			return
		}
		take(v)
	})
}

// within is a key with a number in a unit, from low to high.
func (r *reader) within(key, about string, in unit.Unit, low, high float64, take func(float64)) Field {
	return parsed(r, key, about, func(text string) (float64, error) {
		q, err := unit.Read(text, in, unit.Range{Low: low, High: high})
		return q.Value, err
	}, take)
}

// word is a key with one of some words.
func word[T ~string](r *reader, key, about string, words []string, into *T) Field {
	return Field{Key: key, Takes: TakesWord, About: about, Words: words}.by(func(n *source.Node) {
		if r.choice(n, key, n.Text(), words) {
			*into = T(n.Text())
		}
	})
}

// thrown is a key with the id of a throw.
func (r *reader) thrown(into *string) Field {
	return needed(Field{Key: "throw", Takes: TakesThrow}.by(func(n *source.Node) { *into = r.throw(n) }))
}

// speeds is a key with speeds in a unit that was read before; a dash is a throw that the gun missed, and counts.
func (r *reader) speeds(key string, in *unit.Unit, take func(speeds []float64, throws int)) Field {
	return Field{Key: key, Takes: TakesSpeed, Many: Some, read: func(o *source.Object, _ *source.Node) {
		var speeds []float64
		all := o.Texts(key)
		for _, n := range all {
			if n.Text() == "-" {
				continue
			}
			if v, ok := r.speed(n, *in); ok {
				speeds = append(speeds, v)
			}
		}
		take(speeds, len(all))
	}}
}

// units is the key with the unit of the speeds after it.
func (r *reader) units(into *unit.Unit) Field {
	return word(r, "unit", "unit of the speeds", []string{string(unit.MPH), string(unit.KMH), string(unit.MPS)}, into)
}

// told is a key with an answer of a checkpoint that is told rung by rung.
func (r *reader) told(key, checkpoint string, into *string) Field {
	p, _ := r.v.Checklist.Checkpoint(checkpoint)
	return Field{Key: key, Takes: TakesWord, About: p.Ask, Words: append(ids(p.Answers), CouldNotSee)}.by(func(n *source.Node) {
		if n.Text() != CouldNotSee && r.choice(n, key, n.Text(), ids(p.Answers)) {
			*into = n.Text()
		}
	})
}

func ids(answers []fact.Answer) []string { return fact.Fact{Answers: answers}.AnswerIDs() }

// gun is a key with what somebody calls his radar gun.
func gun(key, about string, into *string) Field {
	f := own(key, about, into)
	f.Takes = TakesGun
	return f
}

// weekdays is a key with days of the week.
func (r *reader) weekdays(key, about string, into *[]time.Weekday) Field {
	return each(Field{Key: key, Takes: TakesWord, About: about, Words: dayNames()}, func(n *source.Node) {
		if day, ok := Weekday(n.Text()); ok {
			*into = append(*into, day)
		} else {
			r.choice(n, key, n.Text(), dayNames())
		}
	})
}

// Weekday reads the first three letters of an English day name, mon to sun.
func Weekday(name string) (time.Weekday, bool) {
	i := slices.Index(dayNames(), name)
	if i < 0 {
		return 0, false
	}
	return time.Weekday((i + 1) % 7), true
}

// dayNames lists the days as they are written, Monday first.
func dayNames() []string { return []string{"mon", "tue", "wed", "thu", "fri", "sat", "sun"} }
