package review

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"unicode"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/fade"
	"steadfoot/coach/logbook"
)

// Style says how a terminal is written to.
type Style struct {
	ASCII bool // plots of plain ASCII characters
}

func (s Style) marks() marks {
	if s.ASCII {
		return asciiMarks
	}
	return unicodeMarks
}

// lineWidth is the width of the terminal that is written for.
const lineWidth = 80

// Print writes a session for people: the numbers, the plots and what was said.
func Print(w io.Writer, style Style, h logbook.Header, info logbook.Info, events []event.Event) error {
	s := Analyse(h, events)
	b := bufio.NewWriter(w)
	printHead(b, h, info)
	printNumbers(b, s)
	printParts(b, s.Parts)
	printPlots(b, style.marks(), h, s, events)
	printLists(b, s)
	return b.Flush()
}

func printHead(w io.Writer, h logbook.Header, info logbook.Info) {
	fmt.Fprintf(w, "Session %d, %s", info.ID, h.Started.Format("Monday 2 January 2006, 15:04"))
	tags := ""
	if len(info.Tags) > 0 {
		tags = "Tags: " + strings.Join(info.Tags, ", ")
	}
	for i, s := range []string{h.Athlete, h.Label, h.Plan, info.Note, tags} {
		if s != "" && !(i == 2 && s == h.Label) {
			fmt.Fprintf(w, "\n%s", strings.Join(wrap(plain(s), lineWidth), "\n"))
		}
	}
	sound := fmt.Sprintf("Heard from %s, beat to %s; steadfoot %s", orUnknown(h.Input), orUnknown(h.Output), orUnknown(h.Version))
	fmt.Fprintf(w, "\n%s\n", strings.Join(wrap(sound, lineWidth), "\n"))
	if info.Sound > 0 {
		fmt.Fprintf(w, "Its sound is kept, %.1f MB; 'steadfoot log sound %d' says where.\n", float64(info.Sound)/1e6, info.ID)
	}
	if !info.Complete {
		fmt.Fprintln(w, "Cut short: the session has no end, or is still being walked.")
	}
	fmt.Fprintln(w)
}

func printNumbers(w io.Writer, s Summary) {
	line := func(name, format string, a ...any) {
		fmt.Fprintf(w, "  %-12s %s\n", name, fmt.Sprintf(format, a...))
	}
	line("duration", "%s, of that %s walking", clock(s.Duration), clock(s.Walking))
	if s.Steps > 0 {
		line("steps", "%d: %.1f %% heard, %.1f %% bridged", s.Steps, percent(s.Heard, s.Steps), percent(s.Bridged, s.Steps))
	} else {
		line("steps", "none")
	}
	if s.Walking > 0 {
		line("cadence", "%.1f steps/min mean, %.1f median", s.CadenceMean, s.CadenceMedian)
	}
	if b := s.Band; b != nil {
		if b.Target > 0 {
			line("band", "%.1f to %.1f steps/min around %.1f", b.Low, b.High, b.Target)
		}
		if b.Aimed > 0 {
			line("in band", "%.1f %% of the time walked%s; below %.1f %%, above %.1f %%", 100*b.In, with(b.Aimed, s.Walking), 100*b.Below, 100*b.Above)
		}
	}
	if s.Distance > 0 {
		line("distance", "%.2f km by step length, %.2f m a step", s.Distance/1000, s.Distance/float64(s.Steps))
		line("pace", "%s min/km mean", coach.FormatPace(s.Pace))
	}
	if s.Unevenness != nil {
		line("unevenness", "%.1f %%, left against right step time", *s.Unevenness)
	}
	if s.Variability != nil {
		line("variability", "%.1f %% of stride time", *s.Variability)
	}
	line("cues", "%s", countCues(s.Cues))
}

// with says so where the walker was free for some of the time.
func with(aimed, walking float64) string {
	if aimed < walking-1 {
		return " with a target"
	}
	return ""
}

func percent(n, of int) float64 { return 100 * float64(n) / float64(of) }

// countCues writes how often each cue was given, in the order of the first.
func countCues(cues []Cue) string {
	if len(cues) == 0 {
		return "none"
	}
	n := map[string]int{}
	var names []string
	for _, c := range cues {
		if n[c.Name]++; n[c.Name] == 1 {
			names = append(names, c.Name)
		}
	}
	for i, name := range names {
		names[i] = fmt.Sprintf("%s %d", plain(name), n[name])
	}
	return strings.Join(names, ", ")
}

func printLists(w io.Writer, s Summary) {
	section(w, "Cues", s.Cues, func(c Cue) (float64, string) { return c.T, fmt.Sprintf("%-12s %s", c.Name, c.Reason) })
	lap := 0
	section(w, "Laps: number, time, mean cadence and pace", s.Laps, func(l Lap) (float64, string) { lap++; return l.T, fmt.Sprintf("%-3d %s", lap, l.words()) })
	printFade(w, s.Fade)
	section(w, "Gaps", s.Gaps, func(g Gap) (float64, string) { return g.T, fmt.Sprintf("%-12s for %.1f s", g.Reason, g.Length) })
	shown, more := firstFaults(s.Faults)
	section(w, "Faults", shown, func(f Fault) (float64, string) { return f.T, f.What })
	if more > 0 {
		fmt.Fprintf(w, "%*s  and %d more; --json has them all\n", labelWidth, "", more)
	}
}

// printFade tells where a fade is shown, and says once where none is.
func printFade(w io.Writer, all []Fading) {
	if len(all) == 0 {
		return
	}
	fmt.Fprintln(w, "\nFade")
	none := 0
	for _, f := range all {
		if f.First == fade.Neither {
			none++
			continue
		}
		for _, l := range wrap(f.Scope+": "+strings.Join(f.Words(), " "), lineWidth-4) {
			fmt.Fprintln(w, "    "+l)
		}
	}
	if none == len(all) {
		fmt.Fprintln(w, "    no lasting fall of cadence or step length is shown")
	}
}

// faultsShown is how many faults are printed: a device that stutters makes
// hundreds, and they all say the same.
const faultsShown = 12

func firstFaults(all []Fault) (shown []Fault, more int) {
	n := min(len(all), faultsShown)
	return all[:n], len(all) - n
}

// section writes a titled list, nothing when it is empty.
func section[E any](w io.Writer, title string, list []E, entry func(E) (float64, string)) {
	if len(list) == 0 {
		return
	}
	fmt.Fprintf(w, "\n%s\n", title)
	for _, e := range list {
		t, text := entry(e)
		head := fmt.Sprintf("%*s  ", labelWidth, clock(t))
		for _, l := range wrap(plain(text), lineWidth-len(head)) {
			fmt.Fprintln(w, strings.TrimRight(head+l, " "))
			head = strings.Repeat(" ", len(head))
		}
	}
}

// wrap cuts s into lines of at most width characters, at spaces where it can.
func wrap(s string, width int) []string {
	r := []rune(s)
	var lines []string
	for len(r) > width {
		cut := width
		for i := width; i > width/2; i-- {
			if r[i] == ' ' {
				cut = i
				break
			}
		}
		lines = append(lines, string(r[:cut]))
		r = r[cut:]
		for len(r) > 0 && r[0] == ' ' {
			r = r[1:]
		}
	}
	return append(lines, string(r))
}

// plain makes stored text safe for a terminal: no control characters.
func plain(s string) string {
	return strings.Map(func(r rune) rune {
		if r == '\n' || r == '\t' {
			return ' '
		}
		if !unicode.IsPrint(r) {
			return '?'
		}
		return r
	}, s)
}

func orUnknown(s string) string {
	if s == "" {
		return "unknown"
	}
	return plain(s)
}
