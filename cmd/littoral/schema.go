package main

import (
	"littoral/internal/papers"
	"littoral/internal/plan"
)

type schemaCommand struct {
	Of string `arg:"" optional:"" enum:"plan,forecast" default:"plan" help:"Which file: ${enum}."`
}

func (schemaCommand) Help() string {
	return `Prints a JSON Schema: of plan files, with which an editor completes keys and explains them, or of forecast.json, for scripts.

Examples:

  littoral schema > plan.schema.json
  littoral schema forecast`
}

func (c *schemaCommand) Run(p Program) error {
	text := plan.Schema()
	if c.Of == "forecast" {
		text = papers.Schema()
	}
	_, err := p.Out.Write(text)
	return err
}
