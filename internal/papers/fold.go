package papers

import (
	"fmt"
	"littoral/internal/findings"
	"strings"
)

// fold is findings of one rule that say the same of several plantings, told as one. First is the gravest of them.
type fold struct {
	Headline string
	Numbers  []int // of the findings, in the order by harm
	Members  []findings.Finding
}

// gap stands in a sentence where its subject was; no text of a finding holds it.
const gap = "\x00"

// folded tells findings of one rule and one cause together. The cause is the sentence without its subject, so that all whom one plant
// shades are one fold, and all who reach the surface another. The order is that of each fold's gravest finding.
func (t *teller) folded() []fold {
	at := map[string]int{}
	var out []fold
	for i := range t.found {
		x := t.found[i]
		key := x.Rule + gap + sayingOf(&x)
		n, ok := at[key]
		if !ok {
			n = len(out)
			at[key] = n
			out = append(out, fold{})
		}
		out[n].Numbers = append(out[n].Numbers, i+1)
		out[n].Members = append(out[n].Members, x)
	}
	for i := range out {
		out[i].Headline = out[i].headline()
	}
	return out
}

// sayingOf is the sentence of a finding with a gap for its subject.
func sayingOf(x *findings.Finding) string {
	if x.Subject == "" {
		return x.What
	}
	return strings.Replace(x.What, x.Subject, gap, 1)
}

func (f *fold) headline() string {
	x := &f.Members[0]
	if len(f.Members) == 1 {
		return x.What
	}
	saying := sayingOf(x)
	before, after, ok := strings.Cut(saying, gap)
	if !ok {
		return fmt.Sprintf("%s (%d times)", strings.TrimSuffix(strings.TrimSpace(x.What), "."), len(f.Members))
	}
	who := fmt.Sprintf("%d plantings", len(f.Members))
	if after = strings.TrimSuffix(strings.TrimSpace(after), "."); after != "" {
		who = "each of " + who + " "
	}
	return capital(before + who + after)
}

// who lists the subjects of a fold, each once, with how often where it is more than once.
func (f *fold) who() string {
	times := map[string]int{}
	var names []string
	for i := range f.Members {
		s := f.Members[i].Subject
		if times[s] == 0 {
			names = append(names, s)
		}
		times[s]++
	}
	for i, s := range names {
		if times[s] > 1 {
			names[i] = fmt.Sprintf("%s (%d)", s, times[s])
		}
	}
	return strings.Join(names, ", ")
}

// sentence tells a fold in one breath.
func (f *fold) sentence() string {
	if len(f.Members) == 1 || !strings.Contains(sayingOf(&f.Members[0]), gap) {
		return full(f.Headline)
	}
	return full(f.Headline + ": " + f.who())
}
