package main

import (
	"fmt"
	"io"
	"os"
)

// mostPEM is far more than certificates and a key take, in bytes.
const mostPEM = 1 << 20

// mostProfile is far more than a profile takes, in bytes; package profiles has the
// same bound for those it opens itself.
const mostProfile = 64 << 10

// readAtMost reads a file that is known to be small: a path that leads to something
// else must not fill the memory. What is the kind of file, for the error.
func readAtMost(path string, most int, what string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, int64(most)+1))
	if err == nil && len(data) > most {
		err = fmt.Errorf("%s: more than %d kB is no %s; check the path", path, most>>10, what)
	}
	return data, err
}
