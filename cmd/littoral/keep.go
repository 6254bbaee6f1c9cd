package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"littoral/internal/shelf"
	"littoral/internal/store"
	"littoral/internal/web"
	"os"
	"path/filepath"
	"strings"
	"time"

	"golang.org/x/term"
)

type backupCommand struct {
	File string `arg:"" help:"The archive to write. A file that exists is never overwritten."`
	dataFlag
}

func (backupCommand) Help() string {
	return `Writes all tanks, their history, the journal and the photos into one archive, while "littoral serve" may go on writing. What was acknowledged
before the backup began is in it.

Example:

  littoral backup tanks-2027-03-01.zip`
}

func (c *backupCommand) Run(ctx context.Context, p Program) (err error) {
	if err := vacant(c.File); err != nil {
		return err
	}
	db, photos, err := c.opened(ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	f, err := os.CreateTemp(filepath.Dir(c.File), ".backup-*")
	if err != nil {
		return fmt.Errorf("the backup cannot be written: %w", err)
	}
	defer os.Remove(f.Name()) // after the rename there is nothing to remove
	err = store.Backup(ctx, db, photos, f)
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		return fmt.Errorf("the backup could not be written: %w; nothing is left of it", err)
	}
	if err := os.Rename(f.Name(), c.File); err != nil {
		return err
	}
	p.say("the backup is %s", c.File)
	return nil
}

type restoreCommand struct {
	File string `arg:"" type:"existingfile" help:"A backup."`
	dataFlag
}

func (restoreCommand) Help() string {
	return `Puts a backup into a folder that holds no tanks yet.

Example:

  littoral restore tanks-2027-03-01.zip --data restored`
}

func (c *restoreCommand) Run(ctx context.Context, p Program) (err error) {
	dir, err := c.folder()
	if err != nil {
		return err
	}
	f, err := os.Open(c.File)
	if err != nil {
		return err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return err
	}
	if err := store.Restore(f, info.Size(), dir); err != nil {
		return err
	}
	db, _, err := c.opened(ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	if err := db.Sound(ctx); err != nil {
		return err
	}
	tanks, err := db.Tanks(ctx)
	if err != nil {
		return err
	}
	p.say("%s restored into %s", count(len(tanks), "tank is", "tanks are"), dir)
	return nil
}

type exportCommand struct {
	File string `arg:"" help:"The zip archive to write. A file that exists is never overwritten."`
	Tank string `placeholder:"NAME" help:"Only the tank of this name or id; without it all."`
	dataFlag
}

func (exportCommand) Help() string {
	return `Writes the plans in force, each with every file beside it, into one zip archive: a folder for each tank, as "littoral forecast" reads it.

Examples:

  littoral export plans.zip
  littoral export lobby.zip --tank "Lobby"`
}

func (c *exportCommand) Run(ctx context.Context, p Program) (err error) {
	if err := vacant(c.File); err != nil {
		return err
	}
	db, photos, err := c.opened(ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	sh, err := shelf.New(db, photos)
	if err != nil {
		return err
	}
	id := ""
	if c.Tank != "" {
		tanks, err := db.Tanks(ctx)
		if err != nil {
			return err
		}
		for _, t := range tanks {
			if t.ID == c.Tank || strings.EqualFold(t.Name, c.Tank) {
				id = t.ID
			}
		}
		if id == "" {
			return fmt.Errorf("no tank is called %q; \"littoral serve\" shows the shelf", c.Tank)
		}
	}
	b, err := sh.Export(ctx, id)
	if err != nil {
		return err
	}
	return writeNew(c.File, b)
}

type importCommand struct {
	Files []string `arg:"" type:"existingfile" help:"Plans (YAML, with the files they name beside them) and archives (zip)."`
	dataFlag
}

func (importCommand) Help() string {
	return `Puts plans on the shelf. Every plan becomes a tank of its own.

Examples:

  littoral import plan.yaml
  littoral import plans.zip`
}

func (c *importCommand) Run(ctx context.Context, p Program) (err error) {
	db, photos, err := c.opened(ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	sh, err := shelf.New(db, photos)
	if err != nil {
		return err
	}
	for _, file := range c.Files {
		raw, err := os.ReadFile(file)
		if err != nil {
			return err
		}
		if strings.EqualFold(filepath.Ext(file), ".zip") {
			list, err := sh.Import(ctx, raw, "")
			if err != nil {
				return fmt.Errorf("%s: %w", file, err)
			}
			for _, t := range list {
				p.say("%s is on the shelf", t.Name)
			}
			continue
		}
		files, err := beside(file)
		if err != nil {
			return err
		}
		read, err := shelf.Parse(string(raw), files, shelf.Ways{})
		if err != nil {
			return err
		}
		t, err := sh.Add(ctx, read, string(raw), files, "")
		if err != nil {
			return err
		}
		p.say("%s is on the shelf", t.Name)
	}
	return nil
}

// Bounds of what is taken along from a plan's folder.
const (
	mostBeside      = 64
	mostBesideBytes = 64 << 20
)

// besideKinds are the endings of files that a plan may name.
var besideKinds = map[string]bool{".csv": true, ".obj": true, ".stl": true, ".ply": true, ".glb": true, ".ies": true, ".yaml": true, ".yml": true}

// beside reads the files in a plan's folder, and in the folders of it, that a plan may name.
func beside(file string) ([]store.File, error) {
	var out []store.File
	root := filepath.Dir(file)
	total := 0
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !besideKinds[strings.ToLower(filepath.Ext(path))] || !d.Type().IsRegular() {
			return err
		}
		rel, err := filepath.Rel(root, path)
		name := filepath.ToSlash(rel)
		if good := shelf.GoodName(name) == nil; err != nil || path == file || !good {
			return err
		}
		b, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		if total += len(b); len(out) >= mostBeside || total > mostBesideBytes {
			return fmt.Errorf("%s holds more files than a plan takes along; put the plan and what it names into a folder of its own", root)
		}
		out = append(out, store.File{Name: name, Data: b})
		return nil
	})
	return out, err
}

type addOwnerCommand struct {
	Name string `arg:"" help:"Name to sign in with."`
	dataFlag
}

func (addOwnerCommand) Help() string {
	return `Makes an account of an owner, for "littoral serve --bind". The password is asked for on the terminal, or read as one line from standard input.
Everyone else gets an account from an owner in the browser.

Example:

  littoral add-owner Ada`
}

func (c *addOwnerCommand) Run(ctx context.Context, p Program) (err error) {
	password, err := p.password()
	if err != nil {
		return err
	}
	u, err := web.NewUser(c.Name, store.Owner, password, time.Now())
	if err != nil {
		return err
	}
	db, _, err := c.opened(ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	if err := db.AddUser(ctx, u); err != nil {
		if errors.Is(err, store.ErrTaken) {
			return fmt.Errorf("%s has an account already; take another name", u.Name)
		}
		return err
	}
	p.say("%s is an owner", u.Name)
	return nil
}

// password asks twice without showing it on a terminal, and reads one line elsewhere.
func (p Program) password() (string, error) {
	if !p.InTerminal {
		line, err := bufio.NewReader(p.In).ReadString('\n')
		if err != nil && line == "" {
			return "", errors.New("no password came on standard input; write it as one line")
		}
		return strings.TrimRight(line, "\r\n"), nil
	}
	in := int(os.Stdin.Fd())
	fmt.Fprint(p.Err, "Password, 12 characters at least: ")
	first, err := term.ReadPassword(in)
	fmt.Fprintln(p.Err)
	if err != nil {
		return "", err
	}
	fmt.Fprint(p.Err, "Once more: ")
	second, err := term.ReadPassword(in)
	fmt.Fprintln(p.Err)
	if err != nil {
		return "", err
	}
	if string(first) != string(second) {
		return "", errors.New("the two are not the same; try again")
	}
	return string(first), nil
}
