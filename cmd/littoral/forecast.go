package main

import (
	"context"
	"errors"
	"fmt"
	"littoral/internal/findings"
	"littoral/internal/forecast"
	"littoral/internal/papers"
	"littoral/internal/plan"
	"os"
	"path/filepath"
	"runtime/debug"
	"sync/atomic"
	"time"

	"github.com/vbauerster/mpb/v8"
	"github.com/vbauerster/mpb/v8/decor"
)

// mostDays bounds a forecast. Twenty years is longer than any planting lasts.
const mostDays = 7305

type forecastCommand struct {
	Plan     string `arg:"" help:"The plan, a YAML file."`
	Out      string `required:"" placeholder:"DIR" help:"Folder for the report; it is made when it is not there."`
	Pictures string `enum:"drawn,plain" default:"drawn" placeholder:"HOW" help:"Views of the report: drawn (through glass and water, some seconds) or plain (line drawings only)."`
	Days     int    `default:"1095" help:"Days to forecast after planting (three years)."`
	Seed     uint64 `default:"1" help:"Seed of the random draws; the same plan and seed give the same bytes."`
	Members  int    `placeholder:"N" help:"Forecast the plan N times more with other values of every uncertain number, and say how far they lie apart."`
	Try      bool   `help:"Forecast again with the cure of each of the gravest findings that a program can apply, and say what it changes."`
	JSON     bool   `name:"json" help:"Write the summary as one JSON object to standard output, and nothing else there."`
	FailOn   string `placeholder:"SEVERITY" help:"Exit with 1 when there is a finding of this severity or a graver one: danger or harm."`
}

func (forecastCommand) Help() string {
	return `Reads the plan, forecasts it, and writes into the folder: report.html (one file to open in a browser or to print), series.csv (a line a
day), plants.csv, plantings.csv, held.csv and rootzone.csv, forecast.json with its schema. Ctrl-C stops without leaving anything half-written.

Findings do not change the exit code unless --fail-on asks for it.

Examples:

  littoral forecast plan.yaml --out report
  littoral forecast plan.yaml --out report --days 180
  littoral forecast plan.yaml --out report --pictures plain
  littoral forecast plan.yaml --out report --try
  littoral forecast plan.yaml --out report --members 32
  littoral forecast plan.yaml --out report --json --fail-on danger`
}

// Validate is called by kong after parsing.
func (c *forecastCommand) Validate() error {
	if c.Days < 1 || c.Days > mostDays {
		return fmt.Errorf("--days %d is outside 1 to %d", c.Days, mostDays)
	}
	if c.Members != 0 && (c.Members < 2 || c.Members > forecast.MostMembers) {
		return fmt.Errorf("--members %d is outside 2 to %d", c.Members, forecast.MostMembers)
	}
	if c.FailOn != "" && c.FailOn != "danger" && c.FailOn != "harm" {
		return fmt.Errorf("--fail-on %q is neither danger nor harm", c.FailOn)
	}
	return nil
}

func (c *forecastCommand) Run(ctx context.Context, p Program) error {
	start := time.Now()
	read, err := plan.Load(c.Plan)
	if err != nil {
		return err
	}
	if len(read.Warnings) > 0 {
		fmt.Fprintln(p.Err, read.Warnings.Error())
	}
	// Found out before the work, not after it.
	if info, err := os.Stat(c.Out); err == nil && !info.IsDir() {
		return fmt.Errorf("%s is a file; name a folder for the report", c.Out)
	}
	bar := p.progress("forecast", c.Days)
	day := 0
	f, err := forecast.Run(ctx, read, forecast.Options{Days: c.Days, Seed: c.Seed, Progress: func(done, total int) {
		day = done
		bar.at(done, total)
	}})
	bar.end()
	if err != nil {
		return c.unfinished(ctx, err, day)
	}
	// Pictures leave much behind; cleared away in time, the forecast keeps to the memory of a small machine.
	defer debug.SetMemoryLimit(debug.SetMemoryLimit(drawingLimit))
	drawing := c.draw(ctx, p, f)
	found := findings.Read(f)
	if c.Try {
		if found, err = c.try(ctx, p, f, found); err != nil {
			return err
		}
	}
	var bands *forecast.Bands
	if c.Members > 0 {
		if bands, err = c.many(ctx, p, read); err != nil {
			return err
		}
	}
	pictures, err := drawing()
	if err != nil {
		return c.unfinished(ctx, err, day)
	}
	files, err := papers.Build(f, found, papers.Options{Made: "littoral " + version, Bands: bands, Pictures: pictures})
	if err != nil {
		return err
	}
	if err := ctx.Err(); err != nil {
		return c.unfinished(ctx, err, day)
	}
	if err := papers.Save(c.Out, files); err != nil {
		return err
	}
	if err := c.tell(p, f, found, bands, time.Since(start)); err != nil {
		return err
	}
	return c.verdict(found)
}

// draw begins to draw the report's pictures beside other work, and gives a function that waits for them. A stop of that work leaves the drawing to end with the
// program.
func (c *forecastCommand) draw(ctx context.Context, p Program, f *forecast.Forecast) func() (*papers.Pictures, error) {
	if c.Pictures == "plain" {
		return func() (*papers.Pictures, error) { return nil, nil }
	}
	type drawn struct {
		pictures *papers.Pictures
		err      error
	}
	out := make(chan drawn, 1)
	var done, total atomic.Int64
	step := make(chan struct{}, 1)
	go func() {
		pictures, err := papers.Draw(ctx, f, func(n, of int) {
			done.Store(int64(n))
			total.Store(int64(of))
			select {
			case step <- struct{}{}:
			default:
			}
		})
		out <- drawn{pictures, err}
	}()
	return func() (*papers.Pictures, error) {
		bar := p.steps("pictures", int(max(1, total.Load())))
		defer bar.end()
		for shown := int64(0); ; {
			select {
			case d := <-out:
				return d.pictures, d.err
			case <-step:
				for ; shown < done.Load(); shown++ {
					bar.step()
				}
			}
		}
	}
}

// drawingLimit is from how many bytes on memory is cleared away more eagerly while the report is made.
const drawingLimit = 205 << 20

// mostTried bounds the forecasts that --try makes.
const mostTried = 12

// try forecasts the plan again with the cures of its findings.
func (c *forecastCommand) try(ctx context.Context, p Program, f *forecast.Forecast, found []findings.Finding) ([]findings.Finding, error) {
	bar := p.progress("cures", mostTried)
	tried, err := findings.Try(ctx, f, found, forecast.Options{Days: c.Days, Seed: c.Seed}, mostTried, bar.at)
	bar.end()
	if err != nil {
		return nil, c.unfinished(ctx, err, c.Days)
	}
	return tried, nil
}

// many forecasts the plan with other values of its uncertain numbers.
func (c *forecastCommand) many(ctx context.Context, p Program, read *plan.Plan) (*forecast.Bands, error) {
	bar := p.progress(fmt.Sprintf("%d members", c.Members), c.Members*(c.Days+1))
	day := 0
	bands, err := forecast.RunMany(ctx, read, forecast.Options{Days: c.Days, Seed: c.Seed, Progress: func(done, total int) {
		day = done / c.Members
		bar.at(done, total)
	}}, c.Members)
	bar.end()
	if err != nil {
		return nil, c.unfinished(ctx, err, day)
	}
	return bands, nil
}

// unfinished says how far a stopped forecast came, and that nothing of it is on the disk.
func (c *forecastCommand) unfinished(ctx context.Context, err error, day int) error {
	if !errors.Is(err, context.Canceled) {
		return fmt.Errorf("%s: %w", c.Plan, err)
	}
	state := "does not exist"
	if _, e := os.Stat(c.Out); e == nil {
		state = "is as it was before"
	}
	return fmt.Errorf("%w after %d of %d days; nothing was written, and %s %s", context.Cause(ctx), day, c.Days, c.Out, state)
}

func (c *forecastCommand) tell(p Program, f *forecast.Forecast, found []findings.Finding, bands *forecast.Bands, took time.Duration) error {
	var err error
	if c.JSON {
		outcome := papers.JSON(f, found)
		if bands != nil {
			outcome.Bands = papers.Bands(bands)
		}
		seconds := took.Seconds()
		outcome.WallS = &seconds
		err = p.json(outcome)
	} else {
		err = papers.Summary(p.Out, f, found)
		for i := range found {
			if err == nil && found[i].Tried != "" {
				_, err = fmt.Fprintf(p.Out, "%s %s\n", found[i].What, found[i].Tried)
			}
		}
		if err == nil && bands != nil {
			err = papers.BandSummary(p.Out, bands)
		}
	}
	if err != nil {
		return err
	}
	p.say("the report is %s (%.1f s)", filepath.Join(c.Out, "report.html"), took.Seconds())
	return nil
}

// verdict turns findings into the exit code that was asked for.
func (c *forecastCommand) verdict(found []findings.Finding) error {
	for _, x := range found {
		if c.FailOn != "" && findings.Worse(x.Severity, c.FailOn) {
			return failure{exitFindings}
		}
	}
	return nil
}

// progress is a bar with the time left, drawn only for a person at a terminal.
type progress struct {
	pool *mpb.Progress
	bar  *mpb.Bar
	last time.Time
}

// memory is over how many days the time left averages the pace, so that the set-up before the first day does not count.
const memory = 30

func (p Program) progress(name string, days int) *progress {
	if !p.ErrTerminal {
		return &progress{}
	}
	pool := mpb.New(mpb.WithOutput(p.Err), mpb.WithWidth(48))
	bar := pool.New(int64(days), mpb.BarStyle(), mpb.BarRemoveOnComplete(),
		mpb.PrependDecorators(decor.Name(name+" "), decor.CountersNoUnit("day %d of %d ")),
		mpb.AppendDecorators(decor.EwmaETA(decor.ET_STYLE_MMSS, memory), decor.Name(" left")))
	return &progress{pool: pool, bar: bar}
}

func (b *progress) at(done, total int) {
	if b.bar == nil {
		return
	}
	now := time.Now()
	if b.last.IsZero() {
		b.last = now
	}
	b.bar.SetTotal(int64(total), false)
	b.bar.EwmaSetCurrent(int64(done), now.Sub(b.last))
	b.last = now
}

func (b *progress) end() {
	if b.bar == nil {
		return
	}
	b.bar.Abort(true)
	b.pool.Wait()
}
