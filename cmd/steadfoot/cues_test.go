package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"strconv"
	"strings"
	"testing"

	"steadfoot/audio/cue"
)

// Every cue that an event can name has a sound in each layer, and a meaning; and
// no sound is left over.
func TestEveryCueHasASound(t *testing.T) {
	file, err := parser.ParseFile(token.NewFileSet(), "../../coach/event/event.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]bool{}
	ast.Inspect(file, func(n ast.Node) bool {
		if v, ok := n.(*ast.ValueSpec); ok && strings.HasPrefix(v.Names[0].Name, "Cue") {
			name, err := strconv.Unquote(v.Values[0].(*ast.BasicLit).Value)
			if err != nil {
				t.Fatal(err)
			}
			found[name] = true
		}
		return true
	})
	for _, layer := range []cue.Layer{cue.Tones, cue.Speech, cue.Lines} {
		v, _, err := cue.NewVoice(layer, "")
		if err != nil {
			t.Fatal(err)
		}
		for name := range found {
			if _, ok := v.Clip(name, 192, ""); !ok {
				t.Errorf("%v has no sound for %q", layer, name)
			}
			if meanings[name] == "" {
				t.Errorf("%q has no meaning", name)
			}
		}
	}
	if names := cue.Names(); len(names) != len(found) {
		t.Errorf("%d cues with a sound, %d in package event", len(names), len(found))
	}
}
