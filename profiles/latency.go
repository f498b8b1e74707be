package profiles

import (
	"bytes"
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// SetLatency returns the profile in data with latency_ms set to ms, 0 to 1000;
// everything else stays as it is, to the byte. A latency_ms that stands there
// gets the new value in its place; otherwise a line is put before the first
// table. The result has been read again: it says ms and nothing else has
// changed. name stands for the file in errors.
func SetLatency(name string, data []byte, ms float64) ([]byte, error) {
	before, err := Parse(name, data)
	if err != nil {
		return nil, err
	}
	if !within(ms, 0, maxLatency) {
		return nil, fmt.Errorf("a latency of %v ms cannot be saved; allowed: 0 to %v ms", ms, maxLatency)
	}
	value := strconv.FormatFloat(ms, 'f', -1, 64)
	from, to, end := findLatency(data)
	if from == to {
		value = "latency_ms = " + value + lineEnd(data)
		if end > 0 && data[end-1] != '\n' {
			value = lineEnd(data) + value
		}
		from, to = end, end
	}
	text := append(bytes.Clone(data[:from]), value...)
	text = append(text, data[to:]...)

	after, err := Parse(name, text)
	before.LatencyMS = ms
	if err != nil || !reflect.DeepEqual(before, after) {
		return nil, fmt.Errorf("%s: latency_ms = %v cannot be put in without harm to the rest; put it in by hand", name, ms)
	}
	return text, nil
}

// findLatency finds the value of latency_ms at top level, as a range of bytes
// that is empty when there is none, and where top level ends: at the line of the
// first table, or at the end of data.
func findLatency(data []byte) (from, to, end int) {
	var p unstable.Parser
	p.Reset(data)
	for p.NextExpression() {
		switch e := p.Expression(); e.Kind {
		case unstable.KeyValue:
			key := e.Key()
			key.Next()
			if strings.EqualFold(string(key.Node().Data), "latency_ms") {
				raw := e.Value().Raw
				from, to = int(raw.Offset), int(raw.Offset+raw.Length)
			}
		case unstable.Table, unstable.ArrayTable:
			key := e.Key()
			key.Next()
			at := int(key.Node().Raw.Offset)
			return from, to, bytes.LastIndexByte(data[:at], '\n') + 1
		}
	}
	return from, to, len(data)
}

// lineEnd is how the lines of data end.
func lineEnd(data []byte) string {
	if i := bytes.IndexByte(data, '\n'); i > 0 && data[i-1] == '\r' {
		return "\r\n"
	}
	return "\n"
}
