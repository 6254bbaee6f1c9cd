package papers

import (
	"errors"
	"fmt"
	"io"
	"littoral/internal/findings"
	"littoral/internal/forecast"
	"os"
	"path/filepath"
)

// Options says what the papers may leave to the caller.
type Options struct {
	Made     string          // what made the papers, printed at the foot of the report ("littoral 0.1"); may be empty
	Bands    *forecast.Bands // what many forecasts of the plan say together; nil when there was one only
	Pictures *Pictures       // from Draw; nil for a report with line drawings alone
}

// File is one finished paper.
type File struct {
	Name string
	Data []byte
}

// Build makes every file of the folder in memory, in the order in which they are written.
func Build(f *forecast.Forecast, found []findings.Finding, opts Options) ([]File, error) {
	if f == nil || f.Model == nil || f.Plan == nil || f.Columns == nil {
		return nil, errors.New("there is no forecast to write about; run it first")
	}
	t := newTeller(f, found)
	page, err := report(t, opts)
	if err != nil {
		return nil, fmt.Errorf("the report could not be laid out: %w", err)
	}
	data, err := fileJSON(f, found, opts.Bands)
	if err != nil {
		return nil, fmt.Errorf("forecast.json could not be written: %w", err)
	}
	return []File{
		{"series.csv", seriesCSV(f)},
		{"plants.csv", plantsCSV(t)},
		{"plantings.csv", plantingsCSV(f)},
		{"held.csv", heldCSV(f)},
		{"rootzone.csv", rootZoneCSV(f)},
		{"swings.csv", swingsCSV(f)},
		{"forecast.schema.json", Schema()},
		{"forecast.json", data},
		{"report.html", page},
	}, nil
}

// Write makes the papers of a forecast and puts them into dir, which is made when it is not there. All files are first written in
// full to a folder beside dir and then renamed one by one, so that no file in dir is ever half-written; other files in dir stay.
// The error names the place and says which files are already new.
func Write(dir string, f *forecast.Forecast, found []findings.Finding, opts Options) error {
	files, err := Build(f, found, opts)
	if err != nil {
		return err
	}
	return Save(dir, files)
}

// Save puts finished files into dir as Write does.
func Save(dir string, files []File) (err error) {
	dir = filepath.Clean(dir)
	if info, e := os.Stat(dir); e == nil && !info.IsDir() {
		return fmt.Errorf("%s is a file; name a folder for the papers", dir)
	}
	parent := filepath.Dir(dir)
	if err := os.MkdirAll(parent, 0o755); err != nil {
		return fmt.Errorf("the folder %s cannot be made: %w", parent, err)
	}
	if err := writable(dir); err != nil {
		return err
	}
	beside, err := os.MkdirTemp(parent, ".littoral-*")
	if err != nil { // the folder itself takes files, so they are gathered in it
		if beside, err = os.MkdirTemp(dir, ".littoral-*"); err != nil {
			return fmt.Errorf("nothing can be written in the folder %s: %w", parent, err)
		}
	}
	defer func() {
		if e := os.RemoveAll(beside); e != nil && err == nil {
			err = fmt.Errorf("the papers are in %s, but the folder %s could not be cleared away: %w", dir, beside, e)
		}
	}()
	for _, file := range files {
		if err := writeFile(filepath.Join(beside, file.Name), file.Data); err != nil {
			return fmt.Errorf("%s could not be written, and %s is as it was: %w", file.Name, dir, err)
		}
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("the folder %s cannot be made: %w", dir, err)
	}
	for i, file := range files {
		if err := os.Rename(filepath.Join(beside, file.Name), filepath.Join(dir, file.Name)); err != nil {
			return fmt.Errorf("%s could not be put into %s; %d of %d files there are new: %w", file.Name, dir, i, len(files), err)
		}
	}
	return nil
}

// writable tells whether a folder that is there takes files. One that is not there will be made.
func writable(dir string) error {
	if _, err := os.Stat(dir); err != nil {
		return nil //nolint:nilerr // no folder yet
	}
	probe, err := os.MkdirTemp(dir, ".littoral-*")
	if err != nil {
		return fmt.Errorf("nothing can be written in the folder %s; change its permissions or name another: %w", dir, err)
	}
	return os.Remove(probe)
}

// writeFile writes a file and makes sure it is on the disk before it gets its name.
func writeFile(path string, data []byte) error {
	w, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	if _, err := w.Write(data); err != nil {
		return errors.Join(err, w.Close())
	}
	if err := w.Sync(); err != nil {
		return errors.Join(err, w.Close())
	}
	return w.Close()
}

// Summary writes the ten lines that a practitioner would read aloud.
func Summary(w io.Writer, f *forecast.Forecast, found []findings.Finding) error {
	for _, s := range newTeller(f, found).sentences() {
		if _, err := fmt.Fprintln(w, s); err != nil {
			return err
		}
	}
	return nil
}
