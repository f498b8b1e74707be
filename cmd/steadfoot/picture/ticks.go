package picture

import (
	"fmt"
	"math"

	"gonum.org/v1/plot"
)

// minuteTicksFrom is the length from which times are in min:s, s.
const minuteTicksFrom = 120

// tickSteps are the times between two labels, s.
var tickSteps = []float64{0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600}

// timeTicks marks round times, some ten of them, with a short tick or four
// between.
type timeTicks struct{}

// Ticks implements plot.Ticker.
func (timeTicks) Ticks(lo, hi float64) []plot.Tick {
	step := tickSteps[len(tickSteps)-1]
	for _, s := range tickSteps {
		if (hi-lo)/s <= 12 {
			step = s
			break
		}
	}
	var ticks []plot.Tick
	for k := math.Ceil(lo/step-1e-9) + 0; k*step <= hi+1e-9; k++ { // + 0 makes -0 a 0
		ticks = append(ticks, plot.Tick{Value: k * step, Label: timeLabel(k*step, step, hi-lo > minuteTicksFrom)})
	}
	return ticks
}

func timeLabel(t, step float64, minutes bool) string {
	if minutes {
		s := int(math.Round(t))
		if s >= 3600 {
			return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
		}
		return fmt.Sprintf("%d:%02d", s/60, s%60)
	}
	if step < 1 {
		return fmt.Sprintf("%.1f", t)
	}
	return fmt.Sprintf("%.0f", t)
}

// everyTwenty marks every 20.
type everyTwenty struct{}

// Ticks implements plot.Ticker.
func (everyTwenty) Ticks(lo, hi float64) []plot.Tick {
	var ticks []plot.Tick
	for v := 20 * math.Ceil(lo/20); v <= hi; v += 20 {
		ticks = append(ticks, plot.Tick{Value: v, Label: fmt.Sprintf("%.0f", v)})
	}
	return ticks
}
