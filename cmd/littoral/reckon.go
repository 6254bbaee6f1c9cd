package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"littoral/internal/reckon"
	"littoral/internal/water"
	"math"
	"os"
	"reflect"
	"strings"

	"github.com/alecthomas/kong"
)

// reckonCommand hands everything behind the word to the topic, which has flags of its own.
type reckonCommand struct {
	Args []string `arg:"" optional:"" passthrough:""`
}

const reckonAbout = `Answers one question of the trade without a plan.

  littoral reckon TOPIC [flags]
  littoral reckon TOPIC --help
  littoral reckon TOPIC --csv FILE      many rows at once; the answer goes to standard output

Topics:

`

func (c *reckonCommand) Run(ctx context.Context, p Program) error {
	if len(c.Args) == 0 || c.Args[0] == "--help" || c.Args[0] == "-h" {
		fmt.Fprint(p.Out, reckonAbout)
		for _, t := range reckon.Topics() {
			fmt.Fprintf(p.Out, "  %-13s %s.\n", t.Name, t.Short)
		}
		fmt.Fprint(p.Out, "\nExamples:\n\n  littoral reckon co2 --alkalinity \"4 dKH\" --ph 6.6 --temperature \"24 °C\"\n  littoral reckon co2 --csv readings.csv\n")
		return nil
	}
	t, err := reckon.Look(c.Args[0])
	if err != nil {
		return fmt.Errorf("reckon: %w", err)
	}
	return p.reckonTopic(ctx, t, c.Args[1:])
}

// topicFlags builds the flags of a topic as a struct that kong reads: one text for each field, then the flags that all topics have.
func topicFlags(t reckon.Topic) reflect.Value {
	var fields []reflect.StructField
	add := func(name string, kind reflect.Type, tag string) {
		fields = append(fields, reflect.StructField{Name: name, Type: kind, Tag: reflect.StructTag(tag)})
	}
	text, list, yes := reflect.TypeFor[string](), reflect.TypeFor[[]string](), reflect.TypeFor[bool]()
	if t.Salts {
		add("Salts", list, `arg:"" optional:"" name:"salt=grams" help:"Salts and their grams, such as \"KNO3=5 g\" or MgSO4.7H2O=12."`)
	}
	for i, f := range t.In {
		help := f.Help
		if !f.Needed && !math.IsNaN(f.Default) {
			help += " " + defaultOf(f)
		}
		add(fmt.Sprintf("F%d", i), text, fmt.Sprintf("name:%q placeholder:%q help:%q", f.Flag, f.Example, help))
	}
	add("CSV", text, `name:"csv" placeholder:"FILE" help:"Reckon every row of a CSV file (- for standard input) and write it with the answers to standard output."`)
	add("JSON", yes, `name:"json" help:"Write the answer as JSON."`)
	return reflect.New(reflect.StructOf(fields))
}

func defaultOf(f reckon.Field) string {
	value := f.Default
	if f.Kind == "share" {
		return fmt.Sprintf("Without it: %g %%.", 100*value)
	}
	unit := ""
	if _, u, ok := strings.Cut(f.Example, " "); ok {
		unit = " " + u
	}
	return fmt.Sprintf("Without it: %g%s.", value, unit)
}

func (p Program) reckonTopic(ctx context.Context, t reckon.Topic, args []string) error {
	flags := topicFlags(t)
	about := t.About + "\n\nColumns for --csv: " + columnList(t) + "."
	parser, err := kong.New(flags.Interface(),
		kong.Name("littoral reckon "+t.Name), kong.Description(t.Short+".\n\n"+about), kong.Writers(p.Out, p.Err),
		kong.Exit(func(code int) { panic(left{code}) }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, WrapUpperBound: 120}),
	)
	if err != nil {
		return err
	}
	if _, err := parser.Parse(bound(args)); err != nil {
		return fmt.Errorf("reckon %s: %w; \"littoral reckon %s --help\" shows how it is used", t.Name, err, t.Name)
	}
	get := func(name string) reflect.Value { return flags.Elem().FieldByName(name) }
	asJSON := get("JSON").Bool()
	if file := get("CSV").String(); file != "" {
		if asJSON {
			return errors.New("reckon: --csv writes CSV; leave --json out")
		}
		return p.reckonTable(ctx, t, file)
	}
	in := t.Blank()
	given := false
	for i, f := range t.In {
		text := get(fmt.Sprintf("F%d", i)).String()
		if text == "" {
			continue
		}
		given = true
		if in[i], err = f.Read(text); err != nil {
			return fmt.Errorf("reckon %s: --%s: %w", t.Name, f.Flag, err)
		}
	}
	var salts []reckon.Weighed
	if t.Salts {
		if salts, err = readSalts("reckon salts", get("Salts").Interface().([]string)); err != nil {
			return err
		}
	}
	for i, f := range t.In {
		if f.Needed && math.IsNaN(in[i]) {
			if !given && len(args) == 0 {
				return fmt.Errorf("reckon %s needs --%s and more; \"littoral reckon %s --help\" shows how it is used", t.Name, f.Flag, t.Name)
			}
			return fmt.Errorf("reckon %s needs --%s, such as --%s %q", t.Name, f.Flag, f.Flag, f.Example)
		}
	}
	out, err := t.Solve(in, salts)
	if err != nil {
		return fmt.Errorf("reckon %s: %w", t.Name, err)
	}
	a := t.Tell(in, salts, out)
	if asJSON {
		return p.reckonJSON(t, in, salts, out, a)
	}
	fmt.Fprintln(p.Out, a.Says)
	for _, line := range a.Why {
		fmt.Fprintln(p.Out, "  "+line)
	}
	fmt.Fprintln(p.Out)
	for i, o := range t.Out {
		if !math.IsNaN(out[i]) {
			fmt.Fprintf(p.Out, "  %12s  %s\n", reckon.Show(out[i], o.Digits), o.Words)
		}
	}
	if a.Caution != "" {
		fmt.Fprintln(p.Out, "\nCaution. "+a.Caution)
	}
	return nil
}

func columnList(t reckon.Topic) string {
	var names []string
	for _, f := range t.In {
		names = append(names, f.Column)
	}
	if t.Salts {
		names = append(names, "and one column for each salt, in grams")
	}
	return strings.Join(names, ", ")
}

// readSalts reads "KNO3=5 g" and "KNO3=5"; where names the command or flag in errors.
func readSalts(where string, texts []string) ([]reckon.Weighed, error) {
	var salts []reckon.Weighed
	for _, text := range texts {
		name, amount, ok := strings.Cut(text, "=")
		if !ok {
			return nil, fmt.Errorf("%s: %q is no salt with its grams; write KNO3=5", where, text)
		}
		grams, err := reckon.Grams(amount)
		if err != nil {
			return nil, fmt.Errorf("%s: %s: %w", where, name, err)
		}
		if _, ok := water.LookSalt(name); !ok {
			return nil, fmt.Errorf("%s: salt %q is not known; write a formula such as CaSO4·2H2O, the catalogue lists them: littoral catalog --kind salt", where, name)
		}
		salts = append(salts, reckon.Weighed{Salt: name, Grams: grams})
	}
	return salts, nil
}

func (p Program) reckonTable(ctx context.Context, t reckon.Topic, file string) error {
	var from io.Reader = p.In
	if file != "-" {
		f, err := os.Open(file)
		if err != nil {
			return fmt.Errorf("reckon: %w", err)
		}
		defer f.Close()
		from = f
	}
	if err := reckon.Table(ctx, t, from, p.Out); err != nil {
		if file == "-" {
			file = "standard input"
		}
		return fmt.Errorf("reckon %s: %s: %w", t.Name, file, err)
	}
	return nil
}

func (p Program) reckonJSON(t reckon.Topic, in []float64, salts []reckon.Weighed, out []float64, a reckon.Answer) error {
	numbers := func(names []string, values []float64) map[string]float64 {
		m := map[string]float64{}
		for i, n := range names {
			if !math.IsNaN(values[i]) {
				m[n] = values[i]
			}
		}
		return m
	}
	var inNames, outNames []string
	for _, f := range t.In {
		inNames = append(inNames, f.Column)
	}
	for _, o := range t.Out {
		outNames = append(outNames, o.Column)
	}
	given := numbers(inNames, in)
	for _, s := range salts {
		given[s.Salt] = s.Grams
	}
	return p.json(struct {
		Topic   string             `json:"topic"`
		Given   map[string]float64 `json:"given"`
		Answer  map[string]float64 `json:"answer"`
		Says    string             `json:"says"`
		Why     []string           `json:"why"`
		Caution string             `json:"caution,omitempty"`
	}{t.Name, given, numbers(outNames, out), a.Says, append([]string{}, a.Why...), a.Caution})
}
