package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"littoral/internal/forecast"
	"littoral/internal/jobs"
	"littoral/internal/shelf"
	"littoral/internal/store"
	"littoral/internal/store/sqlite"
	"littoral/internal/web"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"time"
)

// dataFlag says where tanks are kept.
type dataFlag struct {
	Data string `placeholder:"DIR" env:"LITTORAL_DATA" help:"Folder in which tanks are kept; without it, littoral in the user's own data folder."`
}

// folder returns the folder of tanks, made when it is not there.
func (d dataFlag) folder() (string, error) {
	dir := d.Data
	if dir == "" {
		base := os.Getenv("XDG_DATA_HOME")
		if base == "" || !filepath.IsAbs(base) {
			var err error
			if base, err = os.UserConfigDir(); err != nil {
				return "", fmt.Errorf("the user's data folder is not known (%w); name a folder with --data", err)
			}
		}
		dir = filepath.Join(base, "littoral")
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return "", fmt.Errorf("the folder of tanks cannot be made: %w; name another with --data", err)
	}
	return dir, nil
}

// opened is the store in the folder of tanks.
func (d dataFlag) opened(ctx context.Context) (*sqlite.DB, store.Album, error) {
	dir, err := d.folder()
	if err != nil {
		return nil, store.Album{}, err
	}
	db, err := sqlite.Open(ctx, filepath.Join(dir, store.DatabaseFile))
	return db, store.Album{Dir: filepath.Join(dir, store.PhotoDir)}, err
}

type serveCommand struct {
	dataFlag
	Bind   string   `default:"127.0.0.1" placeholder:"ADDRESS" help:"Address to listen on. Another one than this machine's own serves TLS and demands accounts (littoral add-owner)."`
	Port   int      `default:"7270" help:"Port to listen on; 0 takes a free one."`
	Cert   string   `type:"existingfile" placeholder:"FILE" help:"Certificate, PEM; without it one is made at the first start."`
	Key    string   `type:"existingfile" placeholder:"FILE" help:"Key of the certificate, PEM."`
	Host   []string `placeholder:"NAME" help:"Names by which other machines reach this one, for the certificate that is made."`
	Demo   string   `placeholder:"NAME" help:"Put a demo tank on the shelf and forecast it first, when that is not done yet."`
	Browse bool     `help:"Open the browser on it."`
}

func (serveCommand) Help() string {
	return `Serves the shelf of tanks to the browser. On this machine alone (the default) there is no sign-in. With --bind it serves other machines too: over
TLS, and to people with an account; make the first owner with "littoral add-owner NAME". Nothing is fetched from outside.

Examples:

  littoral serve
  littoral serve --demo quay-street-library --browse
  littoral serve --data tanks --port 8080
  littoral serve --bind 0.0.0.0 --host studio.local`
}

// Validate is called by kong after parsing.
func (c *serveCommand) Validate() error {
	if c.Port < 0 || c.Port > 65535 {
		return fmt.Errorf("--port %d is outside 0 to 65535", c.Port)
	}
	if (c.Cert == "") != (c.Key == "") {
		return errors.New("--cert and --key go together")
	}
	if c.Bind != "localhost" && net.ParseIP(c.Bind) == nil {
		return fmt.Errorf("--bind %q is no address; write 127.0.0.1, 0.0.0.0 or the address of a network card", c.Bind)
	}
	return nil
}

// closing bounds how long the end of the program waits for what is under way.
const closing = 5 * time.Second

func (c *serveCommand) Run(ctx context.Context, p Program) (err error) {
	dir, err := c.folder()
	if err != nil {
		return err
	}
	free, err := sqlite.Claim(ctx, filepath.Join(dir, "served.sqlite"))
	if err != nil {
		return fmt.Errorf("%s is served by another program already; use that one, or name another folder with --data", dir)
	}
	defer func() { err = errors.Join(err, free()) }()
	db, photos, err := c.opened(ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	open := c.Bind != "localhost" && !net.ParseIP(c.Bind).IsLoopback()
	if open {
		if err := hasOwner(ctx, db); err != nil {
			return err
		}
	}
	sh, err := shelf.New(db, photos)
	if err != nil {
		return err
	}
	queue, err := jobs.Open(ctx, sqlite.Address(filepath.Join(dir, "queue.sqlite"), "NORMAL"), web.Works(sh), max(1, runtime.NumCPU()/2))
	if err != nil {
		return err
	}
	defer func() {
		end, stop := context.WithTimeout(context.WithoutCancel(ctx), closing)
		defer stop()
		err = errors.Join(err, queue.Close(end))
	}()
	l, err := (&net.ListenConfig{}).Listen(ctx, "tcp", net.JoinHostPort(c.Bind, strconv.Itoa(c.Port)))
	if err != nil {
		return fmt.Errorf("the port cannot be listened on: %w; take another with --port", err)
	}
	site := web.New(sh, queue, web.Config{Version: version, Accounts: open, Log: p.say})
	server := &http.Server{Handler: site, ReadHeaderTimeout: 10 * time.Second, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 64 << 10}
	scheme := "http"
	if open {
		scheme = "https"
		cert, print, err := c.certificate(dir)
		if err != nil {
			return errors.Join(err, l.Close())
		}
		p.say("SHA-256 fingerprint of the certificate: %s", print)
		server.TLSConfig = &tls.Config{Certificates: []tls.Certificate{cert}, MinVersion: tls.VersionTLS12}
	}
	page := scheme + "://" + l.Addr().String()
	if c.Demo != "" {
		bar := p.progress("forecast", forecast.ThreeYears)
		at, err := site.PutDemo(ctx, c.Demo, bar.at)
		bar.end()
		if err != nil {
			return errors.Join(fmt.Errorf("the demo %q cannot be put on the shelf: %w", c.Demo, err), l.Close())
		}
		page += "/tanks/" + at
	}
	p.say("serving %s; Ctrl-C ends it", page)
	renewed := make(chan struct{})
	renew, rest := context.WithCancel(ctx)
	go func() {
		defer close(renewed)
		site.Renew(renew)
	}()
	defer func() {
		rest()
		<-renewed
	}()
	ended := make(chan error, 1)
	go func() {
		if open {
			ended <- server.ServeTLS(l, "", "")
		} else {
			ended <- server.Serve(l)
		}
	}()
	if c.Browse {
		if err := browse(ctx, page); err != nil {
			p.say("no browser could be opened; open the address above yourself")
		}
	}
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
	}
	end, stop := context.WithTimeout(context.WithoutCancel(ctx), time.Second)
	defer stop()
	if server.Shutdown(end) != nil {
		return server.Close() // pages that follow a job keep their connection; they come back by themselves
	}
	return nil
}

// hasOwner refuses to serve other machines while nobody could sign in.
func hasOwner(ctx context.Context, s store.Store) error {
	people, err := s.Users(ctx)
	if err != nil {
		return err
	}
	for _, u := range people {
		if u.Role == store.Owner && !u.Closed {
			return nil
		}
	}
	return errors.New("nobody could sign in yet; make the first owner with \"littoral add-owner NAME\" and the same --data, then serve again")
}

// browse opens the user's browser.
func browse(ctx context.Context, page string) error {
	name, args := "xdg-open", []string{page}
	switch runtime.GOOS {
	case "darwin":
		name = "open"
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", page}
	}
	cmd := exec.CommandContext(context.WithoutCancel(ctx), name, args...)
	if err := cmd.Start(); err != nil {
		return err
	}
	go func() { _ = cmd.Wait() }() // it is the browser's own business how it ends
	return nil
}

type openapiCommand struct{}

func (openapiCommand) Help() string {
	return `Prints what "littoral serve" answers to, as OpenAPI 3.1, without a server.

Example:

  littoral openapi`
}

func (openapiCommand) Run(p Program) error {
	doc, err := web.OpenAPI(version)
	if err != nil {
		return err
	}
	_, err = p.Out.Write(doc)
	return err
}
