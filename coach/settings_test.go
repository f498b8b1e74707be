package coach

import (
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"

	"steadfoot/detect"
	"steadfoot/profiles"
)

func athlete() profiles.Athlete {
	a := profiles.Defaults()
	a.Name = "Jon Ash"
	a.StepLength = profiles.Constant(1.05)
	a.Target.Pace = 310
	a.Band = profiles.Band{Slow: 2, Quick: 1, Percent: true}
	a.Beat = profiles.Beat{On: true, Mode: profiles.Lead, Foot: profiles.Left, Every: 1, Accent: 2, Recoveries: true, AheadMS: 20}
	a.Cues.Cadence, a.Cues.Uneven = true, 5
	return a
}

func TestForAthlete(t *testing.T) {
	s, err := For(athlete())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "cadence of 5:10 at 1.05 m", s.Cadence, 60000/(310*1.05), 1e-9)
	near(t, "slow side", s.Slow, s.Cadence*0.02, 1e-12)
	near(t, "quick side", s.Quick, s.Cadence*0.01, 1e-12)
	policy := DefaultPolicy()
	policy.Uneven, policy.Tell = 5, 60
	beat := BeatChoice{On: true, Mode: Lead, Foot: detect.Left, Every: 1, Accent: 2, Recoveries: true}
	if s.Pace != 310 || s.Athlete != "Jon Ash" || s.Beat != beat || s.Ahead != 0.02 || s.Policy != policy {
		t.Errorf("%+v", s)
	}

	for want, spoil := range map[string]func(*profiles.Athlete){
		"there is no target":                func(a *profiles.Athlete) { a.Target.Pace = 0 },
		"a target pace needs a step length": func(a *profiles.Athlete) { a.StepLength = nil },
		"step length is 0 m":                func(a *profiles.Athlete) { a.StepLength = profiles.Constant(0) },
		"target cadence is 476":             func(a *profiles.Athlete) { a.Target.Pace = 120 },
	} {
		a := athlete()
		spoil(&a)
		if _, err := For(a); err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("got %v, want %s...", err, want)
		}
	}
}

// TestSettingsJSON: the header of a log must give the same settings back.
func TestSettingsJSON(t *testing.T) {
	s, err := For(athlete())
	if err != nil {
		t.Fatal(err)
	}
	s.FirstFoot = detect.Right
	s.StepLength = profiles.Curve{{Cadence: 180.1, Length: 1.02}, {Cadence: 200, Length: 1.1}}
	text, err := json.Marshal(s)
	if err != nil {
		t.Fatal(err)
	}
	var again Settings
	if err := json.Unmarshal(text, &again); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(s, again) {
		t.Errorf("%+v\ncame back as %+v\n%s", s, again, text)
	}
}

// TestValidateEveryNumber sets each number of the settings to NaN in turn, so
// that none can be forgotten.
func TestValidateEveryNumber(t *testing.T) {
	var visit func(pick func(*Settings) reflect.Value, name string)
	count := 0
	visit = func(pick func(*Settings) reflect.Value, name string) {
		s := testSettings()
		s.Policy.Tell = 60
		s.Pace, s.StepLength = 310, profiles.Curve{{Cadence: 180, Length: 1}, {Cadence: 190, Length: 1.1}}
		v := pick(&s)
		switch v.Kind() {
		case reflect.Struct:
			for i := range v.NumField() {
				visit(func(s *Settings) reflect.Value { return pick(s).Field(i) }, name+"."+v.Type().Field(i).Name)
			}
		case reflect.Slice:
			for i := range v.Len() {
				visit(func(s *Settings) reflect.Value { return pick(s).Index(i) }, name+"[]")
			}
		case reflect.Float64:
			if err := s.Validate(); err != nil {
				t.Fatalf("sound settings: %v", err)
			}
			count++
			v.SetFloat(math.NaN())
			if s.Validate() == nil {
				t.Errorf("NaN in %s is taken", name)
			}
		}
	}
	visit(func(s *Settings) reflect.Value { return reflect.ValueOf(s).Elem() }, "Settings")
	if count < 20 {
		t.Errorf("only %d numbers were tried", count)
	}
}

func TestValidateWords(t *testing.T) {
	for want, spoil := range map[string]func(*Settings){
		"target cadence is 250 steps/min; allowed: 90 to 240":                                 func(s *Settings) { s.Cadence = 250 },
		"lead is 0.1 s; allowed: 0.15 to 2":                                                   func(s *Settings) { s.Policy.Lead = 0.1 },
		"max_gap is 5 s; allowed: 15 to 3600":                                                 func(s *Settings) { s.Policy.MaxGap = 5 },
		"a foot is left, right or unknown":                                                    func(s *Settings) { s.FirstFoot = 7 },
		"ahead is 0.2 s; allowed: 0 to 0.1":                                                   func(s *Settings) { s.Ahead = 0.2 },
		"hold is 5 s; allowed: 20 to 3600":                                                    func(s *Settings) { s.Policy.Hold = 5 },
		`beat mode is "slow"; allowed: steady, lead, follow, on demand`:                       func(s *Settings) { s.Beat.Mode = "slow" },
		"a beat every 3 steps; allowed: every step (0 or 1), or every 4":                      func(s *Settings) { s.Beat.Every = 3 },
		"every fourth step falls on the same foot already; choose that or one foot, not both": func(s *Settings) { s.Beat.Every, s.Beat.Foot = 4, detect.Right },
		"accent on every 17 beats; allowed: 0 for none, 2 to 16":                              func(s *Settings) { s.Beat.Accent = 17 },
		`span of "hold" is -1 s; allowed: more than 0 to 60`:                                  func(s *Settings) { s.Spans = map[string]float64{"hold": -1} },
		"target pace is 30 s/km; allowed: 120 to 1200":                                        func(s *Settings) { s.Pace = 30 },
	} {
		s := testSettings()
		spoil(&s)
		if err := s.Validate(); err == nil || err.Error() != want {
			t.Errorf("got %v, want %s", err, want)
		}
	}
}

// TestOldSettings: the header of a log that was written before there were plans
// and modes. What it does not name is off.
func TestOldSettings(t *testing.T) {
	const old = `{"athlete":"Mira Tal","cadence":192,"slow":4,"quick":4,"beat":{"on":true},"policy":{"lead":0.25,"span":2,` +
		`"quiet":10,"leave":3,"margin":1,"stay":5,"min_gap":15,"fade":2,"max_gap":60,"max_sd":2,"min_heard":0.3,"lost":2,"back":1}}`
	var s Settings
	if err := json.Unmarshal([]byte(old), &s); err != nil {
		t.Fatal(err)
	}
	c, err := New(s)
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range []adviser{&c.keep, &c.fall, &c.even, &c.tell} {
		if name := a.due(1e6); name != "" {
			t.Errorf("%q is due", name)
		}
	}
	if s.Beat.Mode != "" || c.goal.mode != "" {
		t.Errorf("mode %q", s.Beat.Mode)
	}
}

// TestLatency: what takes long to the ear is decided so much earlier.
func TestLatency(t *testing.T) {
	a := athlete()
	a.LatencyMS = 180
	s, err := For(a)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "lead", s.Policy.Lead, 0.43, 1e-12)
}
