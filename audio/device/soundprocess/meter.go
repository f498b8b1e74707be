//go:build cgo

package soundprocess

import (
	"encoding/json"
	"os"
	"path/filepath"
	"time"

	"steadfoot/audio/device/internal/engine"
)

// Spent implements engine.Meter: where the folder STEADFOOT_METER is set, as the
// soak does, what the callbacks cost up to now, in seconds, is left there.
func (l *library) Spent(s *engine.Spent) {
	dir := os.Getenv("STEADFOOT_METER")
	if dir == "" {
		return
	}
	text, err := json.Marshal(map[string]figures{"took": figuresOf(&s.Took), "waited": figuresOf(&s.Waited)})
	if err != nil {
		return
	}
	// What is missing there is missed by who asked for it.
	half, whole := filepath.Join(dir, "callback.half"), filepath.Join(dir, "callback.json")
	if os.WriteFile(half, text, 0o600) == nil {
		_ = os.Rename(half, whole)
	}
}

// figures are what a histogram comes to.
type figures struct {
	N    int64   `json:"n"`
	P50  float64 `json:"p50"`
	P999 float64 `json:"p999"`
	Max  float64 `json:"max"`
	Over int64   `json:"over_10ms"` // how many were longer than that
}

func figuresOf(h *engine.Histogram) figures {
	return figures{h.N(), h.Quantile(0.5).Seconds(), h.Quantile(0.999).Seconds(), h.Max().Seconds(), h.Over(10 * time.Millisecond)}
}
