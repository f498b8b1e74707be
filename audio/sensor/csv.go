package sensor

import (
	"bytes"
	"fmt"
	"strconv"
)

// startCSV takes the header line.
func (s *form) startCSV(header []byte, known []layout) error {
	place := map[string]int{}
	fields := bytes.Split(header, []byte{','})
	for i, f := range fields {
		name := cleanName(string(f))
		if _, twice := place[name]; twice && name != "" {
			return fmt.Errorf("column %q is there twice", name)
		}
		place[name] = i
	}
	found, err := findLayout(known, func(name string) bool { _, ok := place[name]; return ok })
	if err != nil {
		return err
	}
	s.layout = found
	var columns []int
	for _, name := range s.layout.names {
		columns = append(columns, place[name])
	}
	s.columns(columns, len(fields))
	return nil
}

// columns has rows of so many columns read, the wanted ones in the order of the
// layout.
func (s *form) columns(wanted []int, all int) {
	var row [][]byte
	s.parse = func(line []byte, v []float64) error {
		row = splitComma(row[:0], line)
		if len(row) != all {
			return fmt.Errorf("%d columns, want %d as in the header", len(row), all)
		}
		return parseFields(row, wanted, v)
	}
}

func splitComma(dst [][]byte, line []byte) [][]byte {
	for {
		i := bytes.IndexByte(line, ',')
		if i < 0 {
			return append(dst, line)
		}
		dst = append(dst, line[:i])
		line = line[i+1:]
	}
}

// parseFields reads the wanted columns of row. What is no number is an error,
// what is missing is errBadValue.
func parseFields(row [][]byte, columns []int, v []float64) (err error) {
	for i, c := range columns {
		f := bytes.Trim(bytes.TrimSpace(row[c]), `"`)
		if len(f) == 0 {
			err = errBadValue
			continue
		}
		x, perr := strconv.ParseFloat(string(f), 64)
		if ne, ok := perr.(*strconv.NumError); ok && ne.Err == strconv.ErrSyntax {
			return fmt.Errorf("column %d: %.20q is not a number", c+1, f)
		}
		v[i] = x // out of range reads as infinite
	}
	return err
}
