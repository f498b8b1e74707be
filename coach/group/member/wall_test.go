package member

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestNoTimeOfDay: setting the machine's clock by an hour has no effect, since
// the time of day enters nowhere: package clock does not import time, and this
// one measures with time.Since, timers and contexts, which go by the monotonic
// clock.
func TestNoTimeOfDay(t *testing.T) {
	allowed := map[string]bool{
		"Now": true, "Since": true, "After": true, "NewTimer": true,
		"Time": true, "Duration": true, "Second": true, "Millisecond": true, "Hour": true,
	}
	files, err := filepath.Glob("*.go")
	if err != nil || len(files) == 0 {
		t.Fatal(files, err)
	}
	others, _ := filepath.Glob("../clock/*.go")
	for _, name := range append(files, others...) {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		f, err := parser.ParseFile(token.NewFileSet(), name, src, 0)
		if err != nil {
			t.Fatal(err)
		}
		now := 0
		ast.Inspect(f, func(n ast.Node) bool {
			s, ok := n.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			if x, ok := s.X.(*ast.Ident); ok && x.Name == "time" {
				if !allowed[s.Sel.Name] || strings.Contains(name, "clock") {
					t.Errorf("%s uses time.%s", name, s.Sel.Name)
				}
				if s.Sel.Name == "Now" {
					now++
				}
				if s.Sel.Name == "Since" {
					now--
				}
			}
			return true
		})
		if now != 0 { // every reading is compared with another one, in the same file
			t.Errorf("%s: time.Now and time.Since do not pair", name)
		}
	}
}
