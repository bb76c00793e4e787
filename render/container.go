package render

import (
	"strconv"
	"strings"

	"moldtally/boxfit"
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
	"moldtally/render/figure"
	"moldtally/render/words"
)

func (w *wording) container() Section {
	sec := Section{Key: "container", Title: "Container"}
	c := w.plan.Container
	if c == nil {
		return sec
	}
	if c.Mold != "" {
		sec.add(Row{Label: "Mold", Value: moldWords(c.Mold)})
	}
	switch {
	case c.Own:
		sec.add(Row{Label: "Chosen", Value: "your own, as measured"})
	case c.Reason != nil:
		sec.add(Row{Label: "Chosen", Value: words.Say(finding.Remark{Facts: *c.Reason}, w.System)})
	}
	sec.add(w.inside(c)...)
	if c.Stock != nil {
		sec.add(Row{Label: "From stock", Value: *c.Stock})
	}
	if c.Kind == boxfit.Mother {
		sec.add(w.coat(c)...)
	} else {
		sec.add(
			w.row("Rubber at the sides", figure.Ruled(c.Wall), ""),
			w.row("Rubber over it", figure.Ruled(c.Over), ""))
	}
	if c.Under > 0 {
		sec.add(w.row("Rubber under it", figure.Ruled(c.Under), ""))
	}
	thin := w.row("Thinnest rubber", figure.Length(c.Thinnest, 0.1), "")
	if c.ThinnestAt != nil {
		thin.Note = "near " + figure.Place(*c.ThinnestAt)
	}
	sec.add(thin)
	if c.Mold != demold.Brushed {
		sec.add(w.row("Fill line", figure.Marked(c.FillHeight), "above the floor of the container"),
			w.row("Holds to that line", figure.Exactly(c.Capacity), ""))
	}
	if c.Kind.FourSided() || c.Kind == boxfit.Polygon {
		sec.add(w.row("Seams to seal", figure.Length(c.Seam, 1), ""))
	}
	sec.add(w.keys(c)...)
	sec.add(w.fillers(c)...)
	w.loads(&sec, c)
	w.stands(&sec, c)
	if c.LiftMass != nil {
		sec.add(w.row("To lift, filled", figure.About(figure.Mass, *c.LiftMass, withinMass), "container, rubber and pattern"))
	}
	if len(c.Boards) > 0 {
		sec.Tables = append(sec.Tables, w.cutList(c))
	}
	if len(c.Sheets) > 0 {
		sec.Tables = append(sec.Tables, w.sheets(c))
	}
	return sec
}

// fillers are what may be built into the box, each with what it saves.
func (w *wording) fillers(c *boxfit.Fit) (rows []Row) {
	for _, f := range c.Fillers {
		r := Row{Label: "To save rubber", Note: figure.Fixed(100*f.Saves/c.Rubber, 0) + " % less rubber"}
		long, wide, high := w.Inline(figure.Ruled(f.Size[0])), w.Inline(figure.Ruled(f.Size[1])), w.Inline(figure.Ruled(f.Size[2]))
		switch f.Kind {
		case boxfit.CornerBlock:
			r.Value = "a block of three sides in each corner, " + long + " along both walls, " + high + " high"
		case boxfit.Step:
			r.Value = "from " + w.Inline(figure.Ruled(f.Ledge)) + " up, narrow the box to " + long + " by " + wide
		}
		rows = append(rows, r)
	}
	return rows
}

// filledLeast is how little of a coat's rubber is filled out that it is no line on the
// sheet: what the columns cannot tell from nothing. Judgement of this program.
const filledLeast = 0.003

// coat is the rubber of a blanket and the shell that carries it.
func (w *wording) coat(c *boxfit.Fit) []Row {
	rows := []Row{w.row("Coat", figure.Ruled(c.Wall), "thick, all over")}
	if c.CoatVolume != nil && c.FillOut != nil {
		rows = append(rows, w.row("Rubber of the coat", figure.About(figure.Volume, *c.CoatVolume, boxfit.CoatError), ""))
		if *c.FillOut > filledLeast**c.CoatVolume {
			rows = append(rows, w.row("Filled out", figure.About(figure.Volume, *c.FillOut, 0.05), "of rubber in hollows, so that the shell comes off"))
		}
	}
	x := c.Shell
	if x == nil {
		return rows
	}
	how := "lifted off in one piece"
	if n := len(x.Pieces); n > 1 {
		how = "in " + strconv.Itoa(n) + " pieces that come off sideways"
		if d, up := x.Pieces[0].Draw, c.Up; d[0]*up[0]+d[1]*up[1]+d[2]*up[2] > 0.5 {
			how = "in " + strconv.Itoa(n) + " pieces, one on each half of the rubber"
		}
	}
	if x.Draft > 0 {
		how += ", filled out to draw at " + figure.Fixed(x.Draft, 0) + "° at least"
	}
	rows = append(rows,
		w.row("Shell", figure.Ruled(x.Thickness), "of "+string(x.Material)+", "+how),
		w.row("Shell, set and dry", figure.About(figure.Mass, x.Mass, withinMass), "flanges "+w.Inline(figure.Ruled(x.Flange))+" wide"))
	if b := x.Bolts; b != nil {
		rows = append(rows, Row{Label: "Bolts", Value: strconv.Itoa(b.Count), Note: w.Inline(figure.Ruled(b.Diameter)) + " thick, " + w.Inline(figure.Ruled(b.Spacing)) + " apart at most, wing nuts and wide washers"})
	}
	return rows
}

// keys are those of two halves; their places are in the drawing's and the file's axes.
func (w *wording) keys(c *boxfit.Fit) []Row {
	n := len(c.Keys)
	if n == 0 {
		return nil
	}
	var at []string
	for _, k := range c.Keys[:min(n, keysShown)] {
		at = append(at, figure.Place(k.At))
	}
	d := c.Keys[0].Diameter
	return []Row{{Label: "Keys", Value: strconv.Itoa(n), Note: w.Inline(figure.Ruled(d)) + " wide, " + w.Inline(figure.Ruled(d/2)) + " deep, one of them odd, evenly along the middle of the flange; the first two at " + strings.Join(at, " and ")}}
}

// keysShown is how many keys the sheet gives the place of: the rest follow evenly.
const keysShown = 2

// stands says how the container bears the rubber.
func (w *wording) stands(sec *Section, c *boxfit.Fit) {
	if c.BoardBow != nil {
		r := w.row("A board bows by", figure.Length(*c.BoardBow, max(0.01, figure.Significant(*c.BoardBow, 2))), "where it bows most")
		if *c.BoardBow < 0.01 {
			r = Row{Label: r.Label, Value: "next to nothing"}
		}
		sec.add(r)
	}
	if c.Hoop != nil && c.Diameter != nil {
		sec.add(w.row("Pull round the tube", figure.Pressure(1000**c.Hoop), "in its wall: it does not bow; see that it is round within "+w.Inline(figure.Ruled(roundWithin**c.Diameter))))
	}
	if c.Bands != nil {
		pitch := w.Inline(figure.Ruled(bandPitch))
		sec.add(w.force("Bands round it carry", *c.Bands, "in all: the lowest "+w.Inline(figure.Ruled(bandFoot))+" up, then one every "+pitch))
	}
	if c.Brace != nil {
		sec.add(Row{Label: "Brace", Value: words.Say(finding.Remark{Facts: *c.Brace}, w.System)})
	}
}

// held says what holds the pattern down.
func (w *wording) held(c *boxfit.Fit) Row {
	label := "Hold the pattern down"
	if w.plan.Gang != nil {
		label = "Hold all of them down"
	}
	switch {
	case c.Mold == demold.Brushed:
		return Row{Label: label, Value: "no need", Note: "brushed coats press on nothing"}
	case c.HoldDown == nil && c.Fixed:
		return Row{Label: label, Value: "fixed, as you say", Note: "its mass is not known, so neither is what the fixing must bear"}
	case c.HoldDown == nil:
		return Row{Label: label, Value: "unknown", Note: "weigh the pattern: its mass is not known", Tone: Care}
	case *c.HoldDown <= 0:
		return Row{Label: label, Value: "it sinks", Note: w.sinks(c)}
	}
	f, note := *c.HoldDown, ""
	if c.HoldDownMargin != nil {
		f, note = *c.HoldDownMargin, "with margin: it floats up by "+w.Force(figure.Force(*c.HoldDown), *c.HoldDown)
	}
	switch {
	case c.Fixed:
		note = figure.Join("; ", note, "fixed, as you say")
	case f < boxfit.ClayHolds && c.Mold.OnBoard():
		note = figure.Join("; ", note, "the clay round its edge holds that")
	}
	return w.force(label, f, note)
}

// sinks says how a pattern stands that is heavier than the rubber.
func (w *wording) sinks(c *boxfit.Fit) string {
	switch {
	case c.Mold == demold.TwoPart:
		return "it lies in its bed of clay, and then in the first half"
	case c.Mold == demold.Cut:
		return "on its base; or the rod and pegs that it stands on carry " + w.Force(figure.Force(-*c.HoldDown), -*c.HoldDown)
	case c.Holding != nil && *c.Holding == boxfit.Tacked:
		return "but the stream of the pour moves it: tack it in three places"
	}
	return "by its weight it stands; seal its edge"
}

// loads says what floats up and what the rubber presses on.
func (w *wording) loads(sec *Section, c *boxfit.Fit) {
	sec.add(w.held(c))
	if c.ShellUplift != nil && *c.ShellUplift > 0 {
		sec.add(w.force("Hold the shell down", *c.ShellUplift, "the liquid rubber lifts it: bolt, clamp or weight it"))
	}
	half := ""
	if c.Mold == demold.TwoPart {
		half = "of the deeper half"
	}
	if c.FloorPressure > 0 {
		sec.add(w.row("Pressure on the floor", figure.Pressure(c.FloorPressure), half))
	}
	if c.WallForce > 0 {
		label, note := "Push on one wall", "the largest"
		if c.Kind == boxfit.Sleeve {
			label, note = "Pushes it apart", "half against half; its bands hold that"
		}
		if c.Kind == boxfit.Mother {
			label, note = "Pushes the shell apart", "while the rubber is liquid: its bolts hold that"
		}
		sec.add(w.force(label, c.WallForce, note))
	}
}

// Where bands go round a tube, mm: the lowest above its foot, and between two.
// Judgement of this program.
const (
	bandFoot  = 25
	bandPitch = 75
)

// roundWithin is how far from round a tube may be, a share of its bore: as far as
// stock tubes are made (judgement, no source).
const roundWithin = 0.01

func (w *wording) cutList(c *boxfit.Fit) Table {
	t := Table{Caption: "Cut list", Columns: []Column{{Title: "pieces", Right: true}, {Title: "part", Wrap: true}, {Title: "length", Right: true}, {Title: "width", Right: true}, {Title: "thick", Right: true}}}
	cut := func(l float64) string {
		q := figure.Clear(l)
		if w.System == unit.Both {
			return q.Metric() + " (" + q.USValue + ")"
		}
		return w.Inline(q)
	}
	for _, b := range c.Boards {
		t.Rows = append(t.Rows, []string{strconv.Itoa(b.Count), words.Say(finding.Remark{Facts: b.Part}, w.System), cut(b.Length), cut(b.Width), w.Inline(figure.Ruled(b.Thickness))})
	}
	if w.System != unit.Metric {
		t.Note = "inches to the next 1/16 up"
	}
	if l, ok := c.Mitred(); ok {
		t.Note = figure.Join("; ", t.Note, "short sides stand between the long ones; with corners mitred at 45° cut them "+cut(l)+" long")
	}
	return t
}

// sheets lists the stock sheets that the cut list takes.
func (w *wording) sheets(c *boxfit.Fit) Table {
	t := Table{Caption: "Sheets to cut it from", Columns: []Column{{Title: "sheet", Right: true}, {Title: "of", Wrap: true}, {Title: "boards", Right: true}, {Title: "cuts", Right: true}, {Title: "left whole", Wrap: true}}}
	size := func(z [2]float64) string { return w.sides(z[0], z[1]) }
	for i, s := range c.Sheets {
		left := "-"
		if s.Offcut != nil {
			left = size(*s.Offcut)
		}
		t.Rows = append(t.Rows, []string{strconv.Itoa(i + 1), s.Board + ", " + size(s.Size), strconv.Itoa(len(s.Boards)), strconv.Itoa(len(s.Cuts)), left})
	}
	t.Note = "cut right across what is on the saw, whose blade takes " + w.Inline(figure.Ruled(c.Sheets[0].Kerf))
	return t
}

// sides is a length and a width of a sheet.
func (w *wording) sides(l, b float64) string {
	return strings.ReplaceAll(w.Fine(figure.Sizes([]float64{l, b}, figure.SheetSide)), "× ", "×"+figure.NBSP)
}

func moldWords(m demold.Mold) string {
	switch m {
	case demold.Block:
		return "block: one piece, poured over the pattern on its board"
	case demold.TwoPart:
		return "two-part: keyed halves"
	case demold.Cut:
		return "cut: one piece all round, cut open"
	case demold.Blanket:
		return "blanket: an even coat, poured under a rigid mother mold"
	case demold.Brushed:
		return "brushed: an even coat, brushed on in layers under a rigid mother mold"
	}
	return string(m)
}
