package page

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"io"
	"io/fs"
	"net/http"
	"path"
	"strconv"
	"strings"
)

// site is every file that is served, in memory, by its path.
type site struct{ assets map[string]*asset }

// asset is one file. One of its two forms may be missing.
type asset struct {
	kind  string // MIME type
	tag   string // ETag
	plain []byte
	gz    []byte
}

// types are the MIME types of what there is. The system's own table is not asked:
// a browser refuses a module or WebAssembly of another type.
var types = map[string]string{
	".html":        "text/html; charset=utf-8",
	".css":         "text/css; charset=utf-8",
	".js":          "text/javascript; charset=utf-8",
	".svg":         "image/svg+xml",
	".wasm":        "application/wasm",
	".wav":         "audio/wav",
	".webmanifest": "application/manifest+json",
}

// add takes up the file at name, which may be gzip'd, to be served at path at.
func (s *site) add(files fs.FS, at, name string) {
	b, err := fs.ReadFile(files, name)
	if err != nil {
		return // half a build in built/: the page says that it cannot listen
	}
	s.assets[at] = newAsset(path.Ext(at), b, strings.HasSuffix(name, ".gz"))
}

// cues takes up the WAV files in the root of files.
func (s *site) cues(files fs.FS) {
	names, err := fs.Glob(files, "*.wav")
	if err != nil {
		return // only of a bad pattern
	}
	for _, name := range names {
		s.add(files, "/cues/"+name, name)
	}
}

func newAsset(ext string, b []byte, zipped bool) *asset {
	sum := sha256.Sum256(b)
	a := &asset{kind: types[ext], tag: `"` + hex.EncodeToString(sum[:12]) + `"`}
	if zipped {
		a.gz = b
		return a
	}
	a.plain = b
	if ext == ".wav" {
		return a // hardly shrinks
	}
	var z bytes.Buffer
	w, _ := gzip.NewWriterLevel(&z, gzip.BestCompression) // the level is right
	_, _ = w.Write(b)                                     // to memory
	_ = w.Close()
	a.gz = z.Bytes()
	return a
}

// ServeHTTP implements [http.Handler].
func (s *site) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	a := s.assets[r.URL.Path]
	h := w.Header()
	switch {
	case a == nil:
		http.Error(w, "There is no such page. The walker's page is at /, the board at /board.", http.StatusNotFound)
		return
	case r.Method != http.MethodGet && r.Method != http.MethodHead:
		h.Set("Allow", "GET, HEAD")
		http.Error(w, "These pages can only be read.", http.StatusMethodNotAllowed)
		return
	}
	h.Set("Content-Type", a.kind)
	h.Set("Vary", "Accept-Encoding")
	h.Set("Cache-Control", "no-cache") // keep it, but ask whether it is still the same
	h.Set("ETag", a.tag)
	if strings.Contains(r.Header.Get("If-None-Match"), a.tag) {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	a.write(w, r)
}

// write sends the file in the form that the browser takes.
func (a *asset) write(w http.ResponseWriter, r *http.Request) {
	body, head := a.plain, r.Method == http.MethodHead
	if a.gz != nil && strings.Contains(r.Header.Get("Accept-Encoding"), "gzip") {
		body = a.gz
		w.Header().Set("Content-Encoding", "gzip")
	}
	if body == nil { // stored zipped, wanted plain: by hand tools only
		if z, err := gzip.NewReader(bytes.NewReader(a.gz)); err == nil && !head {
			_, _ = io.Copy(w, z) // the client went away
		}
		return
	}
	w.Header().Set("Content-Length", strconv.Itoa(len(body)))
	if !head {
		_, _ = w.Write(body) // the client went away
	}
}
