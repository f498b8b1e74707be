package profiles

import (
	"errors"
	"reflect"
	"strings"
	"testing"
)

func TestParseWhole(t *testing.T) {
	got, err := Parse("mira.toml", []byte(`
name = "Mira Tal"
volume = 0.5
latency_ms = 160
first_foot = "right"
step_lengths = [
  { cadence = 180, length = 1.02 },
  { cadence = 200, length = 1.1 },
]
[target]
pace = "5:10.5"
[band]
slow = 2.5
quick = 1
unit = "%"
[beat]
on = false
mode = "on demand"
foot = "left"
every = 1
accent = 4
recoveries = true
ahead_ms = 20
[cues]
layer = "lines"
lines = "lines/dana"
cadence = true
uneven = 5
`))
	if err != nil {
		t.Fatal(err)
	}
	want := Athlete{
		Name:       "Mira Tal",
		StepLength: Curve{{180, 1.02}, {200, 1.1}},
		Target:     Target{Pace: 310.5},
		Band:       Band{Slow: 2.5, Quick: 1, Percent: true},
		Beat:       Beat{On: false, Mode: Demand, Foot: Left, Every: 1, Accent: 4, Recoveries: true, AheadMS: 20},
		Cues:       Cues{Layer: "lines", Lines: "lines/dana", Cadence: true, Uneven: 5},
		Volume:     0.5,
		LatencyMS:  160,
		FirstFoot:  Right,
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v\nwant %+v", got, want)
	}
}

func TestParseDefaults(t *testing.T) {
	got, err := Parse("a.toml", []byte(`name = "Jon Ash"`))
	if err != nil {
		t.Fatal(err)
	}
	want := Defaults()
	want.Name = "Jon Ash"
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v, want %+v", got, want)
	}
}

// TestParseErrors gives every mistake once. The error must name the line of the
// mistake, and nothing else may be said.
func TestParseErrors(t *testing.T) {
	const ok = "name = \"Jon Ash\"\n" // line 1
	tests := []struct{ name, in, want string }{
		{"empty", "", `a.toml:1: name is missing`},
		{"syntax", ok + "volume = \n", `a.toml:2: `},
		{"not TOML at all", ok + "just some words", `a.toml:2: `},
		{"not text", ok + "x = \"\xff\"", `a.toml:2: `},
		{"twice", ok + "name = \"B\"", `a.toml:2: key name is already defined; allowed: TOML`},
		{"unknown key", ok + "\nvolum = 1", `a.toml:3: unknown key volum; allowed: name, volume`},
		{"unknown table", ok + "[bands]\nslow = 1", `a.toml:2: unknown key bands; allowed: name`},
		{"unknown in table", ok + "[band]\nslow = 4\nfast = 4", `a.toml:4: unknown key band.fast; allowed in band: slow, quick, unit`},
		{"unknown in list", ok + "[[step_lengths]]\ncadence = 180\nlenght = 1", `a.toml:4: unknown key step_lengths.lenght; allowed in step_lengths: cadence, length`},
		{"type", ok + "volume = \"loud\"", `a.toml:2: volume has a value of the wrong kind; allowed: a number from 0 to 1`},
		{"type in table", ok + "[beat]\n\non = 1", `a.toml:4: beat.on has a value of the wrong kind; allowed: true or false`},
		{"type of table", ok + "band = 4", `a.toml:2: band has a value of the wrong kind; allowed: a table`},
		{"pace as number", ok + "[target]\npace = 310", `a.toml:3: target.pace has a value of the wrong kind; allowed: minutes and seconds in quotes, like "5:10"`},
		{"empty name", "volume = 1\nname = \"  \"", `a.toml:2: name is missing`},
		{"long name", "name = \"" + strings.Repeat("ä", 81) + "\"", `a.toml:1: name has 81 characters; allowed: 1 to 80`},
		{"odd name", `name = "a\u0007b"`, `a.toml:1: name has characters that cannot be shown`},
		{"volume", ok + "# loud\nvolume = 1.01", `a.toml:3: volume is 1.01; allowed: 0 (silent) to 1`},
		{"volume NaN", ok + "volume = nan", `a.toml:2: volume is NaN; allowed: 0`},
		{"latency", ok + "latency_ms = -1", `a.toml:2: latency_ms is -1; allowed: 0 to 1000 ms`},
		{"first foot", ok + "first_foot = \"both\"", `a.toml:2: first_foot is "both"; allowed: "left" or "right"`},
		{"beat foot", ok + "beat.foot = \"none\"", `a.toml:2: foot is "none"; allowed: "both", "left" or "right"`},
		{"beat mode", ok + "[beat]\nmode = \"fast\"", `a.toml:3: mode is "fast"; allowed: "steady", "lead", "follow" or "on demand"`},
		{"every", ok + "[beat]\nevery = 3", `a.toml:3: every is 3; allowed: 1 (each step) or 4`},
		{"every of a foot", ok + "[beat]\nfoot = \"left\"\nevery = 4", `a.toml:4: every fourth step falls on the same foot`},
		{"accent", ok + "[beat]\naccent = 1", `a.toml:3: accent is 1; allowed: 0 (none) or 2 to 16`},
		{"ahead", ok + "[beat]\nahead_ms = 100.1", `a.toml:3: ahead_ms is 100.1; allowed: 0 to 100 ms`},
		{"layer", ok + "[cues]\nlayer = \"song\"", `a.toml:3: layer is "song"; allowed: "tones", "speech" or "lines"`},
		{"layer without folder", ok + "[cues]\nlayer = \"lines\"", `a.toml:3: layer is "lines" but no folder is named`},
		{"folder", ok + "[cues]\nlines = \"a\\u0007\"", `a.toml:3: lines is no folder`},
		{"uneven", ok + "[cues]\n\nuneven = 0.5", `a.toml:4: uneven is 0.5; allowed: 0 (never told) or 1 to 20 %`},
		{"step", ok + "step_length = 105", `a.toml:2: step length is 105 m; allowed: 0.3 to 2 m`},
		{"both steps", ok + "step_length = 1\nstep_lengths = [{cadence=180,length=1}]", `a.toml:3: both step_length and step_lengths`},
		{"one point", ok + "step_lengths = [{cadence=180,length=1.05}]", `a.toml:2: step_lengths has one point; allowed: two or more; write step_length = 1.05`},
		{"second point", ok + "step_lengths = [\n{cadence=180,length=1},\n\n{cadence=190,length=3},\n]", `a.toml:5: step length is 3 m`},
		{"second table", ok + "[[step_lengths]]\ncadence=180\nlength=1\n[[step_lengths]]\ncadence=180\nlength=1.1", `a.toml:5: cadence 180 follows 180; allowed: rising`},
		{"steep fall", ok + "step_lengths = [{cadence=180,length=1.5},\n{cadence=190,length=1}]", `a.toml:3: step length falls from 1.5 m at 180 to 1 m at 190`},
		{"cadence", ok + "[target]\ncadence = 96.0e1", `a.toml:3: cadence is 960 steps/min; allowed: 90 to 240; count both feet`},
		{"cadence inline", ok + "target = {\ncadence = 80 }", `a.toml:3: cadence is 80 steps/min`},
		{"no target", ok + "[target]\n", `a.toml:2: the target is empty`},
		{"two targets", ok + "[target]\ncadence = 190\npace = \"5:10\"", `a.toml:4: the target has a cadence and a pace`},
		{"pace text", ok + "step_length = 1\n[target]\npace = \"5.10\"", `a.toml:4: pace "5.10" is out of range; allowed: 2:00 to 20:00`},
		{"pace without step", ok + "[target]\npace = \"5:10\"", `a.toml:3: a target pace needs a step length`},
		{"pace too quick", ok + "step_length = 1.05\n[target]\npace = \"3:00\"", `a.toml:4: pace 3:00 needs 317 steps/min at this step length; allowed: 90 to 240`},
		{"band", ok + "[band]\nslow = 0\nquick = 4", `a.toml:3: slow is 0; allowed: 0.5 to 30`},
		{"band %", ok + "[band]\nslow = 4\nquick = 16\nunit = \"%\"", `a.toml:4: quick is 16; allowed: 0.5 to 15`},
		{"half a band", ok + "[band]\nslow = 4", `a.toml:2: quick is missing; allowed: 0.5 to 30; write quick = 4`},
		{"unit", ok + "[band]\nslow = 4\nquick = 4\nunit = \"spm\"", `a.toml:5: unit is "spm"; allowed: "steps/min" or "%"`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := Parse("a.toml", []byte(tt.in))
			if err == nil {
				t.Fatal("no error")
			}
			if !strings.HasPrefix(err.Error(), tt.want) {
				t.Errorf("got  %s\nwant %s...", err, tt.want)
			}
			// what; allowed; what to do
			if strings.Count(err.Error(), "; ") < 2 || !strings.Contains(err.Error(), "; allowed") {
				t.Errorf("%q does not say what is wrong, what is allowed and what to do", err)
			}
		})
	}
}

// TestEveryKeyExplained keeps the tables of words in step with the file.
func TestEveryKeyExplained(t *testing.T) {
	var visit func(typ reflect.Type, prefix string)
	visit = func(typ reflect.Type, prefix string) {
		for i := range typ.NumField() {
			f := typ.Field(i)
			key, _, _ := strings.Cut(f.Tag.Get("toml"), ",")
			if kinds[prefix+key] == "" {
				t.Errorf("no words for key %s", prefix+key)
			}
			if !strings.Contains(tables[strings.TrimSuffix(prefix, ".")], key) {
				t.Errorf("key %s is not listed in its table", prefix+key)
			}
			inner := f.Type
			for inner.Kind() == reflect.Pointer || inner.Kind() == reflect.Slice {
				inner = inner.Elem()
			}
			if inner.Kind() == reflect.Struct {
				visit(inner, key+".")
			}
		}
	}
	visit(reflect.TypeFor[file](), "")
}

func FuzzParse(f *testing.F) {
	f.Add([]byte("name = \"Mira Tal\"\nstep_length = 1.05\n[target]\npace = \"5:10\"\n"))
	f.Add([]byte("name = 'a'\n[[step_lengths]]\ncadence = 180\nlength = 1\n[[step_lengths]]\ncadence = 190.5\nlength = 1.07\n"))
	f.Add([]byte("name = \"a\"\nband = {slow = 1, quick = 2, unit = \"%\"}\nbeat.on = false\n"))
	f.Add([]byte("name = \"a\"\ntarget.cadence = nan"))
	f.Add([]byte("name = \"a\"\n[beat]\nmode = \"follow\"\nevery = 4\n[cues]\nlayer = \"lines\"\nlines = \"x\"\nuneven = 0\n"))
	f.Add([]byte("\xef\xbb\xbf[[target]]\r\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		a, err := Parse("f.toml", data)
		if err != nil {
			var at *Error
			if !errors.As(err, &at) || at.Line < 1 || at.Line > 1+strings.Count(string(data), "\n") || strings.Contains(err.Error(), "\n") {
				t.Fatalf("bad error %q", err)
			}
			return
		}
		again, err := Parse("again.toml", Format(a))
		if err != nil || !reflect.DeepEqual(a, again) {
			t.Fatalf("%+v came back as %+v, %v\n%s", a, again, err, Format(a))
		}
	})
}
