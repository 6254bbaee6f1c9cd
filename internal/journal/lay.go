package journal

import (
	"cmp"
	"fmt"
	"littoral/internal/forecast"
	"littoral/internal/plan"
	"littoral/internal/unit"
	"maps"
	"math"
	"slices"
	"time"
)

// Laid is a plan with what was done laid over it.
type Laid struct {
	Plan  *plan.Plan
	From  int      // first day of the journal's work
	Until int      // last day that the journal speaks of; the routine goes on from the day after it
	Notes []string // what could not be laid over the plan, in whole sentences
}

// prefix of the ids of what the journal lays over a plan.
const prefix = "journal-"

// most days after planting that an entry may lie; the century that recurrences reach.
const mostDays = 36500

// Lay returns a copy of the plan in which the work, losses and arrivals of the entries stand in place of what the plan says for their
// time, and their tests are what the forecast goes on from. Kinds of work that the journal never names between its first and its last day are taken as done by the plan (a dosing pump
// needs no entry); before its first day and after its last the plan stands. Entries that do not move the forecast are passed over, and
// so is everything when the plan has no date of planting. The plan itself is not changed.
func Lay(p *plan.Plan, entries []Entry) Laid {
	type dated struct {
		*Entry
		day int
	}
	var list []dated
	out := Laid{Plan: p}
	for i := range entries {
		e := &entries[i]
		if !e.Moves() || e.Struck || e.Check() != nil {
			continue
		}
		day, ok := e.Day(p.Planted)
		if !ok || day < 0 || day > mostDays {
			continue
		}
		list = append(list, dated{e, day})
	}
	if len(list) == 0 {
		return out
	}
	slices.SortStableFunc(list, func(a, b dated) int {
		return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(a.ID, b.ID))
	})
	out.From, out.Until = list[0].day, list[len(list)-1].day
	c := *p
	c.Care = slices.Clone(p.Care)
	c.Events, c.Livestock, c.Measured = slices.Clone(p.Events), slices.Clone(p.Livestock), slices.Clone(p.Measured)
	named := map[string]bool{}
	first, last := -1, -1
	for _, e := range list {
		if e.Task != nil {
			named[e.Task.Do] = true
			from, to := e.day, e.day
			if due := e.Task.Day; due != nil && *due >= 0 && *due <= mostDays { // done early or late, it stands for the day on which it was due
				from, to = min(from, *due), max(to, *due)
			}
			if first < 0 || from < first {
				first = from
			}
			last = max(last, to)
		}
	}
	if first >= 0 {
		c.Care = resumed(p, named, first, last)
	}
	for _, e := range list {
		id := prefix + e.ID
		switch {
		case e.Task != nil:
			if e.Task.Done && e.day > 0 { // day 0 is the work of planting itself
				if line, note := done(p, e.Entry, e.day, id); note != "" {
					out.Notes = append(out.Notes, note)
				} else {
					c.Care = append(c.Care, line)
				}
			}
		case e.Test != nil:
			c.Measured = append(c.Measured, tested(e.Entry, e.day, id))
		case !e.known(p):
			out.Notes = append(out.Notes, fmt.Sprintf("The entry of %s names plants or animals that the plan does not have; it does not move the forecast.", e.At))
		case e.Loss != nil && e.Loss.Stock != "":
			c.Livestock = fewer(c.Livestock, e.Loss, e.day, id)
		case e.Loss != nil:
			pl := planting(p, e.Loss.Planting)
			if share := float64(e.Loss.Count) / float64(max(1, pl.Pots)); share < 1 {
				c.Care = append(c.Care, plan.Care{ID: id, Every: once, From: unit.Day(max(1, e.day)), Until: unit.Day(max(1, e.day) + 1), At: clockOf(e.Entry), Do: "thin", Species: pl.ID, Share: unit.Fraction(share)})
			} else {
				c.Events = append(c.Events, plan.Event{ID: id, On: unit.Day(e.day), At: clockOf(e.Entry), Do: "remove", Remove: []string{pl.ID}})
			}
		case e.Added.Animals:
			c.Livestock = append(c.Livestock, plan.Stock{ID: id, Species: e.Added.Species, Count: e.Added.Count, From: unit.Day(e.day)})
		default:
			pl := *planting(p, e.Added.Like)
			pl.ID, pl.Pots, pl.From = id, e.Added.Count, unit.Day(e.day)
			if e.Added.Species != "" {
				if _, ok := p.Cat.Species(e.Added.Species); !ok {
					out.Notes = append(out.Notes, fmt.Sprintf("The entry of %s plants %s, which the catalogue does not know; it does not move the forecast.", e.At, e.Added.Species))
					continue
				}
				pl.Species = e.Added.Species
			}
			if len(pl.At) > 0 { // one place for each pot
				pl.At = slices.Clone(pl.At[:min(len(pl.At), pl.Pots)])
				pl.Pots = len(pl.At)
			}
			c.Events = append(c.Events, plan.Event{ID: id, On: unit.Day(e.day), At: clockOf(e.Entry), Do: "plant", Plant: []plan.Planting{pl}})
		}
	}
	out.Plan = &c
	return out
}

// tested is a test as the forecast takes it.
func tested(e *Entry, day int, id string) plan.Measured {
	m := plan.Measured{ID: id, On: unit.Day(day), At: clockOf(e), Change: e.Test.Change}
	for _, r := range e.Test.Readings {
		if v, err := r.In(); err == nil && forecast.GoesOnFrom(r.What) {
			m.Readings = append(m.Readings, plan.Reading{What: r.What, Value: v})
		}
	}
	return m
}

// once is a recurrence of a line that falls on its first day only.
var once = unit.Every{N: 1, Freq: "YEARLY"}

// resumed is the routine with the kinds of work that are named left out from day first to day last.
func resumed(p *plan.Plan, named map[string]bool, first, last int) []plan.Care {
	planted, err := time.Parse(time.DateOnly, p.Planted)
	if err != nil {
		return p.Care
	}
	var out []plan.Care
	for _, line := range p.Care {
		if !named[line.Do] {
			out = append(out, line)
			continue
		}
		until := line.Until
		if until <= 0 {
			until = mostDays
		}
		start := line.First()
		if start < unit.Day(first) {
			before := line
			before.Until = min(until, unit.Day(first))
			out = append(out, before)
		}
		// Goes on with the next visit of its own rhythm after the journal's last day.
		for _, day := range line.Every.OccurrencesFrom(planted, start, min(until, unit.Day(last)+400)) {
			if math.Floor(float64(day)) > float64(last) {
				after := line
				after.From = day
				out = append(out, after)
				break
			}
		}
	}
	return out
}

// done is work that was done, as a line of care for its one day. What the entry leaves out is as the plan's line has it.
func done(p *plan.Plan, e *Entry, day int, id string) (line plan.Care, note string) {
	t := e.Task
	for i := range p.Care {
		if c := &p.Care[i]; c.Do == t.Do && (c.ID == t.Care || t.Care == "" && line.Do == "") {
			line = *c
		}
	}
	line.ID, line.Do, line.When = id, t.Do, plan.When{}
	line.Every, line.From, line.Until = once, unit.Day(day), unit.Day(day+1)
	line.At = clockOf(e)
	if t.Species != "" {
		line.Species = t.Species
	}
	switch t.Do {
	case "water-change":
		if t.Litres > 0 {
			line.Amount, line.Share = unit.Volume(t.Litres/1000), 0
		} else if t.Share > 0 {
			line.Share, line.Amount = unit.Fraction(t.Share), 0
		}
		if line.Amount == 0 && line.Share == 0 {
			return line, fmt.Sprintf("The water change of %s says neither litres nor share, and the plan has no line to take it from; it does not move the forecast.", e.At)
		}
	case "dose":
		if len(t.Grams) > 0 || t.Bottle != "" {
			line.Grams, line.Salts, line.Bottle, line.Amount = maps.Clone(t.Grams), nil, t.Bottle, unit.Volume(t.Litres/1000)
		}
		for salt := range line.Grams {
			if _, ok := p.Cat.Salt(salt); !ok && salt != "iron" {
				return line, fmt.Sprintf("The dose of %s names %s, which the catalogue does not know; it does not move the forecast.", e.At, salt)
			}
		}
		if line.Bottle != "" && !slices.ContainsFunc(p.Bottles, func(b plan.Bottle) bool { return b.Name == line.Bottle }) {
			return line, fmt.Sprintf("The dose of %s is from the bottle %s, which the plan does not have; it does not move the forecast.", e.At, line.Bottle)
		}
		if len(line.Grams) == 0 && line.Bottle == "" {
			return line, fmt.Sprintf("The dose of %s says neither grams nor bottle, and the plan has no line to take it from; it does not move the forecast.", e.At)
		}
	case "trim", "thin", "outer-leaves", "replant-tops":
		if t.Share > 0 {
			line.Share = unit.Fraction(t.Share)
		}
		if t.ToCM > 0 {
			line.To = unit.Length(t.ToCM / 100)
		}
		if line.Share == 0 && line.To == 0 {
			return line, fmt.Sprintf("The cut of %s says neither how high nor how much, and the plan has no line to take it from; it does not move the forecast.", e.At)
		}
	case "root-feed":
		if t.Tablets > 0 {
			line.Tablets = t.Tablets
		}
		if line.Tablets == 0 {
			return line, fmt.Sprintf("The root feeding of %s says no number of tablets; it does not move the forecast.", e.At)
		}
	}
	return line, ""
}

// clockOf is the hour of an entry; 10:00 where it states none, as in plans.
func clockOf(e *Entry) unit.Clock {
	at, err := e.When()
	if err != nil || len(e.At) <= len(time.DateOnly) {
		return unit.Clock(10 * 3600)
	}
	return unit.Clock(3600*at.Hour() + 60*at.Minute())
}

// fewer takes animals out of a group on a day: the group ends, and what is left of it goes on as another.
func fewer(list []plan.Stock, l *Loss, day int, id string) []plan.Stock {
	out := slices.Clone(list)
	gone := l.Count
	for i := range out {
		s := &out[i]
		// The group itself or what earlier losses left of it, as long as it lives that day.
		if s.ID != l.Stock || gone == 0 || int(s.From) > day || s.Until > 0 && int(s.Until) <= day {
			continue
		}
		left := *s
		left.Count = max(0, s.Count-gone)
		gone = max(0, gone-s.Count)
		left.From = unit.Day(day)
		if int(s.From) == day {
			s.Count = left.Count
			continue
		}
		s.Until = unit.Day(day)
		if left.Count > 0 {
			out = append(out, left)
		}
	}
	return out
}
