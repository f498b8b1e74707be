package main

import (
	"crypto/sha256"
	"encoding/hex"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"steadfoot/coach/group/member"
)

// TestTrust: the certificate with the fingerprint is accepted, another is not.
func TestTrust(t *testing.T) {
	s := httptest.NewTLSServer(http.NotFoundHandler())
	defer s.Close()
	s.Config.ErrorLog = nil
	sum := sha256.Sum256(s.Certificate().Raw)
	right := strings.ToUpper(hex.EncodeToString(sum[:16]))
	wrong := strings.Repeat("0A", 16)
	for text, ok := range map[string]bool{right: true, right[:4] + " " + right[4:] + " …": true, wrong: false} {
		print, err := parseTrust(text)
		if err != nil {
			t.Fatal(err)
		}
		c := http.Client{Transport: &http.Transport{TLSClientConfig: member.Trusting(print)}}
		r, err := c.Get(s.URL)
		if err == nil {
			r.Body.Close()
		}
		if ok != (err == nil) || !ok && !strings.Contains(err.Error(), "not the one that --trust names") {
			t.Errorf("%s: %v", text, err)
		}
	}
	for _, text := range []string{"", "0A1B", "zz", strings.Repeat("0A", 33)} {
		if _, err := parseTrust(text); err == nil {
			t.Errorf("%q is taken", text)
		}
	}
}
