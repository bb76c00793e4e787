package render

import (
	"reflect"
	"strings"
	"unicode"
	"unicode/utf8"

	"moldtally/estimate"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
	"moldtally/render/figure"
	"moldtally/render/words"
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
	Title    string  // the pattern's file, or the job
	Maker    string  // tool and version
	Letter   *Letter // over a letter; nil = it is none
	Mark     string  // what every page of a paper bears at its foot; "" = nothing
	Answer   Line    // to the job, first on every form; its Text is "" if none was sought
	Verdict  Line    // how the pattern comes out; likewise
	Because  []string
	Sections []Section
}

// Letter is what stands over a letter: who sends it, to whom, and by what it is found.
type Letter struct {
	From  string   // name of who sends it; "" = not said
	Lines []string // where that is, how to be reached
	To    []string // name and address
	Facts []Row    // number and date
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
	Before  int // how many notices before these are told elsewhere: their numbers go on
	Rows    []Row
	Chart   *Chart // between rows and tables; nil = none
	Tables  []Table
	List    []string
}

func (s *Section) add(rows ...Row) { s.Rows = append(s.Rows, rows...) }

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
	Summary  string      // what is so
	Effect   string      // what it does to the pour
	Hint     string      // what to do
	Place    string      // "" = nowhere in particular
	At       *[3]float64 // the same in the file's frame, mm; nil likewise
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
func NewSheet(p *estimate.Plan, o SheetOptions) *Sheet { return newWording(p, o).sheet() }

func (w *wording) sheet() *Sheet {
	p := w.plan
	s := &Sheet{Title: "Pour by inside measurements", Maker: strings.TrimSpace(p.Tool + " " + p.Version)}
	if p.Pattern != nil {
		s.Title = p.Pattern.File
	}
	s.Answer = w.answer(false)
	if v := p.Verdict; v != nil {
		s.Verdict = Line{figure.Capital(string(v.Answer)), VerdictTone(v.Answer)}
		if p.Refused() && v.Answer != estimate.Locked {
			s.Verdict.Text = "Were it made: " + string(v.Answer) // below a no it is no advice
		}
		for _, b := range v.Because {
			s.Because = append(s.Because, figure.Capital(w.say(b)))
		}
	}
	for _, sec := range []Section{
		w.original(), w.warnings(finding.Stop), w.warnings(finding.Caution),
		w.short(), w.gang(),
		w.methods(), w.pattern(), w.pose(), w.demold(), w.container(), w.options(),
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

// answer is the answer to the job; short where what it rests on is told right below.
func (w *wording) answer(short bool) Line {
	d := w.plan.Job
	if d == nil {
		return Line{}
	}
	line := estimate.FirstLine{Decision: *d, Short: short}
	for _, n := range w.plan.NotChecked {
		line.Partly = line.Partly || n.What == estimate.OnlyDemolding || n.What == estimate.OnlyContainers || n.What == estimate.NoMesh
	}
	for _, f := range w.plan.Warnings {
		if f.Severity == finding.Caution {
			line.Cautions++
		}
	}
	return Line{figure.Sentence(w.say(line)), map[estimate.Course]Tone{estimate.CourseGo: Good, estimate.CourseOpen: Care, estimate.CourseNo: Bad}[d.Answer]}
}

func VerdictTone(answer estimate.Answer) Tone {
	switch answer {
	case estimate.ComesOut:
		return Good
	case estimate.Locked:
		return Bad
	}
	return Care
}

// wording turns the parts of one plan into sections.
type wording struct {
	figure.Units
	plan *estimate.Plan
	seen words.Seen // nil = places are told by the file's axes
}

func newWording(p *estimate.Plan, o SheetOptions) *wording {
	if o.System != unit.Metric && o.System != unit.US {
		o.System = unit.Both
	}
	return &wording{Units: figure.Units{System: o.System}, plan: p}
}

func (w *wording) manner() words.Manner { return words.Manner{System: w.System, Seen: w.seen} }

// tell puts a finding in words.
func (w *wording) tell(f finding.Finding) words.Told { return w.manner().Tell(f) }

// say puts a remark, or facts that have words of their own, in words.
func (w *wording) say(facts any) string {
	if r, ok := facts.(finding.Remark); ok {
		return w.manner().Say(r)
	}
	return w.manner().Say(finding.Remark{Facts: facts})
}

// scale is a mass to weigh: the grams are exact, so they stay beside the
// ounces in every system.
func (w *wording) scale(label string, g float64, note string) Row {
	q := figure.Weighed(g)
	r := w.row(label, q, note)
	if w.System == unit.US {
		r.Other = q.Metric()
	}
	return r
}

// force is a force in N; beside newtons stands the mass that weighs as much,
// which is what a bench has at hand.
func (w *wording) force(label string, n float64, note string) Row {
	if w.System != unit.US {
		note = figure.Join("; ", figure.Kilograms(n), note)
	}
	return w.row(label, figure.Force(n), note)
}

// row makes a row of a quantity; the other system's figure stands beside it
// where both are wanted.
func (w *wording) row(label string, q figure.Quantity, note string) Row {
	r := Row{Label: label, Note: note}
	switch {
	case w.System == unit.US && q.USValue != "":
		r.Value, r.Unit = q.USValue, q.USUnit
	case w.System == unit.Metric || q.USValue == "":
		r.Value, r.Unit = q.Value, q.Unit
	default:
		r.Value, r.Unit, r.Other = q.Value, q.Unit, q.US()
	}
	return r
}
