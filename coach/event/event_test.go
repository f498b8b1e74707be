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
	for i, want := range []float64{12.345, 12.5, 3, 4, 5, 6, 7.25} {
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
