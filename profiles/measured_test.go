package profiles

import (
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"
)

func TestMeasuredCurve(t *testing.T) {
	line := []Measured{{Cadence: 180, Length: 1.00}, {Cadence: 190, Length: 1.05}, {Cadence: 200, Length: 1.10}, {Cadence: 185, Length: 1.025}}
	c := MeasuredCurve(line)
	if len(c) != 2 || math.Abs(c.Length(195)-1.075) > 1e-12 {
		t.Errorf("a line: %v", c)
	}
	for what, list := range map[string][]Measured{
		"few":   line[:3],
		"alike": {{Cadence: 190, Length: 1}, {Cadence: 191, Length: 1.1}, {Cadence: 192, Length: 1}, {Cadence: 193, Length: 1.1}},
		"steep": {{Cadence: 180, Length: 1.9}, {Cadence: 190, Length: 0.9}, {Cadence: 195, Length: 0.5}, {Cadence: 200, Length: 0.3}},
	} {
		if c := MeasuredCurve(list); len(c) != 1 {
			t.Errorf("%s: %v is no single length", what, c)
		}
	}
	if c := MeasuredCurve(nil); len(c) != 0 {
		t.Errorf("nothing gives %v", c)
	}
}

func TestAppendMeasured(t *testing.T) {
	data := []byte("# by hand\nname = \"Mira Tal\"   # with a comment\n\n[target]\npace = \"5:00\"\n")
	var err error
	for i := range 4 {
		m := Measured{Date: fmt.Sprintf("2026-05-%02d", i+1), Note: "dry", Cadence: 180 + 5*float64(i), Length: 1 + 0.02*float64(i), LengthSD: 0.003, Distance: 400}
		if data, err = AppendMeasured(data, m); err != nil {
			t.Fatal(err)
		}
	}
	if !strings.HasPrefix(string(data), "# by hand\nname = \"Mira Tal\"   # with a comment\n\n[target]\npace = \"5:00\"\n") {
		t.Errorf("what stood there has changed:\n%s", data)
	}
	a, err := Parse("mira.toml", data)
	if err != nil {
		t.Fatal(err)
	}
	if len(a.Measured) != 4 || a.Measured[3].Length != 1.06 || math.Abs(a.StepLength.Length(190)-1.04) > 1e-12 {
		t.Errorf("%+v", a)
	}
	again, err := Parse("again.toml", Format(a))
	if err != nil || !reflect.DeepEqual(again, a) {
		t.Errorf("%+v came back as %+v, %v", a, again, err)
	}
}

func TestMeasuredRefused(t *testing.T) {
	for text, want := range map[string]string{
		`date = "May"`: "bad.toml:5: date", "date = \"2026-05-01\"\ncadence = 20": "bad.toml:6: cadence",
		"date = \"2026-05-01\"\ncadence = 190\nlength = 5": "bad.toml:7: length", "date = 1": "bad.toml:5: measured.date has a value of the wrong kind",
		"day = 1": "bad.toml:5: unknown key measured.day",
	} {
		_, err := Parse("bad.toml", []byte("name = \"x\"\n\n\n[[measured]]\n"+text+"\n"))
		if err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
}
