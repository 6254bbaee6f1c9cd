package main

import (
	"fmt"
	"runtime/debug"
)

// version is raised by hand with a release and its page in CHANGELOG.md.
const version = "0.1.0"

type versionCommand struct{}

func (versionCommand) Help() string {
	return `Prints the version, and the commit it was built from where the build knows it.

Example:

  littoral version`
}

func (versionCommand) Run(p Program) error {
	line := "littoral " + version
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			if s.Key == "vcs.revision" && len(s.Value) >= 12 {
				line += " (" + s.Value[:12] + ")"
			}
		}
	}
	_, err := fmt.Fprintln(p.Out, line)
	return err
}
