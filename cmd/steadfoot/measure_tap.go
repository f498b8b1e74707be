package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"golang.org/x/term"

	"steadfoot/coach/measure"
)

// coneSD is how well a coach who taps along hits the moment at a cone, s (common
// practice, no source).
const coneSD = 0.15

// tapNow reads keys from the terminal as they are pressed.
func (o *measureOptions) tapNow(ctx context.Context, std stdio) (measure.Pass, error) {
	f, ok := std.in.(*os.File)
	if !ok || !isTerminal(f) {
		return measure.Pass{}, errors.New("--tap needs a terminal to tap on; --taps FILE reads taps noted before")
	}
	old, err := term.MakeRaw(int(f.Fd()))
	if err != nil {
		return measure.Pass{}, fmt.Errorf("the terminal gives no single keys: %w", err)
	}
	defer term.Restore(int(f.Fd()), old)
	fmt.Fprint(std.err, "Tap any key on each step, both feet; Enter as the walker passes the first cone,\r\nand again at the second. Ctrl-C gives up.\r\n")
	taps, cones, err := tapAlong(ctx, f, clockNow(), func(words string) { fmt.Fprint(std.err, words+"\r\n") })
	if err != nil {
		return measure.Pass{}, err
	}
	term.Restore(int(f.Fd()), old)
	return o.tapped(std, taps, cones)
}

// tapAlong reads keys until the second cone.
func tapAlong(ctx context.Context, keys io.Reader, clock func() float64, say func(string)) (taps, cones []float64, err error) {
	type key struct {
		t float64
		b byte
	}
	pressed := make(chan key)
	go func() {
		defer close(pressed)
		var b [16]byte
		for {
			// A key may send several bytes; it is one tap.
			if _, err := keys.Read(b[:]); err != nil {
				return
			}
			select {
			case pressed <- key{clock(), b[0]}:
			case <-ctx.Done():
				return
			}
		}
	}()
	for len(cones) < 2 {
		select {
		case k, open := <-pressed:
			switch {
			case !open, k.b == 3, k.b == 4: // Ctrl-C, Ctrl-D
				return nil, nil, errors.New("stopped before the second cone")
			case k.b == '\r' || k.b == '\n':
				cones = append(cones, k.t)
				say(fmt.Sprintf("Cone %d.", len(cones)))
			default:
				taps = append(taps, k.t)
			}
		case <-ctx.Done():
			return nil, nil, errors.New("stopped before the second cone")
		}
	}
	return taps, cones, nil
}

// tapped makes a pass of taps and tells how well they were tapped.
func (o *measureOptions) tapped(std stdio, taps, cones []float64) (measure.Pass, error) {
	p, t, err := measure.Taps(taps, cones[0], cones[1], o.length, o.sd, coneSD)
	if err != nil {
		return p, err
	}
	fmt.Fprintf(std.err, "%d taps: %d missed and %d doubled were mended; they scatter by %.0f ms.\n", len(taps), t.Missed, t.Doubled, 1000*t.Jitter)
	return p, nil
}

// maxTaps bounds what is read from a file.
const maxTaps = 100_000

// tapsNoted reads a file of taps.
func (o *measureOptions) tapsNoted(std stdio) (measure.Pass, error) {
	f, err := os.Open(o.taps)
	if err != nil {
		return measure.Pass{}, err
	}
	defer f.Close()
	taps, cones, err := readTaps(o.taps, f)
	if err != nil {
		return measure.Pass{}, err
	}
	return o.tapped(std, taps, cones)
}

// readTaps reads lines of seconds and "step" or "cone".
func readTaps(name string, r io.Reader) (taps, cones []float64, err error) {
	in := bufio.NewScanner(r)
	for n := 1; in.Scan(); n++ {
		line := strings.TrimSpace(in.Text())
		if line == "" || line[0] == '#' {
			continue
		}
		number, what, _ := strings.Cut(line, " ")
		t, err := strconv.ParseFloat(number, 64)
		what = strings.TrimSpace(what)
		switch {
		case err != nil || !(t >= 0 && t < 1e7) || what != "step" && what != "cone":
			return nil, nil, fmt.Errorf("%s:%d: want seconds and step or cone, like 12.34 step", name, n)
		case len(taps) == maxTaps:
			return nil, nil, fmt.Errorf("%s:%d: more than %d taps", name, n, maxTaps)
		case what == "cone":
			cones = append(cones, t)
		default:
			taps = append(taps, t)
		}
	}
	if err := in.Err(); errors.Is(err, bufio.ErrTooLong) {
		return nil, nil, fmt.Errorf("%s: a line is far too long; want seconds and step or cone, like 12.34 step", name)
	} else if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", name, err)
	}
	if len(cones) != 2 {
		return nil, nil, fmt.Errorf("%s: %d cones; want two, the first and the second", name, len(cones))
	}
	return taps, cones, nil
}
