package web

import (
	"embed"
	"io/fs"
	"net/http"
	"path"
	"strings"
)

//go:embed all:dist
var dist embed.FS

// pages serves the front end: a known file as it is, a missing one with an ending as not found, and every other address as the one page
// that shows it.
func (s *Server) pages(w http.ResponseWriter, r *http.Request) {
	if strings.HasPrefix(r.URL.Path, "/api/") || r.URL.Path == "/api" {
		s.refuse(w, r, problem(http.StatusNotFound, "GET /api/openapi.json lists what there is", "the API has no such address"))
		return
	}
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		s.refuse(w, r, problem(http.StatusMethodNotAllowed, "ask with GET", "pages are only read"))
		return
	}
	sub, err := fs.Sub(dist, "dist")
	if err == nil {
		_, err = fs.Stat(sub, "index.html")
	}
	if err != nil {
		w.Header().Set("Content-Type", "text/plain; charset=utf-8")
		w.WriteHeader(http.StatusNotImplemented)
		_, _ = w.Write([]byte("This program was built without its pages. Run \"make pages\" (it needs Node) and build it again; the API under /api works.\n"))
		return
	}
	name := strings.TrimPrefix(path.Clean("/"+r.URL.Path), "/")
	if info, err := fs.Stat(sub, name); name != "" && err == nil && !info.IsDir() {
		w.Header().Set("Cache-Control", "no-cache")
		if strings.HasPrefix(name, "assets/") {
			w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
		}
		http.ServeFileFS(w, r, sub, name)
		return
	}
	if path.Ext(name) != "" {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Cache-Control", "no-cache")
	page, err := fs.ReadFile(sub, "index.html")
	if err != nil {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, _ = w.Write(page)
}
