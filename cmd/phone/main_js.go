//go:build js && wasm

package main

import (
	"math"
	"syscall/js"
	"unsafe"

	"steadfoot/coach/event"
)

// most is how many samples one call may bring; a longer piece is cut.
const most = 1 << 16

// bridge has the functions that the page's worker calls, and their memory.
type bridge struct {
	l         *listener
	goal      goal
	mic, play []float32
}

// main gives the worker its functions and then waits for their calls.
func main() {
	b := &bridge{l: &listener{}, mic: make([]float32, most), play: make([]float32, most)}
	js.Global().Set("steadfoot", map[string]any{
		"sound":  js.FuncOf(b.sound),
		"motion": js.FuncOf(b.motion),
		"aim":    js.FuncOf(b.aim),
		"hear":   js.FuncOf(b.hear),
		"feel":   js.FuncOf(b.feel),
		"leak":   js.FuncOf(func(js.Value, []js.Value) any { return b.l.leak() }),
		"fading": js.FuncOf(func(js.Value, []js.Value) any { return b.l.guide.fading }),
	})
	if ready := js.Global().Get("steadfootReady"); ready.Type() == js.TypeFunction {
		ready.Invoke()
	}
	select {}
}

// sound(rate) begins to listen to sound; it returns what is wrong, or "".
func (b *bridge) sound(_ js.Value, args []js.Value) any {
	return b.begin(newSound(args[0].Float()))
}

// motion() begins to take rows of an accelerometer, likewise.
func (b *bridge) motion(js.Value, []js.Value) any { return b.begin(newMotion()) }

func (b *bridge) begin(l *listener, err error) any {
	if err != nil {
		return err.Error()
	}
	b.l = l
	return b.wish()
}

// aim(cadence, low, high, beat) says what the group is to walk, in steps/min, and
// whether a beat is played; it returns what is wrong, or "".
func (b *bridge) aim(_ js.Value, args []js.Value) any {
	b.goal = goal{args[0].Float(), args[1].Float(), args[2].Float(), args[3].Bool()}
	return b.wish()
}

func (b *bridge) wish() any {
	if err := b.l.guide.aim(b.goal); err != nil {
		return err.Error()
	}
	return ""
}

// hear(frame, mic, played) takes sound as bytes of float32, played may be null, and
// returns the events.
func (b *bridge) hear(_ js.Value, args []js.Value) any {
	frame := int64(args[0].Float())
	mic := take(b.mic, args[1])
	var play []float32
	if !args[2].IsNull() {
		play = take(b.play, args[2])
	}
	return values(b.l.hear(frame, mic, play))
}

// feel(t, x, y, z) takes one row and returns the events.
func (b *bridge) feel(_ js.Value, args []js.Value) any {
	return values(b.l.feel(args[0].Float(), args[1].Float(), args[2].Float(), args[3].Float()))
}

// take copies float32 samples out of a Uint8Array.
func take(into []float32, from js.Value) []float32 {
	n := js.CopyBytesToGo(unsafe.Slice((*byte)(unsafe.Pointer(&into[0])), 4*len(into)), from)
	return into[:n/4]
}

// values are the events as objects with the keys that they have in JSON.
func values(events []event.Event) any {
	if len(events) == 0 {
		return js.Null()
	}
	out := make([]any, 0, len(events))
	for _, e := range events {
		m := map[string]any{"kind": e.Kind(), "t": number(e.At())}
		switch e := e.(type) {
		case event.Step:
			m["side"], m["confidence"], m["heard"] = e.Side.String(), number(e.Confidence), e.Heard
		case event.Rhythm:
			m["state"], m["cadence"], m["cadence_sd"] = e.State.String(), number(e.Cadence), number(e.CadenceSD)
			m["unevenness"], m["heard"] = number(e.Unevenness), number(e.Heard)
		case event.Gap:
			m["length"], m["reason"] = number(e.Length), e.Reason
		case event.Cue:
			m["name"], m["reason"], m["value"] = e.Name, e.Reason, number(e.Value)
		}
		out = append(out, m)
	}
	return out
}

// number is x, or 0 for what JSON does not know.
func number(x float64) float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return 0
	}
	return x
}
