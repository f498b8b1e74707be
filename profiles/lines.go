package profiles

import (
	"fmt"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// lines maps each key of a document, written like "target.pace" or
// "step_lengths[1].length", to the line it stands on. The TOML reader keeps no
// positions of values it could read, and a value out of range is one of those.
type lines map[string]int

// keyLines indexes a document that has already been decoded without error.
func keyLines(data []byte) lines {
	l := lines{}
	var p unstable.Parser
	p.Reset(data)
	table, count := "", map[string]int{}
	for p.NextExpression() {
		switch e := p.Expression(); e.Kind {
		case unstable.KeyValue:
			l.value(&p, table, e)
		case unstable.Table:
			table = l.below(count, l.key(&p, "", e.Key()))
		case unstable.ArrayTable:
			name := l.key(&p, "", e.Key())
			line := l[name]
			name = l.below(count, name)
			table = fmt.Sprintf("%s[%d]", name, count[name])
			count[name]++
			l[table] = line
		}
	}
	return l
}

// below returns the name of a table with the index of the list that each part of
// it lies in: "set.rep" below the second [[set]] is "set[1].rep".
func (l lines) below(count map[string]int, name string) string {
	parts := strings.Split(name, ".")
	full := parts[0]
	for _, part := range parts[1:] {
		if n := count[full]; n > 0 {
			full = fmt.Sprintf("%s[%d]", full, n-1)
		}
		full += "." + part
	}
	if full != name {
		l[full] = l[name]
	}
	return full
}

// key notes the line of a dotted key below prefix and returns its whole name.
func (l lines) key(p *unstable.Parser, prefix string, it unstable.Iterator) string {
	name, line := prefix, 0
	for it.Next() {
		n := it.Node()
		if name != "" {
			name += "."
		}
		name += strings.ToLower(string(n.Data))
		line = p.Shape(n.Raw).Start.Line
		if _, ok := l[name]; !ok {
			l[name] = line
		}
	}
	l[name] = line
	return name
}

// value notes a key and what lies inside its value.
func (l lines) value(p *unstable.Parser, prefix string, kv *unstable.Node) {
	name := l.key(p, prefix, kv.Key())
	v := kv.Value()
	switch v.Kind {
	case unstable.InlineTable:
		l.inline(p, name, v)
	case unstable.Array:
		it := v.Children()
		for i := 0; it.Next(); i++ {
			if e := it.Node(); e.Kind == unstable.InlineTable {
				l.inline(p, fmt.Sprintf("%s[%d]", name, i), e)
			}
		}
	}
}

// inline notes the keys of an inline table; the table itself stands where its
// first key does.
func (l lines) inline(p *unstable.Parser, name string, table *unstable.Node) {
	it := table.Children()
	for first := true; it.Next(); first = false {
		kv := it.Node()
		if kv.Kind != unstable.KeyValue {
			continue
		}
		l.value(p, name, kv)
		if first {
			key := kv.Key()
			key.Next()
			l[name] = p.Shape(key.Node().Raw).Start.Line
		}
	}
}

// find returns the line of a key, of the table around it when it is not
// written, and 1 when that is not there either.
func (l lines) find(key string) int {
	for key != "" {
		if n, ok := l[key]; ok {
			return n
		}
		key = key[:max(strings.LastIndexAny(key, ".["), 0)]
	}
	return 1
}
