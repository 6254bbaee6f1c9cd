package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"littoral/internal/plan"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"github.com/alecthomas/kong"
)

// Exit codes, part of the interface for scripts.
const (
	exitFine        = 0
	exitFindings    = 1   // findings of the severity that was asked for
	exitBad         = 2   // bad input, a usage error, or a file that could not be read or written
	exitInterrupted = 130 // stopped by Ctrl-C
	exitTerminated  = 143 // stopped by a termination signal
)

// Program is the command line as a value, so that tests run it the way main does.
type Program struct {
	In          io.Reader
	Out, Err    io.Writer
	InTerminal  bool // a person can be asked
	ErrTerminal bool // a progress bar can be drawn
}

// commands is the grammar. Each command's Run gets the Program and the context that Ctrl-C ends.
type commands struct {
	New      newCommand      `cmd:"" help:"Write a plan to start from, by a few questions or by flags."`
	Check    checkCommand    `cmd:"" help:"Read a plan and say everything that is wrong with it."`
	Forecast forecastCommand `cmd:"" help:"Forecast a plan and write the report folder."`
	Light    lightCommand    `cmd:"" help:"Map the light of the lamps on the bed or at a depth, and say where it goes."`
	Views    viewsCommand    `cmd:"" help:"Draw the tank from any side at any date, and write it as a 3D model."`
	Sheets   sheetsCommand   `cmd:"" help:"Draw the plan to scale on paper: plan, elevations, section, legend and a planting map."`
	Reckon   reckonCommand   `cmd:"" passthrough:"" help:"Answer one question without a plan: CO2, salts, doses, ammonia, heat and more."`
	Tap      tapCommand      `cmd:"" help:"Read an analysis of tap water and say whether it can be right."`
	Recipe   recipeCommand   `cmd:"" help:"Find the pure water and salts that make a wanted change water."`
	Stock    stockCommand    `cmd:"" help:"Part doses of salts into stock solutions that stay clear."`
	Catalog  catalogCommand  `cmd:"" help:"Search the catalogue of plants, animals, materials, salts, lamps and bottles."`
	Serve    serveCommand    `cmd:"" help:"Serve the shelf of tanks to the browser."`
	Backup   backupCommand   `cmd:"" help:"Write all tanks with journal and photos into one archive, while the server runs."`
	Restore  restoreCommand  `cmd:"" help:"Put a backup into a folder that holds no tanks yet."`
	Import   importCommand   `cmd:"" help:"Put plans on the shelf."`
	Export   exportCommand   `cmd:"" help:"Write the plans of the shelf into one archive."`
	AddOwner addOwnerCommand `cmd:"" name:"add-owner" help:"Make the account of an owner, for serving other machines."`
	OpenAPI  openapiCommand  `cmd:"" name:"openapi" help:"Print the description of the HTTP API (OpenAPI 3.1)."`
	Schema   schemaCommand   `cmd:"" help:"Print the JSON Schema of plan files or of forecast.json."`
	Version  versionCommand  `cmd:"" help:"Print the version."`
}

const about = `Littoral forecasts how a large planted aquarium grows in and runs for years, says what will go wrong, when, where, why and what
to do about it, and writes a report folder.

Exit codes: 0 fine, 1 findings of the severity asked for, 2 bad input or usage, 130 stopped by Ctrl-C.`

// left carries an exit code out of kong, which calls its exit function in the middle of parsing.
type left struct{ code int }

// failure is an error that has been told already and only sets the exit code.
type failure struct{ code int }

func (f failure) Error() string { return fmt.Sprintf("exit code %d", f.code) }

// Run does what the arguments say and returns the exit code. It never exits the process.
func (p Program) Run(args []string) (code int) {
	defer func() {
		if r := recover(); r != nil {
			l, ok := r.(left)
			if !ok {
				panic(r)
			}
			code = l.code
		}
	}()
	var grammar commands
	parser, err := kong.New(&grammar,
		kong.Name("littoral"), kong.Description(about), kong.Writers(p.Out, p.Err),
		kong.Exit(func(code int) { panic(left{code}) }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, WrapUpperBound: 120}),
	)
	if err != nil {
		p.say("the command line is not sound: %v", err)
		return exitBad
	}
	if len(args) == 0 {
		args = []string{"--help"}
	}
	parsed, err := parser.Parse(bound(args))
	if err != nil {
		p.say("%v", err)
		p.say("\"littoral%s --help\" shows how it is used", commandIn(err))
		return exitBad
	}
	ctx, stop := p.untilSignal()
	defer stop()
	parsed.BindTo(ctx, (*context.Context)(nil))
	return p.outcome(ctx, parsed.Run(p))
}

// bound ties a number below zero to the flag before it, so that the flag's own check answers and the number is not taken for a flag.
func bound(args []string) []string {
	var out []string
	for i, a := range args {
		negative := len(a) > 1 && a[0] == '-' && (a[1] >= '0' && a[1] <= '9' || a[1] == '.')
		if negative && i > 0 && strings.HasPrefix(args[i-1], "--") && !strings.Contains(args[i-1], "=") {
			out[len(out)-1] += "=" + a
			continue
		}
		out = append(out, a)
	}
	return out
}

// commandIn names the command whose arguments did not parse, for the hint.
func commandIn(err error) string {
	var pe *kong.ParseError
	if errors.As(err, &pe) && pe.Context != nil && pe.Context.Command() != "" {
		return " " + firstWord(pe.Context.Command())
	}
	return ""
}

// stopped is why a context ended.
type stopped struct{ signal os.Signal }

func (s stopped) Error() string { return "stopped by " + s.signal.String() }

func (p Program) untilSignal() (context.Context, func()) {
	ctx, cancel := context.WithCancelCause(context.Background())
	signals := make(chan os.Signal, 1)
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM)
	done := make(chan struct{})
	go func() {
		select {
		case s := <-signals:
			signal.Stop(signals) // a second Ctrl-C ends the process at once
			cancel(stopped{s})
		case <-done:
		}
	}()
	return ctx, func() {
		signal.Stop(signals)
		close(done)
		cancel(nil)
	}
}

// outcome says what went wrong, if anything did, and turns it into an exit code.
func (p Program) outcome(ctx context.Context, err error) int {
	var f failure
	var problems plan.Problems
	var why stopped
	switch {
	case err == nil:
		return exitFine
	case errors.As(err, &f):
		return f.code
	case ctx.Err() != nil && errors.As(context.Cause(ctx), &why):
		p.say("%v", err)
		if why.signal == syscall.SIGTERM {
			return exitTerminated
		}
		return exitInterrupted
	case errors.As(err, &problems):
		fmt.Fprintln(p.Err, problems.Error())
		return exitBad
	}
	p.say("%v", err)
	return exitBad
}
