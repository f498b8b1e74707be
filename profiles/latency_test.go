package profiles

import (
	"errors"
	"strings"
	"testing"
)

func TestSetLatency(t *testing.T) {
	for name, c := range map[string]struct{ before, after string }{
		"there":       {"name = 'Mira Tal' # by hand\nlatency_ms = 160.0   # old earbuds\n[target]\ncadence = 190\n", "name = 'Mira Tal' # by hand\nlatency_ms = 153.2   # old earbuds\n[target]\ncadence = 190\n"},
		"whole":       {"latency_ms=7\nname = \"Mira Tal\"", "latency_ms=153.2\nname = \"Mira Tal\""},
		"quoted":      {"name = \"Jon Ash\"\n  \"latency_ms\"\t=\t+1_0.5e1\n", "name = \"Jon Ash\"\n  \"latency_ms\"\t=\t153.2\n"},
		"none":        {"# kept\nname = \"Mira Tal\"\n# the aim\n  [target] # now\ncadence = 190", "# kept\nname = \"Mira Tal\"\n# the aim\nlatency_ms = 153.2\n  [target] # now\ncadence = 190"},
		"no table":    {"name = \"Mira Tal\"", "name = \"Mira Tal\"\nlatency_ms = 153.2\n"},
		"other lines": {"name = \"Mira Tal\"\r\n[beat]\r\non = true\r\n", "name = \"Mira Tal\"\r\nlatency_ms = 153.2\r\n[beat]\r\non = true\r\n"},
		"list":        {"name = \"Mira Tal\"\nstep_lengths = [\n  { cadence = 180, length = 1 }, # [target]\n  { cadence = 190, length = 1.1 },\n]\n[[measured]]\ndate = \"2026-05-01\"\ncadence = 190\nlength = 1.0\n", "name = \"Mira Tal\"\nstep_lengths = [\n  { cadence = 180, length = 1 }, # [target]\n  { cadence = 190, length = 1.1 },\n]\nlatency_ms = 153.2\n[[measured]]\ndate = \"2026-05-01\"\ncadence = 190\nlength = 1.0\n"},
		"in a text":   {"name = \"\"\"\nlatency_ms = 3\"\"\"\n", ""},
		"in a remark": {"#latency_ms = 3\nname = \"Mira Tal\"\n", "#latency_ms = 3\nname = \"Mira Tal\"\nlatency_ms = 153.2\n"},
	} {
		got, err := SetLatency("a.toml", []byte(c.before), 153.2)
		if c.after == "" {
			c.after = c.before + "latency_ms = 153.2\n"
		}
		if err != nil || string(got) != c.after {
			t.Errorf("%s: %v\n%s\nwant\n%s", name, err, got, c.after)
		}
	}
}

func TestSetLatencyRefused(t *testing.T) {
	if _, err := SetLatency("a.toml", []byte(`name = "Mira Tal"`), 1001); err == nil || !strings.Contains(err.Error(), "0 to 1000 ms") {
		t.Errorf("too much: %v", err)
	}
	var bad *Error
	if _, err := SetLatency("a.toml", []byte("name = 3\n"), 10); !errors.As(err, &bad) || bad.Line != 1 {
		t.Errorf("a broken profile: %v", err)
	}
}

// Of a profile that can be read, only the latency ever changes.
func FuzzSetLatency(f *testing.F) {
	for _, s := range []string{"name = \"a\"", "name=\"a\"\nlatency_ms=1e1#x\n[beat]\non=true", "\"latency_ms\"=0x10\nname='''\n[b]'''", "name=\"a\"\r\n[[measured]]\r\n"} {
		f.Add([]byte(s), 12.5)
	}
	f.Fuzz(func(t *testing.T, data []byte, ms float64) {
		if _, err := Parse("a", data); err != nil || !within(ms, 0, maxLatency) {
			return
		}
		text, err := SetLatency("a", data, ms)
		if err != nil {
			t.Fatalf("%q: %v", data, err)
		}
		if a, err := Parse("a", text); err != nil || a.LatencyMS != ms {
			t.Errorf("%q became %q: %v", data, text, err)
		}
	})
}
