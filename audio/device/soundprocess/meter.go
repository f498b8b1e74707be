//go:build cgo

package soundprocess

import (
	"encoding/json"
	"os"
	"path/filepath"

	"steadfoot/audio/device/internal/engine"
)

// Took implements engine.Meter: where the folder STEADFOOT_METER is set, as the
// soak does, how long the callbacks took, in seconds, is left there.
func (l *library) Took(h *engine.Histogram) {
	dir := os.Getenv("STEADFOOT_METER")
	if dir == "" {
		return
	}
	text, err := json.Marshal(map[string]float64{
		"n": float64(h.N()), "p50": h.Quantile(0.5).Seconds(), "p999": h.Quantile(0.999).Seconds(), "max": h.Max().Seconds(),
	})
	if err == nil { // what is missing there is missed by who asked for it
		_ = os.WriteFile(filepath.Join(dir, "callback.json"), text, 0o600)
	}
}
