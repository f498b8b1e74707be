package logbook

import (
	"encoding/hex"
	"math"
	"reflect"
	"strings"
	"testing"

	"steadfoot/coach/event"
	"steadfoot/detect"
)

func decodeAll(t testing.TB, c *encoder) []event.Event {
	t.Helper()
	var got []event.Event
	_, err := chunk{n: c.n, data: c.buf}.each(func(e event.Event, _ error) bool {
		got = append(got, e)
		return true
	})
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// TestEveryField fills every field of every kind of event by reflection, so a
// field that is added to an event and forgotten here is found.
func TestEveryField(t *testing.T) {
	kinds := []event.Event{event.Step{}, event.Rhythm{}, event.Gap{}, event.Mark{}, event.Fault{}, event.Beat{}, event.Cue{}, event.Part{}, event.Target{}, event.Lap{}, event.Shared{}, event.Call{}}
	var c encoder
	var want []event.Event
	for _, e := range kinds {
		v := reflect.New(reflect.TypeOf(e)).Elem()
		fill(v, new(int))
		want = append(want, v.Interface().(event.Event))
	}
	for _, e := range want {
		if err := c.add(e); err != nil {
			t.Fatal(err)
		}
	}
	for i, e := range decodeAll(t, &c) {
		if !reflect.DeepEqual(e, want[i]) {
			t.Errorf("got %#v, want %#v", e, want[i])
		}
	}
}

func fill(v reflect.Value, n *int) {
	*n++
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			fill(v.Field(i), n)
		}
	case reflect.Float64:
		v.SetFloat(float64(*n) + 1/3.0)
	case reflect.String:
		v.SetString(strings.Repeat("x", *n))
	case reflect.Int:
		v.SetInt(int64(*n))
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Uint8:
		v.SetUint(2)
	default:
		panic("no filling for " + v.Type().String())
	}
}

func TestFloatBits(t *testing.T) {
	values := []float64{0, math.Copysign(0, -1), 1, 1, -1, math.Pi, math.SmallestNonzeroFloat64, math.MaxFloat64, 1e-300, 0.1, 0.1 + 1e-17, 3600.25}
	var c encoder
	for _, v := range values {
		if err := c.add(event.Mark{T: v}); err != nil {
			t.Fatal(err)
		}
	}
	for i, e := range decodeAll(t, &c) {
		if math.Float64bits(e.At()) != math.Float64bits(values[i]) {
			t.Errorf("%g came back as %g", values[i], e.At())
		}
	}
}

func TestRefused(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(-1)
	for _, c := range []struct {
		e    event.Event
		want string
	}{
		{event.Step{Step: detect.Step{T: 3, Confidence: nan}}, "step at 3 s cannot be logged: a number in it is NaN or infinite"},
		{event.Rhythm{Rhythm: detect.Rhythm{T: 4}, Pace: inf}, "rhythm at 4 s cannot be logged"},
		{event.Gap{Gap: detect.Gap{T: 4, Length: inf}}, "gap at 4 s cannot be logged"},
		{event.Mark{T: nan}, "mark at NaN s cannot be logged"},
		{event.Beat{T: 5, Period: inf}, "beat at 5 s cannot be logged"},
		{event.Beat{T: 5, Side: 7}, "unknown side"},
		{event.Rhythm{Rhythm: detect.Rhythm{State: 3}}, "unknown side or state"},
		{&event.Mark{}, "unknown kind"},
	} {
		var enc encoder
		err := enc.add(c.e)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%#v: got error %v, want one with %q", c.e, err, c.want)
		}
		if len(enc.buf) != 0 || enc.n != 0 {
			t.Errorf("%#v left something in the chunk", c.e)
		}
	}
}

func FuzzDecode(f *testing.F) {
	var c encoder
	for _, e := range walk(5, 1) {
		if err := c.add(e); err != nil {
			f.Fatal(err)
		}
	}
	f.Add(c.buf, c.n)
	f.Add(c.buf[:len(c.buf)/2], c.n)
	f.Add([]byte{tagMark, 0, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 1}, 1)
	f.Add([]byte{0}, 1)
	f.Fuzz(func(t *testing.T, data []byte, n int) {
		// What decodes must be loggable again and decode to the same.
		var got []event.Event
		_, err := chunk{n: n, data: data}.each(func(e event.Event, _ error) bool {
			got = append(got, e)
			return true
		})
		if err != nil {
			return
		}
		var again encoder
		for _, e := range got {
			if err := again.add(e); err != nil {
				t.Fatal(err)
			}
		}
		compare(t, decodeAll(t, &again), got)
	})
}

func BenchmarkAppend(b *testing.B) {
	s, _ := openTemp(b)
	w := begin(b, s)
	events := walk(60, 1)
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		if err := w.Append(events[i%len(events)]); err != nil {
			b.Fatal(err)
		}
	}
	b.StopTimer()
	if err := w.End(); err != nil {
		b.Fatal(err)
	}
}

func TestAppendAllocates(t *testing.T) {
	w := newWriter(1, diskFunc(func([]chunk, counts) error { return nil }))
	defer w.End()
	events := walk(60, 1)
	i := 0
	if n := testing.AllocsPerRun(5000, func() {
		w.Append(events[i%len(events)])
		i++
	}); n != 0 {
		t.Errorf("Append allocates %g times a call; a new chunk every 80 or so is all it may", n)
	}
}

// TestVersion1 reads a chunk as the program wrote it when the store had version
// 1: events have gained fields since then, and old sessions must still open.
func TestVersion1(t *testing.T) {
	old, err := hex.DecodeString("04000573746172740031023ff4023fee0a023ff803406790023fe002bff4023ff8023ff0034072f20e023ff8024002023fd407023ffc07717569636b656e0377687903024008023ff80b6e6f742077616c6b696e6705024012026f6804024014036c6170016e")
	if err != nil {
		t.Fatal(err)
	}
	want := []event.Event{
		event.Mark{T: 0, Name: "start"},
		event.Step{Step: detect.Step{T: 1.25, Side: detect.Right, Confidence: 0.9375, Heard: true}},
		event.Rhythm{Rhythm: detect.Rhythm{T: 1.5, State: detect.Walking, Cadence: 188.5, CadenceSD: 0.5, Unevenness: -1.25, Variability: 1.5, Heard: 1}, Pace: 303.125},
		event.Beat{T: 1.5, Start: 2.25, Period: 0.3125, Side: detect.Left},
		event.Cue{T: 1.75, Name: "quicken", Reason: "why"},
		event.Gap{Gap: detect.Gap{T: 3, Length: 1.5, Reason: "not walking"}},
		event.Fault{T: 4.5, What: "oh"},
		event.Mark{T: 5, Name: "lap", Note: "n"},
	}
	compare(t, decodeAll(t, &encoder{buf: old, n: len(want)}), want)
}
