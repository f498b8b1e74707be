package main

import (
	"crypto/sha256"
	"encoding/hex"
	"strings"

	"steadfoot/coach/group/member"
)

// leastPrint is how much of a fingerprint is needed, bytes: all that lead prints.
const leastPrint = member.LeastPrint

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
