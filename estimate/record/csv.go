package record

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
)

// columns are the log's, in order.
var columns = []string{"date", "file", "mold", "rubber", "family", "needed_g", "to_mix_g", "mixed_g", "left_g", "casting", "copies_asked", "copies_usual", "copies_made", "worn_out"}

// MostLog is the largest log that is read, bytes.
const MostLog = 8 << 20

// Fault is what is wrong with a line of a log. Its words are the renderer's.
type Fault struct {
	Line   int
	Column string // "" = the line as a whole
	Text   string // what stands there
	Wrong  Wrong
}

// Wrong is a kind of fault.
type Wrong int

// Kinds.
const (
	Unread    Wrong = iota // no table of comma-separated values; Text says why
	NoHeading              // another heading than this program writes
	NoNumber               // no number that can be meant
	NoAnswer               // neither yes nor no
	TooLong                // the file is larger than any log
)

// Error is for developers; the renderer has the words.
func (f *Fault) Error() string {
	return fmt.Sprintf("record: line %d, %s: %q (%d)", f.Line, f.Column, f.Text, f.Wrong)
}

// Read reads a log. What is wrong with it is a *Fault.
func Read(r io.Reader) (Log, error) {
	lim := &io.LimitedReader{R: r, N: MostLog + 1}
	c := csv.NewReader(lim)
	c.FieldsPerRecord = len(columns)
	head, err := c.Read()
	if errors.Is(err, io.EOF) {
		return nil, nil
	}
	if err != nil || !slices.Equal(head, columns) {
		return nil, &Fault{Line: 1, Text: strings.Join(head, ","), Wrong: NoHeading}
	}
	var l Log
	for {
		row, err := c.Read()
		if lim.N == 0 {
			return nil, &Fault{Wrong: TooLong}
		}
		if errors.Is(err, io.EOF) {
			return l, nil
		}
		if err != nil {
			var p *csv.ParseError
			f := &Fault{Text: err.Error(), Wrong: Unread}
			if errors.As(err, &p) {
				f.Line, f.Text = p.StartLine, p.Err.Error()
			}
			return nil, f
		}
		line, _ := c.FieldPos(0)
		p, fault := parse(row)
		if fault != nil {
			fault.Line = line
			return nil, fault
		}
		l = append(l, p)
	}
}

// parse is one line of a log.
func parse(row []string) (p Pour, f *Fault) {
	wrong := func(i int, w Wrong) {
		if f == nil {
			f = &Fault{Column: columns[i], Text: row[i], Wrong: w}
		}
	}
	mass := func(i int, least float64) float64 {
		if i == 7 && row[i] == "" {
			return 0
		}
		v, err := strconv.ParseFloat(row[i], 64)
		if err != nil || math.IsNaN(v) || v < least || v > 1e9 {
			wrong(i, NoNumber)
		}
		return v
	}
	count := func(i int) int {
		if row[i] == "" {
			return 0
		}
		v, err := strconv.Atoi(row[i])
		if err != nil || v < 0 || v > 1e7 {
			wrong(i, NoNumber)
		}
		return v
	}
	p = Pour{Date: row[0], File: row[1], Mold: row[2], Rubber: row[3], Family: row[4],
		Needed: mass(5, 1e-3), ToMix: mass(6, 0), Mixed: mass(7, 1e-3), Left: mass(8, 0), Cast: row[9], Asked: count(10), Usual: count(11), Made: count(12)}
	switch row[13] {
	case "yes":
		p.WornOut = true
	case "no", "":
	default:
		wrong(13, NoAnswer)
	}
	if p.Left > p.Mixed && p.Mixed > 0 {
		wrong(8, NoNumber)
	}
	return p, f
}

// Heading is the first line of a log, with its end.
func Heading() string { return strings.Join(columns, ",") + "\n" }

// Line is a pour as a line of a log, with its end. Masses are to a tenth of a
// gram, which no scale for rubber betters.
func (p Pour) Line() string {
	g := func(v float64) string { return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64) }
	some := func(v float64) string { return g(max(v, 0.1)) } // what is there is not written as nothing
	n := func(v int) string {
		if v == 0 {
			return ""
		}
		return strconv.Itoa(v)
	}
	mixed, worn := "", ""
	if p.Mixed > 0 {
		mixed = some(p.Mixed)
	}
	if p.Made > 0 {
		worn = "no"
		if p.WornOut {
			worn = "yes"
		}
	}
	var b strings.Builder
	w := csv.NewWriter(&b)
	w.Write([]string{p.Date, plain(p.File), p.Mold, p.Rubber, p.Family, some(p.Needed), g(p.ToMix), mixed, g(p.Left), p.Cast, n(p.Asked), n(p.Usual), n(p.Made), worn})
	w.Flush() // a strings.Builder takes whatever is written
	return b.String()
}

// plain is a file's name as a cell that no spreadsheet takes for a formula.
func plain(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}
