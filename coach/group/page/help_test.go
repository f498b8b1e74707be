package page

import (
	"bytes"
	"context"
	"crypto/tls"
	"encoding/json"
	"fmt"
	"io/fs"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"steadfoot/coach/group"
	"steadfoot/coach/group/hub"
	"steadfoot/coach/group/local"
)

// leader is a hub with one group, on the loopback.
type leader struct {
	t       *testing.T
	src     *local.Source
	hub     *hub.Hub
	pages   http.Handler
	word    string
	origins []string // hosts whose pages may come, beside its own
	tls     *tls.Config
	addr    string
	stop    context.CancelFunc
	begun   time.Time
	stopped chan struct{}
}

func (l *leader) now() float64 { return 100 + time.Since(l.begun).Seconds() }

func lead(t *testing.T) *leader {
	t.Helper()
	l := newLeader(t)
	l.conductNew()
	l.start()
	return l
}

func (l *leader) conductNew() {
	l.t.Helper()
	l.conduct(local.Options{Now: l.now, Term: 1, Groups: []string{"Harrow Vale"}})
}

// newLeader is one that neither conducts nor serves yet.
func newLeader(t *testing.T) *leader {
	t.Helper()
	return &leader{t: t, begun: time.Now(), addr: "127.0.0.1:0", word: "heel", pages: withTape(handler(withDetector(t), Options{}))}
}

// conduct gives it a source of groups.
func (l *leader) conduct(o local.Options) {
	l.t.Helper()
	var err error
	if l.src, err = local.New(o); err != nil {
		l.t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	l.t.Cleanup(cancel)
	go l.src.Run(ctx)
}

// tape is a worklet that hands on what comes in, and where it begins.
const tape = `registerProcessor('tape', class extends AudioWorkletProcessor {
  process([x]) {
    if (x[0]) this.port.postMessage([currentFrame, x[0].map((v, k) => Math.max(Math.abs(v), Math.abs((x[1] ?? x[0])[k])))]);
    return true;
  }
});`

// withTape serves the tape beside the pages, whose policy allows no other way.
func withTape(pages http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path != "/tape.js" {
			pages.ServeHTTP(w, r)
			return
		}
		w.Header().Set("Content-Type", "text/javascript")
		_, _ = w.Write([]byte(tape))
	})
}

// start opens a hub at the address, end closes it: the network is gone.
func (l *leader) start() {
	l.t.Helper()
	h, err := hub.New(hub.Options{Source: l.src, Word: l.word, Key: "a-long-key", Pages: l.pages, Origins: l.origins})
	if err != nil {
		l.t.Fatal(err)
	}
	on, err := net.Listen("tcp", l.addr)
	if err != nil {
		l.t.Fatal(err)
	}
	l.addr, l.hub = on.Addr().String(), h
	ctx, cancel := context.WithCancel(context.Background())
	stopped := make(chan struct{})
	l.stop, l.stopped = cancel, stopped
	go func() { _ = h.Serve(ctx, on, l.tls); close(stopped) }()
	l.t.Cleanup(func() { cancel(); <-stopped })
}

func (l *leader) end() { l.stop(); <-l.stopped }

func (l *leader) command(c group.Command) {
	l.t.Helper()
	if err := l.src.Command(context.Background(), c); err != nil {
		l.t.Fatal(err)
	}
}

// twoRooms is the embedded pages with a detector built for the test.
type twoRooms struct{ pages, built fs.FS }

func (r twoRooms) Open(name string) (fs.File, error) {
	if f, err := r.built.Open(name); err == nil && filepath.Dir(name) == "built" {
		return f, nil
	}
	return r.pages.Open(name)
}

var buildDetector = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "steadfoot-page")
	if err != nil {
		return "", err
	}
	built := filepath.Join(dir, "built")
	c := exec.Command("make", "-C", "../../..", "phone", "PHONE="+built)
	if err := os.MkdirAll(built, 0o755); err != nil {
		return "", err
	}
	if out, err := c.CombinedOutput(); err != nil {
		return "", &exec.Error{Name: string(bytes.TrimSpace(out)), Err: err}
	}
	return dir, nil
})

func withDetector(t *testing.T) fs.FS {
	t.Helper()
	dir, err := buildDetector()
	if err != nil {
		t.Fatal(err)
	}
	return twoRooms{embedded, os.DirFS(dir)}
}

func TestMain(m *testing.M) {
	code := m.Run()
	if dir, err := buildDetector(); err == nil {
		_ = os.RemoveAll(dir)
	}
	os.Exit(code)
}

// browse starts Chromium and returns a tab, with the microphone playing a file when
// there is one.
func browse(t *testing.T, microphone string) context.Context { return browseWith(t, microphone, nil) }

func browseWith(t *testing.T, microphone string, flags map[string]any) context.Context {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		if os.Getenv("CI") != "" || os.Getenv("STEADFOOT_SOUND_TESTS") != "" {
			t.Fatal("chromium is missing; .ci/setup installs it")
		}
		t.Skip("chromium is missing")
	}
	o := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(path), chromedp.UserDataDir(t.TempDir()), chromedp.NoSandbox,
		chromedp.Flag("use-fake-ui-for-media-stream", true), chromedp.Flag("use-fake-device-for-media-stream", true),
		chromedp.Flag("autoplay-policy", "no-user-gesture-required"), chromedp.Flag("mute-audio", false),
		chromedp.WSURLReadTimeout(60*time.Second),
	)
	if microphone != "" {
		o = append(o, chromedp.Flag("use-file-for-fake-audio-capture", microphone))
	}
	for name, value := range flags {
		o = append(o, chromedp.Flag(name, value))
	}
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), o...)
	t.Cleanup(cancel)
	ctx, end := chromedp.NewContext(ctx)
	t.Cleanup(end)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal(err)
	}
	return ctx
}

// act is something to be done in a tab.
type act = chromedp.Action[chromedp.Void]

func do(t *testing.T, tab context.Context, acts ...act) {
	t.Helper()
	ctx, cancel := context.WithTimeout(tab, patience)
	defer cancel()
	if err := chromedp.Do(ctx, acts...); err != nil {
		ctx, cancel := context.WithTimeout(tab, 5*time.Second)
		defer cancel()
		state, _ := chromedp.Run(ctx, chromedp.Evaluate[string](`document.body?.innerText ?? ''`))
		t.Fatalf("%v\nthe page shows:\n%s", err, state)
	}
}

const patience = 150 * time.Second

// tapped lets a script wait for a promise, and count as what a person did.
func tapped(p *runtime.EvaluateParams) {
	yes := true
	p.AwaitPromise, p.UserGesture = &yes, &yes
}

// ask evaluates JavaScript, which may give a promise.
func ask[T any](t *testing.T, tab context.Context, js string) T {
	t.Helper()
	ctx, cancel := context.WithTimeout(tab, patience)
	defer cancel()
	answer, err := chromedp.Run(ctx, chromedp.Evaluate[T](js, tapped))
	if err != nil {
		t.Fatalf("%s: %v", js, err)
	}
	return answer
}

// script runs JavaScript.
func script(js string) act { return chromedp.Evaluate[chromedp.Void](js, tapped) }

// until waits until JavaScript is true; a page that is being loaded anew has time.
func until(js string) act {
	return func(ctx context.Context, target *chromedp.Target) (v chromedp.Void, err error) {
		for {
			yes, _ := chromedp.Evaluate[bool]("Boolean("+js+")")(ctx, target)
			if yes {
				return v, nil
			}
			select {
			case <-ctx.Done():
				return v, fmt.Errorf("%s: %w", js, ctx.Err())
			case <-time.After(50 * time.Millisecond):
			}
		}
	}
}

// joins lets a walker in, by the leader's own address.
func joins(l *leader, name string) act { return joinsAt("http://"+l.addr, name) }

func joinsAt(site, name string) act {
	return chromedp.Steps(
		chromedp.Navigate(site+"/#word=heel"),
		until(`window.steadfoot && !document.getElementById('join').hidden`),
		rejoins(name),
	)
}

// rejoins fills in the form that is there.
func rejoins(name string) act {
	named, _ := json.Marshal(name)
	return chromedp.Steps(
		script(`document.getElementById('word').value = 'heel'; document.getElementById('name').value = `+string(named)+`;
      document.getElementById('join-form').requestSubmit()`),
		until(`steadfoot.sound?.output.known && steadfoot.clock.known`),
	)
}

// slide moves a slider as a hand does.
func slide(id string, to int) act {
	return script(fmt.Sprintf(`(() => {
    const e = document.getElementById('%s');
    e.value = %d;
    e.dispatchEvent(new Event('input'));
  })()`, id, to))
}
