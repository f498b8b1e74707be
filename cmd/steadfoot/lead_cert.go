package main

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// ownCertLasts is how long a self-made certificate is good for; phones refuse
// what lasts longer than 825 days (common practice, no source).
const ownCertLasts = 800 * 24 * time.Hour

// userCert reads the certificate a user gave.
func userCert(cert, key string) (*tls.Certificate, error) {
	c, err := keyPair(cert, key)
	if err != nil {
		return nil, fmt.Errorf("--tls-cert %s, --tls-key %s: %w", cert, key, err)
	}
	return &c, nil
}

// keyPair reads a certificate and its key, which may be in one file.
func keyPair(cert, key string) (tls.Certificate, error) {
	c, err := readAtMost(cert, mostPEM, "certificate")
	if err != nil {
		return tls.Certificate{}, err
	}
	k, err := readAtMost(key, mostPEM, "key")
	if err != nil {
		return tls.Certificate{}, err
	}
	return tls.X509KeyPair(c, k)
}

// ownCert is the self-made certificate for the hosts, kept in dir so that phones
// which have accepted it go on doing so.
func ownCert(dir string, hosts []string, now time.Time) (*tls.Certificate, error) {
	path := filepath.Join(dir, "lead-cert.pem")
	if c, err := keyPair(path, path); err == nil && coversAll(c.Leaf, hosts, now) {
		return &c, nil
	} else if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%s: %w; move it away and a new one is made", path, err)
	}
	pemBytes, err := makeCert(hosts, now)
	if err != nil {
		return nil, err
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, err
	}
	if err := os.WriteFile(path, pemBytes, 0o600); err != nil {
		return nil, err
	}
	c, err := tls.X509KeyPair(pemBytes, pemBytes)
	return &c, err
}

func coversAll(leaf *x509.Certificate, hosts []string, now time.Time) bool {
	if leaf == nil || now.Before(leaf.NotBefore) || now.Add(24*time.Hour).After(leaf.NotAfter) {
		return false
	}
	return !slices.ContainsFunc(hosts, func(h string) bool { return leaf.VerifyHostname(h) != nil })
}

// makeCert makes a certificate that vouches for itself, with its key.
func makeCert(hosts []string, now time.Time) ([]byte, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	serial, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 120))
	if err != nil {
		return nil, err
	}
	t := x509.Certificate{
		SerialNumber: serial, Subject: pkix.Name{CommonName: "steadfoot group leader"},
		NotBefore: now.Add(-time.Hour), NotAfter: now.Add(ownCertLasts),
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		BasicConstraintsValid: true,
	}
	for _, h := range hosts {
		if ip := net.ParseIP(h); ip != nil {
			t.IPAddresses = append(t.IPAddresses, ip)
		} else {
			t.DNSNames = append(t.DNSNames, h)
		}
	}
	der, err := x509.CreateCertificate(rand.Reader, &t, &t, &key.PublicKey, key)
	if err != nil {
		return nil, err
	}
	keyDER, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return nil, err
	}
	return append(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}),
		pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: keyDER})...), nil
}

// fingerprint is what a phone shows of a certificate, to compare.
func fingerprint(c *tls.Certificate) string {
	sum := sha256.Sum256(c.Certificate[0])
	parts := make([]string, 8)
	for i := range parts {
		parts[i] = fmt.Sprintf("%02X%02X", sum[2*i], sum[2*i+1])
	}
	return strings.Join(parts, " ") + " …"
}
