package main

import (
	"context"
	"errors"
	"fmt"
	"littoral/internal/draft"
	"littoral/internal/papers"
	"littoral/internal/plan"
	"littoral/internal/sheets"
	"math"
	"slices"
	"strconv"
	"strings"
)

type sheetsCommand struct {
	Plan     string   `arg:"" help:"The plan, a YAML file."`
	Out      string   `required:"" placeholder:"DIR" help:"Folder for the sheets; it is made when it is not there."`
	Paper    string   `placeholder:"SIZE" help:"A4, A3, A2, A1, Letter or Tabloid; without it A3 for drawings and A4 for the map, or Tabloid and Letter in a house that measures in inches."`
	Scale    int      `placeholder:"N" help:"Draw 1 to N: 1, 2, 5, 10, 20, 25, 50 or 100; without it the largest at which every drawing fits on a sheet."`
	Views    []string `default:"plan,front,left,section" help:"Drawings: plan, front, left, right, back, section."`
	Section  string   `placeholder:"X1,Y1,X2,Y2" help:"Where the section is cut, in centimetres on the plan; without it across the middle."`
	NoPlants bool     `help:"Leave the plants out, for setting stones and wood."`
	SVG      bool     `name:"svg" help:"Each sheet as SVG too."`
	Revision string   `placeholder:"WORDS" help:"Which state of the plan this is, for the title block."`
	Map      bool     `default:"true" negatable:"" help:"The planting map too."`
	Seed     uint64   `default:"1" help:"Seed of what the plan leaves to chance; that of the forecast."`

	line [2][2]float64
}

func (sheetsCommand) Help() string {
	return `Draws the plan to a true scale on paper, without a forecast: plan, elevations and a section with their measures, symbols, a legend of numbered
zones with species and pots, and tables of stones, wood, bed, lamps and filters (sheets.pdf); and a planting map for the crew with a grid,
every pot in its place and the order of work (planting-map.pdf).

Print at 100 %: each sheet has a bar to check it by. Plants are drawn at the middle of their grown height.

Examples:

  littoral sheets plan.yaml --out drawings
  littoral sheets plan.yaml --out drawings --paper A1 --scale 5 --views plan,front,left,right,back,section
  littoral sheets plan.yaml --out drawings --section 0,30,120,30 --svg
  littoral sheets plan.yaml --out drawings --no-plants --no-map --views plan,section`
}

// Validate is called by kong after parsing.
func (c *sheetsCommand) Validate() error {
	if c.Section == "" {
		return nil
	}
	parts := strings.Split(c.Section, ",")
	bad := len(parts) != 4
	for i := range min(4, len(parts)) {
		v, err := strconv.ParseFloat(strings.TrimSpace(parts[i]), 64)
		bad = bad || err != nil || !(math.Abs(v) <= 1e4)
		c.line[i/2][i%2] = v
	}
	if bad {
		return fmt.Errorf("--section %q is not a line on the plan; write its ends in centimetres from the front-left inside corner, such as 0,30,120,30", c.Section)
	}
	if !slices.Contains(c.Views, sheets.Section) {
		return errors.New("--section says where the section is cut; add section to --views")
	}
	return nil
}

func (c *sheetsCommand) Run(ctx context.Context, p Program) error {
	read, err := plan.Load(c.Plan)
	if err != nil {
		return err
	}
	if len(read.Warnings) > 0 {
		fmt.Fprintln(p.Err, read.Warnings.Error())
	}
	d, err := draft.Open(read, c.Seed, nil)
	if err != nil {
		return fmt.Errorf("%s: %w", c.Plan, err)
	}
	pages, err := sheets.Draw(d, sheets.Options{Paper: c.Paper, Scale: c.Scale, Views: c.Views, Section: c.line, NoPlants: c.NoPlants, Revision: c.Revision})
	if err != nil {
		return err
	}
	pdf, err := sheets.PDF(read.Name, pages)
	if err != nil {
		return err
	}
	files := []papers.File{{Name: "sheets.pdf", Data: pdf}}
	if c.SVG {
		for i, page := range pages {
			files = append(files, papers.File{Name: fmt.Sprintf("sheet-%d.svg", i+1), Data: page.SVG()})
		}
	}
	if c.Map && len(read.Plants) > 0 {
		chart, err := sheets.PlantingMap(d, sheets.MapOptions{Paper: c.Paper, Revision: c.Revision})
		if err != nil {
			return err
		}
		pdf, err := sheets.PDF(read.Name+", planting map", chart)
		if err != nil {
			return err
		}
		files = append(files, papers.File{Name: "planting-map.pdf", Data: pdf})
	}
	if err := ctx.Err(); err != nil {
		return fmt.Errorf("%w before the sheets were written; nothing was written", context.Cause(ctx))
	}
	if err := papers.Save(c.Out, files); err != nil {
		return err
	}
	for _, page := range pages {
		fmt.Fprintf(p.Out, "%s, %.0f × %.0f mm\n", page.Name, page.W, page.H)
	}
	p.say("%s are in %s", count(len(files), "file", "files"), c.Out)
	return nil
}
