package review

import (
	"encoding/json"
	"errors"

	"steadfoot/coach/event"
	"steadfoot/coach/logbook"
	"steadfoot/detect"
)

// DigestForm is the version of what [NewDigest] makes. It grows with every change
// of its meaning, so that digests that were kept are made anew.
const DigestForm = 1

// Digest is what of a session a trend is made of. It is kept in the store, so that
// a trend over a season does not read every step of it.
type Digest struct {
	Walking  float64  `json:"walking"`            // s
	Distance float64  `json:"distance,omitempty"` // by the profile's step length, or by marks without one, m
	Aimed    float64  `json:"aimed,omitempty"`    // walked with a target, s
	In       float64  `json:"in,omitempty"`       // of it in the band, s
	Uneven   *float64 `json:"uneven,omitempty"`   // as in Summary, %
	Varied   *float64 `json:"varied,omitempty"`   // likewise
	Laps     []Paced  `json:"laps,omitempty"`     // of work, of a length known from marks
}

// Paced is a lap with the cadence and the pace that its marks tell: the two give
// its step length.
type Paced struct {
	Cadence float64 `json:"cadence"` // steps/min
	Pace    float64 `json:"pace"`    // s/km
}

// Length is the step length, m.
func (p Paced) Length() float64 { return 60 * 1000 / (p.Cadence * p.Pace) }

// NewDigest makes the digest of a session.
func NewDigest(h logbook.Header, events []event.Event) Digest {
	s := Summary{}
	var gaps []Gap
	for _, e := range events {
		if g, ok := e.(event.Gap); ok {
			gaps = append(gaps, g)
		}
	}
	steps, walked := Steps(events), spans(events)
	s.cadence(walked)
	s.distance(events)
	in := intervals(steps, gaps)
	d := Digest{Walking: s.Walking, Distance: s.Distance, Uneven: unevenness(in), Varied: variability(in)}
	if b := bandOf(aimsOf(h, events), walked); b != nil {
		d.Aimed, d.In = b.Aimed, b.Aimed*b.In
	}
	d.laps(events, steps)
	return d
}

func (d *Digest) laps(events []event.Event, steps []detect.Step) {
	marked := 0.0
	for _, s := range Stretches(events) {
		marked += s.Distance
		if (Row{Role: s.Role}).rest() {
			continue
		}
		if p, err := s.Pass(steps, 0); err == nil {
			d.Laps = append(d.Laps, Paced{p.Cadence().Value, p.Pace().Value})
		}
	}
	if d.Distance == 0 {
		d.Distance = marked
	}
}

// Encode is the digest as the store keeps it.
func (d Digest) Encode() ([]byte, error) { return json.Marshal(d) }

// DecodeDigest reads what Encode wrote. It refuses what no walk can come to.
func DecodeDigest(data []byte) (Digest, error) {
	var d Digest
	if err := json.Unmarshal(data, &d); err != nil {
		return Digest{}, err
	}
	good := d.Walking >= 0 && d.Walking < 1e7 && d.Distance >= 0 && d.Distance < 1e8 && d.Aimed >= 0 && d.In >= 0 && d.In <= d.Aimed*(1+1e-9)
	for _, p := range []*float64{d.Uneven, d.Varied} {
		good = good && (p == nil || *p >= 0 && *p <= 1e4)
	}
	for _, l := range d.Laps {
		good = good && l.Cadence >= 60 && l.Cadence <= 300 && l.Pace >= 50 && l.Pace <= 1e4
	}
	if !good {
		return Digest{}, errors.New("its figures cannot be those of a walk")
	}
	return d, nil
}
