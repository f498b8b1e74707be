package page

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"

	"steadfoot/coach"
	"steadfoot/coach/event"
	"steadfoot/coach/group"
)

// crowd is a board with 200 walkers in three groups.
func crowd() group.Board {
	b := group.Board{Kind: group.KindBoard, Now: 700, Leads: true}
	for i, name := range []string{"Seniors", "Juniors", "Masters"} {
		c := 178 + 8*float64(i)
		b.Groups = append(b.Groups, group.Map{
			Group: name, Term: 1, Seq: 4, State: group.Walking, Session: "8 x 400 m", Choice: coach.BeatChoice{On: true},
			Beat: []event.Beat{{Start: 600, Period: 60 / c}}, Target: event.Target{T: 600, Cadence: c, Low: c - 4, High: c + 4},
			Part: event.Part{N: 5, Role: event.RoleRep, Rep: 3, Of: 8, Length: 400}, Next: event.Part{N: 6, Role: event.RoleRecovery, Duration: 60}, Ends: 740,
		})
	}
	names := []string{"Mira Tal", "Jon Ash", "Ilse Brandt-Oduya", "Wu Chen", "Ana Ferro", "Tom Reed"}
	for i := range 200 {
		g := b.Groups[i%3]
		s := group.Status{At: 699, Hears: group.HearsWalking, Cadence: g.Target.Cadence + float64(i%7) - 3, SD: 0.4, Off: float64(i*7%60) - 35, R: 0.94, N: 20, Clock: 1.2}
		w := group.Walker{ID: fmt.Sprint("w", i), Name: fmt.Sprintf("%s %d", names[i%len(names)], i), Group: g.Group, Here: true, Seen: 699.5, Agreed: i%2 == 0}
		switch i % 29 {
		case 3:
			s.Cadence, w.Faded = g.Target.Cadence-6.5, 660
		case 9:
			s = group.Status{Hears: group.HearsDeaf}
		case 13:
			w.Here, w.Seen = false, 612
		case 17:
			s = group.Status{Hears: group.HearsNothing}
		case 21:
			s.Off, s.R = -88, 0.81
		case 25:
			s.Cadence = g.Target.Cadence + 7
		}
		w.Last = s
		b.Walkers = append(b.Walkers, w)
	}
	b.Walkers[20].Name = `<img src=x onerror="window.hurt=1">`
	return b
}

// TestBoard: the key opens it, commands are done, and it shows 200 walkers in order of
// need, names as text. STEADFOOT_PAGES names a folder for pictures of it.
func TestBoard(t *testing.T) {
	t.Parallel()
	l := lead(t)
	ctx := browse(t, "")
	do(t, ctx, chromedp.EmulateViewport(1440, 900), chromedp.Navigate("http://"+l.addr+"/board#key=a-long-key"),
		until(`document.querySelectorAll('.group').length === 1`))
	if url := ask[string](t, ctx, `location.href`); url != "http://"+l.addr+"/board" {
		t.Errorf("the address is left as %s", url)
	}
	do(t, ctx, script(`document.querySelector('.group input[type=number]').value = 186; document.querySelector('.group form').requestSubmit()`),
		until(`document.querySelector('.group h3 b').textContent === '186'`))
	if m := l.src.Maps()[0]; m.State != group.Walking || m.Target.Cadence != 186 {
		t.Errorf("after the command the group is %s at %v", m.State, m.Target.Cadence)
	}
	do(t, ctx, script(`document.querySelector('.group form').querySelector('input').value = 186; [...document.querySelectorAll('.group button')].find((b) => b.textContent === 'Take up this session').click()`),
		until(`document.getElementById('done').textContent.includes('stop it first')`))
	if age := ask[float64](t, ctx, `steadfoot.board.now`); l.now()-age > 1 {
		t.Errorf("the board is %.1f s old", l.now()-age)
	}

	all, err := json.Marshal(crowd())
	if err != nil {
		t.Fatal(err)
	}
	do(t, ctx, script(`steadfoot.link.close(); steadfoot.show(`+string(all)+`)`))
	first := ask[[]string](t, ctx, `[...document.querySelectorAll('#need .words')].map((e) => e.textContent)`)
	if n := ask[int](t, ctx, `document.querySelectorAll('.rows li').length`); n != 200 || len(first) < 30 || len(first) > 40 {
		t.Errorf("%d rows, %d who need the coach", n, len(first))
	}
	if ask[bool](t, ctx, `window.hurt === 1 || document.querySelector('.rows img') !== null`) {
		t.Error("a name became part of the page")
	}
	shoot(t, ctx, "board.png")
	do(t, ctx, chromedp.EmulateViewport(390, 844))
	if wide := ask[int](t, ctx, `document.documentElement.scrollWidth`); wide > 390 {
		t.Errorf("the board is %d pixels wide on a phone of 390", wide)
	}
	shoot(t, ctx, "board-phone.png")
	do(t, ctx, until(`document.getElementById('link').textContent.startsWith('no news')`))

	do(t, ctx, joins(l, "Mira Tal"), until(`document.getElementById('target').textContent === '186'`))
	shoot(t, ctx, "walker.png")
	if wide := ask[int](t, ctx, `document.documentElement.scrollWidth`); wide > 390 {
		t.Errorf("the walker's page is %d pixels wide on a phone of 390", wide)
	}
}

// shoot takes a picture, where one is wanted.
func shoot(t *testing.T, tab context.Context, name string) {
	t.Helper()
	dir := os.Getenv("STEADFOOT_PAGES")
	if dir == "" {
		return
	}
	b, err := chromedp.Run(tab, chromedp.CaptureScreenshot())
	if err == nil {
		err = os.WriteFile(filepath.Join(dir, name), b, 0o644)
	}
	if err != nil {
		t.Error(err)
	}
}
