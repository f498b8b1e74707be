package main

import (
	"bytes"
	"crypto/sha256"
	"crypto/tls"
	"encoding/hex"
	"errors"
	"strings"
)

// leastPrint is how much of a fingerprint is needed, bytes: all that lead prints.
const leastPrint = 16

// parseTrust reads a fingerprint as lead prints that of a certificate it made, or
// more of it.
func parseTrust(s string) ([]byte, error) {
	digits := strings.NewReplacer(" ", "", ":", "", "…", "").Replace(s)
	print, err := hex.DecodeString(digits)
	if err != nil || len(print) < leastPrint || len(print) > sha256.Size {
		return nil, usagef("--trust %.80q: want the fingerprint that lead prints, like \"0A1B 2C3D …\", %d to %d hex digits", s, 2*leastPrint, 2*sha256.Size)
	}
	return print, nil
}

// trusting accepts the certificate with that fingerprint and no other.
func trusting(print []byte) *tls.Config {
	return &tls.Config{
		MinVersion:         tls.VersionTLS12,
		InsecureSkipVerify: true, // by the chain; it is verified by its fingerprint
		VerifyConnection: func(s tls.ConnectionState) error {
			if len(s.PeerCertificates) > 0 {
				sum := sha256.Sum256(s.PeerCertificates[0].Raw)
				if bytes.HasPrefix(sum[:], print) {
					return nil
				}
			}
			return errors.New("the leader's certificate is not the one that --trust names")
		},
	}
}
