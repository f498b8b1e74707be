package event

import (
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"

	"steadfoot/detect"
)

// each is an event of every kind with every field set, and its form in JSON.
var each = []struct {
	e    Event
	json string
}{
	{Step{detect.Step{T: 12.345, Side: detect.Left, Confidence: 0.93, Heard: true}},
		`{"kind":"step","t":12.345,"side":"left","confidence":0.93,"heard":true}`},
	{Rhythm{Rhythm: detect.Rhythm{T: 12.5, State: detect.Walking, Cadence: 187.4, CadenceSD: 0.6, Unevenness: -1.5, Variability: 1.2, Heard: 0.75}, Pace: 285.1},
		`{"kind":"rhythm","t":12.5,"state":"walking","cadence":187.4,"cadence_sd":0.6,"unevenness":-1.5,"variability":1.2,"heard":0.75,"pace":285.1}`},
	{Gap{detect.Gap{T: 3, Length: 2.5, Reason: detect.GapDeaf}},
		`{"kind":"gap","t":3,"length":2.5,"reason":"cannot hear"}`},
	{Mark{T: 4, Name: MarkLap, Note: "second cone"},
		`{"kind":"mark","t":4,"name":"lap","note":"second cone"}`},
	{Fault{T: 5, What: "the device dropped input"},
		`{"kind":"fault","t":5,"what":"the device dropped input"}`},
	{Beat{T: 6, Start: 8.25, Period: 0.3125, Side: detect.Right},
		`{"kind":"beat","t":6,"start":8.25,"period":0.3125,"side":"right"}`},
	{Cue{T: 7.25, Name: CueQuicken, Reason: "184.2 steps/min"},
		`{"kind":"cue","t":7.25,"name":"quicken","reason":"184.2 steps/min"}`},
	{Shared{T: 8, Beat: Beat{Start: 8.5, Period: 0.3125, Side: detect.Right, N: 24}, Then: Beat{Start: 12.25, N: 36}, Every: 4, Accent: 2,
		Target: Target{Cadence: 192, Low: 188, High: 196, Reason: "rep 3 of 8"}, Part: Part{N: 5, Role: RoleRep, Rep: 3, Of: 8}, Ends: 12.25, Paused: true},
		`{"kind":"shared","t":8,"beat":{"t":0,"start":8.5,"period":0.3125,"side":"right","n":24},"then":{"t":0,"start":12.25,"period":0,"n":36},"every":4,"accent":2,` +
			`"target":{"t":0,"cadence":192,"low":188,"high":196,"reason":"rep 3 of 8"},"part":{"t":0,"n":5,"role":"rep","rep":3,"of":8},"ends":12.25,"paused":true}`},
	{Call{T: 9, Due: 11.25, Name: CueReminder, Line: "hips"},
		`{"kind":"call","t":9,"due":11.25,"name":"reminder","line":"hips"}`},
}

// TestJSON holds the machine-readable form, which others rely on, and its way back.
func TestJSON(t *testing.T) {
	for _, c := range each {
		b, err := AppendJSON([]byte("#"), c.e)
		if err != nil || string(b) != "#"+c.json {
			t.Errorf("got  %s\nwant #%s (%v)", b, c.json, err)
		}
		back, err := ParseJSON([]byte(c.json))
		if err != nil || !reflect.DeepEqual(back, c.e) {
			t.Errorf("%s read back as %+v (%v)", c.json, back, err)
		}
		if kind := strings.Split(c.json, `"`)[3]; c.e.Kind() != kind {
			t.Errorf("Kind %q, want %q", c.e.Kind(), kind)
		}
	}
}

func TestAt(t *testing.T) {
	for i, want := range []float64{12.345, 12.5, 3, 4, 5, 6, 7.25, 8, 9} {
		if got := each[i].e.At(); got != want {
			t.Errorf("%s: At %g, want %g", each[i].e.Kind(), got, want)
		}
	}
}

// TestInputs: a replay feeds all but the coach's own answers.
func TestInputs(t *testing.T) {
	for _, c := range each {
		answer := c.e.Kind() == "beat" || c.e.Kind() == "cue"
		if IsInput(c.e) == answer {
			t.Errorf("IsInput(%s) is %v", c.e.Kind(), !answer)
		}
	}
}

func TestFrom(t *testing.T) {
	for _, c := range each[:3] {
		var d detect.Event
		switch e := c.e.(type) {
		case Step:
			d = detect.Event{Kind: detect.KindStep, Step: e.Step}
		case Rhythm:
			d = detect.Event{Kind: detect.KindRhythm, Rhythm: e.Rhythm}
		case Gap:
			d = detect.Event{Kind: detect.KindGap, Gap: e.Gap}
		}
		want := c.e
		if r, ok := want.(Rhythm); ok {
			r.Pace = 0 // the coach adds it
			want = r
		}
		if got := From(d); !reflect.DeepEqual(got, want) {
			t.Errorf("From gives %+v, want %+v", got, want)
		}
	}
}

func TestBadJSON(t *testing.T) {
	for in, want := range map[string]string{
		``:                              "event: ",
		`{`:                             "event: ",
		`[]`:                            "event: ",
		`{"kind":"jump","t":1}`:         `unknown kind "jump"`,
		`{"kind":"step","t":"soon"}`:    "event step: ",
		`{"kind":"step","side":"both"}`: `side "both"`,
	} {
		if e, err := ParseJSON([]byte(in)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: got %v, %v; want an error with %q", in, e, err, want)
		}
	}
	if _, err := AppendJSON(nil, Step{detect.Step{T: math.NaN()}}); err == nil {
		t.Error("a NaN was written")
	}
}

// FuzzParseJSON: whatever is read can be written and read again, the same.
func FuzzParseJSON(f *testing.F) {
	for _, c := range each {
		f.Add([]byte(c.json))
	}
	f.Add([]byte(`{"kind":"step","t":1e400}`))
	f.Fuzz(func(t *testing.T, in []byte) {
		e, err := ParseJSON(in)
		if err != nil {
			return
		}
		b, err := AppendJSON(nil, e)
		if err != nil || !json.Valid(b) {
			t.Fatalf("%q read as %+v, written as %q (%v)", in, e, b, err)
		}
		if again, err := ParseJSON(b); err != nil || !reflect.DeepEqual(again, e) {
			t.Fatalf("%+v came back as %+v (%v)", e, again, err)
		}
	})
}
