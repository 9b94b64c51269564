package plan

import (
	"fmt"
	"io/fs"
	"math"
	"strings"
	"testing"
	"time"

	"gopkg.in/yaml.v3"

	"rungwise/engine/report"
	"rungwise/engine/workload"
	"rungwise/rules"
)

// published is the pitch table, the numbers by age and the plain limits as the rules' files hold them, read here
// without the program's own reader. Sources: MLB and USA Baseball, Guidelines for Youth and Adolescent Pitchers, for
// the table, the days in a row and the months off; everything else house default.
type published struct {
	Table struct {
		Rows []struct {
			Ages  [2]int
			Daily int
			Rest  []int
		}
	} `yaml:"pitch_table"`
	ByAge []struct {
		ID            string
		To14          float64 `yaml:"to_14"`
		To18          float64 `yaml:"to_18"`
		Adult         float64
		Unit, Tighten string
	} `yaml:"by_age"`
	Weights struct {
		Low, Moderate struct{ To, Weight float64 }
		High, Game    struct{ Weight float64 }
	} `yaml:"effort_weights"`
	Innings []struct {
		Ages [2]int
		Most float64
	}
	Limits []struct {
		ID    string
		Value float64
	}
}

func readPublished(t testing.TB) published {
	t.Helper()
	data, err := fs.ReadFile(rules.FS, "limits.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var p published
	if err := yaml.Unmarshal(data, &p); err != nil {
		t.Fatal(err)
	}
	return p
}

// A checker judges the blocks of a plan. It adds up throws by the effort that each block asks for and believes no sum
// that the plan itself gives.
type checker struct {
	p      published
	age    int // -1 not known
	tight  map[string][3]float64
	year   workload.Year
	origin time.Time
	first  int // index of the first judged day
	days   [400]tally
	faults []string
}

// A tally is one day's throws.
type tally struct {
	low, moderate, high, game int
	innings                   float64
}

func (d tally) all() int     { return d.low + d.moderate + d.high + d.game }
func (d tally) pitches() int { return d.high + d.game }

func (c *checker) fault(format string, args ...any) {
	c.faults = append(c.faults, fmt.Sprintf(format, args...))
}

// at is a number by its name for the athlete's age, with the club's own where it is there.
func (c *checker) at(id string) float64 {
	band := 0
	switch {
	case c.age > 18:
		band = 2
	case c.age > 14:
		band = 1
	}
	if v, ok := c.tight[id]; ok {
		return v[band]
	}
	for _, n := range c.p.ByAge {
		if n.ID == id {
			return [3]float64{n.To14, n.To18, n.Adult}[band]
		}
	}
	for _, n := range c.p.Limits {
		if n.ID == id {
			return n.Value
		}
	}
	panic("no number " + id)
}

// table is the row of the published table for the athlete's age.
func (c *checker) table() (daily int, rest []int) {
	rows := c.p.Table.Rows
	row := rows[0]
	for _, r := range rows {
		if c.age >= r.Ages[0] {
			row = r
		}
	}
	return row.Daily, row.Rest
}

func (c *checker) restFor(pitches int) int {
	_, rest := c.table()
	for days, most := range rest {
		if pitches <= most {
			return days
		}
	}
	return len(rest)
}

func (c *checker) load(d tally) float64 {
	w := c.p.Weights
	return w.Low.Weight*float64(d.low) + w.Moderate.Weight*float64(d.moderate) + w.High.Weight*float64(d.high) + w.Game.Weight*float64(d.game)
}

func (c *checker) index(day string) int {
	t, err := time.Parse(time.DateOnly, day)
	if err != nil {
		c.fault("%q is no date", day)
		return 0
	}
	return int(t.Sub(c.origin).Hours()/24 + .5)
}

// check returns everything that is wrong with a plan.
func (p published) check(w wanted, plan *report.Plan) []string {
	c := &checker{p: p, age: w.age, tight: w.club.tight, year: w.Facts.Load.Year}
	start, _ := time.Parse(time.DateOnly, plan.Start)
	c.origin = start.AddDate(0, 0, -100)
	c.first = 100
	for _, d := range w.history {
		i := c.index(d.On.String())
		e := &c.days[i]
		e.low, e.moderate, e.high, e.game, e.innings = e.low+d.Low, e.moderate+d.Moderate, e.high+d.High, e.game+d.Game, e.innings+d.Innings
		c.first = max(c.first, i+1)
	}
	end := 100 + 7*plan.Weeks - 1
	last := end
	for _, s := range plan.Sessions {
		i := c.index(s.Date)
		if i < 100 || i > end {
			c.fault("%s lies outside the plan", s.Date)
		}
		c.session(s, &c.days[i])
	}
	logged := c.days
	for _, g := range w.Facts.Load.Games {
		if i := c.index(g.On.String()); i <= end+7 && logged[i].game == 0 {
			c.days[i].game, c.days[i].innings = c.days[i].game+g.Game, c.days[i].innings+g.Innings
			last = max(last, i)
		}
	}
	for i := c.first; i <= last; i++ {
		if c.days[i].all() > 0 {
			c.day(i)
		}
	}
	c.order(plan)
	return c.faults
}

// session adds a session's blocks to its day and holds its own sums against them.
func (c *checker) session(s report.Session, d *tally) {
	if s.Kind == "game" || s.Kind == "done" {
		return // the games and the log tell of these
	}
	low, moderate, high := 0, 0, 0
	for _, b := range s.Blocks {
		switch {
		case b.Throws < 0:
			c.fault("%s: a block of %d throws", s.Date, b.Throws)
		case float64(b.Effort) <= c.p.Weights.Low.To:
			low += b.Throws
		case float64(b.Effort) <= c.p.Weights.Moderate.To:
			moderate += b.Throws
		default:
			high += b.Throws
		}
	}
	d.low, d.moderate, d.high = d.low+low, d.moderate+moderate, d.high+high
	if s.Throws != low+moderate+high || s.High != high {
		c.fault("%s: told %d throws and %d hard, the blocks hold %d and %d", s.Date, s.Throws, s.High, low+moderate+high, high)
	}
	if math.Abs(s.Load-c.load(tally{low: low, moderate: moderate, high: high})) > .051 {
		c.fault("%s: told a load of %v", s.Date, s.Load)
	}
	if s.Kind == "rest" && len(s.Blocks) > 0 || s.Kind != "rest" && len(s.Blocks) == 0 {
		c.fault("%s: a %s day with %d blocks", s.Date, s.Kind, len(s.Blocks))
	}
	if s.Kind != "mound" && s.Kind != "drill" && high > 0 {
		c.fault("%s: hard throws on a %s day", s.Date, s.Kind)
	}
}

// day judges one day with throws against every limit.
func (c *checker) day(i int) {
	d, on := c.days[i], c.origin.AddDate(0, 0, i).Format(time.DateOnly)
	over := func(id string, got, most float64) {
		if got > most+1e-9 {
			c.fault("%s: %s is %v, the most is %v", on, id, got, most)
		}
	}
	daily, _ := c.table()
	over("the table's pitches", float64(d.pitches()), float64(daily))
	over("daily_throws", float64(d.all()), c.at("daily_throws"))
	hard := math.Min(c.at("daily_high_effort"), float64(daily))
	if float64(c.age) < c.at("hard_min_age") { // 0: not known
		hard = 0
	}
	over("daily_high_effort", float64(d.high), hard)
	hot, off, row, pitched := 0, 0, 0, 0
	for k := i - 6; k <= i; k++ {
		if c.days[k].pitches() > 0 {
			hot++
		}
		if c.days[k].all() == 0 {
			off++
		}
	}
	for k := i; c.days[k].all() > 0; k-- {
		row++
	}
	for k := i; c.days[k].pitches() > 0; k-- {
		pitched++
	}
	over("days_in_a_row", float64(row), c.at("days_in_a_row"))
	over("fewer days_off_in_7", c.at("days_off_in_7"), float64(off))
	week, base := 0.0, 0.0
	for k := i - 34; k <= i; k++ {
		if k > i-7 {
			week += c.load(c.days[k])
		} else {
			base += c.load(c.days[k]) / 4
		}
	}
	over("weekly_growth", week, math.Max(c.at("growth_floor"), c.at("weekly_growth")*base))
	if c.days[i-1].pitches() > int(c.at("day_after_from")) {
		over("day_after_share", c.load(d), c.at("day_after_share")*(c.at("day_after_from")+1))
	}
	c.season(i, on)
	if d.pitches() > 0 {
		over("high_effort_days_in_7", float64(hot), c.at("high_effort_days_in_7"))
		over("pitching_days_in_a_row", float64(pitched), c.at("pitching_days_in_a_row"))
		c.rested(i, on)
	}
	for k := i; d.high > 0 && k <= i+int(c.at("days_before_game")); k++ {
		if c.days[k].game > 0 {
			c.fault("%s: hard throws %d days before a game", on, k-i)
		}
	}
}

// rested looks back from a day with pitches to every one before it.
func (c *checker) rested(i int, on string) {
	for k := i - 1; k >= i-10; k-- {
		p := c.days[k].pitches()
		need := c.restFor(p)
		if p > int(c.at("high_effort_many")) {
			need = max(need, int(c.at("days_between_high_effort")))
		}
		if p > 0 && i-k-1 < need {
			c.fault("%s: %d full days after %d pitches, %d are asked", on, i-k-1, p, need)
		}
	}
}

// season holds the year against a day: months off and innings, to 18 years.
func (c *checker) season(i int, on string) {
	if c.age > 18 {
		return
	}
	d := c.days[i]
	if c.year.NoThrowingKnown && float64(c.year.NoThrowing) < c.at("months_no_overhead") {
		c.fault("%s: throws without months off", on)
	}
	if c.year.NoPitchingKnown && d.pitches() > 0 && float64(c.year.NoPitching) < c.at("months_off") {
		c.fault("%s: pitches without months off", on)
	}
	most := c.at("innings_most")
	for _, r := range c.p.Innings {
		if age := max(c.age, 7); age >= r.Ages[0] && age <= r.Ages[1] {
			most = math.Min(most, r.Most)
		}
	}
	used := c.year.Innings
	for k := c.first; k <= i; k++ {
		used += c.days[k].innings
	}
	if c.year.InningsKnown && d.pitches() > 0 && (used > most || d.high > 0 && used >= most) {
		c.fault("%s: %v innings of %v are used", on, used, most)
	}
}

// order judges what stands in a session and in which order, and the cards.
func (c *checker) order(p *report.Plan) {
	drills := map[string]report.Drill{}
	for _, d := range p.Drills {
		if _, twice := drills[d.ID]; twice || strings.TrimSpace(d.Cue) == "" || d.Exit == "" || d.Dose == "" {
			c.fault("the card of %s: %+v", d.ID, d)
		}
		drills[d.ID] = d
	}
	rank := map[string]int{"warm_up": 0, "isolation": 1, "put_back": 1, "keep_up": 2, "ladder": 3, "interleaved": 4}
	for _, s := range p.Sessions {
		at, owed, measured := 0, false, 0
		for _, b := range s.Blocks {
			r, known := rank[b.What]
			moderate := b.What == "ladder" && float64(b.Effort) <= c.p.Weights.Moderate.To
			if !known || r < at && !moderate {
				c.fault("%s: %s stands after a later part", s.Date, b.What)
			}
			if !moderate {
				at = r
			}
			switch b.What {
			case "isolation":
				owed = true
				if b.Cue == "" || b.Cue != drills[b.Drill].Cue {
					c.fault("%s: %s has the cue %q", s.Date, b.Drill, b.Cue)
				}
			case "put_back":
				if !owed || b.Throws == 0 {
					c.fault("%s: whole throws that put nothing back", s.Date)
				}
				owed = false
			default:
				if owed {
					c.fault("%s: a drill is not put back into whole throws", s.Date)
				}
			}
			if b.Floor != nil {
				measured += b.Throws
			}
			if b.Title == "" || b.Exit == "" || b.Rule == "" || b.What != "isolation" && b.Throws == 0 {
				c.fault("%s: an unfinished block %+v", s.Date, b)
			}
		}
		if owed {
			c.fault("%s: a drill is not put back into whole throws", s.Date)
		}
		if c.age < 19 && float64(measured) > c.at("radar_throws_under_19") {
			c.fault("%s: %d measured hard throws under 19", s.Date, measured)
		}
	}
}
