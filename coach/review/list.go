package review

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"steadfoot/coach/logbook"
)

// Widths of the columns of the list that are not numbers, in characters.
const (
	athleteWidth = 15
	labelText    = 16
)

// List writes a table of sessions, one a line, in the order given. It fits 80
// columns. In the last one 'cut' stands for cut short; a star behind the number
// says that the sound is kept.
func List(w io.Writer, sessions []logbook.Info) error {
	b := bufio.NewWriter(w)
	fmt.Fprintf(b, "%4s  %-16s  %8s  %6s  %-*s  %-*s  %s\n", "ID", "Started", "Duration", "Steps", athleteWidth, "Athlete", labelText, "Label", "End")
	kept := false
	for _, s := range sessions {
		end, sound := "", " "
		if !s.Complete {
			end = "cut"
		}
		if s.Sound > 0 {
			sound, kept = "*", true
		}
		line := fmt.Sprintf("%4d%s %s  %8s  %6d  %s  %s  %s", s.ID, sound, s.Started.Format("2006-01-02 15:04"),
			clock(s.Duration), s.Steps, fit(s.Athlete, athleteWidth), fit(s.Label, labelText), end)
		fmt.Fprintln(b, strings.TrimRight(line, " "))
	}
	if kept {
		fmt.Fprintln(b, "* its sound is kept; 'steadfoot log sound ID' says where")
	}
	return b.Flush()
}

// fit pads or cuts s to width characters; a cut is shown by two dots.
func fit(s string, width int) string {
	r := []rune(plain(s))
	if len(r) > width {
		return string(r[:width-2]) + ".."
	}
	return string(r) + strings.Repeat(" ", width-len(r))
}
