package page

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/coder/websocket"

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
	fresh(t, ctx)
	seats(t, ctx, l)

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
	cut := ask[[]string](t, ctx, `[...document.querySelectorAll('.rows .words, .rows .met, .rows .figure')].filter((e) => e.scrollWidth > e.clientWidth || e.clientHeight > 30).map((e) => e.textContent)`)
	if len(cut) > 0 {
		t.Errorf("cut off, or in two lines: %q", cut)
	}
	shoot(t, ctx, "board.png")
	paint(t, ctx, "dark")
	shoot(t, ctx, "board-dark.png")
	do(t, ctx, phone)
	looks(t, ctx, "board-phone")
	do(t, ctx, script(`document.getElementById('to-groups').click()`))
	looks(t, ctx, "board-phone-groups")
	do(t, ctx, script(`[...document.querySelectorAll('summary')].slice(0, 2).forEach((e) => e.click())`))
	looks(t, ctx, "board-phone-open")
	do(t, ctx, script(`scrollTo(0, 0); document.querySelector('#need button').click()`))
	looks(t, ctx, "board-phone-walker")
	do(t, ctx, until(`document.getElementById('link').textContent.startsWith('no news')`))
}

// fresh: a board comes each half second. With what is in TestListen of a walker's
// reports, nothing on it is more than a second old.
func fresh(t *testing.T, ctx context.Context) {
	t.Helper()
	gaps := ask[[]float64](t, ctx, `(async () => {
    const seen = [steadfoot.board.now];
    while (seen.length < 16) {
      await new Promise((done) => setTimeout(done, 10));
      if (steadfoot.board.now !== seen.at(-1)) seen.push(steadfoot.board.now);
    }
    return seen.slice(1).map((t, i) => t - seen[i]);
  })()`)
	t.Logf("a board comes each %.2f s, %.2f s at most", median(gaps), largest(gaps))
	if m := median(gaps); m > 0.55 {
		t.Errorf("a board comes each %.2f s", m)
	}
}

// names are what walkers may call themselves, and how a board shows that.
var names = map[string]string{
	`<script>window.hurt = 1</script>`:     `<script>window.hurt = 1</script>`,
	"\u202eMira\u0007 \u001b[31mTal\u2066": "Mira [31mTal",
	"דנה":                                  "דנה",
	strings.Repeat("Wilhelmina ", 20):      "Wilhelmina Wilhelmina Wilhelmina Wilhelm",
}

// seats: walkers are shown by their names as text, moved to another group, and sent
// away.
func seats(t *testing.T, ctx context.Context, l *leader) {
	t.Helper()
	for name := range names {
		c, _, err := websocket.Dial(ctx, "ws://"+l.addr+"/member", nil)
		if err != nil {
			t.Fatal(err)
		}
		defer c.CloseNow()
		b, _ := json.Marshal(group.Join{Kind: group.KindJoin, Version: group.Version, Word: "heel", Name: name})
		if err := c.Write(ctx, websocket.MessageText, b); err != nil {
			t.Fatal(err)
		}
		if name == "דנה" {
			defer sentAway(t, ctx, c)
		}
	}
	do(t, ctx, until(`document.querySelectorAll('.rows .name').length === 4`))
	shown := ask[[]string](t, ctx, `[...document.querySelectorAll('.rows .name')].map((e) => e.textContent)`)
	for name, want := range names {
		if !slices.Contains(shown, want) {
			t.Errorf("%.40q is shown as one of %q", name, shown)
		}
	}
	row := `[...document.querySelectorAll('.rows button')].find((b) => b.textContent.startsWith('דנה'))`
	of := func() (w group.Walker) {
		for _, w = range l.hub.Walkers() {
			if w.Name == "דנה" {
				return w
			}
		}
		return group.Walker{}
	}
	do(t, ctx, script(`document.getElementById('group-name').value = 'Juniors'; document.getElementById('new-group').requestSubmit()`),
		until(`document.querySelectorAll('.group').length === 2`), script(row+`.click()`),
		script(`document.getElementById('walker-group').value = 'Juniors'; document.getElementById('walker-move').click()`),
		until(row+`.textContent.includes('Juniors')`))
	if g := of().Group; g != "Juniors" {
		t.Errorf("after the move the walker is in %q", g)
	}
	do(t, ctx, script(`window.confirm = () => false`), script(row+`.click()`), script(`document.getElementById('walker-remove').click()`))
	if ask[bool](t, ctx, `!document.getElementById('walker').open`) || of().Name == "" {
		t.Error("a walker is sent away without being asked about")
	}
	do(t, ctx, script(`window.confirm = () => true; document.getElementById('walker-remove').click()`), until(`!(`+row+`)`))
	if of().Name != "" {
		t.Error("a walker who was sent away is there")
	}
}

// sentAway reads until the coach has ended the walker's part.
func sentAway(t *testing.T, ctx context.Context, c *websocket.Conn) {
	t.Helper()
	for {
		_, b, err := c.Read(ctx)
		if err != nil {
			t.Errorf("the walker is not told: %v", err)
			return
		}
		m, _ := group.DecodeHub(b)
		if s, ok := m.(group.Sorry); ok && s.Code == group.SorryRemoved {
			return
		}
	}
}
