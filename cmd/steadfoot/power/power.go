// Package power reads how full the machine's battery is, where the system tells,
// and decides when a walk must be told of it.
//
// Linux tells in /sys/class/power_supply (the kernel's
// Documentation/ABI/testing/sysfs-class-power and power/power_supply_class; from
// memory). On other systems, and on a machine without a battery, there is none.
package power

import (
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"runtime"
	"strconv"
	"strings"
	"time"
)

// Level is how urgent the charge of the batteries is.
type Level uint8

// From here on a walk is told. Nobody sets these bounds; many laptops warn near
// them (common practice, no source).
const (
	Enough   Level = iota
	Low            // at 15 % or less
	Critical       // at 5 % or less
)

const (
	lowAt      = 15.0 // %
	criticalAt = 5.0
)

// State is that of all the machine's batteries together.
type State struct {
	Percent     float64       // 0 to 100; negative when only a level is told
	Discharging bool          // the machine lives on them
	Level       Level         // of the charge, whether it discharges or not
	Left        time.Duration // until they are empty, as things are; 0 when unknown
}

// String says it in a few words.
func (s State) String() string {
	words := "low, as the system has it"
	switch {
	case s.Percent >= 0:
		words = fmt.Sprintf("at %.0f %%", s.Percent)
	case s.Level == Critical:
		words = "all but empty, as the system has it"
	case s.Level == Enough:
		words = "not low, as the system has it"
	}
	if s.Discharging && s.Left > 0 {
		words += fmt.Sprintf(", %s left at what is used now", about(s.Left))
	}
	return words
}

// about rounds to minutes, and to ten of them where there are hours.
func about(d time.Duration) string {
	if d < time.Hour {
		return fmt.Sprintf("about %d min", max(1, int(math.Round(d.Minutes()))))
	}
	d = d.Round(10 * time.Minute)
	return fmt.Sprintf("about %d h %02d min", int(d.Hours()), int(d.Minutes())%60)
}

// System is where this machine tells of its batteries; nil where it does not.
func System() fs.FS {
	if runtime.GOOS != "linux" {
		return nil
	}
	return os.DirFS("/sys/class/power_supply")
}

// Read looks at the supplies in fsys, a folder each; ok when the machine has a
// battery and tells how full it is. fsys may be nil. It may wait for the
// machine's firmware.
func Read(fsys fs.FS) (s State, ok bool) {
	if fsys == nil {
		return s, false
	}
	names, err := fs.ReadDir(fsys, ".")
	if err != nil {
		return s, false
	}
	var all []battery
	for _, n := range names {
		if b, ok := readBattery(supply{fsys, n.Name()}); ok {
			all = append(all, b)
		}
	}
	if len(all) == 0 {
		return s, false
	}
	return together(all), true
}

// battery is one of the machine's batteries.
type battery struct {
	percent     float64 // negative: not told
	level       Level   // by the system's own word
	discharging bool
	full, now   float64 // what it can hold and what is in it, Wh; full is 0 when not told
	rate        float64 // drawn from it, W; not a number when not told
}

// readBattery reads a supply; false for one that is none, is not there, belongs
// to a mouse or a headset, or tells nothing.
func readBattery(s supply) (b battery, ok bool) {
	if s.text("type") != "Battery" || s.text("scope") == "Device" || s.text("present") == "0" {
		return b, false
	}
	b.discharging = s.text("status") == "Discharging"
	word := s.text("capacity_level")
	b.level = map[string]Level{"Low": Low, "Critical": Critical}[word]

	const micro = 1e-6
	unit, rate := micro, "power_now" // µWh and µW
	full, now := s.number("energy_full"), s.number("energy_now")
	if !(full > 0) {
		volts := s.number("voltage_now") * micro
		if !(volts > 0) {
			volts = 1 // it makes no difference where there is one battery
		}
		unit, rate = micro*volts, "current_now" // µAh and µA
		full, now = s.number("charge_full"), s.number("charge_now")
	}
	b.percent = s.number("capacity")
	if full > 0 && now >= 0 {
		b.full, b.now, b.rate = full*unit, now*unit, math.Abs(s.number(rate))*unit // some drivers count what is drawn as negative
		if !(b.percent >= 0) {
			b.percent = 100 * now / full
		}
	}
	if !(b.percent >= 0) {
		b.percent = -1
	}
	b.percent = min(b.percent, 100)
	return b, b.percent >= 0 || word != "" && word != "Unknown"
}

// together is what several batteries come to: they are emptied one after the
// other.
func together(all []battery) State {
	s := State{Level: Critical}
	weighed, told := true, true
	for _, b := range all {
		s.Discharging = s.Discharging || b.discharging
		s.Level = min(s.Level, b.level)
		weighed = weighed && b.full > 0
		told = told && b.percent >= 0
	}
	if !told {
		s.Percent = -1
		return s
	}
	var sum, weight, now, rate float64
	for _, b := range all {
		w := 1.0
		if weighed {
			w = b.full
		}
		sum, weight = sum+w*b.percent, weight+w
		now, rate = now+b.now, rate+b.rate
	}
	s.Percent = sum / weight
	if s.Discharging && weighed {
		s.Left = hours(now / rate)
	}
	switch {
	case s.Percent <= criticalAt:
		s.Level = Critical
	case s.Percent <= lowAt:
		s.Level = max(s.Level, Low)
	}
	return s
}

// longest is more than any laptop lasts; what claims more counts wrongly.
const longest = 48.0 // h

func hours(h float64) time.Duration {
	if !(h > 0 && h < longest) {
		return 0
	}
	return time.Duration(h * float64(time.Hour))
}

// supply is one folder of /sys/class/power_supply.
type supply struct {
	fsys fs.FS
	name string
}

// text is what a file of it says; "" when there is none.
func (s supply) text(file string) string {
	f, err := s.fsys.Open(s.name + "/" + file)
	if err != nil {
		return ""
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, 64)) // all of them are a word or a number
	if err != nil {
		return ""
	}
	return strings.TrimSpace(string(b))
}

// number is a whole number, as all are there; not a number when there is none.
func (s supply) number(file string) float64 {
	n, err := strconv.ParseInt(s.text(file), 10, 64)
	if err != nil {
		return math.NaN()
	}
	return float64(n)
}
