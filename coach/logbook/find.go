package logbook

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// Filter says which sessions to list; the zero value is all that are not deleted.
type Filter struct {
	Athlete string    // exactly, but for upper and lower case; "" is anybody
	Text    string    // somewhere in label, plan or note, whatever its case
	Tags    []string  // all of them
	From    time.Time // started then or later; zero: no limit
	Before  time.Time // started before; zero: no limit
	Deleted bool      // those that are deleted, instead of those that are not
	Limit   int       // the newest so many; 0 is all
}

// Find lists the sessions that pass the filter, the newest first.
func (s *Store) Find(f Filter) ([]Info, error) {
	where, args := f.where()
	query := `SELECT ` + infoColumns + ` FROM session WHERE ` + where + ` ORDER BY started DESC, id DESC`
	if f.Limit > 0 {
		query += fmt.Sprintf(" LIMIT %d", f.Limit)
	}
	rows, err := s.db.Query(query, args...)
	if err != nil {
		return nil, s.fail(err)
	}
	defer rows.Close()
	sounds := s.Sounds()
	var list []Info
	for rows.Next() {
		i, err := scanInfo(rows.Scan)
		if err != nil {
			return nil, s.fail(err)
		}
		i.Sound = sounds[i.UID]
		list = append(list, i)
	}
	if err := rows.Err(); err != nil {
		return nil, s.fail(err)
	}
	return list, nil
}

func (f Filter) where() (string, []any) {
	terms := []string{"deleted = 0"}
	if f.Deleted {
		terms[0] = "deleted <> 0"
	}
	var args []any
	add := func(term string, arg ...any) {
		terms, args = append(terms, term), append(args, arg...)
	}
	if f.Athlete != "" {
		add("athlete = ? COLLATE NOCASE", f.Athlete)
	}
	if f.Text != "" {
		like := "%" + strings.NewReplacer(`\`, `\\`, "%", `\%`, "_", `\_`).Replace(f.Text) + "%"
		add(`(label LIKE ? ESCAPE '\' OR plan LIKE ? ESCAPE '\' OR note LIKE ? ESCAPE '\')`, like, like, like)
	}
	for _, t := range f.Tags {
		add("instr(tags, ?) > 0", ","+normalTag(t)+",")
	}
	if !f.From.IsZero() {
		add("started >= ?", f.From.UnixNano())
	}
	if !f.Before.IsZero() {
		add("started < ?", f.Before.UnixNano())
	}
	return strings.Join(terms, " AND "), args
}

// Athletes lists the names of those who have sessions that are not deleted,
// sorted.
func (s *Store) Athletes() ([]string, error) {
	rows, err := s.db.Query(`SELECT DISTINCT athlete FROM session WHERE deleted = 0 AND athlete <> '' ORDER BY athlete`)
	if err != nil {
		return nil, s.fail(err)
	}
	defer rows.Close()
	var list []string
	for rows.Next() {
		var name string
		if err := rows.Scan(&name); err != nil {
			return nil, s.fail(err)
		}
		list = append(list, name)
	}
	if err := rows.Err(); err != nil {
		return nil, s.fail(err)
	}
	return list, nil
}

// maxTag is the longest tag, in bytes.
const maxTag = 40

// normalTag is a tag as it is kept: lower case, no spaces around it.
func normalTag(t string) string { return strings.ToLower(strings.TrimSpace(t)) }

// checkTag tells what is wrong with a tag.
func checkTag(t string) error {
	switch n := normalTag(t); {
	case n == "":
		return fmt.Errorf("a tag needs a letter or more")
	case len(n) > maxTag:
		return fmt.Errorf("tag %q is too long; allowed: %d bytes", n[:maxTag], maxTag)
	case strings.ContainsAny(n, ",\n\r\t"):
		return fmt.Errorf("tag %q: a tag is one word or a few, without commas", n)
	}
	return nil
}

func splitTags(s string) []string {
	s = strings.Trim(s, ",")
	if s == "" {
		return nil
	}
	return strings.Split(s, ",")
}

func joinTags(tags []string) string {
	if len(tags) == 0 {
		return ""
	}
	slices.Sort(tags)
	return "," + strings.Join(slices.Compact(tags), ",") + ","
}
