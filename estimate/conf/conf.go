// Package conf reads the small TOML tables that moldtally ships and the shop
// file that a user writes. It is the only package that knows the TOML library.
// Unlike a plain decode it goes on after a mistake, and it knows on which line
// each key stands, so that every error of a file can be told in one go.
package conf

import (
	"errors"
	"fmt"
	"strings"

	"github.com/BurntSushi/toml"

	"moldtally/mesh/finding"
)

// Decode reads data into v strictly: a key that v does not have is an error.
// It is for tables that are part of the program.
func Decode(data string, v any) error {
	md, err := toml.Decode(data, v)
	if err != nil {
		return fmt.Errorf("conf: %w", err)
	}
	if u := md.Undecoded(); len(u) > 0 {
		return fmt.Errorf("conf: unknown key %s", u[0])
	}
	return nil
}

// Mistake is one thing wrong with a file. Line counts from 1; Key is the full
// name of the key, such as rubber.sg, or "" where there is none.
type Mistake struct {
	Line int
	Key  string
	What finding.Remark // Unread, Twice, or what a reader of tables found
}

// Error says where.
func (m Mistake) Error() string { return fmt.Sprintf("conf: line %d: %s", m.Line, m.Key) }

// Unread: it is no TOML. Text is what the library says of it, if anything.
type Unread struct{ Text string }

// Twice: a key, or a table where that is named, was given before, on line First.
type Twice struct {
	Table string
	First int
}

// Entry is a key with its value as the file has it: string, int64, float64,
// bool, a []any of these, or a map[string]any for an inline table.
type Entry struct {
	Key   string
	Line  int
	Value any
}

// Table is one [name] or [[name]] of a file, or the keys before the first.
type Table struct {
	Name    string // "" before the first header
	Line    int
	Entries []Entry
}

// Get returns the entry with a key, or nil.
func (t *Table) Get(key string) *Entry {
	for i := range t.Entries {
		if t.Entries[i].Key == key {
			return &t.Entries[i]
		}
	}
	return nil
}

// longest is how many lines one statement may take, so that a bracket that is
// never closed costs little.
const longest = 200

// maxMistakes bounds how often a broken file is looked at again.
const maxMistakes = 100

// Read splits a file into its tables, in order. A statement that is not TOML
// is reported and left out, and reading goes on behind it. A statement is a
// header, or a key with its value, which may run over several lines.
func Read(data string) ([]Table, []Mistake) {
	data = strings.ReplaceAll(strings.TrimPrefix(data, "\ufeff"), "\r\n", "\n")
	lines := strings.Split(data, "\n")
	tables := []Table{{}}
	seen := map[string]int{}
	var bad []Mistake
	for i := 0; i < len(lines) && len(bad) < maxMistakes; {
		n, last, err := statement(lines[i:])
		line := i + 1
		i += n
		if err != nil {
			bad = append(bad, Mistake{Line: line + last, What: finding.Remark{Facts: Unread{err.Error()}}})
			continue
		}
		text := strings.TrimSpace(strings.Join(lines[line-1:i], "\n"))
		if text == "" || strings.HasPrefix(text, "#") {
			continue
		}
		if strings.HasPrefix(text, "[") {
			name, many := header(text)
			if first, twice := seen[name]; twice && !many {
				bad = append(bad, Mistake{line, name, finding.Remark{Facts: Twice{name, first}}})
			}
			if _, twice := seen[name]; !twice {
				seen[name] = line
			}
			tables = append(tables, Table{Name: name, Line: line})
			continue
		}
		var v map[string]any
		if _, err := toml.Decode(text, &v); err != nil || len(v) != 1 {
			bad = append(bad, Mistake{Line: line, What: finding.Remark{Facts: Unread{}}})
			continue
		}
		t := &tables[len(tables)-1]
		for k, val := range v {
			if old := t.Get(k); old != nil {
				bad = append(bad, Mistake{line, join(t.Name, k), finding.Remark{Facts: Twice{First: old.Line}}})
				continue
			}
			t.Entries = append(t.Entries, Entry{k, line, val})
		}
	}
	if len(tables[0].Entries) == 0 {
		tables = tables[1:]
	}
	return tables, bad
}

func join(table, key string) string {
	if table == "" {
		return key
	}
	return table + "." + key
}

// Full returns the full name of a key in the table, such as rubber.sg.
func (t *Table) Full(key string) string { return join(t.Name, key) }

// statement returns how many lines the statement at the start of lines takes.
// It tries one line, then more as long as only more lines can complete it. On
// error it takes one line and says on which of them the mistake is.
func statement(lines []string) (n, last int, err error) {
	var first error
	for n = 1; n <= min(len(lines), longest); n++ {
		var v map[string]any
		_, e := toml.Decode(strings.Join(lines[:n], "\n"), &v)
		if e == nil {
			return n, 0, nil
		}
		if first == nil {
			first = e
		}
		if !unfinished(lines[:n]) {
			break
		}
	}
	var pe toml.ParseError
	if errors.As(first, &pe) {
		return 1, 0, errors.New(plain(pe.Message))
	}
	return 1, 0, errors.New(plain(first.Error()))
}

// unfinished reports whether the lines end inside an array or a long string,
// by counting brackets outside strings.
func unfinished(lines []string) bool {
	text := strings.Join(lines, "\n")
	depth, quote := 0, ""
	for i := 0; i < len(text); i++ {
		c := text[i]
		switch {
		case quote != "":
			if c == '\\' && quote[0] == '"' {
				i++
			} else if strings.HasPrefix(text[i:], quote) {
				i += len(quote) - 1
				quote = ""
			} else if c == '\n' && len(quote) == 1 {
				return false // a short string never runs over a line
			}
		case strings.HasPrefix(text[i:], `"""`) || strings.HasPrefix(text[i:], "'''"):
			quote = text[i : i+3]
			i += 2
		case c == '"' || c == '\'':
			quote = text[i : i+1]
		case c == '#':
			for i < len(text) && text[i] != '\n' {
				i++
			}
		case c == '[' || c == '{':
			depth++
		case c == ']' || c == '}':
			depth--
		}
	}
	return depth > 0 || len(quote) == 3
}

// plain strips the library's own words for a file that is no TOML.
func plain(s string) string {
	return strings.TrimPrefix(strings.TrimPrefix(s, "toml: "), "line 1: ")
}

// header returns the name in [name] or [[name]].
func header(text string) (name string, many bool) {
	if i := strings.IndexByte(text, '#'); i >= 0 {
		text = text[:i]
	}
	text = strings.TrimSpace(text)
	many = strings.HasPrefix(text, "[[")
	return strings.Join(strings.Fields(strings.Trim(text, "[]")), ""), many
}
