package main

import (
	"cmp"
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"net/url"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"steadfoot/coach"
	"steadfoot/coach/group"
	"steadfoot/coach/group/member"
	"steadfoot/detect"
	"steadfoot/profiles"
)

const joinHelp = `
Takes part in a group from this machine, with detection and coaching of its own:
the beat, the target and the parts of the session come from the leader, whose
'steadfoot lead' prints the ADDRESS and the word of entry. Everybody hears the
same beat at the same instant, so it never follows or leads your feet.

ADDRESS is host:port, or the address of the page as lead prints it; the word may
be in it. If the leader cannot be reached any more the beat goes on by itself, and
it catches up when the leader is back.

All other flags are those of 'steadfoot walk'. The walk is logged here like any
other. The leader sees your name, cadence and how your feet meet the beat while
you walk, and forgets them. With --agree your steps are sent as well, and the
leader stores your walk under your name; to take that back join again without it,
and ask for what is stored to be deleted. Sound is never sent.

The instant counts at your ear: measure the delay of wireless earbuds once with
'steadfoot latency', or give --latency.

Examples:
  steadfoot join 192.168.1.20:8470 --word bagitoru42 --name "Mira Tal"
  steadfoot join 'http://192.168.1.20:8470/#word=bagitoru42' --profile mira-tal
  steadfoot join 192.168.1.20:8470 --word bagitoru42 --name "Jon Ash" --beat left --agree`

// joinOptions are the flags of join beside those of a walk.
type joinOptions struct {
	address, word, name, group string
	agree                      bool
	wait                       time.Duration // for the leader, at first
	trust                      string        // fingerprint of the leader's certificate

	tls *tls.Config // of trust; nil: what the machine trusts
}

// leadersOwn are the flags of a target that only the leader can give.
var leadersOwn = []string{"cadence", "pace", "band", "mode", "accent"}

func runJoin(ctx context.Context, std stdio, args []string) error {
	o := walkOptions{command: "join"}
	var j joinOptions
	fs := newFlags(std, "join", "join ADDRESS [flags]", joinHelp+"\n\n"+caution)
	fs.StringVar(&j.word, "word", "", "the group's word of entry, where it is not in ADDRESS")
	fs.StringVar(&j.name, "name", "", "your name on the coach's board (default: the profile's)")
	fs.StringVar(&j.group, "group", "", "the group to join, where the leader has several")
	fs.BoolVar(&j.agree, "agree", false, "agree that the leader stores your steps and rhythm; sound is never sent")
	fs.StringVar(&j.trust, "trust", "", "fingerprint of a certificate that the leader made itself (lead --tls prints it)")
	fs.DurationVar(&j.wait, "wait", 10*time.Second, "how long the leader may take to answer at first")
	addTargetFlags(fs, &o.target)
	addWalkFlags(fs, &o)
	addInputFlags(fs, &o.input)
	for _, name := range leadersOwn {
		fs.MarkHidden(name)
	}
	rest, err := parseFlags(fs, args, 1, 1)
	if err != nil {
		return err
	}
	if err := j.check(fs, rest[0]); err != nil {
		return err
	}
	if err := errors.Join(o.check(fs.Changed("in")), o.input.check(fs)); err != nil {
		return err
	}
	athlete, err := o.target.athlete(fs)
	if err != nil {
		return err
	}
	if j.name = cmp.Or(j.name, athlete.Name); j.name == "" {
		return usagef("the board needs a name; give --name \"Mira Tal\", or --profile")
	}
	return join(ctx, std, o, j, athlete, fs.Changed("beat"))
}

// check reads the address, and refuses what only the leader can set.
func (j *joinOptions) check(fs *pflag.FlagSet, address string) error {
	for _, name := range leadersOwn {
		if fs.Changed(name) {
			return usagef("--%s is the leader's to set in a group", name)
		}
	}
	var word string
	var err error
	if j.address, word, err = parseLeader(address); err != nil {
		return err
	}
	if j.word = cmp.Or(j.word, word); j.word == "" {
		return usagef("the word of entry is missing; lead prints it: give --word WORD")
	}
	if j.trust != "" {
		print, err := parseTrust(j.trust)
		if err != nil {
			return err
		}
		j.tls = member.Trusting(print)
		j.address = strings.Replace(j.address, "ws://", "wss://", 1)
	}
	return nil
}

// parseLeader reads an address as lead prints it: host:port, or a page's, with the
// word in its fragment or query.
func parseLeader(address string) (hub, word string, err error) {
	wrong := usagef("%.80q is no address of a leader; it looks like 192.168.1.20:8470", address)
	whole := address
	if !strings.Contains(address, "://") {
		whole = "ws://" + address
	}
	u, err := url.Parse(whole)
	if err != nil || u.Hostname() == "" || u.User != nil || strings.Count(u.Host, ":") > 1 && u.Host[0] != '[' {
		return "", "", wrong
	}
	for _, secrets := range []string{u.Fragment, u.RawQuery} {
		if q, err := url.ParseQuery(secrets); err == nil && word == "" {
			word = q.Get("word")
		}
	}
	switch u.Scheme {
	case "http", "ws":
		u.Scheme = "ws"
	case "https", "wss":
		u.Scheme = "wss"
	default:
		return "", "", wrong
	}
	return u.Scheme + "://" + u.Host, word, nil
}

// join walks with the group.
func join(ctx context.Context, std stdio, o walkOptions, j joinOptions, a profiles.Athlete, ownBeat bool) error {
	clock := monotonic()
	last := make(chan string, 1) // what was told last of the connection
	m, err := member.Join(ctx, member.Options{
		Addresses: []string{j.address}, Name: j.name, Word: j.word, Group: j.group, Agree: j.agree, Way: "program", TLS: j.tls,
		Clock: func() float64 { return clock().Seconds() },
		Tell: func(line string) {
			select {
			case <-last:
			default:
			}
			last <- line
		},
	})
	if err != nil {
		return usageError{err.Error()}
	}
	defer m.Close()
	first, stop := context.WithTimeout(ctx, j.wait)
	err = m.Ready(first)
	stop()
	if err != nil {
		return notJoined(ctx, err, last)
	}
	o.party = &party{link: m, clock: clock, agree: j.agree}
	if ownBeat {
		o.party.news.own = &coach.BeatChoice{On: a.Beat.On, Foot: coach.SideOf(a.Beat.Foot), Every: a.Beat.Every}
	}
	o.fromMap(m, &a)
	return walk(ctx, std, o, a)
}

// notJoined says why there is no walk.
func notJoined(ctx context.Context, err error, last <-chan string) error {
	if !errors.Is(err, context.DeadlineExceeded) || ctx.Err() != nil {
		return err
	}
	select {
	case line := <-last:
		return fmt.Errorf("%s; is the leader there, and on the same network?", oneLine(line))
	default:
		return errors.New("the leader does not answer; is it there, and on the same network?")
	}
}

// fromMap takes from the leader what a walk has to know beforehand. The target is
// what the settings need one for; what holds comes with the first news.
func (o *walkOptions) fromMap(m leaderLink, a *profiles.Athlete) {
	now, _ := m.Map()
	a.Target = profiles.Target{Cadence: now.Target.Cadence}
	if c := a.Target.Cadence; !(c >= detect.Slowest && c <= detect.Fastest) {
		a.Target.Cadence = 180
	}
	if o.label == "" {
		o.label = groupLabel(now)
	}
}

// groupLabel is how a walk with a group is found in a log.
func groupLabel(m group.Map) string {
	if m.Session != "" {
		return "group " + m.Group + ": " + m.Session
	}
	return "group " + m.Group
}
