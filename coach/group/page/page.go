// Package page has the pages of a group: the walker's, for a phone's browser, and
// the coach's board. They are plain files in this package, need no build step and
// take nothing from elsewhere.
//
// [Handler] serves them; the hub beside it answers at /member and /board as
// package group says. The walker's page plays the group's beat by itself, on the
// audio clock, and goes on without the hub. With consent it listens as well: the
// detector and the coach of this module run in the page as WebAssembly (cmd/phone,
// put into built/ by 'make phone'), and only steps and rhythm leave it.
//
// The modules under assets follow the sound:
//
//	link ──map──▶ beats ──beat──▶ sound ──▶ output      clock: group time here
//	  ▲                                                 output: when sound is heard
//	  └─ status, steps ◀─ listen ◀─ detector ◀─ ear     (worker, worklet)
//
// walker, view and adjust are what the walker sees, at the pulse of a worker that no
// browser slows down; board, groups and rows what the coach does. On the wire are only the messages of package group, among which
// there is none for sound.
package page

import (
	"embed"
	"io/fs"
	"net/http"
	"path"
)

//go:embed assets built
var embedded embed.FS

// Options says what is served beside the pages.
type Options struct {
	// Cues has the sounds of cues as WAV files in its root, named by cue
	// ("rep start.wav") and by digit ("0.wav"), and is served below /cues/. Nil:
	// the page makes plain tones of its own.
	Cues fs.FS
}

// Handler serves the walker's page at / and the board at /board, with what they
// need. A browser keeps nothing without asking, and is told in a few bytes when
// nothing has changed. The headers that keep other sites out are the hub's, which
// also has the sockets.
func Handler(o Options) http.Handler { return handler(embedded, o) }

// CanListen tells whether the detector for phones is in this program.
func CanListen() bool { return canListen(embedded) }

func canListen(files fs.FS) bool {
	_, err := fs.Stat(files, "built/phone.wasm.gz")
	return err == nil
}

func handler(files fs.FS, o Options) http.Handler {
	s := &site{assets: map[string]*asset{}}
	pages := map[string]string{"/": "index.html", "/board": "board.html"}
	list, err := fs.ReadDir(files, "assets")
	if err != nil {
		panic("page: " + err.Error()) // they are embedded
	}
	for _, f := range list {
		s.add(files, "/"+f.Name(), path.Join("assets", f.Name()))
	}
	for at, name := range pages {
		s.assets[at] = s.assets["/"+name]
		delete(s.assets, "/"+name)
	}
	if canListen(files) {
		s.add(files, "/wasm_exec.js", "built/wasm_exec.js")
		s.add(files, "/phone.wasm", "built/phone.wasm.gz")
	}
	if o.Cues != nil {
		s.cues(o.Cues)
	}
	return s
}
