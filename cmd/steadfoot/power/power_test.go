package power

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/fstest"
	"time"
)

// supplies makes /sys/class/power_supply of lines like "BAT0/capacity 12".
func supplies(lines ...string) fstest.MapFS {
	fsys := fstest.MapFS{}
	for _, l := range lines {
		name, text, _ := strings.Cut(l, " ")
		fsys[name] = &fstest.MapFile{Data: []byte(text + "\n")}
	}
	return fsys
}

func TestRead(t *testing.T) {
	for _, c := range []struct {
		name  string
		files fstest.MapFS
		want  State
		none  bool
	}{
		{"nothing", supplies(), State{}, true},
		{"mains alone", supplies("AC/type Mains", "AC/online 1"), State{}, true},
		{"a mouse", supplies("hid/type Battery", "hid/scope Device", "hid/status Discharging", "hid/capacity 3"), State{}, true},
		{"an empty bay", supplies("BAT1/type Battery", "BAT1/present 0", "BAT1/capacity 0"), State{}, true},
		{"one that tells nothing", supplies("BAT0/type Battery", "BAT0/status Discharging", "BAT0/capacity_level Unknown"), State{}, true},
		{"by capacity", supplies("BAT0/type Battery", "BAT0/status Discharging", "BAT0/capacity 64"),
			State{Percent: 64, Discharging: true}, false},
		{"by energy", supplies("BAT0/type Battery", "BAT0/status Discharging", "BAT0/energy_full 50000000", "BAT0/energy_now 6000000", "BAT0/power_now 12000000"),
			State{Percent: 12, Discharging: true, Level: Low, Left: 30 * time.Minute}, false},
		{"by charge, counted as negative", supplies("BAT0/type Battery", "BAT0/status Discharging", "BAT0/charge_full 4000000", "BAT0/charge_now 200000", "BAT0/current_now -1000000"),
			State{Percent: 5, Discharging: true, Level: Critical, Left: 12 * time.Minute}, false},
		{"charging", supplies("BAT0/type Battery", "BAT0/status Charging", "BAT0/capacity 4", "BAT0/energy_full 50000000", "BAT0/energy_now 2000000", "BAT0/power_now 12000000"),
			State{Percent: 4, Level: Critical}, false},
		{"more than full", supplies("BAT0/type Battery", "BAT0/status Full", "BAT0/capacity 103"), State{Percent: 100}, false},
		{"nonsense", supplies("BAT0/type Battery", "BAT0/status Discharging", "BAT0/capacity -7", "BAT0/energy_full 0", "BAT0/energy_now 5", "BAT0/charge_full x", "BAT0/capacity_level Normal"),
			State{Percent: -1, Discharging: true}, false},
		{"a level only", supplies("BAT0/type Battery", "BAT0/status Discharging", "BAT0/capacity_level Critical"),
			State{Percent: -1, Discharging: true, Level: Critical}, false},
		{"the system's word above ours", supplies("BAT0/type Battery", "BAT0/status Discharging", "BAT0/capacity 22", "BAT0/capacity_level Low"),
			State{Percent: 22, Discharging: true, Level: Low}, false},
		{"one empty, one full", supplies("BAT0/type Battery", "BAT0/status Unknown", "BAT0/energy_full 20000000", "BAT0/energy_now 0", "BAT0/capacity 0", "BAT0/power_now 0", "BAT0/capacity_level Critical",
			"BAT1/type Battery", "BAT1/status Discharging", "BAT1/energy_full 60000000", "BAT1/energy_now 60000000", "BAT1/capacity 100", "BAT1/power_now 10000000", "BAT1/capacity_level Normal"),
			State{Percent: 75, Discharging: true, Left: 6 * time.Hour}, false},
		{"two by capacity, and a mouse", supplies("BAT0/type Battery", "BAT0/status Discharging", "BAT0/capacity 10", "BAT1/type Battery", "BAT1/status Not charging", "BAT1/capacity 20",
			"hid/type Battery", "hid/scope Device", "hid/capacity 3"),
			State{Percent: 15, Discharging: true, Level: Low}, false},
		{"a rate that cannot be", supplies("BAT0/type Battery", "BAT0/status Discharging", "BAT0/energy_full 50000000", "BAT0/energy_now 40000000", "BAT0/power_now 1"),
			State{Percent: 80, Discharging: true}, false},
		{"a file without end", supplies("BAT0/type Battery", "BAT0/status Discharging", "BAT0/capacity "+strings.Repeat("9", 1<<20), "BAT0/capacity_level Low"),
			State{Percent: -1, Discharging: true, Level: Low}, false},
	} {
		got, ok := Read(c.files)
		if ok == c.none || got != c.want {
			t.Errorf("%s: %+v, %v; want %+v", c.name, got, ok, c.want)
		}
	}
	if _, ok := Read(nil); ok {
		t.Error("a battery where there are no supplies")
	}
}

func TestWords(t *testing.T) {
	for _, c := range []struct {
		s    State
		want string
	}{
		{State{Percent: 64.4}, "at 64 %"},
		{State{Percent: 14, Discharging: true, Left: 25*time.Minute + 40*time.Second}, "at 14 %, about 26 min left at what is used now"},
		{State{Percent: 64, Discharging: true, Left: 127 * time.Minute}, "at 64 %, about 2 h 10 min left at what is used now"},
		{State{Percent: 64, Left: time.Hour}, "at 64 %"},
		{State{Percent: -1, Level: Low}, "low, as the system has it"},
		{State{Percent: -1, Level: Critical}, "all but empty, as the system has it"},
		{State{Percent: -1}, "not low, as the system has it"},
	} {
		if got := c.s.String(); got != c.want {
			t.Errorf("%+v: %q, want %q", c.s, got, c.want)
		}
	}
}

// told is what a teller says of charges in order: a C behind one is charging.
func told(charges string) (said []string) {
	var teller Teller
	for _, c := range strings.Fields(charges) {
		s := State{Discharging: !strings.HasSuffix(c, "C")}
		switch c = strings.TrimSuffix(c, "C"); c {
		case "enough", "low", "critical":
			s.Percent, s.Level = -1, map[string]Level{"low": Low, "critical": Critical}[c]
		default:
			fmt.Sscan(c, &s.Percent)
			if s.Percent <= 15 {
				s.Level = Low
			}
			if s.Percent <= 5 {
				s.Level = Critical
			}
		}
		what := teller.Tell(s)
		switch {
		case strings.HasPrefix(what, "the battery is all but empty"):
			said = append(said, "critical@"+c)
		case strings.HasPrefix(what, "the battery is low"):
			said = append(said, "low@"+c)
		case what != "":
			said = append(said, what)
		}
	}
	return said
}

// TestTeller: once at each bound, and again only after it was charged.
func TestTeller(t *testing.T) {
	for charges, want := range map[string]string{
		"40 16 15 14 9 6 5 4 1":         "low@15 critical@5",
		"4 3 2":                         "critical@4",
		"15 16 15 17 14 19 15":          "low@15", // it wavers
		"14 14C 13C 12C 12":             "low@14", // never came above
		"14 14C 16C 20C 19 16 15 14":    "low@14 low@15",
		"5 5C 6C 9C 8 5 4":              "critical@5 critical@5",
		"5 4C 30C 16 15 5":              "critical@5 low@15 critical@5",
		"10 70 15":                      "low@10 low@15", // charged while the machine slept
		"3C 2C 16C 18":                  "",
		"4C 4":                          "critical@4",
		"enough low low critical low":   "low@low critical@critical",
		"low enough low":                "low@low", // it wavers
		"low enoughC low":               "low@low low@low",
		"critical lowC critical":        "critical@critical critical@critical",
		"critical enoughC low critical": "critical@critical low@low critical@critical",
	} {
		if got := strings.Join(told(charges), " "); got != want {
			t.Errorf("%s: %q, want %q", charges, got, want)
		}
	}
}

// TestTellerOfTheSystemsWord: what the system has for low is told once, however
// much is left.
func TestTellerOfTheSystemsWord(t *testing.T) {
	var teller Teller
	s := State{Percent: 40, Discharging: true, Level: Low}
	if teller.Tell(s) == "" {
		t.Error("it is not told")
	}
	if what := teller.Tell(s); what != "" {
		t.Errorf("it is told again: %s", what)
	}
}

// TestTellerSaysWhatToDo, in one line, with figures where there are any.
func TestTellerSaysWhatToDo(t *testing.T) {
	for want, s := range map[string]State{
		"the battery is low: 14 %, about 25 min left at what is used now; plug the machine in, or plan to end the walk in time; everything is written to the log at once": {Percent: 14, Discharging: true, Level: Low, Left: 25 * time.Minute},
		"the battery is all but empty: 4 %; plug the machine in now, or end the walk; everything is written to the log at once":                                           {Percent: 4, Discharging: true, Level: Critical},
		"the battery is low; plug the machine in, or plan to end the walk in time; everything is written to the log at once":                                              {Percent: -1, Discharging: true, Level: Low},
	} {
		if got := new(Teller).Tell(s); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// TestAnySupplies: whatever the files hold, the state makes sense.
func TestAnySupplies(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	files := []string{"status", "capacity", "capacity_level", "energy_full", "energy_now", "power_now", "charge_full", "charge_now", "current_now", "voltage_now", "present"}
	values := []string{"Discharging", "Charging", "Low", "Critical", "Normal", "", "0", "1", "-1", "57", "100", "12000000", "-9223372036854775808", "9223372036854775807", "1e9", "\x00\xff"}
	for range 5000 {
		fsys := fstest.MapFS{}
		for n := range 1 + rng.IntN(3) {
			fsys[fmt.Sprintf("BAT%d/type", n)] = &fstest.MapFile{Data: []byte("Battery")}
			for _, f := range files {
				if rng.IntN(3) > 0 {
					fsys[fmt.Sprintf("BAT%d/%s", n, f)] = &fstest.MapFile{Data: []byte(values[rng.IntN(len(values))])}
				}
			}
		}
		s, ok := Read(fsys)
		if ok && !(s.Percent == -1 || s.Percent >= 0 && s.Percent <= 100) || s.Left < 0 || s.Left > 48*time.Hour || !ok && s != (State{}) {
			t.Fatalf("%+v of %v", s, fsys)
		}
	}
}
