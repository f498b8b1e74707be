package cue_test

import (
	"fmt"
	"math"

	"steadfoot/audio"
	"steadfoot/audio/cue"
)

// A beat of 192 steps a minute for two seconds: beat k is computed, rounded once.
func Example() {
	player, err := cue.NewPlayer(cue.Options{Volume: cue.DefaultVolume})
	if err != nil {
		fmt.Println(err)
		return
	}
	feet := [2]cue.Sound{cue.ClickLeft, cue.ClickRight}
	for k := range 6 {
		at := 0.1 + float64(k)*60/192 // s
		if err := player.Play(feet[k%2], int64(math.Round(at*audio.Rate))); err != nil {
			fmt.Println(err)
		}
	}
	player.Render(make([]audio.Frame, 2*audio.Rate))
	fmt.Printf("%d frames, peak %.0f dBFS, %d dropped\n", player.Pos(), player.PeakDBFS(), player.Dropped())
	// Output: 96000 frames, peak -22 dBFS, 0 dropped
}
