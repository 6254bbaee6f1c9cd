// Command littoral forecasts how a large planted aquarium grows, finds what will go wrong, and writes the report.
//
//	littoral new plan.yaml
//	littoral check plan.yaml
//	littoral forecast plan.yaml --out FOLDER
//	littoral catalog red stem
package main

import "os"

func main() {
	p := Program{
		In: os.Stdin, Out: os.Stdout, Err: os.Stderr,
		InTerminal: terminal(os.Stdin), ErrTerminal: terminal(os.Stderr),
	}
	os.Exit(p.Run(os.Args[1:]))
}

// terminal tells whether a person sits at a stream. The null device is a character device too, but nobody sits there.
func terminal(f *os.File) bool {
	info, err := f.Stat()
	if err != nil || info.Mode()&os.ModeCharDevice == 0 {
		return false
	}
	null, err := os.Stat(os.DevNull)
	return err != nil || !os.SameFile(info, null)
}
