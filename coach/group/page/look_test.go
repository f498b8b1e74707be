package page

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"steadfoot/audio"
	"steadfoot/coach/group"
	"steadfoot/detect/made"
)

// Bounds of what can be read and hit outside, in the sun and while walking: the
// contrast is that of the W3C's guidelines (WCAG 2.2, 1.4.3), the size that of common
// practice for fingers, no source.
const (
	leastContrast = 4.5
	leastTarget   = 44 // pixels
	leastText     = 14 // pixels
)

// seen lists what of the page cannot be read or hit.
const seen = `((contrast, size, text) => {
  const parts = (c) => c.match(/[\d.]+/g).map(Number);
  const light = (c) => {
    const [r, g, b] = parts(c).map((x) => ((x /= 255) <= 0.04045 ? x / 12.92 : ((x + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const behind = (e) => {
    for (; e; e = e.parentElement) {
      const c = getComputedStyle(e).backgroundColor;
      if (parts(c)[3] !== 0) return c;
    }
    return 'rgb(255, 255, 255)';
  };
  const bad = new Set(), name = (e) => e.tagName.toLowerCase() + (e.id ? '#' + e.id : '') + (e.className ? '.' + e.className : '');
  let judged = 0;
  const judge = (e, style) => {
    const [a, b] = [light(style.color), light(behind(e))].sort((x, y) => y - x), is = (a + 0.05) / (b + 0.05);
    judged++;
    if (is < contrast) bad.add(name(e) + ' has a contrast of ' + is.toFixed(2));
    if (parseFloat(style.fontSize) < text) bad.add(name(e) + ' has text of ' + style.fontSize);
  };
  for (const e of document.body.querySelectorAll('*')) {
    if (!e.checkVisibility()) continue;
    if ([...e.childNodes].some((n) => n.nodeType === 3 && n.data.trim())) judge(e, getComputedStyle(e));
    if (e.placeholder) judge(e, { color: getComputedStyle(e, '::placeholder').color, fontSize: getComputedStyle(e).fontSize });
    if (!e.matches('button, input, select, textarea, summary, a, label.check') || e.closest('label.check') !== (e.matches('label.check') ? e : null)) continue;
    const { width, height } = e.getBoundingClientRect();
    judged++;
    if (Math.min(width, height) < size - 0.5) bad.add(name(e) + ' has ' + Math.round(width) + ' x ' + Math.round(height) + ' pixels');
  }
  const { scrollWidth, clientWidth } = document.documentElement;
  if (scrollWidth > clientWidth) bad.add('the page is ' + scrollWidth + ' pixels wide of ' + clientWidth);
  if (judged < 8) bad.add('only ' + judged + ' things are there');
  return [...bad];
})`

// looks judges the page in both themes, and takes a picture of each.
func looks(t *testing.T, tab context.Context, name string) {
	t.Helper()
	for _, theme := range []string{"light", "dark"} {
		paint(t, tab, theme)
		if theme == "dark" && ask[bool](t, tab, `getComputedStyle(document.body).backgroundColor === 'rgb(255, 255, 255)'`) {
			t.Errorf("%s is not dark", name)
		}
		for _, bad := range ask[[]string](t, tab, seen+fmt.Sprintf(`(%g, %d, %d)`, leastContrast, leastTarget, leastText)) {
			t.Errorf("%s, %s: %s", name, theme, bad)
		}
		shoot(t, tab, name+"-"+theme+".png")
	}
	paint(t, tab, "light")
}

func paint(t *testing.T, tab context.Context, theme string) {
	t.Helper()
	do(t, tab, chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		_, err := cdp.Call(ctx, target, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
			Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: theme}},
		})
		return err
	}))
}

// shoot takes a picture, where one is wanted: STEADFOOT_PAGES names the folder.
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

// phone is a phone of common size.
var phone = chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile, chromedp.EmulateTouch)

const session = `
name = "eight reps"

[[set]]

[[set.rep]]
times = 8
for = "2:00"
target = "186 steps/min"
recovery = "1:00"
`

// TestLooks: the pages at a phone's size can be read and hit, in both themes: joining,
// a rep with its target and countdown, what is open for listening and earbuds.
func TestLooks(t *testing.T) {
	t.Parallel()
	l := lead(t)
	w := made.Spec{Seed: 7, Duration: 30, Gait: made.Gait{Cadence: made.Steady(181), JitterCV: 1.5}}.Walk()
	wav := filepath.Join(t.TempDir(), "walk.wav")
	writeWAV(t, wav, w.Samples, audio.S16)
	ctx := browse(t, wav)
	do(t, ctx, phone, chromedp.Navigate("http://"+l.addr+"/#word=heel"), until(`window.steadfoot && document.getElementById('word').value === 'heel'`))
	looks(t, ctx, "join")
	do(t, ctx, joins(l, "Mira Tal"))
	looks(t, ctx, "waiting")
	l.command(group.Command{Do: group.DoSession, Group: "Harrow Vale", Session: session})
	l.command(group.Command{Do: group.DoStart, Group: "Harrow Vale"})
	do(t, ctx, until(`document.getElementById('part').textContent.startsWith('Rep 1') && document.getElementById('countdown').textContent !== ''`))
	looks(t, ctx, "rep")
	do(t, ctx, script(`document.getElementById('listen-sound').click()`), until(`steadfoot.status().hears === 'walking' && steadfoot.status().n > 8`))
	do(t, ctx, until(`document.getElementById('cadence').textContent !== '–'`))
	looks(t, ctx, "listening")
	do(t, ctx, script(`document.getElementById('listen').click(); document.getElementById('adjust').click();
    document.getElementById('tap').hidden = false; scrollTo(0, 1e6)`))
	looks(t, ctx, "open")
}
