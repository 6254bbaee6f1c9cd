package findings

// Finding is one thing that will go wrong, or is worth a look: what, when, where, why in numbers, and what to do about it.
type Finding struct {
	ID       string  // stable within one forecast
	Rule     string  // the rule that found it
	Severity string  // danger, harm, look or note
	Day      int     // first day
	Until    int     // last day
	When     string  // in words
	Where    string  // in words
	X, Y     float64 // m from the front-left inside corner; -1 when it has no place
	Subject  string  // planting, species, animal or water
	What     string  // one plain sentence
	Because  string  // the reason in numbers
	Do       string  // the cure
	Due      []Due   // root-zone-short: where to push in how many tablets, and when; by day
	Tried    string  // what the cure changed when the plan was forecast again with it; empty when it was not tried
	CanTry   bool    // a program can apply the cure, so that Try can tell what it changes
	Caution  string  // stands beside a number that could hurt someone; empty when none does
}
