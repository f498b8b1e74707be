package device

import "context"

// ListWith is List with another sound process.
func ListWith(ctx context.Context, command []string) ([]Info, error) {
	return list(ctx, Options{Command: command})
}

// LastWords is what is told of a process that printed said, of which 40 bytes
// are kept.
func LastWords(said string) string {
	t := newTail(40)
	_, _ = t.Write([]byte(said)) // never fails
	return t.line()
}
