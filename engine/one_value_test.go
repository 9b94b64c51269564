package engine

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"rungwise/engine/casefile"
	"rungwise/engine/checklist"
	"rungwise/engine/compose"
	"rungwise/engine/render"
	"rungwise/engine/source"
	"rungwise/engine/week"
	"rungwise/testdata/cases"
)

// A number is one name and the places in which faces say its value.
type number struct {
	name string
	says *regexp.Regexp // the value is what its groups hold
}

// The numbers that more than one face says, by the words that stand around them.
var numbers = []number{
	{"floor", regexp.MustCompile(`(?i)\bfloor (?:is|of) ([\d.]+ (?:mph|km/h))|mean of these throws is ([\d.]+ (?:mph|km/h)) or more|"floor": ?\{"speed": ?([\d.]+)`)},
	{"promotion marks", regexp.MustCompile(`Held in (\d+) of the last (\d+) throws|moves on with (\d+) held of the last (\d+) throws`)},
	{"step-back marks", regexp.MustCompile(`hold it in (\d+) of the last \d+ or fewer|steps back with (\d+) or fewer`)},
	{"stuck rung", regexp.MustCompile(`\*\*Stuck at: ([^.]+)\.|You lose it at this one: ([^.]+)\.|<stuck>(.+)</stuck>`)},
	{"chance of the stuck rung", regexp.MustCompile(`\*\*Stuck at: [^*]*How sure: ([^*]+)\*\*`)},
	{"first factor", regexp.MustCompile(`### 1\. (.+)\n|We start with this: ([^.]+)\.|<first>(.+)</first>`)},
	{"gain of the drill", regexp.MustCompile(`Your [a-z ]+ gained ([\d.]+) mph and your mound|: \+([\d.]+) mph over [\d]+ weeks?\. Mound|the drill gained ([\d.]+) mph and the mound`)},
	{"load of the week", regexp.MustCompile(`hard: a load of ([\d.]+), where|<load>(.+)</load>`)},
	{"growth of the week", regexp.MustCompile(`<growth>(.+)</growth>|load\.growth: ([\d.]+)`)},
	{"gate", regexp.MustCompile(`<gate>(.+)</gate>`)},
}

// wholeTenth is a number to a tenth that is a whole one.
var wholeTenth = regexp.MustCompile(`(\d)\.0\b`)

// values are what the faces say under each name, with the face that says it.
type values map[string]map[string][]string

func (v values) say(face, name, value string) {
	value = wholeTenth.ReplaceAllString(strings.ToLower(strings.Join(strings.Fields(value), " ")), "$1")
	if v[name] == nil {
		v[name] = map[string][]string{}
	}
	if !slices.Contains(v[name][value], face) {
		v[name][value] = append(v[name][value], face)
	}
}

func (v values) read(face, text string) {
	for _, n := range numbers {
		for _, m := range n.says.FindAllStringSubmatch(text, -1) {
			v.say(face, n.name, strings.Join(m[1:], " "))
		}
	}
}

// faces renders all that is said of a case and returns what each says by name.
func (e *Engine) faces(t *testing.T, c *casefile.Case) values {
	t.Helper()
	v := values{}
	r, err := e.Plan(c, PlanOptions{})
	if err != nil {
		t.Fatalf("%s: %v", c.Code, err)
	}
	o := render.Options{Width: 80, Words: func(id string) string { text, _ := e.base.Words(id); return text }}
	v.read("triage", render.Triage(r, o))
	v.read("plan", render.Plan(r, o))
	v.read("coach's page", render.CoachPlan(r, o))
	if ics, err := render.Calendar(r, o); err == nil {
		v.read("calendar", string(ics))
	}
	if l, err := e.Ladder(c, ""); err == nil {
		v.read("ladder", render.Ladder(l, o))
		v.say("ladder", "gate", l.Gate.ID)
	}
	w, err := e.Week(c)
	if err != nil {
		t.Fatalf("%s: %v", c.Code, err)
	}
	v.read("decision", render.Week(w, o))
	f, err := e.findings(c, nil)
	if err != nil {
		t.Fatal(err)
	}
	row, err := week.Row(f)
	if err != nil {
		t.Fatalf("%s: %v", c.Code, err)
	}
	v.read("roster", fmt.Sprintf("<stuck>%s</stuck><first>%s</first>", row.RungName, row.FactorIs))
	if row.Growth != nil {
		v.say("roster", "growth of the week", fmt.Sprintf("%.2f", *row.Growth))
	}
	if slot, ok := e.base.Catalogue.Slot("load.growth"); ok && f.Facts.Vector[slot].Known && row.Growth != nil {
		v.say("facts", "growth of the week", fmt.Sprintf("%.2f", f.Facts.Vector[slot].N))
	}
	v.say("plan's record", "gate", r.Gate.ID)
	if g := f.Triage.Gate; g != nil {
		v.say("findings", "gate", g.ID)
	}
	v.say("record", "silent", fmt.Sprint(compose.Silent(f.Triage)))
	v.say("roster", "silent", fmt.Sprint(row.Urgency <= 1))
	if p := r.Plan; p != nil && p.Floor != nil {
		v.say("plan's record", "floor", fmt.Sprintf("%.1f %s", p.Floor.Speed, p.Floor.Unit))
		for _, s := range p.Sessions {
			for _, b := range s.Blocks {
				if b.Floor != nil {
					v.say("plan's blocks", "floor", fmt.Sprintf("%.1f %s", *b.Floor, b.Unit))
				}
			}
		}
	}
	for _, row := range r.Comparison.Rows {
		v.say("comparison", "checkpoint "+row.Title, row.Verdict)
	}
	for _, x := range r.Factors {
		for _, title := range x.Unseen {
			name := strings.Split(title, ", ")[0]
			if v["checkpoint "+name] != nil && len(v["checkpoint "+name]["unseen"]) == 0 && strings.HasSuffix(title, r.Athlete.CompTitle) {
				v.say("factor "+x.ID, "checkpoint "+name, "unseen")
			}
		}
	}
	var js bytes.Buffer
	if err := render.JSON(&js, r); err != nil {
		t.Fatal(err)
	}
	v.read("JSON", js.String())
	return v
}

// One name has one value, whichever face says it: over the stored athletes and
// drawn ones of every age, load, ladder, comparison and log.
func TestOneNameOneValue(t *testing.T) {
	e := open(t)
	seen := map[string]int{}
	check := func(c *casefile.Case) {
		for name, by := range e.faces(t, c) {
			seen[name]++
			if len(by) > 1 {
				text := ""
				if c.File != nil {
					text = string(c.File.Bytes)
				}
				t.Errorf("%s, %s: %v\n%s", c.Code, name, by, text)
			}
		}
	}
	files, _ := os.ReadDir(filepath.Join("..", "testdata", "cases"))
	for _, f := range files {
		if strings.HasSuffix(f.Name(), ".yaml") {
			c := worked(t, e, f.Name())
			e.ParseLog(c, source.New("none.log.jsonl", nil))
			check(c)
		}
	}
	n := 80
	if *study {
		n = 3000
	}
	d := &faceDrawer{e: e, rng: rand.New(rand.NewPCG(13, 1))}
	for range n {
		check(d.next(t))
		if t.Failed() {
			break
		}
	}
	for _, x := range numbers {
		if seen[x.name] < n/20 {
			t.Errorf("%s was said in %d of %d cases only: the words around it have changed", x.name, seen[x.name], n)
		}
	}
}

// faceDrawer draws invented athletes as files.
type faceDrawer struct {
	e   *Engine
	rng *rand.Rand
	n   int
}

func (d *faceDrawer) next(t *testing.T) *casefile.Case {
	t.Helper()
	d.n++
	code := fmt.Sprintf("SM-%d", 100+d.n)
	f := source.New(strings.ToLower(code)+".yaml", []byte(d.text(code)))
	c, ds := d.e.Case(f)
	if ds.Errors() > 0 {
		t.Fatalf("%s\n%s", ds.Sorted()[0], f.Bytes)
	}
	text := ""
	if d.chance(2) {
		text = d.log(code)
	}
	if ds := d.e.ParseLog(c, source.New(strings.ToLower(code)+".log.jsonl", []byte(text))); ds.Errors() > 0 {
		t.Fatalf("%s\n%s", ds.Sorted()[0], text)
	}
	return c
}

func (d *faceDrawer) chance(in int) bool { return d.rng.IntN(in) == 0 }

func day10(back int) string { return cases.Day().AddDate(0, 0, -back).Format(time.DateOnly) }

// text writes the case file.
func (d *faceDrawer) text(code string) string {
	var b strings.Builder
	say := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	age := 11 + d.rng.IntN(16)
	say("rungwise: case/1\nathlete: {code: %s, age: %d, throws: right, height: 182 cm}", code, age)
	say("screen: {on: %s, pain: none, where: none, night_pain: no, numbness: no, arm_colour: no, pop: no, sudden_loss: no, surgery: none, concussion: none, heart: no, illness: no, skin: no, consent: yes}", day10(1))
	say("load:\n  weeks:")
	for range 4 {
		throws := 40 + d.rng.IntN(180)
		say("    - {throws: %d, high_effort: %d}", throws, d.rng.IntN(throws/3))
	}
	say("  weeks_until: %s\n  mound_throws_28d: %d\n  last_high_effort: %s\n  season: off", day10(1+d.rng.IntN(3)), d.rng.IntN(120), day10(3+d.rng.IntN(6)))
	if d.chance(3) {
		say("  days: [{on: %s, throws: %d, high_effort: %d}]", day10(d.rng.IntN(5)), 20+d.rng.IntN(60), d.rng.IntN(20))
	}
	v := 70 + 20*d.rng.Float64()
	say("reference:\n  throw: running_throw\n  best: [{on: %s, speed: %.1f mph}, {on: %s, speed: %.1f mph}]\n  first_thrown: %s\n  last_thrown: %s",
		day10(70), v-8*d.rng.Float64(), day10(8), v, day10(20+d.rng.IntN(60)), day10(8))
	mound := .85 * v
	say("mound:\n  best: [{on: %s, speed: %.1f mph}, {on: %s, speed: %.1f mph}]", day10(68), mound, day10(7), mound+4*d.rng.Float64()-.5)
	say("training: {days: [mon, tue, thu, sat], mound: [tue, sat]}")
	d.ladder(say, v)
	say("seen:\n  hinge: {running_throw: holds, flat_lift: holds}")
	for _, p := range d.e.base.Checklist.Checkpoints {
		if p.Phase == checklist.Task || p.ID == "hinge" || p.ID == "arm_tempo" || len(p.Answers) == 0 || d.chance(4) {
			continue
		}
		at := func() string { return p.Answers[d.rng.IntN(len(p.Answers))].ID }
		best := p.Answers[0].ID
		if d.chance(3) {
			best = at()
		}
		say("  %s: {running_throw: %s, flat_lift: %s}", p.ID, best, at())
	}
	if d.chance(2) {
		say("  arm_tempo: {running_throw: [%d frames @ 60], flat_lift: [%d frames @ 60]}", 25+d.rng.IntN(15), 25+d.rng.IntN(15))
	}
	return b.String()
}

// ladder writes rungs of which the pattern is lost somewhere.
func (d *faceDrawer) ladder(say func(string, ...any), v float64) {
	if d.chance(8) {
		return
	}
	say("ladder:\n  on: %s\n  gun: {step: 0.1 mph}\n  rungs:", day10(1+d.rng.IntN(12)))
	rungs, share := []string{"running_throw", "shuffle_throw", "hop_in_place", "flat_no_lift", "flat_lift", "slope_net", "slope_catcher"},
		[]float64{1, .975, .955, .94, .935, .95, .948}
	lost := 2 + d.rng.IntN(len(rungs))
	for i, id := range rungs {
		if i > 0 && d.chance(6) {
			continue
		}
		at, held := share[i], .95
		if i >= lost {
			at, held = at-.05, .1
		}
		var speeds, marks []string
		for range 5 {
			speeds = append(speeds, fmt.Sprintf("%.1f", v*at*(1+.012*d.rng.NormFloat64())))
			mark := "no"
			if d.rng.Float64() < held {
				mark = "yes"
			}
			marks = append(marks, mark)
		}
		say("    - {throw: %s, speeds: [%s], unit: mph, held: [%s], effort: 95}", id, strings.Join(speeds, ", "), strings.Join(marks, ", "))
	}
}

// log writes some sessions, none with a complaint.
func (d *faceDrawer) log(code string) string {
	var b strings.Builder
	n := 1 + d.rng.IntN(5)
	rung := []string{"flat_lift", "slope_net", "running_throw"}[d.rng.IntN(3)]
	for i := range n {
		on := day10(2*(n-i) - d.rng.IntN(2))
		var marks, speeds []string
		for range 4 + d.rng.IntN(9) {
			marks = append(marks, `"`+[]string{"yes", "no", "partly"}[d.rng.IntN(3)]+`"`)
			speeds = append(speeds, fmt.Sprintf("%.1f", 70+10*d.rng.Float64()))
		}
		fmt.Fprintf(&b, `{"rungwise":"log/1","id":%d,"code":"%s","entered":"%s","on":"%s","what":"session","health":{"pain":"no","numbness":"no","pop":"no","sudden_loss":"no","sore":"none"},"rung":"%s","speeds":[%s],"marks":[%s],"keep":[%.1f,%.1f,%.1f]}`+"\n",
			i+1, code, on, on, rung, strings.Join(speeds, ","), strings.Join(marks, ","), 78+4*d.rng.Float64(), 78+4*d.rng.Float64(), 78+4*d.rng.Float64())
	}
	return b.String()
}

// A loss of speed that a log tells is written down before anything is printed, so
// that later sessions at full speed lift nothing.
func TestALossIsNotOutthrown(t *testing.T) {
	then := *open(t)
	then.today = cases.Day().AddDate(0, 0, 4)
	e := &then
	dir := t.TempDir()
	path := filepath.Join(dir, "sm-04.yaml")
	data, err := os.ReadFile(filepath.Join("..", "testdata", "cases", "sm-04.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	log, lines := filepath.Join(dir, "sm-04.log.jsonl"), 0
	throw := func(on string, keep float64) {
		t.Helper()
		f, err := os.OpenFile(log, os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o600)
		if err != nil {
			t.Fatal(err)
		}
		lines++
		fmt.Fprintf(f, `{"rungwise":"log/1","id":%d,"code":"SM-04","entered":"%s","on":"%s","what":"session","health":{"pain":"no","numbness":"no","pop":"no","sudden_loss":"no","sore":"none"},"keep":[%.1f,%.1f,%.1f]}`+"\n",
			lines, on, on, keep, keep, keep)
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
	}
	silent := func() bool {
		t.Helper()
		c := worked(t, e, "sm-04.yaml")
		if _, err := e.ReadLog(c, path); err != nil {
			t.Fatal(err)
		}
		written, err := e.Remember(c, path)
		if err != nil {
			t.Fatal(err)
		}
		lines += len(written)
		r, err := e.Plan(c, PlanOptions{})
		if err != nil {
			t.Fatal(err)
		}
		return r.Gate.Silent() && r.Plan == nil
	}
	for i, on := range []string{"2026-11-03", "2026-11-04", "2026-11-05"} {
		throw(on, 92+float64(i)/10)
	}
	if silent() {
		t.Fatal("nothing was lost yet")
	}
	throw("2026-11-11", 80)
	if !silent() {
		t.Fatal("a loss stops nothing")
	}
	throw("2026-11-12", 92)
	throw("2026-11-13", 92)
	if !silent() {
		t.Error("two sessions at full speed lifted the stop")
	}
	if before := lines; !silent() || lines != before {
		t.Errorf("written down again: %d lines, then %d", before, lines)
	}
}
