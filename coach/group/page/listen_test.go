package page

import (
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"math"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/systeminfo"
	"github.com/chromedp/chromedp"

	"steadfoot/audio"
	"steadfoot/coach/group"
	"steadfoot/detect"
	"steadfoot/detect/made"
)

// walk is a made walk and what the native detector finds in it.
func walk(t *testing.T, seconds float64) (made.Walk, []detect.Step) {
	t.Helper()
	w := made.Spec{Seed: 7, Duration: seconds, Gait: made.Gait{Cadence: made.Steady(188), JitterCV: 1.5}}.Walk()
	d, err := detect.NewSound(detect.SoundConfig{Rate: w.Rate})
	if err != nil {
		t.Fatal(err)
	}
	var steps []detect.Step
	for _, e := range d.Feed(nil, w.Samples) {
		if e.Kind == detect.KindStep {
			steps = append(steps, e.Step)
		}
	}
	return w, steps
}

// inWorker feeds a worker of the page in pieces and returns the events and how long
// that took, s.
const inWorker = `((task, pieces) => new Promise((done, fail) => {
  const w = new Worker('/detector.js'), events = [];
  let t0 = 0;
  w.onmessage = ({ data }) => {
    if (data.failed) fail(new Error(data.failed));
    if (data.ready) {
      w.postMessage(task);
      w.postMessage({ task: 'aim', cadence: 188, low: 184, high: 192, beat: true });
      t0 = performance.now();
      for (const p of pieces) w.postMessage(p);
      w.postMessage({ task: 'echo', n: 1 });
    }
    if (data.events) events.push(...data.events);
    if (data.echo) { w.terminate(); done({ events, took: (performance.now() - t0) / 1000 }); }
  };
}))`

type found struct {
	Events []struct {
		Kind    string  `json:"kind"`
		T       float64 `json:"t"`
		Cadence float64 `json:"cadence"`
	} `json:"events"`
	Took float64 `json:"took"`
}

// TestDetector: the detector in the page finds in a made walk what the native one
// finds, to a microsecond, and many times as fast as it is walked; and the steps of a
// phone's movement.
func TestDetector(t *testing.T) {
	l := lead(t)
	const seconds = 60
	w, want := walk(t, seconds)
	wav := filepath.Join(t.TempDir(), "walk.wav")
	writeWAV(t, wav, w.Samples, audio.F32)
	pages := l.pages
	l.pages = http.HandlerFunc(func(rw http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/walk.wav" {
			http.ServeFile(rw, r, wav)
			return
		}
		pages.ServeHTTP(rw, r)
	})
	l.end()
	l.start()
	ctx := browse(t, "")
	do(t, ctx, chromedp.Navigate("http://"+l.addr+"/"), until(`window.steadfoot`))
	hear := `(async (seconds) => {
    const wav = await (await fetch('/walk.wav')).arrayBuffer(), n = seconds * 48000;
    const x = new Float32Array(wav.slice(wav.byteLength - 4 * ` + strconv.Itoa(len(w.Samples)) + `)), pieces = [];
    for (let i = 0; i < n; i += 1024) pieces.push({ task: 'hear', frame: i, mic: x.slice(i, i + 1024), own: new Float32Array(Math.min(1024, n - i)) });
    return ` + inWorker + `({ task: 'sound', rate: 48000 }, pieces);
  })`
	got := ask[found](t, ctx, hear+fmt.Sprintf(`(%d)`, seconds))
	var steps []float64
	for _, e := range got.Events {
		if e.Kind == "step" {
			steps = append(steps, e.T)
		}
	}
	if len(steps) != len(want) {
		t.Fatalf("%d steps in the page, %d natively", len(steps), len(want))
	}
	for i, s := range steps {
		if math.Abs(s-want[i].T) > 1e-6 {
			t.Fatalf("step %d at %.6f s, natively at %.6f s", i, s, want[i].T)
		}
	}
	t.Logf("%d steps; %.0f times real time by the clock", len(steps), seconds/got.Took)

	// What it costs: processor time without that of the start. The least of some counts,
	// since a busy machine makes all processors slower.
	run := func(seconds int) float64 {
		before := processorTime(t, ctx)
		ask[found](t, ctx, hear+fmt.Sprintf(`(%d)`, seconds))
		return processorTime(t, ctx) - before
	}
	most := 0.0
	for try := 0; try < 2 || try < 8 && most < 20; try++ {
		start := run(0)
		if took := run(seconds) - start; took > 0 {
			most = max(most, seconds/took)
		}
	}
	t.Logf("a second of sound takes %.1f ms of processor time: %.0f times real time", 1000/most, most)
	if most < 20 {
		t.Errorf("only %.1f times as fast as real time", most)
	}

	m := made.MotionSpec{Seed: 3, Duration: 20, Place: made.Waist, Gait: made.Gait{Cadence: made.Steady(184)}}.Motion()
	rows := make([][4]float64, len(m.Rows))
	for i, r := range m.Rows {
		rows[i] = [4]float64{r.T, r.X, r.Y, r.Z}
	}
	js, err := json.Marshal(rows)
	if err != nil {
		t.Fatal(err)
	}
	felt := ask[found](t, ctx, inWorker+`({ task: 'motion' }, [{ task: 'feel', rows: `+string(js)+` }])`)
	n := 0
	for _, e := range felt.Events {
		if e.Kind == "step" {
			n++
		}
	}
	if n < len(m.Steps)*9/10 || n > len(m.Steps) {
		t.Errorf("%d steps felt of %d", n, len(m.Steps))
	}
}

// processorTime is what all of Chromium's processes have used, s: what else the machine
// does changes it by little.
func processorTime(t *testing.T, tab context.Context) (sum float64) {
	t.Helper()
	ctx, cancel := context.WithTimeout(tab, patience)
	defer cancel()
	all, err := chromedp.CallBrowser(ctx, systeminfo.GetProcessInfo, cdp.Empty{})
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range all.ProcessInfo {
		sum += p.CPUTime
	}
	return sum
}

// TestReady: the page is there soon. The least of some loads counts, since the machine
// may be busy.
func TestReady(t *testing.T) {
	l := lead(t)
	ctx := browse(t, "")
	least := math.Inf(1)
	for range 10 {
		do(t, ctx, chromedp.Navigate("http://"+l.addr+"/"), until(`window.steadfoot && performance.getEntriesByType('navigation')[0].loadEventEnd > 0`))
		if least = min(least, ask[float64](t, ctx, `performance.getEntriesByType('navigation')[0].loadEventEnd`)); least < 2000 {
			break
		}
	}
	wasm, err := fs.Stat(withDetector(t), "built/phone.wasm.gz")
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("the page is ready after %.0f ms; the detector has %d kB", least, wasm.Size()/1000)
	if least >= 2000 {
		t.Errorf("the page is ready after %.0f ms at best", least)
	}
}

// TestListen: with consent the page hears the walk of the microphone, and the leader
// sees its cadence; by movement likewise.
func TestListen(t *testing.T) {
	t.Parallel()
	l := lead(t)
	w, _ := walk(t, 30)
	wav := filepath.Join(t.TempDir(), "walk.wav")
	writeWAV(t, wav, w.Samples, audio.S16)
	ctx := browse(t, wav)
	do(t, ctx, chromedp.Navigate("http://"+l.addr+"/#word=heel"), until(`window.steadfoot`),
		script(`document.getElementById('agree').checked = true`), rejoins("Mira Tal"))
	l.command(group.Command{Do: group.DoTarget, Group: "Harrow Vale", Cadence: 188})
	if s := ask[string](t, ctx, `steadfoot.status().hears`); s != group.HearsNothing {
		t.Errorf("before consent the page hears: %s", s)
	}
	do(t, ctx, script(watched), script(`document.getElementById('listen-sound').click()`),
		until(`steadfoot.status().hears === 'walking' && Math.abs(steadfoot.status().cadence - 188) < 1.5 && steadfoot.status().n > 8`))
	cadenceOnBoard(t, l, 188)
	for _, k := range []string{"echoCancellation", "noiseSuppression", "autoGainControl"} {
		if ask[bool](t, ctx, `window.microphone.`+k) {
			t.Errorf("the microphone has %s", k)
		}
	}

	do(t, ctx, until(`sent.filter((m) => m.cadence).length > 12`))
	gaps := ask[[]float64](t, ctx, `sent.filter((m) => m.cadence).map((m) => m.at).map((t, i, all) => t - (all[i - 1] ?? t)).slice(1)`)
	t.Logf("a walker is reported each %.2f s, %.2f s at most", median(gaps), largest(gaps))
	if m := median(gaps); m > 0.45 { // and a board comes each 0.55 s, see TestBoard
		t.Errorf("a walker is reported each %.2f s", m)
	}

	// The leader wants quicker steps and is gone: the phone finds the steps and says so
	// by itself, and tells the leader later.
	l.command(group.Command{Do: group.DoShift, Group: "Harrow Vale", By: 9})
	do(t, ctx, until(`document.getElementById('target').textContent === '197'`))
	l.end()
	do(t, ctx, until(`document.getElementById('say').textContent === 'Quicker steps' && !steadfoot.link.there`))
	away := l.now()
	do(t, ctx, until(fmt.Sprintf(`steadfoot.status().hears === 'walking' && steadfoot.groupNow() > %f`, away+2)))
	l.start()
	cadenceOnBoard(t, l, 188)
	do(t, ctx, until(fmt.Sprintf(`sent.some((m) => m.kind === 'steps' && m.steps.some((s) => s.t > %f && s.t < %f))`, away-3, away+2)))
	if kinds := ask[[]string](t, ctx, `[...new Set(sent.map((m) => m.kind))].sort()`); !slices.Equal(kinds, []string{"join", "ping", "status", "steps"}) {
		t.Errorf("the page sends %v", kinds)
	}
	keys := ask[[]string](t, ctx, `[...new Set(sent.filter((m) => m.kind === 'status' || m.kind === 'steps').flatMap((m) => [...Object.keys(m), ...(m.steps ?? []).flatMap(Object.keys)]))]`)
	for _, k := range keys {
		if !slices.Contains(told, k) {
			t.Errorf("the page tells %q", k)
		}
	}

	// A reload goes on listening, with the tap that lets the beat be heard.
	do(t, ctx, chromedp.Reload(), until(`window.steadfoot?.link.there`), script(`document.getElementById('hear').click()`),
		until(`steadfoot.status().hears === 'walking'`))

	do(t, ctx, script(`document.getElementById('listen-off').click()`), until(`steadfoot.status().hears === 'off'`))
	m := made.MotionSpec{Seed: 3, Duration: 30, Rate: 60, Gait: made.Gait{Cadence: made.Steady(184)}}.Motion()
	js, err := json.Marshal(m.Rows)
	if err != nil {
		t.Fatal(err)
	}
	do(t, ctx, script(`document.getElementById('listen-motion').click()`), until(`steadfoot.listener.way === 'motion'`), script(`(() => {
    const rows = `+string(js)+`, t0 = performance.now();
    let i = 0;
    setInterval(() => {
      for (; i < rows.length && rows[i].T * 1000 < performance.now() - t0; i++) {
        const e = new DeviceMotionEvent('devicemotion', { accelerationIncludingGravity: { x: rows[i].X, y: rows[i].Y, z: rows[i].Z }, interval: 16 });
        Object.defineProperty(e, 'timeStamp', { value: t0 + rows[i].T * 1000 });
        dispatchEvent(e);
      }
    }, 16);
  })()`), until(`steadfoot.status().hears === 'walking' && Math.abs(steadfoot.status().cadence - 184) < 2`))
	if off := ask[bool](t, ctx, `'off' in steadfoot.status()`); off {
		t.Error("movement is said to tell how early or late a foot is")
	}
}

// watched notes what the page asks of the microphone and what it sends.
const watched = `(() => {
  window.sent = [];
  const send = WebSocket.prototype.send, ask = navigator.mediaDevices.getUserMedia;
  WebSocket.prototype.send = function (m) { sent.push(JSON.parse(m)); send.call(this, m); };
  Object.defineProperty(navigator, 'audioSession', { configurable: true, value: { type: 'playback' } }); // as an iPhone has it
  navigator.mediaDevices.getUserMedia = async (want) => {
    if (navigator.audioSession.type !== 'play-and-record') throw new Error('The session only plays.');
    const stream = await ask.call(navigator.mediaDevices, want);
    window.microphone = stream.getAudioTracks()[0].getSettings();
    return stream;
  };
})()`

// told is all that a page may say of its walker: group.Status and group.Steps.
var told = []string{"kind", "at", "hears", "cadence", "sd", "uneven", "off", "r", "n", "fading", "clock", "latency", "steps", "t", "side", "confidence", "heard"}

// cadenceOnBoard waits until the leader has the walker's cadence.
func cadenceOnBoard(t *testing.T, l *leader, want float64) {
	t.Helper()
	for end := time.Now().Add(patience); time.Now().Before(end); {
		for _, w := range l.hub.Walkers() {
			if w.Last.Hears == group.HearsWalking && math.Abs(w.Last.Cadence-want) < 2 {
				return
			}
		}
		time.Sleep(100 * time.Millisecond)
	}
	t.Errorf("the leader knows: %+v", l.hub.Walkers())
}

func writeWAV(t *testing.T, path string, samples []float32, f audio.Format) {
	t.Helper()
	file, err := os.Create(path)
	if err == nil {
		err = audio.EncodeWAV(file, audio.Rate, 1, f, samples)
	}
	if err == nil {
		err = file.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
}
