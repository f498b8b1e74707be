package bus

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"github.com/nats-io/nats.go"

	"steadfoot/coach/group"
)

const (
	signEvery = time.Second
	silence   = 5.0 // s; see Options.Silence
)

// errGivesWay ends a leader who hears of a better one.
var errGivesWay = errors.New("another hub leads")

// lead shares what src conducts until ctx is done or another leader is there,
// which gives errGivesWay.
func (b *Bus) lead(ctx context.Context, src group.Source) error {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	term, _ := src.Past()
	me := sign{Site: b.o.Site, Term: term}
	subs, err := b.answer(src, me, cancel)
	defer func() {
		for _, s := range subs {
			_ = s.Unsubscribe() // on a connection that is gone nothing is subscribed
		}
	}()
	if err != nil {
		return err
	}
	beat := time.NewTicker(signEvery)
	defer beat.Stop()
	for {
		changed := src.Changed()
		me.News++
		b.tellMaps(ctx, src, me)
		b.tellSign(src, &me)
	waiting:
		for {
			select {
			case <-changed:
				break waiting
			case <-beat.C:
				b.tellSign(src, &me)
			case <-ctx.Done():
				return context.Cause(ctx)
			}
		}
	}
}

func (b *Bus) tellSign(src group.Source, me *sign) {
	_, past := src.Past()
	me.Past, me.At = len(past), src.Now()
	if err := b.publish("lead", me); err != nil {
		b.problem("the bus takes nothing: " + oneLine(err))
	}
}

// tellMaps sends the maps to all hubs, and keeps them for those that come late.
func (b *Bus) tellMaps(ctx context.Context, src group.Source, me sign) {
	data, err := json.Marshal(news{me.Site, me.Term, me.News, src.Maps()})
	if err == nil {
		err = b.nc.Publish(b.base+"maps", data)
	}
	if err != nil {
		b.problem("the bus takes nothing: " + oneLine(err))
	}
	if b.kv == nil {
		return
	}
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	if _, err := b.kv.Put(ctx, "maps", data); err != nil {
		b.problem("the bus keeps nothing for hubs that come late: " + oneLine(err))
	}
}

// answer subscribes to what others ask of a leader.
func (b *Bus) answer(src group.Source, me sign, end context.CancelCauseFunc) (subs []*nats.Subscription, err error) {
	for subject, f := range map[string]nats.MsgHandler{
		"clock": func(m *nats.Msg) {
			p := group.Pong{Kind: group.KindPong, T2: src.Now()}
			var ping group.Ping
			if json.Unmarshal(m.Data, &ping) != nil {
				return
			}
			p.N, p.T1, p.T3 = ping.N, ping.T1, src.Now()
			reply(m, p)
		},
		"command": func(m *nats.Msg) {
			var c group.Command
			d := group.Done{Kind: group.KindDone}
			if err := json.Unmarshal(m.Data, &c); err != nil {
				d.Why = "the command cannot be read"
			} else if err := src.Command(context.Background(), c); err != nil {
				d.Why = err.Error()
			}
			reply(m, d)
		},
		"past": func(m *nats.Msg) {
			var p page
			if json.Unmarshal(m.Data, &p) == nil {
				reply(m, pageOf(src, p))
			}
		},
		"now": func(m *nats.Msg) { reply(m, news{me.Site, me.Term, 0, src.Maps()}) },
		"lead": func(m *nats.Msg) {
			var other sign
			if json.Unmarshal(m.Data, &other) == nil && other.Site != me.Site && me.before(other) {
				end(errGivesWay)
			}
		},
	} {
		s, err := b.nc.Subscribe(b.base+subject, f)
		if err != nil {
			return subs, fmt.Errorf("the bus: %w", err)
		}
		subs = append(subs, s)
	}
	return subs, b.nc.FlushTimeout(patience)
}

// pageOf is a page of the past: at least one command when there is one.
func pageOf(src group.Source, p page) group.Past {
	term, past := src.Past()
	answer := group.Past{Kind: group.KindPast, Term: term, Commands: []group.Command{}}
	size := 0
	for i := max(p.From, 0); i < len(past); i++ {
		if size += len(past[i].Session) + 400; size > pageSize && len(answer.Commands) > 0 {
			break
		}
		answer.Commands = append(answer.Commands, past[i])
	}
	return answer
}

// reply answers a request; who asked asks again when it gets lost.
func reply(m *nats.Msg, v any) {
	if data, err := json.Marshal(v); err == nil {
		_ = m.Respond(data)
	}
}
