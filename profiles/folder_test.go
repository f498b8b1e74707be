package profiles

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"reflect"
	"strings"
	"testing"
	"testing/fstest"
)

// TestExamples reads the club's profiles and writes each one back.
func TestExamples(t *testing.T) {
	examples := os.DirFS("examples")
	names := Names(examples)
	if want := []string{"dana-roe", "jon-ash", "mira-tal"}; !reflect.DeepEqual(names, want) {
		t.Fatalf("examples are %v, want %v", names, want)
	}
	for _, name := range names {
		a, err := Find(examples, name)
		if err != nil {
			t.Fatal(err)
		}
		again, err := Parse(name, Format(a))
		if err != nil || !reflect.DeepEqual(a, again) {
			t.Errorf("%s: %+v came back as %+v, %v", name, a, again, err)
		}
	}
	jon, _ := Find(examples, "jon-ash")
	if jon.Target.Pace != 310 || jon.Beat.Foot != Left || !jon.Band.Percent {
		t.Errorf("Jon Ash is %+v", jon)
	}
}

func TestFind(t *testing.T) {
	fsys := fstest.MapFS{
		"good.toml":  {Data: []byte(`name = "Good"`)},
		"bad.toml":   {Data: []byte("name = \"Bad\"\nvolume = 2")},
		"huge.toml":  {Data: bytes.Repeat([]byte("# no end\n"), 10000)},
		"notes.text": {Data: []byte("not a profile")},
	}
	if a, err := Find(fsys, "good"); err != nil || a.Name != "Good" {
		t.Errorf("good: %+v, %v", a, err)
	}
	for name, want := range map[string]string{
		"bad":     "bad.toml:2: volume is 2",
		"huge":    "huge.toml: more than 64 kB",
		"missing": `no profile "missing" (there are: bad, good, huge); write steadfoot/profiles/missing.toml`,
		"../etc":  `no profile "../etc"`,
	} {
		_, err := Find(fsys, name)
		if err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%s: %v, want %s...", name, err, want)
		}
	}
	if _, err := Find(fsys, "missing"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a missing profile is not fs.ErrNotExist: %v", err)
	}
	if _, err := Find(fstest.MapFS{}, "a"); err == nil || !strings.Contains(err.Error(), "no profiles are there") {
		t.Errorf("empty folder: %v", err)
	}
}

func TestIsPath(t *testing.T) {
	for arg, want := range map[string]bool{"mira-tal": false, "Mira Tal": false, "mira.toml": true, "./mira": true, `c:\mira`: true} {
		if IsPath(arg) != want {
			t.Errorf("IsPath(%q) is %v", arg, !want)
		}
	}
}
