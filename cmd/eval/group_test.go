package main

import (
	"io"
	"strings"
	"testing"
)

// TestGroup: a few members hold the bars, and all is in the table.
func TestGroup(t *testing.T) {
	var out strings.Builder
	passed, err := runGroup(options{group: groupOptions{members: 20, hubs: 1, seconds: 1}}, &out, io.Discard)
	if err != nil || !passed {
		t.Errorf("%v\n%s", err, out.String())
	}
	for _, want := range []string{"20 members, hubs: 1", "beat error", "processor", "memory", "network", "bars held"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("no %q in\n%s", want, out.String())
		}
	}
}

func TestGroupFlags(t *testing.T) {
	good := groupOptions{members: 2000, hubs: 1, seconds: 20}
	if err := good.check(); err != nil {
		t.Error(err)
	}
	for want, change := range map[string]func(*groupOptions){
		"--members 0":    func(o *groupOptions) { o.members = 0 },
		"--hubs 17":      func(o *groupOptions) { o.hubs = 17 },
		"needs --bus":    func(o *groupOptions) { o.hubs = 2 },
		"--group-time 0": func(o *groupOptions) { o.seconds = 0 },
	} {
		o := good
		change(&o)
		if err := o.check(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q", err, want)
		}
	}
}
