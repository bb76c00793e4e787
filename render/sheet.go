package render

import (
	"math"
	"reflect"
	"strings"
	"unicode"
	"unicode/utf8"

	"moldtally/estimate"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
)

// SheetOptions says how to word a sheet. The zero value is the default.
type SheetOptions struct {
	System unit.System // "" = unit.Both
}

// Tone says how a line wants to be read; a writer may color it.
type Tone int

// Tones.
const (
	Plain Tone = iota
	Good       // as wanted
	Care       // look twice
	Bad        // stop
	Quiet      // background
)

// Sheet is a plan in words: data for any writer (terminal, page, PDF).
type Sheet struct {
	Title    string // the pattern's file, or the job
	Maker    string // tool and version
	Verdict  Line   // the answer, first on every form; its Text is "" if none was sought
	Because  []string
	Sections []Section
}

// Line is a line of text with its tone.
type Line struct {
	Text string
	Tone Tone
}

// Section is a titled part of a sheet, its parts in this order: notices, rows,
// chart, tables, list.
type Section struct {
	Key     string // stable name, for styling and tests
	Title   string
	Tone    Tone
	Notices []Notice
	Rows    []Row
	Chart   *Chart // between rows and tables; nil = none
	Tables  []Table
	List    []string
}

// Row is one figure: what it is, how much, in what unit, the same in the other
// system, and a remark.
type Row struct {
	Label string
	Value string
	Unit  string // "" where the value is words
	Other string // value and unit in the other system, "" = none
	Note  string
	Tone  Tone
}

// Notice is a warning in its three parts.
type Notice struct {
	Severity finding.Severity
	Code     string
	Summary  string // what is so
	Effect   string // what it does to the pour
	Hint     string // what to do
	Place    string // "" = nowhere in particular
}

// Table is a list of like things.
type Table struct {
	Caption string
	Columns []Column
	Rows    [][]string
	Foot    []string // last row, set off; nil = none
	Note    string
}

// Column is a table's column.
type Column struct {
	Title string
	Right bool // numbers stand to the right
	Wrap  bool // may be broken over lines
}

// NewSheet words a plan. Parts that the plan does not have are left out, so
// the same call serves every command.
func NewSheet(p *estimate.Plan, o SheetOptions) *Sheet {
	if o.System != unit.Metric && o.System != unit.US {
		o.System = unit.Both
	}
	w := &wording{units: units{o.System}, plan: p}
	s := &Sheet{Title: "Pour by inside measurements", Maker: strings.TrimSpace(p.Tool + " " + p.Version)}
	if p.Pattern != nil {
		s.Title = p.Pattern.File
	}
	if v := p.Verdict; v != nil {
		s.Verdict = Line{capital(v.Answer), verdictTone(v.Answer)}
		for _, b := range v.Because {
			s.Because = append(s.Because, capital(b))
		}
	}
	for _, sec := range []Section{
		w.original(), w.warnings(finding.Stop), w.warnings(finding.Caution),
		w.short(),
		w.pattern(), w.pose(), w.demold(), w.container(), w.options(),
		w.rubber(), w.mixing(), w.hardness(), w.casting(), w.cost(), w.schedule(),
		w.warnings(finding.Note), w.notChecked(), w.cautions(),
	} {
		if len(sec.Notices)+len(sec.Rows)+len(sec.Tables)+len(sec.List) > 0 {
			s.Sections = append(s.Sections, sec)
		}
	}
	printable(reflect.ValueOf(s).Elem())
	return s
}

// printable takes control characters out of every text under v: a client's
// file name must not steer a terminal.
func printable(v reflect.Value) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			printable(v.Field(i))
		}
	case reflect.Pointer:
		if !v.IsNil() {
			printable(v.Elem())
		}
	case reflect.Slice:
		for i := range v.Len() {
			printable(v.Index(i))
		}
	case reflect.String:
		if s := v.String(); !utf8.ValidString(s) || strings.ContainsFunc(s, unicode.IsControl) {
			v.SetString(strings.Map(func(r rune) rune {
				if unicode.IsControl(r) {
					return '?'
				}
				return r
			}, strings.ToValidUTF8(s, "?")))
		}
	}
}

func verdictTone(answer string) Tone {
	switch answer {
	case estimate.ComesOut:
		return Good
	case estimate.Locked:
		return Bad
	}
	return Care
}

// units writes quantities in the system that was asked for.
type units struct{ unit.System }

// quantity is a figure worded in both systems.
type quantity struct{ value, unit, usValue, usUnit string }

func (q quantity) metric() string { return tie(q.value, q.unit) }
func (q quantity) us() string     { return tie(q.usValue, q.usUnit) }

func tie(v, u string) string {
	if u == "" || v == "" {
		return v
	}
	return v + nbsp + u
}

// row makes a row of a quantity; the other system's figure stands beside it
// where both are wanted.
func (u units) row(label string, q quantity, note string) Row {
	r := Row{Label: label, Note: note}
	switch {
	case u.System == unit.US && q.usValue != "":
		r.Value, r.Unit = q.usValue, q.usUnit
	case u.System == unit.Metric || q.usValue == "":
		r.Value, r.Unit = q.value, q.unit
	default:
		r.Value, r.Unit, r.Other = q.value, q.unit, q.us()
	}
	return r
}

// inline is a quantity inside a sentence or a table cell: one system only.
func (u units) inline(q quantity) string {
	if u.System == unit.US && q.usValue != "" {
		return q.us()
	}
	return q.metric()
}

// fine is inline with the other system in brackets where both are wanted.
func (u units) fine(q quantity) string {
	if u.System == unit.Both && q.usValue != "" {
		return q.metric() + " (" + q.us() + ")"
	}
	return u.inline(q)
}

// capital begins a sentence, unless with the name of a file.
func capital(s string) string {
	first, _, _ := strings.Cut(s, " ")
	if strings.Contains(strings.TrimRight(first, ".,:;"), ".") {
		return s
	}
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 || r == utf8.RuneError {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}

// sentence begins and ends one.
func sentence(s string) string {
	s = capital(strings.TrimSpace(s))
	if s == "" || strings.HasSuffix(s, ".") || strings.HasSuffix(s, "!") || strings.HasSuffix(s, "?") {
		return s
	}
	return s + "."
}

// direction words a unit vector of the file's own axes.
func direction(d [3]float64) string {
	for i, name := range []string{"x", "y", "z"} {
		if math.Abs(math.Abs(d[i])-1) < 1e-9 {
			if d[i] > 0 {
				return "+" + name
			}
			return "-" + name
		}
	}
	return "(" + trimmed(d[0], 3) + ", " + trimmed(d[1], 3) + ", " + trimmed(d[2], 3) + ")"
}

// place words a point in the file's own frame: millimetres, for that is what
// the file's viewer shows.
func place(p [3]float64) string {
	return "x" + nbsp + Fixed(p[0], 0) + ", y" + nbsp + Fixed(p[1], 0) + ", z" + nbsp + Fixed(p[2], 0) + nbsp + "mm"
}
