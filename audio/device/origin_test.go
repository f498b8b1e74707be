package device

import (
	"math/rand/v2"
	"testing"
	"time"

	"steadfoot/audio"
)

// Blocks arrive up to 30 ms late, sometimes a second, and the device's clock
// is 100 ppm off: the time still gives the index within 10 ms.
func TestOriginSeesThroughLateBlocks(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	var o origin
	if o.index(time.Hour) != 0 {
		t.Error("an index without any block")
	}
	const n = 20000
	for i := range int64(n) {
		end := (i + 1) * 256
		due := float64(end) / audio.Rate * (1 + 100e-6)
		late := 0.001 + 0.030*rng.Float64()
		if i%100 == 99 {
			late += 1
		}
		o.note(time.Duration((7+due+late)*1e9), end)
	}
	now := 7 + float64(n*256)/audio.Rate*(1+100e-6)
	if off := o.index(time.Duration(now*1e9)) - n*256; off < -480 || off > 480 {
		t.Errorf("off by %d samples", off)
	}
}
