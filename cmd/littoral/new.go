package main

import (
	"bufio"
	"errors"
	"fmt"
	"littoral/internal/plan"
	"littoral/internal/unit"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"unicode"
)

type newCommand struct {
	File       string `arg:"" optional:"" default:"plan.yaml" help:"The plan to write (default plan.yaml). A file that exists is never overwritten."`
	Name       string `help:"What the tank is called."`
	Shape      string `help:"Shape of the tank: box, bow-front, cylinder or polygon."`
	Length     string `help:"Inner length of a box or bow-front, such as \"120 cm\" or \"47 in\"."`
	Width      string `help:"Inner width of a box or bow-front from front to back, without the bow."`
	Bow        string `help:"How far the front of a bow-front stands out in its middle."`
	Diameter   string `help:"Inner diameter of a cylinder."`
	Outline    string `help:"Corners of a polygon in cm, seen from above, such as \"0,0 160,0 160,60 60,60 60,140 0,140\"."`
	Height     string `help:"Inner height of the glass."`
	Light      string `help:"Level of light, and of feeding with it: low, medium or high."`
	CO2        string `name:"co2" placeholder:"YES|NO" help:"Whether CO2 gas is injected: yes or no."`
	Alkalinity string `help:"Alkalinity (KH) of the tap water, such as \"6 dKH\"."`
	Hardness   string `help:"Total hardness (GH) of the tap water, such as \"10 dGH\"."`
	Nitrate    string `help:"Nitrate of the tap water, as the ion, such as \"10 mg/L\"."`
	SeenFrom   string `placeholder:"SIDES" help:"Sides one looks from: front, back, left, right or all, with commas between."`
	Style      string `help:"Style of planting: nature, garden, stones or jungle."`
	Planted    string `help:"Date of planting, such as 2027-03-01."`
}

func (newCommand) Help() string {
	return `On a terminal, asks what the flags do not say; an empty answer takes the value in brackets. Elsewhere that value is taken without
asking. What is written passes "littoral check" and is commented, so that you can go on from there in your editor.

Examples:

  littoral new
  littoral new lobby.yaml --name "Lobby" --length "180 cm" --width "60 cm" --height "60 cm" --light high --co2 yes
  littoral new hall.yaml --shape cylinder --diameter "140 cm" --height "90 cm" --style stones`
}

// question is one thing to be known of the tank: asked, given by a flag, or left at the usual value. The texts of a question may
// hang on earlier answers, and so may whether it is asked at all.
type question struct {
	flag  string
	ask   string
	usual func() string
	given string
	take  func(answer string) error
	only  []string // shapes that it belongs to; none = all
}

func (c *newCommand) Run(p Program) error {
	if err := vacant(c.File); err != nil {
		return err // before any question is asked
	}
	a := plan.Usual(plan.Shapes()[0])
	in := bufio.NewReader(p.In)
	for _, q := range c.questions(&a) {
		if len(q.only) > 0 && !slices.Contains(q.only, a.Shape) {
			if q.given != "" {
				return fmt.Errorf("--%s belongs to the shape %s, and this tank is a %s; leave it out, or give another --shape", q.flag, strings.Join(q.only, " or "), a.Shape)
			}
			continue
		}
		if err := p.settle(q, in); err != nil {
			return err
		}
	}
	src, err := plan.NewPlan(a)
	if err != nil {
		return err
	}
	if err := writeNew(c.File, src); err != nil {
		return err
	}
	fmt.Fprintf(p.Out, "%s is written. Look it over, then: littoral forecast %s --out %s\n", c.File, c.File, reportFolder(c.File))
	return nil
}

// questions asks in the order in which one speaks of a tank. The answers begin as the usual ones, which are sound, so that whatever
// their check finds is wrong with the answer just given.
func (c *newCommand) questions(a *plan.Answers) []question {
	// try puts an answer in and takes it back when it does not hold.
	try := func(put func() error) error {
		before := *a
		err := put()
		if err == nil {
			err = a.Check()
		}
		if err != nil {
			*a = before
		}
		return err
	}
	length := func(to *unit.Length) func(string) error {
		return func(answer string) error {
			return try(func() error {
				x, err := unit.Parse(unit.KindLength, answer)
				*to = unit.Length(x)
				// The bow stays in proportion until it is asked for.
				if to == &a.Inside.Length && a.Shape == "bow-front" {
					a.Inside.Bow = *to / 10
				}
				return err
			})
		}
	}
	inCM := func(x *unit.Length) func() string {
		return func() string { return strconv.FormatFloat(math.Round(float64(*x)*1000)/10, 'f', -1, 64) + " cm" }
	}
	word := func(to *string) func(string) error {
		return func(answer string) error {
			return try(func() error { *to = strings.ToLower(answer); return nil })
		}
	}
	is := func(s string) func() string { return func() string { return s } }
	long := []string{"box", "bow-front"}
	return []question{
		{"name", "What is the tank called?", is(a.Name), c.Name, func(s string) error { return try(func() error { a.Name = s; return nil }) }, nil},
		{"shape", "Which shape: " + strings.Join(plan.Shapes(), ", ") + "?", is(a.Shape), c.Shape, func(s string) error {
			return try(func() error {
				u := plan.Usual(strings.ToLower(s))
				a.Shape, a.Inside, a.Outline, a.SeenFrom = u.Shape, u.Inside, u.Outline, u.SeenFrom
				if !slices.Contains(plan.Shapes(), a.Shape) {
					return fmt.Errorf("%q is none of %s", s, strings.Join(plan.Shapes(), ", "))
				}
				return nil
			})
		}, nil},
		{"length", "How long is it inside?", inCM(&a.Inside.Length), c.Length, length(&a.Inside.Length), long},
		{"width", "How wide, front to back?", inCM(&a.Inside.Width), c.Width, length(&a.Inside.Width), long},
		{"bow", "How far does the front stand out in the middle?", inCM(&a.Inside.Bow), c.Bow, length(&a.Inside.Bow), []string{"bow-front"}},
		{"diameter", "How far across is it inside?", inCM(&a.Inside.Diameter), c.Diameter, length(&a.Inside.Diameter), []string{"cylinder"}},
		{"outline", "Where are its corners, in cm from the front-left, as x,y x,y …?", func() string { return cornersText(a.Outline) }, c.Outline, func(s string) error {
			return try(func() (err error) { a.Outline, err = corners(s); return err })
		}, []string{"polygon"}},
		{"height", "How high is the glass?", inCM(&a.Inside.Height), c.Height, length(&a.Inside.Height), nil},
		{"light", "How much light: low, medium or high?", is(a.Light), c.Light, word(&a.Light), nil},
		{"co2", "Is CO2 gas injected: yes or no?", func() string {
			if a.Light == "low" {
				return "no"
			}
			return "yes"
		}, c.CO2, func(s string) error {
			switch strings.ToLower(s) {
			case "yes", "y", "true":
				a.CO2 = true
			case "no", "n", "false":
				a.CO2 = false
			default:
				return fmt.Errorf("%q is neither yes nor no", s)
			}
			return nil
		}, nil},
		{"alkalinity", "How much alkalinity (KH) has the tap water?", is("6 dKH"), c.Alkalinity, func(s string) error {
			return try(func() error {
				x, err := unit.Parse(unit.KindAlkalinity, s)
				a.TapKH = unit.Alkalinity(x)
				return err
			})
		}, nil},
		{"hardness", "And hardness (GH)?", is("10 dGH"), c.Hardness, func(s string) error {
			return try(func() error {
				x, err := unit.Parse(unit.KindHardness, s)
				a.TapGH = unit.Hardness(x)
				return err
			})
		}, nil},
		{"nitrate", "And nitrate, as the ion?", is("10 mg/L"), c.Nitrate, func(s string) error {
			return try(func() (err error) { a.TapNitrate, err = unit.ParseConcentration(s, "NO3"); return err })
		}, nil},
		{"seen-from", "From which sides does one look: front, back, left, right, all?", func() string { return strings.Join(a.SeenFrom, ", ") }, c.SeenFrom, func(s string) error {
			return try(func() error {
				a.SeenFrom = strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return r == ',' || r == ' ' })
				return nil
			})
		}, nil},
		{"style", "Which style of planting: " + strings.Join(plan.Styles(), ", ") + "?", is(a.Style), c.Style, word(&a.Style), nil},
		{"planted", "When is it planted? (year-month-day, or nothing)", is(""), c.Planted, func(s string) error {
			return try(func() error { a.Planted = s; return nil })
		}, nil},
	}
}

// corners reads an outline such as "0,0 160,0 160,60": pairs of cm with commas, spaces or brackets between the numbers.
func corners(s string) ([]plan.PointCM, error) {
	parts := strings.FieldsFunc(s, func(r rune) bool { return unicode.IsSpace(r) || strings.ContainsRune(",;[]()", r) })
	const cure = "write x,y in cm for each corner, such as 0,0 160,0 160,60 60,60 60,140 0,140"
	if len(parts)%2 != 0 || len(parts) < 6 {
		return nil, fmt.Errorf("%d numbers are no outline of three or more corners; %s", len(parts), cure)
	}
	out := make([]plan.PointCM, len(parts)/2)
	for i, part := range parts {
		x, err := strconv.ParseFloat(part, 64)
		if err != nil {
			return nil, fmt.Errorf("%q is not a number of cm; %s", part, cure)
		}
		out[i/2][i%2] = x
	}
	return out, nil
}

func cornersText(outline []plan.PointCM) string {
	out := make([]string, len(outline))
	for i, p := range outline {
		out[i] = strconv.FormatFloat(p[0], 'f', -1, 64) + "," + strconv.FormatFloat(p[1], 'f', -1, 64)
	}
	return strings.Join(out, " ")
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
		fmt.Fprintf(p.Err, "%s [%s] ", q.ask, q.usual())
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
	return q.take(q.usual())
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
