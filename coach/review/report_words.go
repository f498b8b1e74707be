package review

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"steadfoot/coach"
	"steadfoot/coach/fade"
	"steadfoot/coach/review/figure"
	"steadfoot/detect"
)

// words is what happened, in a few sentences. They tell and do not judge.
func (r *Report) words() []string {
	s := r.Summary
	if s.Steps == 0 {
		return []string{"No step was found in this session."}
	}
	out := []string{fmt.Sprintf("%s walked of %s: %s steps, %.1f steps/min on average and %.1f in the middle.", clock(s.Walking), clock(s.Duration), thousands(s.Steps), s.CadenceMean, s.CadenceMedian)}
	if b := s.Band; b != nil && b.Aimed > 0 {
		of := "the time walked"
		if with(b.Aimed, s.Walking) != "" {
			of = "the " + clock(b.Aimed) + " walked with a target"
		}
		out = append(out, fmt.Sprintf("In the target band for %.0f %% of %s; below it for %.0f %%, above it for %.0f %%.", 100*b.In, of, 100*b.Below, 100*b.Above))
	}
	if s.Unevenness != nil {
		out = append(out, fmt.Sprintf("Left and right step times were %.1f %% apart on average.", *s.Unevenness))
	}
	if s.Variability != nil && !r.planned() { // from rep to rest it is not variability
		out = append(out, fmt.Sprintf("The time of a stride varied by %.1f %%.", *s.Variability))
	}
	return append(out, r.fadeWords()...)
}

// fadeWords tells the fade over the whole session where one is shown; those within
// reps are in the table.
func (r *Report) fadeWords() []string {
	for _, f := range r.Summary.Fade {
		if f.Scope != "laps" && f.Scope != "the walk" {
			continue
		}
		if f.First == fade.Neither {
			return []string{"Over " + f.Scope + " no lasting fall of cadence or step length is shown."}
		}
		return []string{"Over " + f.Scope + ": " + strings.Join(f.Words(), " ")}
	}
	return nil
}

// hearing is how well the walk was heard, in sentences.
func (r *Report) hearing() []string {
	s := r.Summary
	out := []string{fmt.Sprintf("Heard from %s, beat to %s.", orUnknown(r.Header.Input), orUnknown(r.Header.Output))}
	if s.Steps > 0 {
		heard := fmt.Sprintf("All %s steps were heard.", thousands(s.Steps))
		if s.Bridged > 0 {
			heard = fmt.Sprintf("%.1f %% of the steps were heard; %s, %.1f %%, were placed by the rhythm where none was.", percent(s.Heard, s.Steps), thousands(s.Bridged), percent(s.Bridged, s.Steps))
		}
		out = append(out, heard)
	}
	if sd := r.cadenceSD(); sd > 0 {
		out = append(out, fmt.Sprintf("The detector's own standard error of the cadence was %.1f steps/min in the middle.", sd))
	}
	lost := map[string]float64{}
	for _, g := range s.Gaps {
		lost[g.Reason] += g.Length
	}
	names := map[string]string{detect.GapStopped: "nobody walked", detect.GapDeaf: "nothing could be heard", detect.GapLost: "the input was lost"}
	for _, reason := range []string{detect.GapStopped, detect.GapDeaf, detect.GapLost} {
		if lost[reason] > 0 {
			out = append(out, fmt.Sprintf("For %.1f s in all %s.", lost[reason], names[reason]))
		}
	}
	if len(s.Faults) == 0 {
		out = append(out, "No fault of the machine was noted.")
	}
	return out
}

// cadenceSD is the median standard error of the cadence while walking, steps/min;
// 0 when there is none.
func (r *Report) cadenceSD() float64 {
	var all []float64
	for _, w := range r.walked {
		if w.CadenceSD > 0 {
			all = append(all, w.CadenceSD)
		}
	}
	if len(all) == 0 {
		return 0
	}
	return coach.Median(all)
}

// beatFigure is the circle of step phases; nil without a beat.
func (r *Report) beatFigure() *Figure {
	m := r.Met
	if m == nil {
		return nil
	}
	quarter := fmt.Sprintf("%.0f ms", m.Period/4*1000)
	rose := figure.Rose{Angles: m.Phases, Mean: m.Mean, R: m.R, Up: "on the beat", Right: quarter + " after", Down: "between two beats", Left: quarter + " before"}
	return &Figure{Name: "beat", Title: "How the feet met the beat",
		Desc: fmt.Sprintf("The phases of %d steps around a circle, the beat on top and later steps clockwise. %s R is %.2f.", m.N, m.directionWords(), m.R),
		Wide: rose, Narrow: rose, WideSize: wideRose, NarrowSize: narrowRose,
		Note: "The larger a sector, the more steps fell there. The arrow is the mean direction; it would reach the circle if every step fell at the same moment."}
}

// directed tells whether the steps have a direction that is worth telling.
func (m *Met) directed() bool { return m.R > 0.1 && m.Zar() < 0.05 }

// direction is the mean direction in words.
func (m *Met) direction() string {
	ms := m.Asynchrony() * 1000
	where := "after"
	if ms < 0 {
		where = "before"
	}
	return fmt.Sprintf("%.0f ms %s the beat (%+.0f°)", math.Abs(ms), where, m.Mean*180/math.Pi)
}

func (m *Met) directionWords() string {
	if !m.directed() {
		return "No direction of the steps against the beat is shown."
	}
	return "Mean direction: " + m.direction() + "."
}

// words is how the feet met the beat.
func (m *Met) words() []string {
	var out []string
	if m.N < fewSteps {
		out = append(out, fmt.Sprintf("Only %d steps were heard with a beat: too few to tell much.", m.N))
	}
	out = append(out,
		fmt.Sprintf("%s beats were played; %s heard steps fell within half a step of one. From step to step the beat took %.0f ms (%.1f steps/min) in the middle.", thousands(m.Beats), thousands(m.N), 1000*m.Period, 60/m.Period),
		m.directionWords(),
		fmt.Sprintf("R is %.3f: 1 would be every step at the same moment of the beat, 0 steps anywhere.", m.R))
	if m.directed() {
		out = append(out, fmt.Sprintf("Circular standard deviation: %.0f ms.", 1000*m.Spread()))
	}
	out = append(out, fmt.Sprintf("Rayleigh test of steps falling anywhere: z = nR² = %.1f, %s.", m.Z(), pWords(m.Zar())))
	for _, mode := range m.Modes {
		if words := modeWords[mode]; words != "" {
			out = append(out, words)
		}
	}
	return out
}

// fine is the small print under the words.
func (m *Met) fine() []string {
	return []string{
		"p is by the approximation in Zar's Biostatistical Analysis, exp(√(1 + 4n + 4(n² − R²n²)) − (1 + 2n)). The test takes steps to be independent of each other, which those of one walk are not, so p comes out too small: go by R.",
		"Beats are taken to be heard when they were planned to be, with the latency of the sound that the profile tells. A delay it does not know turns the direction, and leaves R as it is.",
	}
}

// modeWords says what the mode of the beat does to the figures.
var modeWords = map[coach.BeatMode]string{
	coach.Follow: "Where the beat followed the feet, R tells how well the beat found them as much as how they kept to it.",
	coach.Lead:   "Where the beat led, it set out from where the feet were and went to the target.",
	coach.Demand: "Where the beat came on demand, it was played only while the cadence was out of the band.",
}

func pWords(p float64) string {
	if p < 0.001 {
		return "p below 0.001"
	}
	return fmt.Sprintf("p = %.3f", p)
}

// thousands writes n with a thin space between thousands.
func thousands(n int) string {
	s := strconv.Itoa(n)
	if len(s) > 4 {
		for i := len(s) - 3; i > 0; i -= 3 {
			s = s[:i] + "\u202f" + s[i:]
		}
	}
	return s
}
