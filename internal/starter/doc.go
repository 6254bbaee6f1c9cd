// Package starter writes the plan that a person begins from: a commented plan.yaml for a tank of given inner measures, lit and fed
// after one of the trade's three energy levels. Its sizes follow the trade's rules of thumb (named beside each constant), so that the
// first forecast is of a sensible tank and the person can change one thing at a time.
package starter
