package main

import (
	"bufio"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"littoral/internal/plan"
	"littoral/internal/starter"
	"littoral/internal/unit"
)

type newCommand struct {
	File       string `arg:"" optional:"" default:"plan.yaml" help:"The plan to write (default plan.yaml). A file that exists is never overwritten."`
	Name       string `help:"What the tank is called."`
	Length     string `help:"Inner length, such as \"120 cm\" or \"47 in\"."`
	Width      string `help:"Inner width from front to back."`
	Height     string `help:"Inner height of the glass."`
	Energy     string `help:"Level of light, CO2 and feeding: low, medium or high. Low goes without CO2."`
	Alkalinity string `help:"Alkalinity of the tap water, such as \"6 dKH\"."`
	Hardness   string `help:"Total hardness of the tap water, such as \"10 dGH\"."`
	Nitrate    string `help:"Nitrate of the tap water, as the ion, such as \"10 mg/L\"."`
	Planted    string `help:"Date of planting, such as 2027-03-01."`
}

func (newCommand) Help() string {
	return `On a terminal, asks what the flags do not say; an empty answer takes the value in brackets. Elsewhere that value is taken without
asking. What is written passes "littoral check" and is commented, so that you can go on from there in your editor.

Examples:

  littoral new
  littoral new lobby.yaml --name "Lobby" --length "180 cm" --width "60 cm" --height "60 cm" --energy high`
}

// question is one thing to be known of the tank: asked, given by a flag, or left at the usual value.
type question struct {
	flag  string
	ask   string
	usual string
	given string
	take  func(answer string) error
}

func (c *newCommand) Run(p Program) error {
	if err := vacant(c.File); err != nil {
		return err // before any question is asked
	}
	w := starter.Usual()
	questions := c.questions(&w)
	in := bufio.NewReader(p.In)
	for _, q := range questions {
		if err := p.settle(q, in); err != nil {
			return err
		}
	}
	src, err := starter.Plan(w)
	if err != nil {
		return err
	}
	// A tank that makes no sense is told here, before anything is written.
	if _, err := plan.Parse(src, c.File, nil); err != nil {
		return err
	}
	if err := writeNew(c.File, src); err != nil {
		return err
	}
	fmt.Fprintf(p.Out, "%s is written. Look it over, then: littoral forecast %s --out %s\n", c.File, c.File, reportFolder(c.File))
	return nil
}

func (c *newCommand) questions(w *starter.Wish) []question {
	quantity := func(kind unit.Kind, set func(float64)) func(string) error {
		return func(answer string) error {
			x, err := unit.Parse(kind, answer)
			if err != nil {
				return err
			}
			if kind == unit.KindLength && x <= 0 {
				return fmt.Errorf("a tank needs a length above zero")
			}
			set(x)
			return nil
		}
	}
	return []question{
		{"name", "What is the tank called?", w.Name, c.Name, func(s string) error { w.Name = s; return nil }},
		{"length", "How long is it inside?", "120 cm", c.Length, quantity(unit.KindLength, func(x float64) { w.Length = unit.Length(x) })},
		{"width", "How wide, front to back?", "50 cm", c.Width, quantity(unit.KindLength, func(x float64) { w.Width = unit.Length(x) })},
		{"height", "How high is the glass?", "50 cm", c.Height, quantity(unit.KindLength, func(x float64) { w.Height = unit.Length(x) })},
		{"energy", "Light, CO2 and feeding: low, medium or high?", "medium", c.Energy, func(s string) error {
			for _, e := range starter.Energies {
				if strings.EqualFold(s, e) {
					w.Energy = e
					return nil
				}
			}
			return fmt.Errorf("%q is none of %s", s, strings.Join(starter.Energies, ", "))
		}},
		{"alkalinity", "How much alkalinity has the tap water?", "6 dKH", c.Alkalinity, quantity(unit.KindAlkalinity, func(x float64) { w.Alkalinity = unit.Alkalinity(x) })},
		{"hardness", "And hardness?", "10 dGH", c.Hardness, quantity(unit.KindHardness, func(x float64) { w.Hardness = unit.Hardness(x) })},
		{"nitrate", "And nitrate, as the ion?", "10 mg/L", c.Nitrate, func(s string) error {
			x, err := unit.ParseConcentration(s, "NO3")
			w.Nitrate = x
			return err
		}},
		{"planted", "When is it planted? (year-month-day, or nothing)", "", c.Planted, func(s string) error {
			if s == "" {
				return nil
			}
			if _, err := time.Parse("2006-01-02", s); err != nil {
				return fmt.Errorf("%q is not a date; write year, month and day, such as 2027-03-01", s)
			}
			w.Planted = s
			return nil
		}},
	}
}

// settle gets one answer: from the flag, from the person, or the usual one. A person who errs is asked again.
func (p Program) settle(q question, in *bufio.Reader) error {
	if q.given != "" {
		if err := q.take(q.given); err != nil {
			return fmt.Errorf("--%s: %w", q.flag, err)
		}
		return nil
	}
	for p.InTerminal {
		fmt.Fprintf(p.Err, "%s [%s] ", q.ask, q.usual)
		line, err := in.ReadString('\n')
		answer := strings.TrimSpace(line)
		if answer == "" {
			if err != nil {
				fmt.Fprintln(p.Err) // the input ended: the rest is left at the usual values
			}
			break
		}
		problem := q.take(answer)
		if problem == nil {
			return nil
		}
		if err != nil {
			return fmt.Errorf("--%s: %w", q.flag, problem)
		}
		fmt.Fprintf(p.Err, "  %v\n", problem)
	}
	return q.take(q.usual)
}

// vacant refuses a place where something stands.
func vacant(path string) error {
	_, err := os.Lstat(path)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return nil
	case err == nil:
		return fmt.Errorf("%s exists and is not overwritten; give another name, or move it away", path)
	}
	return err
}

// writeNew writes a file that does not exist yet, whole or not at all.
func writeNew(path string, src []byte) (err error) {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, os.ErrExist) {
		return vacant(path)
	}
	if err != nil {
		return fmt.Errorf("the plan cannot be written: %w", err)
	}
	defer func() {
		if err != nil {
			os.Remove(path)
		}
	}()
	if _, err = f.Write(src); err != nil {
		f.Close()
		return fmt.Errorf("the plan cannot be written: %w", err)
	}
	if err = f.Close(); err != nil {
		return fmt.Errorf("the plan cannot be written: %w", err)
	}
	return nil
}

// reportFolder suggests where a plan's report goes.
func reportFolder(planFile string) string {
	return strings.TrimSuffix(filepath.Base(planFile), filepath.Ext(planFile)) + "-report"
}
