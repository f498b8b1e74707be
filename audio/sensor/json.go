package sensor

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
)

// startJSON takes the first line, which is a row already.
func (s *form) startJSON(line []byte, known []layout) error {
	first, err := decodeObject(line)
	if err != nil {
		return err
	}
	found, err := findLayout(known, func(name string) bool { _, ok := first[name]; return ok })
	if err != nil {
		return err
	}
	s.layout = found
	s.parse = func(line []byte, v []float64) error {
		o, err := decodeObject(line)
		if err != nil {
			return err
		}
		return pick(o, found.names, v)
	}
	return nil
}

// decodeObject reads one line as an object.
func decodeObject(line []byte) (map[string]any, error) {
	var o map[string]any
	err := json.Unmarshal(line, &o)
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) {
		return nil, fmt.Errorf("not a JSON object: %w", err)
	}
	if err != nil {
		return nil, errors.New("not a JSON object with numbers in range")
	}
	return o, nil
}

// pick reads the named values. A null is a missing value.
func pick(o map[string]any, names []string, v []float64) (err error) {
	for i, name := range names {
		x, ok := o[name]
		if !ok {
			return fmt.Errorf("no key %q", name)
		}
		switch x := x.(type) {
		case float64:
			v[i] = x
		case nil:
			v[i] = math.NaN()
		default:
			return fmt.Errorf("key %q: want a number", name)
		}
	}
	return nil
}
