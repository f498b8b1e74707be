package detect

import "testing"

// What counts is the rise above all of the last 165 ms, in dB: not the level,
// not a fall, not a second sound as loud. Far above the floor the past fades,
// and such a second sound gets what it faded by, little beside the first.
func TestEvidence(t *testing.T) {
	e := newEvidence(4, 200)
	frame := func(dB float64) float64 { return e.next([]float64{dB, dB, dB, dB}) }
	for range 400 { // until the usual rise is forgotten
		if z := frame(-60); z != 0 {
			t.Fatalf("evidence %g of a steady level", z)
		}
	}
	if z := frame(-54); z < 5 || z > 6.5 {
		t.Errorf("evidence %.2f of a rise by 6 dB that was steady before", z)
	}
	for range 16 { // 80 ms later
		frame(-60)
	}
	if z := frame(-54); z != 0 {
		t.Errorf("evidence %.2f of a second sound as loud as the first, little above the floor", z)
	}
	for range riseSkip + riseSpan {
		frame(-80)
	}
	if z := frame(-54); z != riseCeiling {
		t.Errorf("evidence %.2f of a rise by 26 dB, want the most, %g", z, riseCeiling)
	}
	for range 16 {
		frame(-80)
	}
	if z, faded := frame(-54), fadeDB*(17-fadeAfter); z < 0.9*faded || z > 1.1*faded {
		t.Errorf("evidence %.2f of a second sound as loud as the first, want what the first faded by, %.2f dB", z, faded)
	}
	for range riseSkip + riseSpan {
		frame(-80)
	}
	if z := frame(-54); z <= 0 {
		t.Errorf("no evidence of the next step")
	}
}

func TestEvidenceForgets(t *testing.T) {
	e := newEvidence(1, 200)
	for range 100 {
		e.next([]float64{-90})
	}
	e.forget()
	if z := e.next([]float64{-20}); z != 0 {
		t.Errorf("evidence %g of a rise over a hole", z)
	}
}
