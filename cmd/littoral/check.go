package main

import (
	"errors"
	"fmt"

	"littoral/internal/plan"
)

type checkCommand struct {
	Plan string `arg:"" help:"The plan, a YAML file."`
	JSON bool   `name:"json" help:"Write the problems as one JSON object to standard output."`
}

func (checkCommand) Help() string {
	return `Reads the plan and every file it names, and lists all problems at once: file:line:column, the line, and what to write instead.
Warnings do not fail the check.

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
