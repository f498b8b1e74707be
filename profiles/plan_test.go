package profiles

import (
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"
)

const fiveByFive = `
name = "Five by five minutes"
[[set]]
[[set.rep]]
times = 5
for = "5:00"
target = "192 steps/min"
recovery = "5:00"
`

// TestFiveByFive: 5 x 5:00 / 5:00 is 50 min in 10 segments with 25 min of work
// ("The training pyramid", active.com, for the session).
func TestFiveByFive(t *testing.T) {
	p, err := ParsePlan("five.toml", []byte(fiveByFive))
	if err != nil {
		t.Fatal(err)
	}
	var total, work float64
	for _, part := range p.Parts {
		total += part.Duration
		if part.Works() {
			work += part.Duration
		}
	}
	if len(p.Parts) != 10 || total != 50*60 || work != 25*60 {
		t.Errorf("%d parts, %g s, %g s of work", len(p.Parts), total, work)
	}
	want := PlanPart{Role: PlanRecovery, Set: 1, Rep: 5, Of: 5, Duration: 300}
	if last := p.Parts[9]; !reflect.DeepEqual(last, want) {
		t.Errorf("last part %+v", last)
	}
}

// TestParsePlanWhole reads every key once.
func TestParsePlanWhole(t *testing.T) {
	p, err := ParsePlan("whole.toml", []byte(`
name = "All of it"
note = """Two
lines."""
lane = 8
race = { distance = "20 km", time = "1:20:00" }
[warm_up]
for = "ready"
label = "stroll"
beat = "off"
[[set]]
label = "round"
rounds = 2
between = "5:00"
after = "none"
[[set.rep]]
times = 2
for = "2 laps"
target = "100 % of race pace"
last = "98 % of race pace"
recovery = "200 m"
recovery_target = "150 steps/min"
recovery_beat = "steady"
beat = "on demand"
band = { slow = 3, quick = 2, unit = "%" }
remind = [ { say = "posture", at = "100 m" }, { say = "arms", before_end = "0.1 km" }, { say = "hips", every = "30 s" } ]
[[set.rep]]
for = "1:00"
target = "180 steps/min"
to = "4:30 /km"
drill = true
label = "ramp"
recovery = "30 s"
[[set]]
[[set.rep]]
for = "3 km"
glide = true
effort = [ { at = "0 km", target = "85% of race speed" }, { at = "2 km", target = "90 % of race speed" } ]
[cool_down]
for = "10 min"
`))
	if err != nil {
		t.Fatal(err)
	}
	lap, _ := LapLength(8)
	race := func(percent, pace float64, what string) PlanTarget {
		return PlanTarget{Pace: pace, Said: what}
	}
	rep := func(set, n int, share float64, said string) PlanPart {
		return PlanPart{
			Role: PlanRep, Label: "round", Set: set, Rep: n, Of: 3, Length: 2 * lap, Beat: Demand,
			Targets:   []PlanPoint{{Target: race(share, 240*share/100, said)}},
			Band:      &Band{Slow: 3, Quick: 2, Percent: true},
			Reminders: []Reminder{{Line: "posture", Length: 100}, {Line: "arms", Length: -100}, {Line: "hips", Duration: 30, Every: true}},
		}
	}
	rest := func(set, n int, length, duration float64) PlanPart {
		p := PlanPart{Role: PlanRecovery, Set: set, Rep: n, Of: 3, Length: length, Duration: duration}
		if length > 0 {
			p.Targets, p.Beat = []PlanPoint{{Target: PlanTarget{Cadence: 150, Said: "150 steps/min"}}}, Steady
		}
		return p
	}
	drill := func(set int) PlanPart {
		return PlanPart{Role: PlanDrill, Label: "ramp", Set: set, Rep: 3, Of: 3, Duration: 60, Targets: []PlanPoint{
			{Target: PlanTarget{Cadence: 180, Said: "180 steps/min"}, Glide: true},
			{At: 60, Target: PlanTarget{Pace: 270, Said: "4:30 /km"}},
		}}
	}
	want := &Plan{Name: "All of it", Note: "Two\nlines.", Lane: 8, Lap: lap, Race: 240, Parts: []PlanPart{
		{Role: PlanWarmUp, Label: "stroll", Ready: true, Beat: BeatOff},
		rep(1, 1, 100, "100 % of race pace"), rest(1, 1, 200, 0), rep(1, 2, 98, "98 % of race pace"), rest(1, 2, 200, 0), drill(1), rest(1, 3, 0, 300),
		rep(2, 1, 100, "100 % of race pace"), rest(2, 1, 200, 0), rep(2, 2, 98, "98 % of race pace"), rest(2, 2, 200, 0), drill(2),
		{Role: PlanRep, Set: 3, Rep: 1, Of: 1, Length: 3000, Targets: []PlanPoint{
			{Target: PlanTarget{Pace: 240 / 0.85, Said: "85 % of race speed"}, Glide: true},
			{At: 2000, Target: PlanTarget{Pace: 240 / 0.9, Said: "90 % of race speed"}},
		}},
		{Role: PlanCoolDown, Duration: 600},
	}}
	if len(p.Parts) != len(want.Parts) {
		t.Fatalf("%d parts, want %d", len(p.Parts), len(want.Parts))
	}
	for i := range want.Parts {
		if !near(p.Parts[i], want.Parts[i]) {
			t.Errorf("part %d\n got %+v\nwant %+v", i+1, p.Parts[i], want.Parts[i])
		}
	}
	p.Parts, want.Parts = nil, nil
	if !reflect.DeepEqual(p, want) {
		t.Errorf("got %+v, want %+v", p, want)
	}
}

// near compares two parts, paces to a millionth of a second.
func near(a, b PlanPart) bool {
	round := func(p PlanPart) PlanPart {
		points := make([]PlanPoint, len(p.Targets))
		for i, t := range p.Targets {
			t.Target.Pace = math.Round(t.Target.Pace*1e6) / 1e6
			points[i] = t
		}
		p.Targets = points
		return p
	}
	return reflect.DeepEqual(round(a), round(b))
}

// TestPercent: 103 % of a race pace of 4:00 is slower, 103 % of the race speed is
// quicker (facts of pace arithmetic: 4:07.2 and 3:53.0).
func TestPercent(t *testing.T) {
	for _, tt := range []struct {
		said string
		want float64
	}{
		{"103 % of race pace", 4*60 + 7.2}, {"103 % of race speed", 3*60 + 53.0}, {"100% of race pace", 240}, {"4:07.2 /km", 247.2}, {"4:07.2", 247.2},
	} {
		a, err := readAim(tt.said)
		if err != nil {
			t.Fatal(err)
		}
		got, err := a.target(240)
		if err != nil || math.Abs(got.Pace-tt.want) > 0.05 {
			t.Errorf("%s: %v s/km, %v; want %v", tt.said, got.Pace, err, tt.want)
		}
	}
}

// TestLaps: the lanes of a standard track, in m (IAAF rules as quoted by
// trackathletics.tripod.com; computed from straights of 84.39 m and r 36.50 m).
func TestLaps(t *testing.T) {
	for lane, want := range []float64{1: 400.001, 2: 407.038, 3: 414.704, 8: 453.031, 9: 460.697} {
		if lane == 0 || want == 0 {
			continue
		}
		if got, err := LapLength(lane); err != nil || math.Abs(got-want) > 0.005 {
			t.Errorf("lane %d: %.3f m, %v; want %.3f", lane, got, err, want)
		}
	}
}

// TestParsePlanErrors gives every mistake once: the error names the line.
func TestParsePlanErrors(t *testing.T) {
	const head = "name = \"A\"\n"                                   // line 1
	const rep = head + "[[set]]\n[[set.rep]]\nfor = \"400 m\"\n"    // lines 1 to 4
	const race = "race = {pace = \"4:00\"}\n" + rep                 // lines 1 to 5
	const second = rep + "[[set]]\n[[set.rep]]\n[[set.rep]]\n"      // lines 1 to 7
	const timed = head + "[[set]]\n[[set.rep]]\nfor = \"400 s\"\n"  // lines 1 to 4
	const ready = head + "[[set]]\n[[set.rep]]\nfor = \"ready\"\n"  // lines 1 to 4
	const several = rep + "times = 3\ntarget = \"180 steps/min\"\n" // lines 1 to 6
	tests := []struct{ name, in, want string }{
		{"empty", "", `:1: name is missing`},
		{"nothing", head, `:1: there is nothing to walk; allowed: [warm_up]`},
		{"syntax", head + "lane =", `:2: `},
		{"unknown", head + "lanes = 1", `:2: unknown key lanes; allowed: name, note, lane`},
		{"unknown in rep", rep + "distance = 3", `:5: unknown key set.rep.distance; allowed in set.rep: label, for`},
		{"unknown in remind", rep + "remind = [{say=\"a\",\n on = \"2 m\"}]", `:6: unknown key set.rep.remind.on; allowed in set.rep.remind: say, at`},
		{"kind", rep + "times = \"3\"", `:5: set.rep.times has a value of the wrong kind; allowed: a whole number`},
		{"kind in warm-up", head + "[warm_up]\nfor = 3", `:3: warm_up.for has a value of the wrong kind; allowed: a distance or a time`},
		{"long name", "name = \"" + strings.Repeat("a", 81) + "\"", `:1: name has 81 characters`},
		{"note", head + "note = \"a\\u0001\"", `:2: note has characters that cannot be shown`},
		{"lane", head + "lane = 10", `:2: lane is 10; allowed: 1 to 9`},
		{"lane and lap", head + "lane = 1\nlap = \"1 km\"", `:3: both lane and lap`},
		{"lap", head + "lap = \"1 min\"", `:2: lap is "1 min"; allowed: "50 m" to "50 km"`},
		{"half a race", head + "race = {distance = \"10 km\"}", `:2: race is not clear`},
		{"race pace", head + "race = {pace = \"1:00\"}", `:2: pace "1:00" is out of range`},
		{"race distance", head + "race = {distance = \"10\", time = \"44:00\"}", `:2: distance is "10"`},
		{"race time", head + "race = {distance = \"10 km\",\n time = \"44\"}", `:3: time is "44"`},
		{"quick race", head + "race = {distance = \"10 km\", time = \"14:00\"}", `:2: that makes 84 s for a kilometre`},
		{"no end", head + "[warm_up]\nlabel = \"a\"", `:2: for is missing`},
		{"end", head + "[warm_up]\nfor = \"15\"", `:3: for "15" cannot be read; allowed: a distance ("400 m"`},
		{"endless", head + "[warm_up]\nfor = \"101 km\"", `:3: for "101 km" is out of range; allowed: 10 m to 100 km`},
		{"short", head + "[cool_down]\nfor = \"4 s\"", `:3: for "4 s" is out of range; allowed: 5 s to 12 h`},
		{"clock", head + "[cool_down]\nfor = \"4:60\"", `:3: for "4:60" cannot be read`},
		{"laps without track", head + "[cool_down]\nfor = \"4 laps\"", `:3: for "4 laps": the length of a lap is not known`},
		{"set without reps", head + "[[set]]\nrounds = 2", `:2: a set has no reps`},
		{"rounds", head + "[[set]]\nrounds = 101\n[[set.rep]]\nfor = \"1 km\"", `:3: rounds is 101; allowed: 1 to 100`},
		{"times", rep + "times = 0", `:5: times is 0; allowed: 1 to 1000`},
		{"second set", second, `:6: for is missing`},
		{"second set's second rep", strings.Replace(second, "[[set.rep]]\n[[set.rep]]\n", "[[set.rep]]\nfor = \"1 km\"\n[[set.rep]]\nfor = \"4\"\n", 1), `:9: for "4" cannot be read`},
		{"inline", head + "[[set]]\nrep = [\n{for = \"1 km\"},\n{for = \"1 kg\"}]", `:5: for "1 kg" cannot be read`},
		{"too many", rep + "times = 600\nrecovery = \"1:00\"", `:3: the session has more than 1000 parts`},
		{"too long", rep + "times = 900\n[cool_down]\nfor=\"12 h\"\n[[set]]\n[[set.rep]]\nfor=\"12 h\"\ntimes=3", `:1: all parts together are 360 km and 48 h; allowed: 200 km and 24 h`},
		{"target", rep + "target = \"192\"", `:5: target "192" cannot be read; allowed: "192 steps/min", "4:30 /km"`},
		{"cadence", rep + "target = \"80 steps/min\"", `:5: target "80 steps/min" is out of range; allowed: 90 to 240`},
		{"pace", rep + "target = \"1:59 /km\"", `:5: target "1:59 /km" is out of range; allowed: 2:00`},
		{"percent of what", race + "target = \"103 %\"", `:6: target "103 %" cannot be read`},
		{"percent", race + "target = \"160 % of race pace\"", `:6: target "160 % of race pace" is out of range; allowed: 50 to 150 %`},
		{"no race", rep + "target = \"103 % of race pace\"", `:5: 103 % of race pace needs a race`},
		{"quicker than anyone", strings.Replace(race, "4:00", "2:30", 1) + "target = \"140 % of race speed\"", `:6: 140 % of race speed is 107 s for a kilometre`},
		{"ramp from nothing", rep + "to = \"180 steps/min\"", `:5: a ramp needs a target at its start`},
		{"ramp without end", ready + "target = \"180 steps/min\"\nto = \"190 steps/min\"", `:6: a ramp needs to know its end`},
		{"last alone", rep + "last = \"180 steps/min\"", `:5: last goes from the first rep to the last`},
		{"last in another unit", several + "last = \"4:30 /km\"", `:7: target is "180 steps/min" and last is "4:30 /km"; allowed: both in the same unit`},
		{"last", several + "last = \"quick\"", `:7: target "quick" cannot be read`},
		{"effort and target", rep + "target = \"free\"\neffort = [{at = \"0 m\", target = \"4:30\"}]", `:6: there is an effort plan and a target`},
		{"effort late", rep + "effort = [{at = \"10 m\", target = \"4:30\"}]", `:5: the first point is at "10 m"`},
		{"effort unsorted", rep + "effort = [{at = \"0 m\", target = \"4:30\"},\n{at = \"0 m\", target = \"4:20\"}]", `:6: at is "0 m"; allowed: after the point before`},
		{"effort beyond", rep + "effort = [{at = \"0 m\", target = \"4:30\"},\n{at = \"401 m\", target = \"4:20\"}]", `:6: at is "401 m"; allowed: after the point before, and within`},
		{"effort unit", rep + "effort = [{at = \"0 m\", target = \"4:30\"},\n{at = \"10 s\", target = \"4:20\"}]", `:6: at is "10 s"; allowed: a distance in a part by distance`},
		{"glide alone", rep + "glide = true", `:5: glide goes with an effort plan`},
		{"glide to free", rep + "glide = true\neffort = [{at = \"0 m\", target = \"free\"}]", `:6: a target that glides cannot be free`},
		{"recovery", rep + "recovery = \"short\"", `:5: "short" cannot be read`},
		{"recovery target", rep + "recovery = \"ready\"\nrecovery_target = \"slow\"", `:6: target "slow" cannot be read`},
		{"between", "name=\"A\"\n[[set]]\nrounds = 2\nbetween = \"1 s\"\n[[set.rep]]\nfor = \"1 km\"", `:4: "1 s" is out of range`},
		{"drill", rep + "drill = true", `:5: a drill has no label`},
		{"beat", rep + "beat = \"loud\"", `:5: beat is "loud"; allowed: "off", "steady"`},
		{"recovery beat", rep + "recovery = \"1:00\"\nrecovery_beat = \"loud\"", `:6: recovery_beat is "loud"`},
		{"band", rep + "band = {slow = 4}", `:5: quick is missing`},
		{"band side", rep + "[set.rep.band]\nslow = 4\nquick = 99", `:7: quick is 99; allowed: 0.5 to 30`},
		{"line", rep + "remind = [{say = \"../x\", at = \"1 m\"}]", `:5: say "../x" is no voice line`},
		{"no place", rep + "remind = [{say = \"arms\"}]", `:5: reminder "arms" has 0 places`},
		{"two places", rep + "remind = [{say = \"arms\", at = \"1 m\", every = \"20 m\"}]", `:5: reminder "arms" has 2 places`},
		{"reminder beyond", rep + "remind = [{say = \"arms\", at = \"400 m\"}]", `:5: at is "400 m"; allowed: less than the part lasts`},
		{"reminder too often", timed + "remind = [{say = \"arms\",\nevery = \"9 s\"}]", `:6: every is "9 s"; allowed: 10 m or 10 s`},
		{"reminder before unknown end", timed + "remind = [{say = \"arms\", before_end = \"9 m\"}]", `:5: before_end is "9 m"; allowed: a distance in a part by distance`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := ParsePlan("s.toml", []byte(tt.in))
			if err == nil {
				t.Fatal("no error")
			}
			if !strings.HasPrefix(err.Error(), "s.toml"+tt.want) {
				t.Errorf("got  %s\nwant s.toml%s...", err, tt.want)
			}
			if strings.Count(err.Error(), "; ") < 2 || !strings.Contains(err.Error(), "; allowed") {
				t.Errorf("%q does not say what is wrong, what is allowed and what to do", err)
			}
		})
	}
}

// TestPlanKeysExplained keeps the tables of words in step with the file.
func TestPlanKeysExplained(t *testing.T) {
	var visit func(typ reflect.Type, table string)
	visit = func(typ reflect.Type, table string) {
		for i := range typ.NumField() {
			f := typ.Field(i)
			if f.Anonymous {
				visit(f.Type, table)
				continue
			}
			key, _, _ := strings.Cut(f.Tag.Get("toml"), ",")
			if !strings.Contains(planWords.tables[table], key) {
				t.Errorf("key %s is not listed in table %q", key, table)
			}
			full := strings.TrimPrefix(table+"."+key, ".")
			if planWords.kinds[full] == "" {
				t.Errorf("no words for key %s", full)
			}
			inner := f.Type
			for inner.Kind() == reflect.Pointer || inner.Kind() == reflect.Slice {
				inner = inner.Elem()
			}
			if inner.Kind() == reflect.Struct {
				visit(inner, full)
			}
		}
	}
	visit(reflect.TypeFor[planFile](), "")
}

func FuzzParsePlan(f *testing.F) {
	f.Add([]byte(fiveByFive))
	f.Add([]byte("name='a'\nlane=2\nrace={pace='4:10'}\n[[set]]\nrounds=3\nbetween='ready'\n[[set.rep]]\nfor='2 laps'\ntimes=3\ntarget='99 % of race pace'\nlast='101 % of race pace'\nrecovery='200 m'\n"))
	f.Add([]byte("name='a'\n[cool_down]\nfor='1.5 km'\nglide=true\neffort=[{at='0 m',target='4:30'},{at='1 km',target='4:20'}]\nremind=[{say='a',every='100 m'}]\n"))
	f.Add([]byte("name='a'\n[[set]]\n[[set.rep]]\n[set.rep.band]\nslow=1\n[[set]]\nrep=[{for='30 s'},{for='1 h',remind=[{say='b',before_end='1 min'}]}]"))
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := ParsePlan("f.toml", data)
		if err != nil {
			var at *Error
			if !errors.As(err, &at) || at.Line < 1 || at.Line > 1+strings.Count(string(data), "\n") || strings.Contains(err.Error(), "\n") {
				t.Fatalf("bad error %q", err)
			}
			return
		}
		if err := p.Check(); err != nil {
			t.Fatalf("%v\n%+v", err, p)
		}
	})
}
