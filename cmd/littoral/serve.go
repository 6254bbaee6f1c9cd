package main

import (
	"context"
	"errors"
	"fmt"
	"littoral/internal/jobs"
	"littoral/internal/shelf"
	"littoral/internal/store/sqlite"
	"littoral/internal/web"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"time"
)

// dataFlag says where tanks are kept.
type dataFlag struct {
	Data string `placeholder:"DIR" env:"LITTORAL_DATA" help:"Folder in which tanks are kept (default: littoral in the user's own data folder)."`
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
		return "", fmt.Errorf("the folder of tanks cannot be made: %w", err)
	}
	return dir, nil
}

type serveCommand struct {
	dataFlag
	Port int `default:"7270" help:"Port to listen on; 0 takes a free one."`
}

func (serveCommand) Help() string {
	return `Serves the shelf of tanks to the browser on this machine alone.

Examples:

  littoral serve
  littoral serve --data tanks --port 8080`
}

// Validate is called by kong after parsing.
func (c *serveCommand) Validate() error {
	if c.Port < 0 || c.Port > 65535 {
		return fmt.Errorf("--port %d is outside 0 to 65535", c.Port)
	}
	return nil
}

func (c *serveCommand) Run(ctx context.Context, p Program) (err error) {
	dir, err := c.folder()
	if err != nil {
		return err
	}
	db, err := sqlite.Open(ctx, filepath.Join(dir, "tanks.sqlite"))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	sh, err := shelf.New(db)
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
	l, err := (&net.ListenConfig{}).Listen(ctx, "tcp", net.JoinHostPort("127.0.0.1", strconv.Itoa(c.Port)))
	if err != nil {
		return fmt.Errorf("the port cannot be listened on: %w; take another with --port", err)
	}
	server := &http.Server{Handler: web.New(sh, queue, web.Config{Version: version, Log: p.say}), ReadHeaderTimeout: 10 * time.Second}
	p.say("serving http://%s; Ctrl-C ends it", l.Addr())
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(l) }()
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
	}
	end, stop := context.WithTimeout(context.WithoutCancel(ctx), closing)
	defer stop()
	if err := server.Shutdown(end); err != nil {
		return server.Close()
	}
	return nil
}

// closing bounds how long the end of the program waits for what is under way.
const closing = 5 * time.Second

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
