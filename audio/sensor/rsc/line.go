package rsc

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strconv"
)

// parseTime reads a time in s.
func parseTime(b []byte) (float64, error) {
	t, err := strconv.ParseFloat(string(bytes.TrimSpace(b)), 64)
	if err != nil || math.IsNaN(t) || math.IsInf(t, 0) {
		return 0, fmt.Errorf("%.20q is not a time in seconds", b)
	}
	return t, nil
}

// parse reads a line of CSV as l says.
func (l layout) parse(line []byte, r *raw) (err error) {
	time, packet, err := l.split(line)
	if err != nil {
		return err
	}
	if r.timed = l.time >= 0; r.timed {
		if r.t, err = parseTime(time); err != nil {
			return err
		}
	}
	r.packet, err = appendHex(r.packet[:0], packet)
	return err
}

// parseJSON reads a line as an object.
func parseJSON(line []byte, r *raw) (err error) {
	var o struct {
		T   *float64 `json:"t"`
		TS  *float64 `json:"t_s"`
		RSC *string  `json:"rsc"`
	}
	err = json.Unmarshal(line, &o)
	var syntax *json.SyntaxError
	switch {
	case errors.As(err, &syntax):
		return fmt.Errorf("not a JSON object: %w", err)
	case err != nil:
		return errors.New(`want "t" as a number of seconds and "rsc" as a string in hex`)
	case o.RSC == nil:
		return fmt.Errorf("no key %q", column)
	}
	if o.T == nil {
		o.T = o.TS
	}
	if r.timed = o.T != nil; r.timed {
		r.t = *o.T
	}
	r.packet, err = appendHex(r.packet[:0], []byte(*o.RSC))
	return err
}

// appendHex appends the bytes written in text to dst.
func appendHex(dst, text []byte) ([]byte, error) {
	text = bytes.TrimSpace(text)
	for i := 0; i < len(text); i += 2 {
		if i > 0 && isBetween(text[i]) {
			i++
		}
		if i+1 >= len(text) {
			return dst, fmt.Errorf("%.20q: half a byte at the end", text)
		}
		hi, ok1 := nibble(text[i])
		lo, ok2 := nibble(text[i+1])
		if !ok1 || !ok2 {
			return dst, fmt.Errorf("%.20q is not a byte in hex", text[i:i+2])
		}
		dst = append(dst, hi<<4|lo)
	}
	return dst, nil
}

func isBetween(c byte) bool { return c == ' ' || c == ':' || c == '-' }

func nibble(c byte) (v byte, ok bool) {
	switch {
	case '0' <= c && c <= '9':
		return c - '0', true
	case 'a' <= c && c <= 'f':
		return c - 'a' + 10, true
	case 'A' <= c && c <= 'F':
		return c - 'A' + 10, true
	}
	return 0, false
}
