package main

import (
	"context"
	"fmt"
	"io"
	"strings"
	"sync"

	"steadfoot/coach"
	"steadfoot/coach/group"
)

// leadView tells the leader what happens, line by line.
type leadView struct {
	mu   sync.Mutex
	w    io.Writer
	told map[string]string // by group
}

// say tells one line.
func (v *leadView) say(line string) {
	v.mu.Lock()
	defer v.mu.Unlock()
	fmt.Fprintln(v.w, printable(line))
}

// follow tells of every group what it is doing, when that changes.
func (v *leadView) follow(ctx context.Context, src group.Source) {
	v.told = map[string]string{}
	for {
		changed := src.Changed()
		maps := src.Maps()
		for _, m := range maps {
			text := doing(m)
			if v.told[m.Group] == text {
				continue
			}
			v.told[m.Group] = text
			if len(maps) > 1 {
				text = m.Group + ": " + text
			}
			v.say(text)
		}
		select {
		case <-changed:
		case <-ctx.Done():
			return
		}
	}
}

// doing says in one line what a group does.
func doing(m group.Map) string {
	var parts []string
	switch {
	case m.State == group.Waiting && m.Session != "":
		return fmt.Sprintf("%q is ready; start begins it", m.Session)
	case m.State == group.Waiting:
		return "waiting for a target or a session"
	case m.State == group.Ended:
		return "ended"
	case m.State == group.Paused:
		parts = append(parts, "paused")
	}
	if m.Session != "" {
		parts = append(parts, m.Part.Title())
	}
	if m.Target.Cadence > 0 {
		t := fmt.Sprintf("%.4g steps/min", m.Target.Cadence)
		if m.Target.Pace > 0 {
			t += ", " + coach.FormatPace(m.Target.Pace) + " /km"
		}
		parts = append(parts, t)
	} else {
		parts = append(parts, "free")
	}
	return strings.Join(parts, ", ")
}
