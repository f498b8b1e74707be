package member

import (
	"bytes"
	"crypto/sha256"
	"crypto/tls"
	"encoding/hex"
	"errors"
	"strings"
)

// LeastPrint is how much of a certificate's fingerprint is needed, bytes: what
// remains cannot be met by trying.
const LeastPrint = 16

// trustMark comes before the fingerprint in an address. The slash ends the host for
// those who know nothing of it, as pages.
const trustMark = "/#trust="

// WithTrust adds to the address of a hub the fingerprint, SHA-256, by which its
// certificate is known, so that who learns the address from a leader can trust it.
func WithTrust(address string, print []byte) string {
	return strings.TrimRight(address, "/") + trustMark + hex.EncodeToString(print)
}

// trusted is the fingerprint in an address, nil when there is none.
func trusted(address string) []byte {
	_, digits, _ := strings.Cut(address, trustMark)
	print, err := hex.DecodeString(digits)
	if err != nil || len(print) < LeastPrint || len(print) > sha256.Size {
		return nil
	}
	return print
}

// Trusting accepts the certificate with that fingerprint, or its beginning, and no
// other.
func Trusting(print []byte) *tls.Config {
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
