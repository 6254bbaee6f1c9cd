// Package house holds the tests that keep the shape of the whole: which package may import which, and that the engine stays pure.
package house
