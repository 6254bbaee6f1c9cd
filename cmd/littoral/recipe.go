package main

import (
	"context"
	"errors"
	"fmt"
	"littoral/internal/forecast"
	"littoral/internal/plan"
	"littoral/internal/recipe"
	"littoral/internal/reckon"
	"littoral/internal/tapsheet"
	"littoral/internal/unit"
	"littoral/internal/water"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

type tapCommand struct {
	File string `arg:"" help:"The analysis: CSV, a list in a text file, or an .xlsx spreadsheet."`
	JSON bool   `name:"json" help:"Write the reading as JSON."`
}

func (tapCommand) Help() string {
	return `Reads a water company's analysis as it is printed, in the usual units and in English, German or French words; says how each line was understood,
whether its charges balance and which ion is most likely wrong, and prints the lines for a plan.

Examples:

  littoral tap analysis.csv
  littoral tap analysis.xlsx`
}

func readTap(file string) (tapsheet.Sheet, error) {
	data, err := os.ReadFile(file)
	if err != nil {
		return tapsheet.Sheet{}, err
	}
	rows, err := tapsheet.Cells(data)
	if err == nil {
		var s tapsheet.Sheet
		if s, err = tapsheet.Read(rows); err == nil {
			return s, nil
		}
	}
	return tapsheet.Sheet{}, fmt.Errorf("%s: %w", file, err)
}

func (c *tapCommand) Run(p Program) error {
	s, err := readTap(c.File)
	if err != nil {
		return fmt.Errorf("tap: %w", err)
	}
	block := s.PlanBlock()
	if c.JSON {
		type line struct {
			Text   string  `json:"text"`
			Name   string  `json:"name,omitempty"`
			Value  float64 `json:"value"`
			Unit   string  `json:"unit,omitempty"`
			Remark string  `json:"remark,omitempty"`
		}
		lines := []line{}
		for _, l := range s.Lines {
			lines = append(lines, line(l))
		}
		return p.json(struct {
			Lines   []line   `json:"lines"`
			Cations float64  `json:"cations_meq_l"`
			Anions  float64  `json:"anions_meq_l"`
			Remarks []string `json:"remarks"`
			Plan    string   `json:"plan"`
		}{lines, s.Cations, s.Anions, append([]string{}, s.Remarks...), block})
	}
	for _, l := range s.Lines {
		if l.Name == "" {
			continue
		}
		remark := ""
		if l.Remark != "" {
			remark = "  (" + l.Remark + ")"
		}
		fmt.Fprintf(p.Out, "  %-12s %9s %-6s%s\n", l.Name, strconv.FormatFloat(l.Value, 'g', 4, 64), l.Unit, remark)
	}
	for _, l := range s.Lines {
		if l.Name == "" {
			fmt.Fprintf(p.Out, "  left out: %s (%s)\n", l.Text, l.Remark)
		}
	}
	fmt.Fprintf(p.Out, "\nCations carry %.2f and anions %.2f meq/L.\n", s.Cations, s.Anions)
	for _, r := range s.Remarks {
		fmt.Fprintln(p.Out, r)
	}
	fmt.Fprintf(p.Out, "\nFor a plan:\n\nwater:\n  %s\n", block)
	return nil
}

type recipeCommand struct {
	Wants  []string `arg:"" name:"want" help:"What the water should be: GH=6, KH=3-4, Ca:Mg=3, K=10, NO3=8-12, PO4=0.8, Cl=0-30. Numbers are °dGH, °dKH and mg/L."`
	Tap    string   `placeholder:"FILE" required:"" help:"The tap: a plan, or an analysis as for \"littoral tap\"."`
	Volume string   `default:"100 L" help:"The batch."`
	Salts  []string `default:"CaSO4·2H2O,CaCl2·2H2O,MgSO4·7H2O,KHCO3,K2SO4,KNO3,KH2PO4" help:"Salts that may be used."`
	Have   []string `placeholder:"SALT=GRAMS" help:"What the cupboard holds of a salt, such as KNO3=100."`
	Step   string   `default:"0.1 g" help:"The scale's step."`
	Least  string   `name:"least-pure" default:"0 %" help:"Least share of pure water."`
	Most   string   `name:"most-pure" default:"100 %" help:"Most share of pure water; 0 % where there is none."`
	JSON   bool     `name:"json" help:"Write the recipe as JSON."`
}

func (recipeCommand) Help() string {
	return `Finds the share of pure (reverse-osmosis) water and the grams of each salt that make a batch of change water as wanted, from this tap and these salts.
What cannot be met is said, with what stands against it: charges must balance, so each ion brings another along.

Examples:

  littoral recipe GH=6 KH=3 Ca:Mg=3 --tap analysis.csv --volume "400 L"
  littoral recipe GH=5-7 KH=2-3 K=10 --tap plan.yaml --have KHCO3=20 --step "1 g"`
}

func (c *recipeCommand) ask() (recipe.Ask, error) {
	a := recipe.Ask{}
	share := func(text, flag string, to *float64) error {
		x, err := unit.Parse(unit.KindFraction, text)
		if err != nil {
			return fmt.Errorf("--%s: %w", flag, err)
		}
		*to = x
		return nil
	}
	volume, err := unit.ParseVolume(c.Volume)
	if err != nil {
		return a, fmt.Errorf("--volume: %w", err)
	}
	a.Volume = 1000 * float64(volume)
	if err := errors.Join(share(c.Least, "least-pure", &a.LeastPure), share(c.Most, "most-pure", &a.MostPure)); err != nil {
		return a, err
	}
	if a.Step, err = reckon.Grams(c.Step); err != nil {
		return a, fmt.Errorf("--step: %w", err)
	}
	for _, text := range c.Wants {
		w, err := recipe.ParseWant(text)
		if err != nil {
			return a, err
		}
		a.Wants = append(a.Wants, w)
	}
	have := map[string]float64{}
	for _, text := range c.Have {
		list, err := readSalts("--have", []string{text})
		if err != nil {
			return a, err
		}
		s, _ := water.LookSalt(list[0].Salt)
		have[s.Name] = list[0].Grams
	}
	for _, name := range c.Salts {
		s, ok := water.LookSalt(name)
		if !ok {
			return a, fmt.Errorf("--salts: salt %q is not known; the catalogue lists them: littoral catalog --kind salt", name)
		}
		grams, limited := have[s.Name]
		if !limited {
			grams = math.Inf(1)
		}
		delete(have, s.Name)
		a.Stocks = append(a.Stocks, recipe.Stock{Salt: s.Name, Grams: grams})
	}
	for _, s := range water.Salts() { // what is in the cupboard may be used, listed or not
		if grams, more := have[s.Name]; more {
			a.Stocks = append(a.Stocks, recipe.Stock{Salt: s.Name, Grams: grams})
		}
	}
	a.Tap, err = tapOf(c.Tap)
	return a, err
}

// tapOf reads the tap of a plan or of an analysis.
func tapOf(file string) (water.Composition, error) {
	switch strings.ToLower(filepath.Ext(file)) {
	case ".yaml", ".yml":
		pl, err := plan.Load(file)
		if err != nil {
			return water.Composition{}, err
		}
		return forecast.TapWater(pl), nil
	}
	s, err := readTap(file)
	if err != nil {
		return water.Composition{}, err
	}
	c, _ := s.Analysis.Composition()
	return c, nil
}

func (c *recipeCommand) Run(_ context.Context, p Program) error {
	a, err := c.ask()
	var problems plan.Problems
	if errors.As(err, &problems) {
		return err
	}
	if err != nil {
		return fmt.Errorf("recipe: %w", err)
	}
	r, err := recipe.Solve(a)
	if err != nil {
		return fmt.Errorf("recipe: %w", err)
	}
	card := r.Card(a)
	if c.JSON {
		return p.json(card)
	}
	fmt.Fprint(p.Out, card.Text())
	for _, m := range card.Wishes {
		if !m.Met {
			return failure{exitFindings}
		}
	}
	return nil
}

type stockCommand struct {
	Doses  []string `arg:"" name:"salt=grams" help:"What one dose brings, such as KNO3=3 KH2PO4=0.4 iron=0.05."`
	Bottle string   `default:"500 mL" help:"Size of each bottle."`
	Lasts  float64  `default:"20" help:"Doses that a bottle lasts for."`
	Cold   string   `default:"15 °C" help:"The coldest that the bottles will stand."`
	JSON   bool     `name:"json" help:"Write the bottles as JSON."`
}

func (stockCommand) Help() string {
	return `Parts the salts of a dose into stock solutions: what would fall out stands in bottles of its own (phosphate apart from iron and calcium, sulphate and carbonate
apart from calcium), and each bottle dissolves on the coldest day.

Example:

  littoral stock KNO3=3 KH2PO4=0.4 MgSO4.7H2O=2 iron=0.05 --bottle "1 L" --lasts 30`
}

func (c *stockCommand) Run(p Program) error {
	salts, err := readSalts("stock", c.Doses)
	if err != nil {
		return err
	}
	bottle, err := unit.ParseVolume(c.Bottle)
	if err != nil {
		return fmt.Errorf("stock: --bottle: %w", err)
	}
	cold, err := unit.ParseTemperature(c.Cold)
	if err != nil {
		return fmt.Errorf("stock: --cold: %w", err)
	}
	var portions []recipe.Portion
	for _, s := range salts {
		portions = append(portions, recipe.Portion(s))
	}
	bottles, err := recipe.Stocks(portions, 1e6*float64(bottle), c.Lasts, float64(cold))
	if err != nil {
		return fmt.Errorf("stock: %w", err)
	}
	card := bottles.Card()
	if c.JSON {
		return p.json(card)
	}
	fmt.Fprint(p.Out, card.Text())
	return nil
}
