package main

import (
	"errors"
	"fmt"
	"littoral/internal/geometry"
	"littoral/internal/plan"
	"regexp"
	"strconv"
	"strings"
)

type checkCommand struct {
	Plan string `arg:"" help:"The plan, a YAML file."`
	Seed uint64 `default:"1" help:"Seed of the invented form of roots, as in a forecast."`
	JSON bool   `name:"json" help:"Write the problems as one JSON object to standard output."`
}

func (checkCommand) Help() string {
	return `Reads the plan and every file it names, and lists all problems at once: file:line:column, the line, and what to write instead.
A plan that reads is also built, so that a root through the glass or a bed over the rim is told. Warnings do not fail the check.

Examples:

  littoral check plan.yaml
  littoral check plan.yaml --json`
}

// problem is a plan.Problem for scripts.
type problem struct {
	File     string `json:"file"`
	Line     int    `json:"line"`
	Column   int    `json:"column"`
	Path     string `json:"path"`
	Severity string `json:"severity"`
	Message  string `json:"message"`
	Cure     string `json:"cure"`
	Text     string `json:"text"`
}

type checked struct {
	OK       bool      `json:"ok"`
	Problems []problem `json:"problems"`
}

func (c *checkCommand) Run(p Program) error {
	read, err := plan.Load(c.Plan)
	var problems plan.Problems
	if err != nil && !errors.As(err, &problems) {
		return err
	}
	if read != nil {
		problems = read.Warnings
		model, merr := geometry.Build(read, geometry.Options{Seed: c.Seed})
		if merr != nil {
			return merr
		}
		for _, note := range model.Notes {
			problems = append(problems, doubt(read, note))
		}
	}
	if c.JSON {
		out := checked{OK: err == nil, Problems: []problem{}}
		for _, b := range problems {
			out.Problems = append(out.Problems, problem{b.File, b.Line, b.Column, b.Path, string(b.Severity), b.Message, b.Cure, b.Text})
		}
		if werr := p.json(out); werr != nil {
			return werr
		}
	} else if len(problems) > 0 {
		fmt.Fprintln(p.Err, problems.Error())
	}
	if err != nil {
		return failure{exitBad}
	}
	if !c.JSON {
		fmt.Fprintf(p.Out, "%s reads well: %s.\n", c.Plan, contents(read))
	}
	return nil
}

// substrateNote is a note about a layer or cap, counted from 1.
var substrateNote = regexp.MustCompile(`^Substrate (layer|cap) (\d+) `)

// doubt turns a note on the model into a warning beside the piece or layer that it is about.
func doubt(p *plan.Plan, note string) plan.Problem {
	path := ""
	if m := substrateNote.FindStringSubmatch(note); m != nil {
		n, err := strconv.Atoi(m[2])
		if err == nil {
			path = fmt.Sprintf("substrate.%ss[%d]", m[1], n-1)
		}
		note = "s" + strings.TrimPrefix(note, "S")
	}
	for i := range p.Hardscape {
		if id := p.Hardscape[i].ID; strings.HasPrefix(note, id+" ") || strings.HasPrefix(note, "The mesh of "+id+" ") {
			path = fmt.Sprintf("hardscape[%d]", i)
		}
	}
	message, cure, ok := strings.Cut(strings.TrimSuffix(note, "."), "; ")
	if !ok {
		cure = "see the drawings of the report whether it is meant so"
	}
	return p.Warning(path, message, cure)
}

// contents says in a line what a plan holds.
func contents(p *plan.Plan) string {
	species := map[string]bool{}
	pots := 0
	for _, pl := range p.Plants {
		species[pl.Species] = true
		pots += pl.Pots
	}
	return fmt.Sprintf("%s of %s (%s), %s, %s",
		count(len(p.Plants), "planting", "plantings"), count(len(species), "species", "species"), count(pots, "pot", "pots"),
		count(len(p.Hardscape), "stone or root", "stones and roots"), count(len(p.Care), "line of care", "lines of care"))
}
