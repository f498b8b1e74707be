package main

import (
	"bufio"
	"bytes"
	"io"

	"steadfoot/audio/sensor"
	"steadfoot/audio/sensor/rsc"
	"steadfoot/cmd/steadfoot/live"
	"steadfoot/coach"
)

// podInput is a stream of a foot pod's packets.
type podInput struct {
	packets *rsc.Reader
	unit    rsc.Unit
	ear     *live.RSCEar
}

func openPod(name string, r io.Reader, o inputOptions) (*input, error) {
	packets, err := rsc.NewReader(name, r)
	if err != nil {
		return nil, err
	}
	u := rsc.Unit(o.rscUnit)
	return &input{pod: &podInput{packets, u, live.NewRSCEar(packets, u)}}, nil
}

// looksLikeRows tells by its first bytes whether an input is rows or packets.
func looksLikeRows(head []byte) bool { return sensor.Looks(head) || rsc.Looks(head) }

// longestHead is how far the first line that says something may lie behind
// comments, in bytes.
const longestHead = 64 << 10

// firstLine looks at the first line of r that is neither empty nor a comment,
// and waits for no more than that.
func firstLine(r *bufio.Reader) []byte {
	for n := max(1, r.Buffered()); ; n = r.Buffered() + 1 {
		head, err := r.Peek(n)
		rest := bytes.TrimPrefix(head, []byte("\uFEFF"))
		for {
			line, after, whole := bytes.Cut(rest, []byte{'\n'})
			if !whole && err == nil {
				break // wait for its end
			}
			if line = bytes.TrimSpace(line); len(line) > 0 && line[0] != '#' || !whole {
				return line
			}
			rest = after
		}
	}
}

// leadOfPod is how far ahead of a live foot pod sound is made, s: it says
// something once a second, and may be half a second late.
const leadOfPod = 1.65

// waitForPod has a walk wait longer between what it hears and what it says when
// it hears a live foot pod.
func (g *gear) waitForPod(o walkOptions, w *live.Walk, set *coach.Settings) (err error) {
	if g.in == nil || g.in.pod == nil || o.in != "-" {
		return nil
	}
	set.Policy.Lead += leadOfPod - w.Lead
	w.Lead = leadOfPod
	w.Coach, err = coach.New(*set)
	return err
}
