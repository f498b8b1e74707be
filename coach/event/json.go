package event

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strconv"
)

// AppendJSON appends e as one JSON object without a line end, "kind" first.
// It fails only on a NaN or infinite number.
func AppendJSON(dst []byte, e Event) ([]byte, error) {
	body, err := json.Marshal(e)
	if err != nil {
		return dst, fmt.Errorf("%s at %g s: %w", e.Kind(), e.At(), err)
	}
	dst = append(dst, `{"kind":`...)
	dst = strconv.AppendQuote(dst, e.Kind())
	dst = append(dst, ',')
	return append(dst, body[1:]...), nil
}

// ParseJSON reads one object as AppendJSON writes it. Unknown keys are
// tolerated, an unknown kind is not.
func ParseJSON(line []byte) (Event, error) {
	var head struct {
		Kind string `json:"kind"`
	}
	if err := json.Unmarshal(line, &head); err != nil {
		return nil, fmt.Errorf("event: %w", err)
	}
	return Decode(head.Kind, line)
}

// Decode reads the body of an event of the given kind.
func Decode(kind string, body []byte) (Event, error) {
	body = bytes.TrimSpace(body)
	switch kind {
	case "step":
		return decode[Step](body)
	case "rhythm":
		return decode[Rhythm](body)
	case "gap":
		return decode[Gap](body)
	case "mark":
		return decode[Mark](body)
	case "fault":
		return decode[Fault](body)
	case "shared":
		return decode[Shared](body)
	case "call":
		return decode[Call](body)
	case "beat":
		return decode[Beat](body)
	case "cue":
		return decode[Cue](body)
	case "part":
		return decode[Part](body)
	case "target":
		return decode[Target](body)
	case "lap":
		return decode[Lap](body)
	}
	return nil, fmt.Errorf("event: unknown kind %q", kind)
}

func decode[E Event](body []byte) (Event, error) {
	var e E
	if err := json.Unmarshal(body, &e); err != nil {
		return nil, fmt.Errorf("event %s: %w", e.Kind(), err)
	}
	return e, nil
}
