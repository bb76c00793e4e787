package render

import (
	"reflect"
	"strconv"
	"strings"

	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
	"moldtally/render/figure"
	"moldtally/render/words"
)

// Screen is what the bench needs, in the order in which it needs it: the default of
// plan on a terminal, page one on paper and the head of the page. Everything else is
// on the Sheet.
type Screen struct {
	Title, Maker string
	Answer       Line     // to the job, first on every form
	Effects      []string // of what refuses a job; none for one that is not refused
	Verdict      Line     // how the pattern comes out, and why, in one sentence
	How          string   // how it is taken out; "" = no mold was planned
	Findings     []Notice // open stops and cautions, the gravest first, each part short
	Rest         string   // counts the others; "" = none
	Later        []Notice // the others, whole

	short bool  // not all of each finding is told
	Build []Row // method, container, fill line, boards, rubber; a figure is in Value
	Pours []ScreenPour
	Work  []Row // when, what is held down, release, money, why, where to read on
}

// ScreenPour is one pouring: what goes on the scale for it, and in which cups.
type ScreenPour struct {
	Name  string // "Weigh", or which half
	Parts []Part // A, B and what is stirred in, for the whole pour
	Cups  []Cups
}

// Part is what goes on the scale, or into a measure.
type Part struct{ Name, Amount, Other string }

// Cups are cups that are mixed alike, one after the other.
type Cups struct {
	From, To int    // from 1
	Coat     int    // of a brushed mold, from 1; 0 = poured
	Last     int    // the coat that they go on to
	Parts    []Part // of each
	Holds    string // at least
}

// Lengths of the parts of a screen, in lines of a terminal 80 columns wide: at most
// so many in all (the contract's), and how many a part may take.
const (
	screenWidth  = 80
	screenLines  = 45
	perPour      = 4 // more for each further pour
	screenNotice = 3 // findings that are told; the others are counted
	labelWidth   = 12
	findingLines = 2 // of each part of a finding
)

// room is how many lines each part may take; the first that fits the screen is used.
// What may not be cut short, as weights and the fill line, has no room to keep to.
type room struct{ answer, effect, verdict, how, finding, mold, boards, rubber, release, cost, why, more int }

var rooms = []room{
	{answer: 5, effect: 3, verdict: 3, how: 2, finding: findingLines, mold: 2, boards: 3, rubber: 2, release: 3, cost: 3, why: 3, more: 2},
	{answer: 4, effect: 2, verdict: 2, how: 2, finding: findingLines, mold: 1, boards: 2, rubber: 1, release: 2, cost: 2, why: 2, more: 1},
	{answer: 4, effect: 2, verdict: 2, how: 2, finding: findingLines, mold: 1, boards: 1, rubber: 1, release: 2, cost: 2, why: 2, more: 1},
	{answer: 3, effect: 2, verdict: 2, how: 1, finding: findingLines, mold: 1, boards: 1, rubber: 1, release: 1, cost: 1, why: 2, more: 1},
	{answer: 3, effect: 1, verdict: 1, how: 1, finding: findingLines, mold: 1, boards: 1, rubber: 1, release: 1, cost: 1, why: 1, more: 1},
}

// allOfIt is the room of what is not cut short.
const allOfIt = 99

// uncut is the room of a paper or page, where nothing is.
var uncut = room{allOfIt, allOfIt, allOfIt, allOfIt, allOfIt, allOfIt, allOfIt, allOfIt, allOfIt, allOfIt, allOfIt, allOfIt}

// NewScreen words what the bench needs of a plan. view tells places in words, as the
// three-quarter picture shows them; nil = there is no pattern, or nobody looked.
func NewScreen(p *estimate.Plan, view *View, o SheetOptions) *Screen {
	var s *Screen
	for _, r := range rooms {
		s = screenIn(r, p, view, o)
		if s.lines() <= s.budget() {
			break
		}
	}
	return s
}

// screenIn is a screen with so much room for each part.
func screenIn(r room, p *estimate.Plan, view *View, o SheetOptions) *Screen {
	w := newWording(p, o)
	if view != nil {
		w.seen = &onlooker{View: view, told: new(bool)}
	}
	s := w.screen(r)
	printable(reflect.ValueOf(s).Elem())
	return s
}

// onlooker is a view that remembers whether a place or a side was told by it.
type onlooker struct {
	*View
	told *bool
}

func (o *onlooker) Place(p [3]float64) string { *o.told = true; return o.View.Place(p) }
func (o *onlooker) Side(d [3]float64) string  { *o.told = true; return o.View.Side(d) }

// budget is how many lines a screen may take.
func (s *Screen) budget() int { return screenLines + perPour*max(0, len(s.Pours)-1) }

func (w *wording) screen(r room) *Screen {
	p := w.plan
	s := &Screen{Title: "Pour by inside measurements", Maker: strings.TrimSpace(p.Tool + " " + p.Version), Answer: w.answer(true)}
	if p.Pattern != nil {
		s.Title = p.Pattern.File
	}
	s.Answer.Text = clip(s.Answer.Text, screenWidth, r.answer)
	w.screenVerdict(s, r)
	w.screenFindings(s, r)
	label := func(rows *[]Row, lines int, name, text string) {
		if text != "" {
			*rows = append(*rows, Row{Label: name, Value: clip(figure.Capital(text), screenWidth-labelWidth, lines)})
		}
	}
	label(&s.Build, r.mold, "Mold", w.moldLine())
	inside := "Inside"
	if c := p.Container; c != nil && c.Kind == boxfit.Mother {
		inside = "Shell"
	}
	label(&s.Build, allOfIt, inside, w.insideLine())
	label(&s.Build, r.mold, "Stand", w.standLine())
	label(&s.Build, r.boards, "Cut", w.boardsLine(r.boards))
	label(&s.Build, r.rubber, "Rubber", w.rubberLine())
	s.Pours = w.screenPours()
	label(&s.Work, r.release, "Original", w.originalLine())
	label(&s.Work, allOfIt, "Time", w.timeLine())
	label(&s.Work, allOfIt, "Hold down", w.holdLine())
	label(&s.Work, r.release, "Release", w.releaseLine())
	label(&s.Work, r.cost, "Cost", w.costLine())
	why, next := w.choiceLines()
	label(&s.Work, r.why, "Why", why)
	label(&s.Work, r.why, "Next best", next)
	label(&s.Work, r.more, "Safety", w.safetyLine())
	label(&s.Work, r.more, "More", w.moreLine(s.short))
	return s
}

// screenVerdict says how the pattern comes out and how it is taken out.
func (w *wording) screenVerdict(s *Screen, r room) {
	p := w.plan
	if p.Refused() {
		for _, b := range p.Job.Because {
			told := w.tell(b.Summary.Of)
			s.Effects = append(s.Effects, clip(figure.Sentence(told.Effect), screenWidth, r.effect))
		}
	}
	v := p.Verdict
	if v == nil {
		return
	}
	s.Verdict = Line{strings.ToUpper(string(v.Answer)), VerdictTone(v.Answer)}
	if p.Refused() && v.Answer != estimate.Locked {
		s.Verdict.Text = "WERE IT MADE: " + s.Verdict.Text
	}
	why := v.Because
	if _, cut := because(why).(estimate.CutOpen); cut { // how it is taken out says that
		why = why[1:]
	}
	if len(why) > 0 && !p.Refused() { // below a no it is no advice
		why, sep := w.say(why[0]), ": "
		if strings.Contains(why, ": ") {
			sep, why = ". ", figure.Capital(why)
		}
		s.Verdict.Text += sep + why
	}
	s.Verdict.Text = clip(figure.Sentence(s.Verdict.Text), screenWidth, r.verdict)
	if l, ok := p.Leaves(); ok {
		s.How = clip(figure.Sentence(w.say(finding.Remark{Facts: l})), screenWidth, r.how)
	}
}

// because are the facts of the first reason; nil = there is none.
func because(list []finding.Remark) any {
	if len(list) == 0 {
		return nil
	}
	return list[0].Facts
}

// screenFindings tells the gravest of what is open, and counts the rest.
func (w *wording) screenFindings(s *Screen, r room) {
	refuses := map[finding.Code]bool{}
	if w.plan.Refused() {
		for _, b := range w.plan.Job.Because { // the first line has said them
			refuses[b.Code] = true
		}
	}
	var left [finding.Stop + 1]int
	for _, sev := range []finding.Severity{finding.Stop, finding.Caution} {
		for _, f := range w.plan.Warnings {
			switch {
			case f.Severity != sev || refuses[f.Code]:
			case len(s.Findings) == screenNotice || sev == finding.Caution && w.plan.Refused():
				left[sev]++
				s.Later = append(s.Later, w.notice(f))
			default:
				n := w.notice(f)
				if n.Place != "" && !strings.Contains(n.Summary, n.Place) {
					n.Summary = strings.TrimSuffix(n.Summary, ".") + " (" + n.Place + ")."
				}
				n.Place = ""
				for _, part := range []*string{&n.Summary, &n.Effect, &n.Hint} {
					var less bool
					*part, less = shorten(*part, screenWidth-labelWidth, r.finding)
					s.short = s.short || less
				}
				s.Findings = append(s.Findings, n)
			}
		}
	}
	var rest []string
	for _, sev := range []finding.Severity{finding.Stop, finding.Caution} {
		if n := left[sev]; n > 0 {
			rest = append(rest, figure.Count(n, "more "+sev.String(), "more "+sev.String()+"s"))
		}
	}
	if len(rest) > 0 {
		s.Rest = strings.Join(rest, ", ") + ": see --full"
	}
}

// screenPours are the weights of each pour; a job that is refused has none.
func (w *wording) screenPours() (out []ScreenPour) {
	r := w.plan.Rubber
	if r == nil || w.plan.Refused() {
		return nil
	}
	for _, p := range r.Pours {
		x := ScreenPour{Name: "Weigh"}
		if len(r.Pours) > 1 {
			x.Name = figure.Capital(string(p.Half)) + " half"
		}
		x.Parts = w.screenParts(r, p.PartA, p.PartB, p.Additives)
		if len(p.Batches) > 1 {
			w.inAll(x.Parts, p.Batches)
		}
		if len(x.Parts) == 0 { // a mix by volume
			x.Parts = w.fluids(r)
		}
		for i, b := range p.Batches {
			c := Cups{From: i + 1, To: i + 1, Coat: b.Coat, Last: b.Coat, Parts: w.screenParts(r, b.PartA, b.PartB, b.Additives)}
			if b.Cup > 0 {
				c.Holds = w.cup(b.Cup)
			}
			if n := len(x.Cups); n > 0 && sameParts(x.Cups[n-1].Parts, c.Parts) {
				x.Cups[n-1].To, x.Cups[n-1].Last = c.To, b.Coat
				continue
			}
			x.Cups = append(x.Cups, c)
		}
		out = append(out, x)
	}
	return out
}

// inAll words A and B of a pour as what its cups add up to on the scale.
func (w *wording) inAll(parts []Part, cups []estimate.Batch) {
	for k, of := range []func(b estimate.Batch) *float64{func(b estimate.Batch) *float64 { return b.PartA }, func(b estimate.Batch) *float64 { return b.PartB }} {
		var each []float64
		for _, b := range cups {
			if g := of(b); g != nil {
				each = append(each, *g)
			}
		}
		if k >= len(parts) || parts[k].Name != [...]string{"A", "B"}[k] || len(each) != len(cups) {
			return
		}
		q := figure.WeighedInAll(each)
		parts[k].Amount, parts[k].Other = w.Inline(q), ""
		if w.System == unit.Both {
			parts[k].Other = q.US()
		}
	}
}

func sameParts(a, b []Part) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// screenParts are what goes on the scale; none where that is not known.
func (w *wording) screenParts(r *estimate.Rubber, a, b *float64, added []float64) (out []Part) {
	add := func(name string, g float64) {
		q := figure.Weighed(g)
		p := Part{Name: name, Amount: w.Inline(q)}
		if w.System == unit.Both {
			p.Other = q.US()
		}
		out = append(out, p)
	}
	if a != nil {
		add("A", *a)
	}
	if b != nil {
		add("B", *b)
	}
	for i, g := range added {
		if i < len(r.Additives) && len(out) > 0 && g > 0 { // none in a thin first coat
			add(string(r.Additives[i].Kind), g)
		}
	}
	return out
}

// fluids are A and B of a mix by volume whose parts' gravities are not known.
func (w *wording) fluids(r *estimate.Rubber) (out []Part) {
	for _, x := range []struct {
		name string
		ml   *float64
	}{{"A", r.PartAml}, {"B", r.PartBml}} {
		if x.ml == nil {
			continue
		}
		q := figure.Fluid(*x.ml)
		p := Part{Name: x.name, Amount: w.Inline(q)}
		if w.System == unit.Both {
			p.Other = q.US()
		}
		out = append(out, p)
	}
	return out
}

// moldLine is the kind of mold and how thick its rubber is.
func (w *wording) moldLine() string {
	c := w.plan.Container
	if c == nil {
		return ""
	}
	slit := w.plan.Verdict != nil && w.plan.Verdict.Answer == estimate.SlitIt
	s := words.MethodName(c.Mold, slit)
	if c.Mold == "" {
		s = "a pour"
	}
	if c.Kind == boxfit.Mother {
		return s + ", a coat " + w.Fine(figure.Ruled(c.Wall)) + " thick"
	}
	if !c.Fits() {
		return s
	}
	s += ", " + w.Fine(figure.Ruled(c.Wall)) + " of rubber at the sides"
	if g := w.plan.Gang; g != nil {
		s += ", " + w.Fine(figure.Ruled(g.Web)) + " between two"
	}
	return s
}

// insideLine is the container's clear inside and its fill line.
func (w *wording) insideLine() string {
	c := w.plan.Container
	if c == nil {
		return ""
	}
	s := string(c.Kind)
	fill := "; fill to " + w.Fine(figure.Marked(c.FillHeight))
	switch {
	case c.Stock != nil && c.Diameter != nil:
		return *c.Stock + " tube, bore " + w.Fine(figure.Ruled(*c.Diameter)) + fill
	case c.Kind == boxfit.Mother && c.Shell != nil:
		s = string(c.Shell.Material) + ", " + w.Fine(figure.Ruled(c.Shell.Thickness)) + " thick"
		if n := len(c.Shell.Pieces); n > 1 {
			s += ", in " + strconv.Itoa(n) + " pieces"
		}
		return s
	case c.Sides != nil:
		s = "box of " + strconv.Itoa(*c.Sides) + " sides, between flats"
	}
	clear := figure.Clear
	if c.Own {
		clear = figure.Ruled // it is there already
	}
	switch {
	case c.Diameter != nil && c.Interior != nil:
		s += " " + w.Fine(figure.Sizes([]float64{*c.Diameter, c.Interior[2]}, clear))
	case c.Diameter != nil:
		s += " " + w.Fine(clear(*c.Diameter))
	case c.Interior != nil:
		s += " " + w.Fine(figure.Sizes(c.Interior[:], clear))
	}
	return s + fill
}

// boardsLine is the cut list in one line.
func (w *wording) boardsLine(lines int) string {
	c := w.plan.Container
	if c == nil || len(c.Boards) == 0 {
		return ""
	}
	var parts []string
	for i, b := range c.Boards {
		if i > 0 && b.Part.Role != boxfit.BaseBoard && b.Length == c.Boards[i-1].Length && b.Width == c.Boards[i-1].Width {
			continue
		}
		q := figure.Sizes([]float64{b.Length, b.Width}, figure.Clear)
		if b.Part.Role == boxfit.TubeWall {
			q = figure.Clear(b.Length)
		}
		size := w.Inline(q)
		if w.System == unit.Both && lines > 1 {
			size = w.Fine(q)
		}
		n := b.Count
		for _, o := range c.Boards[i+1:] {
			if o.Part.Role != boxfit.BaseBoard && o.Length == b.Length && o.Width == b.Width {
				n += o.Count
			}
		}
		switch b.Part.Role {
		case boxfit.TubeWall:
			parts = append(parts, "tube "+size+" long, slit along it")
		case boxfit.BaseBoard:
			parts = append(parts, "base "+size)
		case boxfit.WrappedSheet:
			parts = append(parts, "sheet "+size+" to wrap round")
		default:
			parts = append(parts, strconv.Itoa(n)+figure.NBSP+"of "+size)
		}
	}
	last := c.Boards[len(c.Boards)-1]
	return strings.Join(parts, ", ") + "; " + last.Part.Stock
}

// rubberLine is the rubber, how it is mixed and how much of it in all.
func (w *wording) rubberLine() string {
	r := w.plan.Rubber
	if r == nil {
		return ""
	}
	kind, s := "", r.Name
	if _, k, ok := strings.Cut(rubberName(r), ", "); ok {
		kind = " (" + k + ")"
	}
	s += kind
	if r.MixRatio != "" && !w.plan.Refused() {
		s += ", " + r.MixRatio
		if r.MixBy != "" {
			s += " by " + string(r.MixBy)
		}
	}
	if r.ExtraReason.Pours > 0 && r.MassToMix != nil { // what the shop's own pours changed is never silent
		s += "; " + w.say(r.ExtraReason)
	}
	if !r.Owned {
		s += "; not in your stock"
	}
	return s
}
