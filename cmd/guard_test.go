// Package cmd_test holds the guards of the house: who may import whom, where cgo
// and the wall clock are allowed, and what must build without an operating
// system.
package cmd_test

import (
	"encoding/json"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

const module = "steadfoot"

// arrows says what the packages of a room may import of this module, and which
// other modules. A room is a folder with all below it; the longest name wins.
var arrows = map[string]struct{ own, foreign []string }{
	"detect":              {nil, []string{"gonum.org/v1/gonum/..."}},
	"detect/made":         {nil, []string{"gonum.org/v1/gonum/..."}},
	"detect/score":        {nil, []string{"gonum.org/v1/gonum/..."}},
	"detect/score/trial":  {[]string{"detect", "detect/claps", "detect/made", "detect/score", "testdata/footsteps"}, nil},
	"detect/claps":        {nil, nil},
	"profiles":            {nil, []string{"github.com/pelletier/go-toml/..."}},
	"profiles/examples":   {nil, nil},
	"coach":               {[]string{"detect", "profiles", "coach/event"}, nil},
	"coach/event":         {[]string{"detect"}, nil},
	"coach/sim":           {[]string{"detect", "profiles", "coach", "coach/event"}, []string{"gonum.org/v1/gonum/..."}},
	"coach/logbook":       {[]string{"detect", "coach/event"}, []string{"modernc.org/sqlite/..."}},
	"coach/review":        {[]string{"detect", "profiles", "coach", "coach/event", "coach/logbook", "coach/units", "coach/race", "coach/measure", "coach/compare", "coach/fade", "coach/review/figure", "coach/review/figure/sheet", "coach/review/circular"}, []string{"gonum.org/v1/..."}},
	"coach/review/midi":   {[]string{"detect", "coach"}, []string{"gitlab.com/gomidi/midi/..."}},
	"coach/race":          {[]string{"coach", "coach/units", "profiles"}, nil},
	"coach/measure":       {[]string{"detect", "profiles"}, []string{"gonum.org/v1/gonum/..."}},
	"coach/compare":       {[]string{"coach/units"}, []string{"gonum.org/v1/gonum/..."}},
	"coach/fade":          {[]string{"coach/units"}, nil},
	"coach/follow":        {[]string{"detect", "coach", "coach/review/circular"}, nil},
	"coach/group":         {[]string{"detect", "profiles", "coach", "coach/event"}, nil},
	"coach/group/bus":     {[]string{"coach/group", "coach/group/clock", "coach/group/local"}, []string{"github.com/nats-io/nats.go/..."}},
	"coach/group/local":   {[]string{"coach/group"}, []string{"golang.org/x/sys/unix"}},
	"coach/group/clock":   {nil, nil},
	"coach/group/hub":     {[]string{"detect", "coach/event", "coach/group"}, []string{"github.com/coder/websocket", "golang.org/x/time/rate"}},
	"coach/group/member":  {[]string{"coach/event", "coach/group", "coach/group/clock"}, []string{"github.com/coder/websocket"}},
	"coach/group/page":    {nil, nil},
	"coach/group/relay":   {nil, []string{"github.com/coder/websocket"}},
	"coach/group/spare":   {[]string{"coach/group", "coach/group/local", "coach/group/member"}, nil},
	"coach/units":         {nil, nil},
	"audio":               {nil, []string{"github.com/faiface/beep/...", "github.com/mewkiz/flac/...", "github.com/jfreymuth/oggvorbis"}},
	"audio/sensor":        {[]string{"audio/sensor/textline"}, nil},
	"audio/sensor/intake": {[]string{"audio/sensor"}, []string{"go.bug.st/serial"}},
	"audio/sensor/pod":    {[]string{"audio/sensor/rsc"}, []string{"tinygo.org/x/bluetooth", "github.com/godbus/dbus/..."}},
	"audio/cue":           {[]string{"audio", "audio/cue/formant"}, []string{"github.com/faiface/beep/...", "gonum.org/v1/gonum/..."}},
	"audio/chirp":         {nil, []string{"gonum.org/v1/gonum/..."}},
	"audio/device":        {[]string{"audio", "audio/device/..."}, []string{"github.com/gordonklaus/portaudio", "golang.org/x/sys/..."}},
	"testdata/footsteps":  {[]string{"detect/made", "audio"}, []string{"github.com/faiface/beep/..."}},
	"cmd":                 {[]string{"detect/...", "coach/...", "audio/...", "profiles/...", "testdata/...", "cmd/..."}, []string{"github.com/spf13/pflag", "golang.org/x/term", "rsc.io/qr", "gonum.org/v1/plot/...", "charm.land/...", "github.com/pelletier/go-toml/...", "golang.org/x/sys/unix"}},
}

// pkg is what the guards ask 'go list' for.
type pkg struct {
	ImportPath, Doc, Dir string
	Imports, GoFiles     []string
	CgoFiles             []string
	Standard             bool
}

func list(t *testing.T, args ...string) []pkg {
	t.Helper()
	c := exec.Command("go", append([]string{"list", "-json"}, args...)...)
	c.Dir = ".."
	c.Stderr = os.Stderr
	out, err := c.Output()
	if err != nil {
		t.Fatalf("go list %v: %v", args, err)
	}
	var all []pkg
	for d := json.NewDecoder(strings.NewReader(string(out))); d.More(); {
		var p pkg
		if err := d.Decode(&p); err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
	return all
}

func ours(t *testing.T) []pkg { return list(t, "./...", "./testdata/footsteps") }

func TestArrows(t *testing.T) {
	for _, p := range ours(t) {
		room := strings.TrimPrefix(p.ImportPath, module+"/")
		rule, ok := arrows[room]
		for at := room; !ok; {
			at = filepath.Dir(at)
			if at == "." {
				t.Fatalf("%s is in no room; give it one in arrows", p.ImportPath)
			}
			rule, ok = arrows[at]
		}
		for _, imp := range p.Imports {
			rest, own := strings.CutPrefix(imp, module+"/")
			switch {
			case own && !inside(rest, rule.own):
				t.Errorf("%s must not import %s", p.ImportPath, imp)
			case !own && strings.Contains(strings.Split(imp, "/")[0], ".") && !inside(imp, rule.foreign):
				t.Errorf("%s must not import %s", p.ImportPath, imp)
			}
		}
	}
}

// inside tells whether path is one of rooms, or below one that ends in "/...".
func inside(path string, rooms []string) bool {
	for _, r := range rooms {
		tree, ok := strings.CutSuffix(r, "/...")
		if path == r || ok && (path == tree || strings.HasPrefix(path, tree+"/")) {
			return true
		}
	}
	return false
}

// TestNothingImportsCmd: the verbs are the top of the house.
func TestNothingImportsCmd(t *testing.T) {
	for _, p := range ours(t) {
		for _, imp := range p.Imports {
			if strings.HasPrefix(imp, module+"/cmd") && !strings.HasPrefix(p.ImportPath, module+"/cmd") {
				t.Errorf("%s imports %s", p.ImportPath, imp)
			}
		}
	}
}

// TestCgo: only audio/device may need a C compiler, through portaudio; and
// beep's speaker, a second way to the sound card, is never linked.
func TestCgo(t *testing.T) {
	for _, p := range ours(t) {
		if len(p.CgoFiles) > 0 && !strings.HasPrefix(p.ImportPath, module+"/audio/device") {
			t.Errorf("%s uses cgo", p.ImportPath)
		}
		for _, imp := range p.Imports {
			if strings.Contains(imp, "portaudio") && !strings.HasPrefix(p.ImportPath, module+"/audio/device") {
				t.Errorf("%s imports %s", p.ImportPath, imp)
			}
		}
	}
	for _, p := range list(t, "-deps", "./cmd/steadfoot") {
		if strings.HasSuffix(p.ImportPath, "beep/speaker") {
			t.Error("beep/speaker is linked")
		}
		if len(p.CgoFiles) > 0 && !p.Standard && !strings.Contains(p.ImportPath, "portaudio") && !strings.HasPrefix(p.ImportPath, module+"/audio/device") {
			t.Errorf("%s is linked and uses cgo", p.ImportPath)
		}
	}
}

// TestPureCore: the core builds where there is neither a system nor a C compiler.
func TestPureCore(t *testing.T) {
	c := exec.Command("go", "build", "./detect", "./detect/claps", "./coach", "./coach/event", "./profiles", "./cmd/phone")
	c.Dir = ".."
	c.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	if out, err := c.CombinedOutput(); err != nil {
		t.Errorf("js/wasm: %v\n%s", err, out)
	}
}

// TestPackageDocs: every package says what it is for.
func TestPackageDocs(t *testing.T) {
	for _, p := range ours(t) {
		if p.Doc == "" && len(p.GoFiles)+len(p.CgoFiles) > 0 {
			t.Errorf("%s has no package comment", p.ImportPath)
		}
	}
}

// TestWallClock: time.Now is called in cmd only (and one day in coach/group);
// the core starts no goroutine and draws no unseeded random number.
func TestWallClock(t *testing.T) {
	err := filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		room := filepath.ToSlash(strings.TrimPrefix(path, ".."+string(filepath.Separator)))
		if strings.HasPrefix(room, "cmd/") || strings.HasPrefix(room, "coach/group/") || strings.HasPrefix(room, "audio/device/virtual/") {
			return nil
		}
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			return err
		}
		dir := filepath.ToSlash(filepath.Dir(room))
		core := dir == "detect" || dir == "detect/claps" || dir == "coach" || dir == "profiles" || dir == "coach/event"
		ast.Inspect(f, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.GoStmt:
				if core {
					t.Errorf("%s starts a goroutine", room)
				}
			case *ast.SelectorExpr:
				if x, ok := n.X.(*ast.Ident); ok && x.Name == "time" && n.Sel.Name == "Now" {
					t.Errorf("%s calls time.Now", room)
				}
			}
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}
