package page

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"encoding/base64"
	"fmt"
	"math/big"
	"net"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"steadfoot/audio"
	"steadfoot/coach/group"
)

// selfMade is a certificate that vouches for itself, and the hash by which Chromium is
// told to take it, as a person does by a tap.
func selfMade(t *testing.T, host string) (config *tls.Config, hash string) {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	c := x509.Certificate{
		SerialNumber: big.NewInt(1), DNSNames: []string{host}, NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour),
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
	}
	der, err := x509.CreateCertificate(rand.Reader, &c, &c, &key.PublicKey, key)
	if err != nil {
		t.Fatal(err)
	}
	public, err := x509.MarshalPKIXPublicKey(&key.PublicKey)
	if err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256(public)
	return &tls.Config{Certificates: []tls.Certificate{{Certificate: [][]byte{der}, PrivateKey: key}}}, base64.StdEncoding.EncodeToString(sum[:])
}

// TestSecure: a page from another machine plays the beat without TLS and says what it
// cannot do then; with TLS it listens, feels, keeps the screen on and is kept for a
// reload. The address is one that no browser trusts by itself, as the loopback's.
func TestSecure(t *testing.T) {
	t.Parallel()
	const host = "track.test"
	w, _ := walk(t, 30)
	wav := filepath.Join(t.TempDir(), "walk.wav")
	writeWAV(t, wav, w.Samples, audio.S16)
	config, hash := selfMade(t, host)
	ctx := browseWith(t, wav, map[string]any{"host-resolver-rules": "MAP " + host + " 127.0.0.1", "ignore-certificate-errors-spki-list": hash})
	site := func(l *leader, scheme string) string {
		_, port, err := net.SplitHostPort(l.addr)
		if err != nil {
			t.Fatal(err)
		}
		return scheme + "://" + net.JoinHostPort(host, port)
	}

	plain := lead(t)
	do(t, ctx, joinsAt(site(plain, "http"), "Mira Tal"))
	plain.command(group.Command{Do: group.DoTarget, Group: "Harrow Vale", Cadence: 188})
	do(t, ctx, until(`steadfoot.map?.state === 'walking'`), script(listened), until(`window.loud > 0.05`)) // a click at volume 40
	for what, js := range map[string]string{
		"the screen":     `document.getElementById('awake').textContent.startsWith('Without TLS')`,
		"what is not so": `!document.getElementById('insecure').hidden && document.getElementById('insecure').textContent.includes('lead --tls')`,
		"the microphone": `(document.getElementById('listen-sound').click(), document.getElementById('listen-words').textContent.includes('lead --tls'))`,
		"the movement":   `(document.getElementById('listen-motion').click(), document.getElementById('listen-words').textContent.includes('lead --tls'))`,
	} {
		if !ask[bool](t, ctx, js) {
			t.Errorf("without TLS the page does not tell of %s", what)
		}
	}

	safe := newLeader(t)
	safe.tls = config
	safe.conductNew()
	safe.start()
	do(t, ctx, joinsAt(site(safe, "https"), "Mira Tal"))
	safe.command(group.Command{Do: group.DoTarget, Group: "Harrow Vale", Cadence: 188})
	do(t, ctx, until(`steadfoot.map?.state === 'walking'`))
	for what, js := range map[string]string{
		"a safe page":       `isSecureContext && document.getElementById('insecure').hidden`,
		"a safe connection": `steadfoot.link.hub.startsWith('wss://` + host + `:')`,
		"movement":          `'DeviceMotionEvent' in window`,
		"the screen on":     `'wakeLock' in navigator && document.getElementById('awake').textContent === ''`,
		"pages that stay":   `navigator.serviceWorker.ready.then((r) => Boolean(r.active))`,
	} {
		if !ask[bool](t, ctx, js) {
			t.Errorf("with TLS there is not %s", what)
		}
	}
	// The walker has not agreed: how they fare is told, no step is.
	do(t, ctx, script(watched), script(`document.getElementById('listen-sound').click()`),
		until(`steadfoot.status().hears === 'walking' && steadfoot.status().n > 8 && Math.abs(steadfoot.status().cadence - 188) < 1.5`),
		until(`sent.filter((m) => m.cadence).length > 8`))
	if n := ask[int](t, ctx, `sent.filter((m) => m.kind === 'steps').length`); n > 0 {
		t.Errorf("steps are sent %d times without consent", n)
	}
	cadenceOnBoard(t, safe, 188)
}

// listened notes the loudest that is played, where there is no worklet.
const listened = `(() => {
  const ear = new AnalyserNode(steadfoot.ctx), x = new Float32Array(ear.fftSize);
  steadfoot.sound.out.connect(ear);
  window.loud = 0;
  setInterval(() => { ear.getFloatTimeDomainData(x); loud = Math.max(loud, ...x); }, 10);
})()`

// TestAwake: the screen is kept on while the page is seen: asked for at once, and
// again when the phone let go of it and the page is seen again.
func TestAwake(t *testing.T) {
	t.Parallel()
	l := lead(t)
	ctx := browse(t, "")
	do(t, ctx, chromedp.Navigate("http://"+l.addr+"/"), until(`window.steadfoot`), script(`(() => {
    window.locks = [];
    const request = navigator.wakeLock.request;
    navigator.wakeLock.request = async (kind) => { const l = await request.call(navigator.wakeLock, kind); locks.push(l); return l; };
  })()`), rejoins("Mira Tal"), until(`locks.length === 1 && locks[0].type === 'screen' && !locks[0].released`))
	do(t, ctx, script(lock), script(`locks[0].release()`), script(unlock), until(`locks.length === 2 && !locks[1].released`))
	if n := ask[int](t, ctx, `(document.dispatchEvent(new Event('visibilitychange')), locks.length)`); n != 2 {
		t.Error(fmt.Sprint("a screen that is on is asked for again: ", n))
	}
}
