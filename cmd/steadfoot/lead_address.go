package main

import (
	"fmt"
	"net"
	"net/netip"
	"net/url"
	"os"
	"strings"

	"rsc.io/qr"
)

// listenAt opens what lead listens on: this machine alone, unless the network or
// an address was asked for.
func listenAt(address string) (net.Listener, error) {
	l, err := net.Listen("tcp", address)
	if err != nil {
		return nil, fmt.Errorf("--listen %s: %w; another program may have it, or another lead: choose another port", address, err)
	}
	return l, nil
}

// hostsOf are the names by which others reach what listens at addr, the best one
// first.
func hostsOf(addr net.Addr) []string {
	at, err := netip.ParseAddrPort(addr.String())
	if err != nil {
		return []string{"localhost"}
	}
	if ip := at.Addr().Unmap(); !ip.IsUnspecified() {
		return []string{ip.String()}
	}
	var hosts, six []string
	faces, _ := net.Interfaces() // none found: this machine's name is left
	for _, f := range faces {
		if f.Flags&net.FlagUp == 0 || f.Flags&net.FlagLoopback != 0 {
			continue
		}
		addrs, _ := f.Addrs()
		for _, a := range addrs {
			p, err := netip.ParsePrefix(a.String())
			switch ip := p.Addr().Unmap(); {
			case err != nil || ip.IsLinkLocalUnicast():
			case ip.Is4():
				hosts = append(hosts, ip.String())
			default:
				six = append(six, ip.String())
			}
		}
	}
	hosts = append(hosts, six...)
	if name, err := os.Hostname(); err == nil {
		hosts = append(hosts, name)
	}
	return append(hosts, "localhost")
}

// pageURL is where a walker's page is, with the word of entry, and the board's
// with the key. Both are in the fragment, which no server or proxy sees.
func pageURL(tls bool, host string, addr net.Addr, path, what, secret string) string {
	scheme := "http"
	if tls {
		scheme = "https"
	}
	_, port, err := net.SplitHostPort(addr.String())
	if err != nil {
		port = "0"
	}
	u := url.URL{Scheme: scheme, Host: net.JoinHostPort(host, port), Path: path}
	if secret == "" {
		return u.String()
	}
	return u.String() + "#" + what + "=" + url.QueryEscape(secret)
}

// qrLines draws text as a QR code of half blocks, dark on light whatever the
// terminal's colours, with the margin of four that the standard (ISO/IEC 18004)
// asks for.
func qrLines(text string) ([]string, error) {
	code, err := qr.Encode(text, qr.M)
	if err != nil {
		return nil, err
	}
	const margin = 4
	var lines []string
	for y := -margin; y < code.Size+margin; y += 2 {
		var b strings.Builder
		b.WriteString("\x1b[30;107m")
		for x := -margin; x < code.Size+margin; x++ {
			switch up, down := code.Black(x, y), code.Black(x, y+1); {
			case up && down:
				b.WriteString("█")
			case up:
				b.WriteString("▀")
			case down:
				b.WriteString("▄")
			default:
				b.WriteString(" ")
			}
		}
		b.WriteString("\x1b[0m")
		lines = append(lines, b.String())
	}
	return lines, nil
}
