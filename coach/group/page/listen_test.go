package page

import (
	"encoding/json"
	"math"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"steadfoot/audio"
	"steadfoot/coach/group"
	"steadfoot/detect"
	"steadfoot/detect/made"
)

// walk is a made walk of 12 s and what the native detector finds in it.
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
	w, want := walk(t, 30)
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
	do(t, ctx, joins(l, "Jon Ash"))
	ready := ask[float64](t, ctx, `performance.getEntriesByType('navigation')[0].loadEventEnd`)
	t.Logf("the page is ready after %.0f ms", ready)
	if ready > 2000 {
		t.Errorf("the page is ready after %.0f ms", ready)
	}
	got := ask[found](t, ctx, `(async () => {
    const wav = await (await fetch('/walk.wav')).arrayBuffer(), n = `+strconv.Itoa(len(w.Samples))+`;
    const x = new Float32Array(wav.slice(wav.byteLength - 4 * n)), pieces = [];
    for (let i = 0; i < n; i += 1024) pieces.push({ task: 'hear', frame: i, mic: x.slice(i, i + 1024), own: new Float32Array(Math.min(1024, n - i)) });
    return `+inWorker+`({ task: 'sound', rate: 48000 }, pieces);
  })()`)
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
	times := 30 / got.Took
	t.Logf("%d steps; %.1f ms for a second of sound, %.0f times real time", len(steps), 1000/times, times)
	if times < 20 {
		t.Errorf("only %.1f times as fast as real time", times)
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

// TestListen: with consent the page hears the walk of the microphone, and the leader
// sees its cadence; by movement likewise.
func TestListen(t *testing.T) {
	t.Parallel()
	l := lead(t)
	w, _ := walk(t, 30)
	wav := filepath.Join(t.TempDir(), "walk.wav")
	writeWAV(t, wav, w.Samples, audio.S16)
	ctx := browse(t, wav)
	do(t, ctx, joins(l, "Mira Tal"))
	l.command(group.Command{Do: group.DoTarget, Group: "Harrow Vale", Cadence: 188})
	if s := ask[string](t, ctx, `steadfoot.status().hears`); s != group.HearsNothing {
		t.Errorf("before consent the page hears: %s", s)
	}
	do(t, ctx, script(`document.getElementById('listen-sound').click()`),
		until(`steadfoot.status().hears === 'walking' && Math.abs(steadfoot.status().cadence - 188) < 1.5 && steadfoot.status().n > 8`))
	cadenceOnBoard(t, l, 188)

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

// cadenceOnBoard waits until the leader has the walker's cadence.
func cadenceOnBoard(t *testing.T, l *leader, want float64) {
	t.Helper()
	for range 100 {
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
