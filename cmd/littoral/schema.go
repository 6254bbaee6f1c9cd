package main

import (
	"littoral/internal/plan"
)

type schemaCommand struct{}

func (schemaCommand) Help() string {
	return `Prints the JSON Schema of plan files, with which an editor completes keys and explains them.

Example:

  littoral schema > plan.schema.json`
}

func (schemaCommand) Run(p Program) error {
	_, err := p.Out.Write(plan.Schema())
	return err
}
