package group

import (
	"encoding/json"
	"fmt"
)

// KindOf returns the kind of a message.
func KindOf(b []byte) (string, error) {
	var m struct {
		Kind string `json:"kind"`
	}
	if err := json.Unmarshal(b, &m); err != nil {
		return "", fmt.Errorf("not a message: %w", err)
	}
	return m.Kind, nil
}

// DecodeMember reads what a member sends: a Join, Ping, Status, Steps or Leave.
// It does not judge the values; each has a Check for that.
func DecodeMember(b []byte) (any, error) {
	kind, err := KindOf(b)
	if err != nil {
		return nil, err
	}
	switch kind {
	case KindJoin:
		return decode[Join](b)
	case KindPing:
		return decode[Ping](b)
	case KindStatus:
		return decode[Status](b)
	case KindSteps:
		return decode[Steps](b)
	case KindLeave:
		return decode[Leave](b)
	}
	return nil, fmt.Errorf("a member sends no %.20q", kind)
}

// DecodeBoard reads what a board or a spare sends: a Key, Command, Rows or Ping.
func DecodeBoard(b []byte) (any, error) {
	kind, err := KindOf(b)
	if err != nil {
		return nil, err
	}
	switch kind {
	case KindKey:
		return decode[Key](b)
	case KindCommand:
		return decode[Command](b)
	case KindRows:
		return decode[Rows](b)
	case KindPing:
		return decode[Ping](b)
	}
	return nil, fmt.Errorf("a board sends no %.20q", kind)
}

// DecodeHub reads what a hub sends: a Welcome, Pong, Changed or Sorry, and to a
// board or a spare a Board, Done or Past.
func DecodeHub(b []byte) (any, error) {
	kind, err := KindOf(b)
	if err != nil {
		return nil, err
	}
	switch kind {
	case KindWelcome:
		return decode[Welcome](b)
	case KindPong:
		return decode[Pong](b)
	case KindMap:
		return decode[Changed](b)
	case KindSorry:
		return decode[Sorry](b)
	case KindBoard:
		return decode[Board](b)
	case KindDone:
		return decode[Done](b)
	case KindPast:
		return decode[Past](b)
	}
	return nil, fmt.Errorf("a hub sends no %.20q", kind)
}

func decode[T any](b []byte) (any, error) {
	var m T
	if err := json.Unmarshal(b, &m); err != nil {
		return nil, fmt.Errorf("not a message: %w", err)
	}
	return m, nil
}
