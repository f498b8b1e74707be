package member

import (
	"math"
	"strings"
	"testing"
	"unicode"
)

// FuzzHear: whatever a hub says, the member does not panic, and what it shows of
// it holds no control characters.
func FuzzHear(f *testing.F) {
	for _, s := range []string{
		`{"kind":"welcome","id":"1","seat":"s","name":"Mira Tal","groups":["one"],"map":{"group":"one","term":1,"seq":1,"beat":[{"t":1,"start":2,"period":0.33}]}}`,
		`{"kind":"pong","n":0,"t1":1,"t2":2,"t3":2,"spread":0.001}`,
		`{"kind":"pong","n":-1,"t2":1e308,"t3":-1e308}`,
		`{"kind":"map","map":{"group":"one","term":1,"seq":2,"beat":[{"start":-1e308,"period":1e-308},{}],"says":[{"reason":"\u001b[2J"}],"spares":["\u0000:1","host:1"]}}`,
		`{"kind":"sorry","why":"\u001b]0;x\u0007","code":"word"}`,
		`{"kind":"board","groups":[{}]}`,
		`{"kind":"map","map":null}`,
		`[]`,
		``,
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		now := 0.0
		o := Options{Addresses: []string{"host:1"}, Name: "x", Clock: func() float64 { return now }}
		if err := o.check(); err != nil {
			t.Fatal(err)
		}
		m := &Member{o: o, changed: make(chan struct{}), wake: make(chan struct{}, 1)}
		c := &call{m: m, url: "ws://host:1", pings: pings{again: make(chan struct{}, 1)}, welcome: make(chan struct{})}
		for line := range strings.Lines(s) {
			c.pings.next(o.Clock)
			now++
			err := c.hear(now, []byte(line))
			if refused, ok := err.(*Refused); ok && strings.ContainsFunc(refused.Why, unicode.IsControl) {
				t.Fatalf("a reason with control characters: %q", refused.Why)
			}
		}
		b, _ := m.Map()
		for _, s := range []string{b.Group, b.Session, b.Part.Label, m.welcome.Name} {
			if strings.ContainsFunc(s, unicode.IsControl) {
				t.Fatalf("control characters in %q", s)
			}
		}
		m.hubs()
		if g := m.GroupAt(now); math.IsNaN(g) {
			t.Fatal("group time is no number")
		}
	})
}
