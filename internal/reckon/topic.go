package reckon

import (
	"fmt"
	"littoral/internal/unit"
	"littoral/internal/words"
	"math"
	"strconv"
	"strings"
)

// Field is one input of a topic.
type Field struct {
	Column  string    // its name in a file, which ends in its unit: "alkalinity_dkh"
	Also    string    // another name that a file may use; empty for none
	Flag    string    // its name on the command line
	Kind    unit.Kind // what the flag is read as; empty for a plain number
	Ion     string    // for concentrations: the ion that is counted
	Per     float64   // inner units (see package unit) in one unit of the column; 0 counts as 1
	Default float64   // used where nothing is given; NaN when it has none
	Needed  bool      // there is no answer without it
	Min     float64   // smallest number that makes sense, in the column's unit
	Max     float64   // largest
	Help    string
	Example string // as it is written on the command line
}

// Output is one number of an answer.
type Output struct {
	Column string // its name in a file and in JSON, which ends in its unit
	Words  string // what it is, in words, with its unit
	Digits int    // decimals that are shown to a person
}

// Answer is a reckoned row told to a person.
type Answer struct {
	Says    string   // the answer in one sentence
	Why     []string // the reasoning, two lines at most
	Caution string   // what may hurt someone; empty where nothing does
}

// Topic is one question.
type Topic struct {
	Name  string // on the command line
	Short string // one line for the list of topics
	About string // a paragraph for its help
	In    []Field
	Out   []Output
	Salts bool // further columns or flags may be salts in grams, named by formula

	solve func(in, out []float64) error
	tell  func(in, out []float64) Answer

	// A topic with Salts gets the dissolved amounts beside its fields.
	solveSalts func(in []float64, salts []Weighed, out []float64) error
	tellSalts  func(in []float64, salts []Weighed, out []float64) Answer
}

// Weighed is an amount of one salt.
type Weighed struct {
	Salt  string // a formula that water.LookSalt knows
	Grams float64
}

// Topics returns every topic, in the order of the list for people.
func Topics() []Topic {
	return []Topic{
		co2Topic(), phTopic(), mixTopic(), saltsTopic(), doseTopic(), weeklyTopic(), conductivityTopic(),
		oxygenTopic(), ammoniaTopic(), volumeTopic(), heatTopic(), changeTopic(), evaporationTopic(), turnoverTopic(),
	}
}

// Look finds a topic by name. The error names the nearest one.
func Look(name string) (Topic, error) {
	var names []string
	nearest, edits := "", 3
	for _, t := range Topics() {
		if t.Name == name {
			return t, nil
		}
		names = append(names, t.Name)
		if n := words.Edits([]rune(name), []rune(t.Name), edits); n < edits {
			nearest, edits = t.Name, n
		}
	}
	if nearest != "" {
		return Topic{}, fmt.Errorf("%q is no topic; did you mean %q", name, nearest)
	}
	return Topic{}, fmt.Errorf("%q is no topic; the topics are %s", name, strings.Join(names, ", "))
}

// Read turns the text of a flag, such as "4 dKH", into the number of the field's column. It fails as package unit does, or when the number
// lies outside the field's range; it does not say which field it is.
func (f Field) Read(text string) (float64, error) {
	var x float64
	var err error
	switch f.Kind {
	case "":
		x, err = strconv.ParseFloat(onePoint(strings.TrimSpace(text)), 64)
		if err != nil || math.IsNaN(x) {
			return 0, fmt.Errorf("%q is not a number; write it as %s", text, f.Example)
		}
	case unit.KindConcentration:
		var c unit.Concentration
		c, err = unit.ParseConcentration(text, f.Ion)
		x = float64(c)
	default:
		x, err = unit.Parse(f.Kind, text)
	}
	if err != nil {
		return 0, err
	}
	if f.Per != 0 {
		x /= f.Per
	}
	if err := f.check(x); err != nil {
		return 0, fmt.Errorf("%q %w", text, err)
	}
	return x, nil
}

// onePoint reads a decimal comma as the point it is where nothing else can be meant.
func onePoint(s string) string {
	if strings.Count(s, ",") == 1 && !strings.Contains(s, ".") {
		return strings.Replace(s, ",", ".", 1)
	}
	return s
}

// Write turns a number of the field's column into the text of its flag, in the unit in which a system reads it; Read reads it back to three digits.
func (f Field) Write(x float64, system unit.System) string {
	if f.Per != 0 {
		x *= f.Per
	}
	if f.Kind == "" {
		return strconv.FormatFloat(x, 'g', 3, 64)
	}
	return unit.Format(f.Kind, x, system)
}

// check tells whether a number can be one of this field.
func (f Field) check(x float64) error {
	if !(x >= f.Min && x <= f.Max) {
		return fmt.Errorf("is outside %s to %s", short(f.Min), short(f.Max))
	}
	return nil
}

// Blank returns the inputs of a topic as they stand when nothing is given.
func (t Topic) Blank() []float64 {
	in := make([]float64, len(t.In))
	for i, f := range t.In {
		in[i] = f.Default
	}
	return in
}

// Solve reckons one row: in holds the topic's inputs in order (NaN for what is not known), salts what was weighed in. The answer holds the
// topic's outputs in order. It fails where a needed input is missing or inputs contradict each other.
func (t Topic) Solve(in []float64, salts []Weighed) ([]float64, error) {
	out := make([]float64, len(t.Out))
	return out, t.into(in, salts, out)
}

func (t Topic) into(in []float64, salts []Weighed, out []float64) error {
	for i, f := range t.In {
		if f.Needed && math.IsNaN(in[i]) {
			return fmt.Errorf("%s is missing", f.Column)
		}
	}
	if t.Salts {
		return t.solveSalts(in, salts, out)
	}
	return t.solve(in, out)
}

// Tell puts a solved row into words.
func (t Topic) Tell(in []float64, salts []Weighed, out []float64) Answer {
	if t.Salts {
		return t.tellSalts(in, salts, out)
	}
	return t.tell(in, out)
}

// Show writes a number for a person with so many decimals at most; what is too small for them is said to be under the last one, not nothing.
func Show(x float64, decimals int) string {
	s := num(x, decimals)
	if strings.Trim(s, "0.") == "" && x > 0 {
		return "under " + num(math.Pow10(-decimals), decimals)
	}
	return s
}

func short(x float64) string { return strconv.FormatFloat(x, 'g', 6, 64) }

// num writes a number for a sentence with so many decimals, without a needless minus before zero.
func num(x float64, decimals int) string {
	s := strconv.FormatFloat(x, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-")
	}
	return s
}

func or(x, otherwise float64) float64 {
	if math.IsNaN(x) {
		return otherwise
	}
	return x
}

// Grams reads the amount of a salt: a plain number of grams or a mass with its unit.
func Grams(text string) (float64, error) {
	if x, err := strconv.ParseFloat(strings.TrimSpace(text), 64); err == nil && x >= 0 && x <= 1e6 {
		return x, nil
	}
	kg, err := unit.Parse(unit.KindMass, text)
	return 1000 * kg, err
}
