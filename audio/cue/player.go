package cue

import (
	"errors"
	"fmt"
	"math"

	"github.com/faiface/beep"

	"steadfoot/audio"
)

// Errors of Play and PlayStreamer. The sound is dropped and counted.
var (
	ErrLate = errors.New("cue: too late, that sample is already mixed")
	ErrFull = errors.New("cue: too many sounds are waiting or playing")
)

const (
	// DefaultVolume is low on purpose: 15 dB under the loudest.
	DefaultVolume = 0.5
	// Voices is how many sounds can wait or play at once.
	Voices = 64

	volumeRange = 30.0                    // dB from volume 1 down to just above 0
	slew        = 1 / (0.02 * audio.Rate) // greatest gain change per sample: 0 to 1 in 20 ms
	block       = 256                     // frames mixed at a time
)

// Options set up a Player.
type Options struct {
	// Volume is 0..1; 0 is silence, and from there to 1 it is even in dB over a
	// range of 30 dB. Callers without a wish use [DefaultVolume].
	Volume float64
	// Cap is the ceiling of every output sample in dBFS, from -40 to -1; 0 means
	// -1. Volume 1 puts the loudest single sound 6 dB under it.
	Cap float64
	// Accent is by how many dB the left click is stronger than the right, from
	// -12 to 12; a negative value favours the right. The other foot is turned
	// down by as much. 0, the default, has both alike.
	Accent float64
}

func (o Options) validate() error {
	switch {
	case !(o.Volume >= 0 && o.Volume <= 1):
		return fmt.Errorf("cue: volume %g is not between 0 and 1", o.Volume)
	case o.Cap != 0 && !(o.Cap >= -40 && o.Cap <= -1):
		return fmt.Errorf("cue: cap %g dBFS is not between -40 and -1", o.Cap)
	case !(math.Abs(o.Accent) <= 12):
		return fmt.Errorf("cue: accent %g dB is not between -12 and 12", o.Accent)
	}
	return nil
}

// Player mixes sounds to the sample. Output sample index 0 is its first frame.
//
// Cues do not duck the clicks. The beat is what the walker's feet hold on to,
// and a click that drops in level under a cue is a changed beat; clicks fill
// only some 6 % of the time and other partials than the cues, so neither hides
// the other; and the levels leave room for both, so the limiter need not act.
type Player struct {
	sounds  *[sounds]*Clip
	accent  [sounds]float64 // gain of each built-in sound
	slots   [Voices]slot
	lim     *limiter
	scale   float64 // gain of volume 1: the cap against the highest cap
	gain    float64 // current gain
	aim     float64 // gain it moves to
	pos     int64   // next output index
	mixed   int64   // next mix index: ahead of pos by what the limiter looks ahead
	still   int     // frames mixed since anything last sounded
	dropped int
	peak    float64
	least   float64 // lowest limiter gain yet

	sum, buf [block][2]float64
}

// NewPlayer makes a player and, on first use in the process, all the sounds.
func NewPlayer(o Options) (*Player, error) {
	if err := o.validate(); err != nil {
		return nil, err
	}
	scale := 1.0
	if o.Cap != 0 {
		scale = math.Pow(10, (o.Cap+1)/20)
	}
	p := &Player{sounds: bank(), lim: newLimiter(scale*ceilingMax, slowRelease), scale: scale, least: 1}
	for s := range p.accent {
		p.accent[s] = 1
	}
	p.accent[ClickLeft] = math.Pow(10, min(0, o.Accent)/20)
	p.accent[ClickRight] = math.Pow(10, min(0, -o.Accent)/20)
	if err := p.SetVolume(o.Volume); err != nil {
		return nil, err
	}
	p.gain = p.aim
	return p, nil
}

// SetVolume changes the volume of everything, 0..1 as in [Options], without a
// jump: within 20 ms from the next frame mixed. It fails on any other value.
func (p *Player) SetVolume(v float64) error {
	if err := (Options{Volume: v}).validate(); err != nil {
		return err
	}
	p.aim = 0
	if v > 0 {
		p.aim = p.scale * math.Pow(10, -volumeRange*(1-v)/20)
	}
	return nil
}

// Play has s sound so that its perceptual onset, the first sample at half its
// peak, is output sample at. It returns ErrLate when at is before
// [Player.Earliest], ErrFull when too many sounds wait or play, and another
// error when s is unknown.
func (p *Player) Play(s Sound, at int64) error { return p.PlayClick(s, at, 0) }

// PlayClick plays s as [Player.Play] does, louder or softer by gainDB, from -90
// to 12: for accents, and for beats that fade in or out. Above 0 dB at volume 1
// the limiter may have to act when a cue coincides.
func (p *Player) PlayClick(s Sound, at int64, gainDB float64) error {
	if !s.known() {
		return fmt.Errorf("cue: no such sound: %d", int(s))
	}
	if !(gainDB >= -90 && gainDB <= 12) {
		return fmt.Errorf("cue: gain %g dB is not between -90 and 12", gainDB)
	}
	v, err := p.play(p.sounds[s], at)
	if err != nil {
		return err
	}
	v.gain, v.isBeat = p.accent[s], s.IsClick()
	if gainDB != 0 {
		v.gain *= math.Pow(10, gainDB/20)
	}
	return nil
}

// PlayClip has c sound with its onset at output sample at. It returns ErrLate
// when at is before [Player.EarliestClip], and ErrFull when too many sounds wait
// or play.
func (p *Player) PlayClip(c *Clip, at int64) error {
	_, err := p.play(c, at)
	return err
}

func (p *Player) play(c *Clip, at int64) (*slot, error) {
	v, err := p.slot(at - int64(c.onset))
	if err != nil {
		return nil, err
	}
	v.own = clipStreamer{clip: c}
	v.st, v.gain, v.at = &v.own, 1, at
	return v, nil
}

// PlayStreamer has st sound with its first frame at output sample at, stereo at
// [audio.Rate] with full scale at ±1; volume and limiter apply. It needs
// [LookAhead] samples of notice from Pos on. Stream is called from Render and
// must be quick. Errors are those of Play.
func (p *Player) PlayStreamer(st beep.Streamer, at int64) error {
	v, err := p.slot(at)
	if err != nil {
		return err
	}
	v.st, v.gain, v.at = st, 1, at
	return nil
}

// slot takes a free slot for a sound whose first frame is at start.
func (p *Player) slot(start int64) (*slot, error) {
	if start < p.mixed {
		p.dropped++
		return nil, ErrLate
	}
	for i := range p.slots {
		if v := &p.slots[i]; v.st == nil {
			v.start = start
			return v, nil
		}
	}
	p.dropped++
	return nil, ErrFull
}

// CancelAfter drops the clicks with their onset at output sample at or later
// that have not begun to be mixed, and returns how many. Cues and other
// streamers stay. It is for a changed beat map, whose clicks are then played anew.
func (p *Player) CancelAfter(at int64) int {
	n := 0
	for i := range p.slots {
		v := &p.slots[i]
		if v.st != nil && v.isBeat && v.at >= at && v.start >= p.mixed {
			*v = slot{}
			n++
		}
	}
	return n
}

// CancelClip takes back the clips whose onset is at output sample at, and that do not
// sound yet; it tells how many those were.
func (p *Player) CancelClip(at int64) int {
	n := 0
	for i := range p.slots {
		v := &p.slots[i]
		if v.st == &v.own && !v.isBeat && v.at == at && v.start >= p.mixed {
			*v = slot{}
			n++
		}
	}
	return n
}

// StopCues ends all cues: those that wait are dropped, those that sound fall
// silent within 20 ms. Clicks and streamers go on. It is for a pause.
func (p *Player) StopCues() {
	for i := range p.slots {
		if v := &p.slots[i]; v.st == &v.own && !v.isBeat {
			v.stop(p.mixed)
		}
	}
}

// Render fills dst with the next frames of output.
func (p *Player) Render(dst []audio.Frame) {
	for p.mixed < p.pos+LookAhead { // before the first frame only
		n := int(min(block, p.pos+LookAhead-p.mixed))
		p.mix(n)
		for _, f := range p.sum[:n] {
			p.lim.next(f)
		}
	}
	for len(dst) > 0 {
		n := min(block, len(dst))
		if p.still >= LookAhead && p.lim.atRest() && !p.sounding(n) {
			clear(dst[:n]) // nothing in the look-ahead, nothing to come
			p.mixed += int64(n)
		} else {
			p.mix(n)
			for i, f := range p.sum[:n] {
				dst[i] = p.limit(f)
			}
		}
		p.pos += int64(n)
		dst = dst[n:]
	}
}

// sounding tells whether anything sounds in the next n frames of the mix.
func (p *Player) sounding(n int) bool {
	for i := range p.slots {
		if v := &p.slots[i]; v.st != nil && v.start < p.mixed+int64(n) {
			return true
		}
	}
	return false
}

// mix puts the next n frames of all sounds into sum.
func (p *Player) mix(n int) {
	sum := p.sum[:n]
	clear(sum)
	p.still += n
	for i := range p.slots {
		if v := &p.slots[i]; v.st != nil && v.start < p.mixed+int64(n) {
			v.addTo(sum, p.buf[:], p.mixed)
			p.still = 0
		}
	}
	for i := range sum {
		if p.gain != p.aim {
			p.gain += max(-slew, min(slew, p.aim-p.gain))
		}
		sum[i][0] *= p.gain
		sum[i][1] *= p.gain
	}
	p.mixed += int64(n)
}

func (p *Player) limit(f [2]float64) audio.Frame {
	out, gain := p.lim.next(f)
	p.least = min(p.least, gain)
	p.peak = max(p.peak, math.Abs(out[0]), math.Abs(out[1]))
	return audio.Frame{float32(out[0]), float32(out[1])}
}

// Pos is the output sample index of the next frame Render gives.
func (p *Player) Pos() int64 { return p.pos }

// Earliest is the first output sample at which s can still be played: Pos and
// some milliseconds for the limiter's look-ahead and the sound's attack.
func (p *Player) Earliest(s Sound) int64 { return p.EarliestClip(p.sounds[s]) }

// EarliestClip is the first output sample at which the onset of c can still be.
func (p *Player) EarliestClip(c *Clip) int64 { return p.mixed + int64(c.onset) }

// Dropped counts the sounds that came too late or found no room.
func (p *Player) Dropped() int { return p.dropped }

// PeakDBFS is the greatest output sample yet, in dB of full scale; -Inf while
// there was only silence. The true peak between samples may be a little higher.
func (p *Player) PeakDBFS() float64 { return 20 * math.Log10(p.peak) }

// LimitedDB is the most the limiter has yet turned the gain down, in dB; 0 when
// it never had to.
func (p *Player) LimitedDB() float64 { return 20 * math.Log10(1/p.least) }
