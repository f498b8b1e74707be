package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode"

	"steadfoot/coach/event"
)

const (
	handLine  = 256 // bytes a line may have, more than any note needs
	mostShift = 20  // steps/min that one line may move the target
)

var (
	errHandsLong = fmt.Errorf("a line of more than %d bytes; it is left out", handLine)
	errHandsMore = errors.New("more of that line")
)

// parseHand reads one line: lap with a note or without, skip, pause, resume,
// beat on, beat off, or target with a signed number. Capitals do not matter. An
// empty line gives a mark without a name.
func parseHand(line string) (event.Mark, error) {
	line = printable(line)
	word, rest, _ := strings.Cut(line, " ")
	rest = strings.TrimSpace(rest)
	word, arg := strings.ToLower(word), strings.ToLower(rest)
	switch {
	case word == "":
		return event.Mark{}, nil
	case word == "lap":
		return event.Mark{Name: event.MarkLap, Note: rest}, nil
	case word == "target":
		by, err := strconv.Atoi(rest)
		if err != nil || by == 0 || by < -mostShift || by > mostShift || rest[0] != '+' && rest[0] != '-' {
			return event.Mark{}, fmt.Errorf("%q: want target +1 or target -1, up to %d", line, mostShift)
		}
		return event.Mark{Name: event.MarkTarget, Value: float64(by)}, nil
	case word == "beat" && (arg == "on" || arg == "off"):
		return event.Mark{Name: map[string]string{"on": event.MarkBeatOn, "off": event.MarkBeatOff}[arg]}, nil
	case arg != "": // only lap takes a note
	case word == "skip":
		return event.Mark{Name: event.MarkSkip}, nil
	case word == "pause":
		return event.Mark{Name: event.MarkPause}, nil
	case word == "resume":
		return event.Mark{Name: event.MarkResume}, nil
	}
	return event.Mark{}, fmt.Errorf("%q is not known; want lap [note], skip, pause, resume, beat on, beat off, target +1 or target -1", line)
}

// printable makes a line fit to be shown and kept: spaces are single, and what
// is no text is left out.
func printable(line string) string {
	line = strings.Join(strings.Fields(strings.ToValidUTF8(line, "")), " ")
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) {
			return -1
		}
		return r
	}, line))
}

// handLines reads lines of at most handLine bytes; of a longer one, however
// long, no more than a buffer is ever held.
type handLines struct {
	r    *bufio.Reader
	over bool // in the midst of a line that is left out
}

func newHandLines(r io.Reader) *handLines { return &handLines{r: bufio.NewReaderSize(r, 16*handLine)} }

// next gives the next line. One that is too long gives errHandsLong, and each
// buffer full of what it goes on with errHandsMore, so that its sender can be
// held up.
func (l *handLines) next() (string, error) {
	for {
		b, err := l.r.ReadSlice('\n')
		full := errors.Is(err, bufio.ErrBufferFull)
		over := l.over
		l.over = full
		switch {
		case full && over:
			return "", errHandsMore
		case full || !over && len(b) > handLine:
			return "", errHandsLong
		case over && err == nil: // the end of a line that was told
		case err != nil && (over || len(b) == 0):
			return "", err
		default:
			return string(b), nil // the last line may lack its end
		}
	}
}

// drop throws away what has been read ahead.
func (l *handLines) drop() {
	n := l.r.Buffered()
	b, err := l.r.Peek(n)
	if n > 0 && err == nil {
		l.over = b[n-1] != '\n'
	}
	_, _ = l.r.Discard(n) // never more than is buffered
}
