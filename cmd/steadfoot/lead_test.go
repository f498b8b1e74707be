package main

import (
	"crypto/tls"
	"errors"
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"steadfoot/coach/group"
)

func TestParseLead(t *testing.T) {
	read := func(name string) ([]byte, error) {
		if name == "a file.toml" {
			return []byte("text"), nil
		}
		return nil, errors.New("no such file")
	}
	for in, want := range map[string]leadLine{
		"target 192":          {cmd: group.Command{Do: group.DoTarget, Cadence: 192}},
		" Target  5:10 ":      {cmd: group.Command{Do: group.DoTarget, Pace: 310}},
		"+1":                  {cmd: group.Command{Do: group.DoShift, By: 1}},
		"-2":                  {cmd: group.Command{Do: group.DoShift, By: -2}},
		"session a file.toml": {cmd: group.Command{Do: group.DoSession, Session: "text"}},
		"start":               {cmd: group.Command{Do: group.DoStart}},
		"ready":               {cmd: group.Command{Do: group.DoSkip}},
		"BEAT OFF":            {cmd: group.Command{Do: group.DoBeatOff}},
		"group Seniors A":     {cmd: group.Command{Do: group.DoGroup, Group: "Seniors A"}, in: "Seniors A"},
		"in Seniors A":        {in: "Seniors A"},
		"who":                 {who: true},
		"take over":           {over: true},
		"?":                   {help: true},
		"":                    {},
	} {
		if got, err := parseLead(in, read); err != nil || got != want {
			t.Errorf("%q: %+v, %v", in, got, err)
		}
	}
	for in, want := range map[string]string{
		"target soon": "want a cadence", "target 5:99": "5:99", "session none": "no such file",
		"dance": "want target 192", "5": "want target 192", "stop now": "want target 192", "beat": "want target 192",
	} {
		if _, err := parseLead(in, read); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", in, err, want)
		}
	}
}

// FuzzParseLead: every line is a command that can be checked, or one line of error.
func FuzzParseLead(f *testing.F) {
	f.Add("target 5:10")
	f.Add("+9999999999999999999")
	f.Fuzz(func(t *testing.T, in string) {
		l, err := parseLead(in, func(string) ([]byte, error) { return nil, errors.New("none") })
		if err != nil {
			if strings.Contains(err.Error(), "\n") {
				t.Errorf("%q: %q", in, err)
			}
			return
		}
		_ = l.cmd.Check()
	})
}

func TestLeadSecrets(t *testing.T) {
	word, key := newWord(), newKey()
	if err := errors.Join(checkWord(word), checkKey(key)); err != nil {
		t.Error(err)
	}
	if word == newWord() || key == newKey() {
		t.Error("drawn twice")
	}
	for _, bad := range []string{"abc", "a b c d", "wo#rd", strings.Repeat("x", 41)} {
		if checkWord(bad) == nil {
			t.Errorf("word %q is taken", bad)
		}
	}
	if checkKey("elevenchars") == nil {
		t.Error("a short key is taken")
	}
}

func TestLeadAddresses(t *testing.T) {
	at := &net.TCPAddr{IP: net.IPv4(10, 0, 0, 2), Port: 8470}
	if hosts := hostsOf(at); len(hosts) != 1 || hosts[0] != "10.0.0.2" {
		t.Errorf("hosts %v", hosts)
	}
	if hosts := hostsOf(&net.TCPAddr{IP: net.IPv6unspecified, Port: 1}); hosts[len(hosts)-1] != "localhost" {
		t.Errorf("hosts %v", hosts)
	}
	whole := pageURL(true, "10.0.0.2", at, "/", "word", "a b")
	if whole != "https://10.0.0.2:8470/#word=a+b" {
		t.Error(whole)
	}
	if hub, word, err := parseLeader(whole); hub != "wss://10.0.0.2:8470" || word != "a b" || err != nil {
		t.Errorf("join reads it as %q, %q, %v", hub, word, err)
	}
	lines, err := qrLines(whole)
	if err != nil || len(lines) < 15 {
		t.Errorf("%d lines of the code, %v", len(lines), err)
	}
}

// TestOwnCert: the certificate is good for its hosts, kept, and made anew when
// another host is wanted or it is about to end; what join is told to trust is it.
func TestOwnCert(t *testing.T) {
	dir, now := t.TempDir(), time.Now()
	make := func(now time.Time, hosts ...string) *tls.Certificate {
		t.Helper()
		c, err := ownCert(dir, hosts, now)
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	a := make(now, "10.0.0.2", "track.local")
	if fingerprint(make(now, "10.0.0.2")) != fingerprint(a) {
		t.Error("it is made anew without need")
	}
	if !coversAll(a.Leaf, []string{"10.0.0.2", "track.local"}, now) || coversAll(a.Leaf, []string{"10.0.0.3"}, now) {
		t.Error("it is not good for its hosts, or for others")
	}
	if print, err := parseTrust(fingerprint(a)); err != nil || len(print) != leastPrint {
		t.Errorf("--trust takes %x, %v", print, err)
	}
	b := make(now, "10.0.0.3")
	if fingerprint(b) == fingerprint(a) || fingerprint(make(now.Add(ownCertLasts), "10.0.0.3")) == fingerprint(b) {
		t.Error("it is not made anew")
	}
	path := filepath.Join(dir, "lead-cert.pem")
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("%v, %v", info, err)
	}
	if err := os.WriteFile(path, []byte("no certificate"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := ownCert(dir, nil, now); err == nil || !strings.Contains(err.Error(), "move it away") {
		t.Errorf("a damaged one: %v", err)
	}
}

func TestBusAddress(t *testing.T) {
	for in, want := range map[string][4]string{
		"nats://a:1,nats://b:2":         {"nats://a:1,nats://b:2"},
		"nats://u:p@a:1,nats://u:p@b:2": {"nats://a:1,nats://b:2", "u", "p"},
		"tls://tok@a:1":                 {"tls://a:1", "", "", "tok"},
	} {
		o := busOptions{url: in}
		address, user, password, token := o.split()
		if got := [4]string{address, user, password, token}; got != want {
			t.Errorf("%s: %q", in, got)
		}
	}
}
