package page

import (
	"bytes"
	"net/http"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"
)

func get(h http.Handler, method, path string, header ...string) *http.Response {
	r := httptest.NewRequest(method, path, nil)
	for i := 0; i < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w.Result()
}

// TestSite: types, validators, compression, cues, and what is not there.
func TestSite(t *testing.T) {
	h := handler(embedded, Options{Cues: fstest.MapFS{"rep start.wav": {Data: []byte("RIFF")}}})
	for path, kind := range map[string]string{
		"/": "text/html; charset=utf-8", "/board": "text/html; charset=utf-8", "/walker.js": "text/javascript; charset=utf-8",
		"/page.css": "text/css; charset=utf-8", "/cues/rep%20start.wav": "audio/wav",
	} {
		r := get(h, "GET", path)
		if r.StatusCode != 200 || r.Header.Get("Content-Type") != kind || r.Header.Get("ETag") == "" {
			t.Errorf("%s: %d %v", path, r.StatusCode, r.Header)
		}
		if again := get(h, "GET", path, "If-None-Match", r.Header.Get("ETag")); again.StatusCode != http.StatusNotModified {
			t.Errorf("%s: %d for what the browser has", path, again.StatusCode)
		}
	}
	if r := get(h, "GET", "/walker.js", "Accept-Encoding", "gzip"); r.Header.Get("Content-Encoding") != "gzip" {
		t.Error("a script is not compressed")
	}
	for path, want := range map[string]int{"/none": 404, "/cues/../page.go": 404, "/index.html": 404} {
		if r := get(h, "GET", path); r.StatusCode != want {
			t.Errorf("%s: %d, want %d", path, r.StatusCode, want)
		}
	}
	if r := get(h, "POST", "/"); r.StatusCode != http.StatusMethodNotAllowed {
		t.Errorf("POST: %d", r.StatusCode)
	}
}

// TestNoDetector: a program built without it says so, and the pages are there.
func TestNoDetector(t *testing.T) {
	files := fstest.MapFS{"assets/index.html": {Data: []byte("<p>")}, "assets/board.html": {Data: []byte("<p>")}}
	if canListen(files) || get(handler(files, Options{}), "HEAD", "/phone.wasm").StatusCode != 404 {
		t.Error("a detector is promised that is not there")
	}
	files["built/phone.wasm.gz"] = &fstest.MapFile{Data: []byte{31, 139}}
	if r := get(handler(files, Options{}), "HEAD", "/phone.wasm", "Accept-Encoding", "gzip"); r.StatusCode != 200 || r.Header.Get("Content-Type") != "application/wasm" {
		t.Errorf("%d %v", r.StatusCode, r.Header)
	}
}

// TestOnlyOurs: no page loads anything from elsewhere or writes HTML from text, and
// the copies for a reload without the network name files that exist.
func TestOnlyOurs(t *testing.T) {
	list, err := embedded.ReadDir("assets")
	if err != nil {
		t.Fatal(err)
	}
	bad := regexp.MustCompile(`innerHTML|outerHTML|insertAdjacentHTML|document\.write|eval\(|(src|href)="(https?:)?//|import\('?https?:`)
	have := map[string]bool{"/": true}
	for _, f := range list {
		b, err := embedded.ReadFile("assets/" + f.Name())
		if err != nil {
			t.Fatal(err)
		}
		if m := bad.Find(b); m != nil {
			t.Errorf("%s has %q", f.Name(), m)
		}
		have["/"+f.Name()] = true
	}
	worker, err := embedded.ReadFile("assets/worker.js")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := bytes.Cut(worker, []byte("const pages = ["))
	rest, _, _ = bytes.Cut(rest, []byte("];"))
	named := strings.Fields(strings.NewReplacer("'", "", ",", " ").Replace(string(rest)))
	for _, name := range named {
		if !have[name] {
			t.Errorf("the copies have %s, which is no file", name)
		}
	}
	if len(named) < len(have)-6 { // all but the board's and the worker itself
		t.Errorf("only %d of %d files are kept for a reload", len(named), len(have))
	}
}
