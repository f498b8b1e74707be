package sessions

import (
	"io/fs"
	"testing"
)

// TestNames: every example can be found by its name.
func TestNames(t *testing.T) {
	names := Names()
	if len(names) < 6 {
		t.Errorf("%d examples", len(names))
	}
	for _, n := range names {
		if data, err := fs.ReadFile(Files, n+".toml"); err != nil || len(data) == 0 {
			t.Errorf("%s: %d bytes, %v", n, len(data), err)
		}
	}
}
