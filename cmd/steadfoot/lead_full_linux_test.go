package main

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"steadfoot/coach/group"
)

// TestLeadOnFullDisk fills the disk while walks are stored: it is told once, the group
// goes on, and with room again all is stored; without, the leader ends all the same.
func TestLeadOnFullDisk(t *testing.T) {
	t.Parallel() // it waits most of the time
	for _, room := range []bool{true, false} {
		disk := t.TempDir()
		if err := syscall.Mount("none", disk, "tmpfs", 0, "size=1m"); err != nil {
			t.Skipf("no disk can be made to be filled (%v)", err)
		}
		t.Cleanup(func() { syscall.Unmount(disk, syscall.MNT_DETACH) })
		g := newStage(t)
		g.path = filepath.Join(disk, "log.db")
		g.store.path = g.path
		g.do(group.Command{Do: group.DoTarget, Cadence: 192})
		mira, jon := walkerNamed("a1", "Mira Tal"), walkerNamed("b2", "Jon Ash")
		for _, w := range []*toldWalker{mira, jon} {
			w.hears, w.cadence = group.HearsWalking, 192
		}
		g.until(720, mira, jon)
		filler := filepath.Join(disk, "filler")
		fillUp(t, filler)
		for i := 0; len(g.said) == 0; i++ {
			if i > 1500 { // 30 s
				t.Fatal("nothing is told of a full disk")
			}
			g.until(g.src.now+2, mira, jon)
			time.Sleep(20 * time.Millisecond)
		}
		g.until(g.src.now+40, mira, jon)
		if n := len(g.said); n != 1 || !strings.Contains(g.said[0], "the disk is full") || !strings.Contains(g.said[0], "The group goes on") {
			t.Errorf("told: %q", g.said)
		}
		if !room {
			g.store.end()
			if text := strings.Join(g.said, "\n"); !strings.Contains(text, "Not stored to the end: 2 of the walks; ") {
				t.Errorf("told: %q", g.said)
			}
			continue
		}
		if err := os.Remove(filler); err != nil {
			t.Fatal(err)
		}
		want := int(3.2 * (g.src.now - 700))
		all := g.stored()
		if len(all) != 2 || !all[0].Complete || all[0].Steps < want-20 || all[1].Steps < want-20 {
			t.Errorf("%d walks, want %d steps each\n%q", len(all), want, g.said)
		}
	}
}
