package main

import (
	"fmt"
	"io"
	"math"
	"text/tabwriter"
)

// bar is something that must hold: a number between two limits.
type bar struct {
	what   string
	unit   string
	got    float64 // NaN: not measured in this run
	lo, hi float64 // infinite: no limit on this side

	full  bool   // only the full run judges it: the short one's walks are too few for it, or miss it yet
	needs string // without which it cannot be measured; "": the full run must measure it
}

// missed is by how much the number is outside its limits; 0 when it is inside.
func (b bar) missed() float64 { return max(b.lo-b.got, b.got-b.hi, 0) }

// The verdicts on a bar. Only fails fails the run.
const (
	held      = "held"
	fails     = "FAIL"
	missed    = "missed (full bar)" // in the short run, which does not judge it
	unknown   = "not measured"
	neverSaid = "it did not always happen"
)

func (b bar) verdict(short bool) string {
	switch {
	case math.IsNaN(b.got) && (short || b.needs != ""):
		return unknown
	case math.IsNaN(b.got): // a bar that nothing was measured for is not held
		return fails
	case b.missed() == 0:
		return held
	case short && b.full:
		return missed
	}
	return fails
}

func (b bar) limits() string {
	switch {
	case math.IsInf(b.hi, 1):
		return fmt.Sprintf("at least %g", b.lo)
	case math.IsInf(b.lo, -1):
		return fmt.Sprintf("at most %g", b.hi)
	}
	return fmt.Sprintf("%g to %g", b.lo, b.hi)
}

// figure is what was measured.
func (b bar) figure() string {
	if math.IsNaN(b.got) || b.unit == "" {
		return cell(b.got, 3)
	}
	return cell(b.got, 3) + " " + b.unit
}

// by says how much is missing.
func (b bar) by() string {
	switch d := b.missed(); {
	case math.IsNaN(b.got):
		return b.needs
	case math.IsInf(d, 0):
		return neverSaid
	case d > 0:
		return "by " + cell(d, 3)
	}
	return ""
}

// judge gathers bars.
type judge struct{ bars []bar }

// detail sets a bar apart from the others.
type detail func(*bar)

// inFull is for bars that only the full run judges.
func inFull(b *bar) { b.full = true }

// with names what a bar cannot be measured without.
func with(needs string) detail { return func(b *bar) { b.needs = needs } }

func (j *judge) least(lo, got float64, unit, what string, d ...detail) {
	j.between(lo, math.Inf(1), got, unit, what, d...)
}

func (j *judge) most(hi, got float64, unit, what string, d ...detail) {
	j.between(math.Inf(-1), hi, got, unit, what, d...)
}

func (j *judge) between(lo, hi, got float64, unit, what string, d ...detail) {
	b := bar{what: what, unit: unit, got: got, lo: lo, hi: hi}
	for _, set := range d {
		set(&b)
	}
	j.bars = append(j.bars, b)
}

// printBars prints every bar, and the verdict.
func printBars(out io.Writer, all []bar, short bool) (passed bool) {
	fmt.Fprintf(out, "\nBars\n\n")
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	n := make(map[string]int)
	for _, b := range all {
		v := b.verdict(short)
		n[v]++
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\n", v, b.what, b.limits(), b.figure(), b.by())
	}
	w.Flush()
	rest := ""
	if n[missed] > 0 {
		rest += fmt.Sprintf("; %d missed that only the full run judges", n[missed])
	}
	if n[unknown] > 0 {
		rest += fmt.Sprintf("; %d not measured", n[unknown])
	}
	if n[fails] > 0 {
		fmt.Fprintf(out, "\nfail: %d of %d bars missed%s\n", n[fails], len(all), rest)
		return false
	}
	fmt.Fprintf(out, "\npass: %d bars held%s\n", n[held], rest)
	return true
}

// cell is a number for a table: "-" where there is none, "never" when what was
// waited for did not come.
func cell(v float64, decimals int) string {
	switch {
	case math.IsNaN(v):
		return "-"
	case math.IsInf(v, 0):
		return "never"
	}
	return fmt.Sprintf("%.*f", decimals, v)
}
