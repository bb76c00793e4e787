package render

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"moldtally/mesh/finding"
	"moldtally/render/figure"
)

// TextOptions says how to set a sheet for a terminal.
type TextOptions struct {
	Width int  // columns; 0 = 80, least 48
	Color bool // ANSI colors, for a terminal only
	ASCII bool // for a terminal that shows nothing else
}

// WriteText sets a sheet in plain text, UTF-8, no line longer than the width
// as long as no single word or table is. Without Color there is nothing in it
// but text, so that it can be searched and sent on.
func WriteText(w io.Writer, s *Sheet, o TextOptions) error {
	t := newText(o)
	t.head(s)
	for i := range s.Sections {
		t.section(&s.Sections[i])
	}
	return t.flush(w)
}

// text sets lines.
type text struct {
	bytes.Buffer
	width int
	color bool
	ascii bool
}

func newText(o TextOptions) *text {
	if o.Width == 0 {
		o.Width = 80
	}
	return &text{width: max(o.Width, 48), color: o.Color, ascii: o.ASCII}
}

func (t *text) flush(w io.Writer) error {
	// Lines are broken: what tied numbers together becomes a plain space.
	out := bytes.ReplaceAll(t.Bytes(), []byte(figure.NBSP), []byte(" "))
	if t.ascii {
		out = []byte(asciiOf.Replace(string(out)))
	}
	_, err := w.Write(out)
	return err
}

// asciiOf has for each sign of a sheet one that every terminal shows, no wider; names of
// files stay as they are.
var asciiOf = strings.NewReplacer("×/÷", "x/:", "×", "x", "÷", "/", "°C", "C", "°F", "F", "°", "o", "²", "2", "³", "3", "…", "~", "–", "-", "—", "-", "−", "-", "·", ".", "µ", "u", "≥", ">", "≤", "<", "¹", "1")

// ANSI styles: bold, dim and the three colors that every terminal has.
const (
	bold   = "1"
	dim    = "2"
	red    = "31"
	green  = "32"
	yellow = "33"
)

func (t *text) paint(s string, styles ...string) string {
	if !t.color || s == "" {
		return s
	}
	return "\x1b[" + strings.Join(styles, ";") + "m" + s + "\x1b[0m"
}

func (t *text) tone(s string, tone Tone) string {
	switch tone {
	case Good:
		return t.paint(s, green)
	case Care:
		return t.paint(s, yellow)
	case Bad:
		return t.paint(s, red)
	case Quiet:
		return t.paint(s, dim)
	}
	return s
}

func (t *text) line(s string) {
	t.WriteString(strings.TrimRight(s, " "))
	t.WriteByte('\n')
}

// columns is how wide a string is on a terminal; all that a sheet uses is one
// column wide.
func columns(s string) int { return utf8.RuneCountInString(s) }

// wrap breaks words at spaces into lines of at most n columns. A longer word
// stands alone.
func wrap(s string, n int) []string {
	n = max(n, 8)
	var out []string
	line, used := "", 0
	for _, word := range strings.Split(s, " ") {
		if word == "" {
			continue
		}
		k := columns(word)
		if used > 0 && used+1+k > n {
			out = append(out, line)
			line, used = "", 0
		}
		if used > 0 {
			line += " "
			used++
		}
		line += word
		used += k
	}
	if used > 0 || len(out) == 0 {
		out = append(out, line)
	}
	return out
}

// hang sets a paragraph with its first line after lead and the rest indented
// as far.
func (t *text) hang(lead string, indent int, s string, style func(string) string) {
	for i, l := range wrap(s, t.width-indent) {
		if style != nil {
			l = style(l)
		}
		if i == 0 {
			t.line(lead + strings.Repeat(" ", max(0, indent-columns(plain(lead)))) + l)
		} else {
			t.line(strings.Repeat(" ", indent) + l)
		}
	}
}

// plain takes the styles out again, for measuring.
func plain(s string) string {
	for {
		i := strings.Index(s, "\x1b[")
		if i < 0 {
			return s
		}
		j := strings.IndexByte(s[i:], 'm')
		if j < 0 {
			return s
		}
		s = s[:i] + s[i+j+1:]
	}
}

func (t *text) head(s *Sheet) {
	if s.Answer.Text != "" {
		for _, l := range wrap(s.Answer.Text, t.width) {
			if t.color {
				l = t.paint(t.tone(l, s.Answer.Tone), bold)
			}
			t.line(l)
		}
	}
	t.letter(s.Letter)
	gap := t.width - columns(s.Title) - columns(s.Maker)
	if gap >= 2 {
		t.line(t.paint(s.Title, bold) + strings.Repeat(" ", gap) + t.paint(s.Maker, dim))
	} else {
		t.line(t.paint(s.Title, bold))
	}
	t.line(strings.Repeat("=", t.width))
	if s.Verdict.Text == "" {
		return
	}
	for _, l := range wrap(strings.ToUpper(s.Verdict.Text), t.width) {
		if t.color {
			l = t.paint(t.tone(l, s.Verdict.Tone), bold)
		}
		t.line(l)
	}
	for _, b := range s.Because {
		t.hang("  -", 4, figure.Sentence(b), nil)
	}
}

func (t *text) section(s *Section) {
	t.line("")
	title := s.Title
	if n := len(s.Notices); n > 1 {
		title += " (" + strconv.Itoa(n) + ")"
	}
	if t.color {
		title = t.paint(t.tone(title, s.Tone), bold)
	}
	t.line(title)
	t.line(strings.Repeat("-", columns(plain(title))))
	for i := range s.Notices {
		t.notice(i+1, &s.Notices[i])
	}
	t.rows(s.Rows)
	if s.Chart != nil {
		t.line("")
		t.table(s.Chart.table())
	}
	for i := range s.Tables {
		if i > 0 || len(s.Rows) > 0 {
			t.line("")
		}
		t.table(&s.Tables[i])
	}
	for i, l := range s.List {
		if i == 0 && len(s.Rows)+len(s.Tables) > 0 {
			t.line("")
		}
		t.hang("  -", 4, l, nil)
	}
}

// notice sets a warning: what is so; what it does; what to do; where.
func (t *text) notice(n int, x *Notice) {
	tone := Plain
	switch x.Severity {
	case finding.Stop:
		tone = Bad
	case finding.Caution:
		tone = Care
	}
	t.hang(fmt.Sprintf("%2d.", n), 4, x.Summary, func(l string) string { return t.tone(l, tone) })
	if x.Effect != "" {
		t.hang("    effect", 13, x.Effect, nil)
	}
	if x.Hint != "" {
		t.hang("    do", 13, x.Hint, nil)
	}
	if x.Place != "" {
		t.hang("    where", 13, x.Place, nil)
	}
}

// Columns of a row: label, figure, the same in the other system.
const (
	labelAt = 2
	valueAt = 25
	otherAt = 53
)

func (t *text) rows(rows []Row) {
	for _, r := range rows {
		label := strings.Repeat(" ", labelAt) + r.Label
		v := figure.Tie(r.Value, r.Unit)
		w := columns(v)
		style := func(l string) string { return t.tone(l, r.Tone) }
		switch {
		case r.Other != "" && valueAt+w < otherAt && otherAt+columns(r.Other) <= t.width:
			t.line(pad(label, valueAt) + style(v) + strings.Repeat(" ", otherAt-valueAt-w) + r.Other)
		case r.Other != "":
			t.hang(label, valueAt, v, style)
			t.hang("", valueAt, "= "+r.Other, nil)
		case r.Note != "" && valueAt+w+2+columns(r.Note) <= t.width && w < 24:
			t.line(pad(label, valueAt) + style(v) + "  " + t.paint(r.Note, dim))
			continue
		default:
			t.hang(label, valueAt, v, style)
		}
		if r.Note != "" {
			t.hang("", valueAt+2, r.Note, func(l string) string { return t.paint(l, dim) })
		}
	}
}

func pad(s string, n int) string {
	if k := n - columns(s); k > 0 {
		return s + strings.Repeat(" ", k)
	}
	return s + " "
}

// Columns of a table stand this far apart and in.
const columnGap, columnIndent = 2, 2

// table sets a table: its columns as wide as their content, those that may be
// broken sharing what is left of the line.
func (t *text) table(x *Table) {
	if x.Caption != "" {
		t.line("  " + t.paint(x.Caption, bold))
	}
	width := t.widths(x)
	faint := func(s string) string { return t.paint(s, dim) }
	heads := make([]string, len(x.Columns))
	for c, col := range x.Columns {
		heads[c] = col.Title
	}
	if strings.Join(heads, "") != "" {
		t.cells(x, width, heads, faint)
	}
	for _, r := range x.Rows {
		t.cells(x, width, r, nil)
	}
	if x.Foot != nil {
		t.line("  " + strings.Repeat("-", max(1, across(width)-columnIndent)))
		t.cells(x, width, x.Foot, func(s string) string { return t.paint(s, bold) })
	}
	if x.Note != "" {
		t.hang("", 2, x.Note, faint)
	}
}

// across is how wide columns are together.
func across(width []int) int {
	total := columnIndent - columnGap
	for _, w := range width {
		total += w + columnGap
	}
	return total
}

// widths are the columns' widths: narrower than their content where the line
// does not hold them.
func (t *text) widths(x *Table) []int {
	width := make([]int, len(x.Columns))
	for c, col := range x.Columns {
		width[c] = columns(col.Title)
		for _, r := range slices.Concat(x.Rows, [][]string{x.Foot}) {
			if c < len(r) {
				width[c] = max(width[c], columns(r[c]))
			}
		}
	}
	over := across(width) - t.width
	widest := -1
	for c, col := range x.Columns {
		if col.Wrap && over > 0 {
			cut := min(over, max(0, width[c]-14))
			width[c] -= cut
			over -= cut
		}
	}
	for c, col := range x.Columns {
		if !col.Right && (widest < 0 || width[c] > width[widest]) {
			widest = c
		}
	}
	if over > 0 && widest >= 0 { // still too wide: break the widest column of words
		width[widest] = max(8, width[widest]-over)
	}
	return width
}

// cells sets one row, broken into as many lines as its longest cell wants.
func (t *text) cells(x *Table, width []int, cells []string, style func(string) string) {
	broken := make([][]string, len(width))
	lines := 1
	for c := range width {
		if c < len(cells) {
			broken[c] = []string{cells[c]}
			if columns(cells[c]) > width[c] {
				broken[c] = wrap(cells[c], width[c])
			}
			lines = max(lines, len(broken[c]))
		}
	}
	for l := range lines {
		var b strings.Builder
		b.WriteString(strings.Repeat(" ", columnIndent))
		for c, w := range width {
			cell := ""
			if l < len(broken[c]) {
				cell = broken[c][l]
			}
			fill := strings.Repeat(" ", max(0, w-columns(cell)))
			if c > 0 {
				b.WriteString(strings.Repeat(" ", columnGap))
			}
			if x.Columns[c].Right {
				b.WriteString(fill + cell)
			} else {
				b.WriteString(cell + fill)
			}
		}
		s := strings.TrimRight(b.String(), " ")
		if style != nil {
			s = style(s)
		}
		t.line(s)
	}
}
