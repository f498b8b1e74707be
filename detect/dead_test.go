package detect

import (
	"slices"
	"testing"

	"steadfoot/detect/made"
	"steadfoot/detect/score"
	"steadfoot/testdata/footsteps"
)

// mutedWalk is noise, with a walker in it or not, and a microphone that is muted
// from one time to the other, s: it gives zeros.
func mutedWalk(noise made.Kind, seed uint64, walks bool, from, to, end float64) made.Walk {
	s := made.Spec{
		Seed: seed, Duration: end, Rate: 16000, Surface: footsteps.Surface("gravel"),
		Gait:   made.Gait{Cadence: made.Steady(190), JitterCV: 1.5},
		Noises: []made.Noise{{Kind: noise, SNR: 6}},
	}
	if !walks {
		s.Gait.Start = end
	}
	w := s.Walk()
	clear(w.Samples[int(from*w.Rate):int(to*w.Rate)])
	return w
}

// TestMutedMicrophone: where a microphone gives zeros for a while, the noise that
// comes back is no news, and no step is found in it; those of a walker are, before
// and after.
func TestMutedMicrophone(t *testing.T) {
	t.Parallel()
	const end, settle = 50.0, 4.0 // s
	for _, mute := range [][2]float64{{0, 5}, {15, 25}} {
		invented, muted, found, missed := 0, 0, 0, 0
		for _, noise := range []made.Kind{made.Pink, made.White, made.Traffic} {
			for seed := range uint64(2) {
				w := mutedWalk(noise, seed, false, mute[0], mute[1], end)
				invented += len(stepTimes(feed(t, w.Rate, w.Samples, 512)))
				w = mutedWalk(noise, seed, true, mute[0], mute[1], end)
				times := stepTimes(feed(t, w.Rate, w.Samples, 512))
				for _, s := range times {
					if s > mute[0]+1.5 && s < mute[1] {
						muted++
					}
				}
				late := func(x float64) bool { return x < mute[1]+settle }
				r := score.Match(slices.DeleteFunc(times, late), slices.DeleteFunc(w.Times(), late), 0.05)
				found += r.TP
				missed += r.FP + r.FN
			}
		}
		if invented > 0 || muted > 0 || missed > found/100 {
			t.Errorf("muted from %.0f to %.0f s: %d steps where nobody walks, %d in the silence; %d found after it, %d missed or too many", mute[0], mute[1], invented, muted, found, missed)
		}
	}
}
