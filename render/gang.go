package render

import (
	"strconv"

	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/render/figure"
)

// gang is several patterns in one container: which, where each stands, and what their
// mold gives beside molds of their own.
func (w *wording) gang() Section {
	sec := Section{Key: "gang", Title: "Patterns together"}
	g, c := w.plan.Gang, w.plan.Container
	if g == nil || c == nil || w.plan.Patterns == nil {
		return sec
	}
	sec.add(Row{Label: "Castings per pour", Value: strconv.Itoa(g.Cavities)},
		w.row("Rubber between two", figure.Ruled(g.Web), "at the least; "+w.Inline(figure.Ruled(c.Wall))+" to the sides"))
	sec.Tables = []Table{w.members(), w.layout(c), w.beside(g)}
	sec.List = []string{"Stand all of them with their mouths down on one board, cut their numbers into the rubber beside them, and leave a slot in the web where the mold has to bend."}
	return sec
}

// members are the patterns.
func (w *wording) members() Table {
	t := Table{Caption: "Each by itself", Columns: []Column{{Title: "pattern", Wrap: true}, {Title: "count", Right: true}, {Title: "size, x × y × z", Right: true}, {Title: "up"}, {Title: "block", Wrap: true}}}
	for _, m := range *w.plan.Patterns {
		one := func(l float64) figure.Quantity { return figure.Length(l, SizeStep(m.Size)) }
		t.Rows = append(t.Rows, []string{m.File, strconv.Itoa(m.Count), w.Fine(figure.Sizes(m.Size[:], one)), figure.Direction(m.Up), string(m.Verdict)})
	}
	return t
}

// layout is where each pattern stands.
func (w *wording) layout(c *boxfit.Fit) Table {
	from := "the middle of the container"
	if c.Kind.FourSided() {
		from = "an inside corner, along the length and the width"
	}
	t := Table{Caption: "Where the middle of each stands", Note: "from " + from + "; turned counterclockwise, seen from above, from how its file has it",
		Columns: []Column{{Title: "no.", Right: true}, {Title: "pattern", Wrap: true}, {Title: "along", Right: true}, {Title: "across", Right: true}, {Title: "turned by", Right: true}}}
	for i, p := range c.Layout {
		t.Rows = append(t.Rows, []string{strconv.Itoa(i + 1), p.File, w.Inline(figure.Ruled(p.At[0])), w.Inline(figure.Ruled(p.At[1])), figure.Trimmed(p.Turn, 0) + "°"})
	}
	return t
}

// beside sets the mold of all beside molds of their own.
func (w *wording) beside(g *estimate.Gang) Table {
	t := Table{Caption: "Beside molds of their own", Columns: []Column{{Title: "molds", Wrap: true}, {Title: "rubber", Right: true}, {Title: "hours", Right: true}}}
	all := []struct {
		name string
		estimate.Series
	}{{"one for all", g.Together}, {"one of each", g.Single}, {"as many as patterns", g.AsMany}}
	if g.Single.Molds == g.AsMany.Molds {
		all = all[:2]
	}
	cast, days := g.Together.PerDay != nil, g.Together.Days != nil
	if cast {
		t.Columns = append(t.Columns, Column{Title: "castings a day", Right: true})
	}
	if days {
		t.Columns = append(t.Columns, Column{Title: "days", Right: true}, Column{Title: "molds worn", Right: true})
		t.Note = "days to cast all that are wanted, with one set of molds in use at a time; a mold of all counts as worn when its weakest cavity is"
	}
	for _, s := range all {
		row := []string{s.name, w.Fine(figure.Mass(s.Rubber, s.Rubber, s.Rubber)), hours(s.Minutes)}
		if cast {
			row = append(row, figure.Trimmed(*s.PerDay, 1))
		}
		if days && s.Days != nil && s.Worn != nil {
			row = append(row, strconv.Itoa(*s.Days), strconv.Itoa(*s.Worn))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// standLine says where the patterns stand.
func (w *wording) standLine() string {
	if w.plan.Gang == nil || w.plan.Container == nil {
		return ""
	}
	return figure.Count(len(w.plan.Container.Layout), "pattern", "patterns") + " on one board; where each goes is on --full, and on --drawing at true scale"
}

// togetherLine says what one mold of all gives beside as many of their own.
func (w *wording) togetherLine(g *estimate.Gang) string {
	mass := func(s estimate.Series) string { return w.Fine(figure.Mass(s.Rubber, s.Rubber, s.Rubber)) }
	s := "one mold of " + strconv.Itoa(g.Cavities) + " takes " + mass(g.Together) + " of rubber and " + hours(g.Together.Minutes) + " h; " +
		strconv.Itoa(g.AsMany.Molds) + " of their own " + mass(g.AsMany) + " and " + hours(g.AsMany.Minutes) + " h"
	if a, b := g.Together.PerDay, g.AsMany.PerDay; a != nil && b != nil {
		s += "; castings a day " + figure.Trimmed(*a, 0) + " against " + figure.Trimmed(*b, 0)
	}
	return s
}
