package render

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/mesh/demold"
	"moldtally/mesh/finding"
	"moldtally/mesh/unit"
	"moldtally/render/words"
)

// wording turns the parts of one plan into sections.
type wording struct {
	units
	plan *estimate.Plan
}

// warnings lists the findings of one severity in their three parts.
func (w *wording) warnings(s finding.Severity) Section {
	sec := Section{Key: s.String()}
	switch s {
	case finding.Stop:
		sec.Title, sec.Tone = "Stop before you pour", Bad
	case finding.Caution:
		sec.Title, sec.Tone = "Look twice", Care
	default:
		sec.Title, sec.Tone = "Good to know", Quiet
	}
	for _, f := range w.plan.Warnings {
		if f.Severity == s {
			sec.Notices = append(sec.Notices, w.notice(f))
		}
	}
	return sec
}

func (w *wording) notice(f finding.Finding) Notice {
	told := words.Tell(f, w.System)
	n := Notice{Severity: f.Severity, Code: string(f.Code),
		Summary: sentence(told.Summary), Effect: sentence(told.Effect), Hint: sentence(told.Hint)}
	if f.At != nil {
		n.Place = place(*f.At)
	}
	return n
}

// short is what is needed at the bench, before the details.
func (w *wording) short() Section {
	sec := Section{Key: "short", Title: "In short"}
	c, r := w.plan.Container, w.plan.Rubber
	if c == nil || r == nil {
		return sec
	}
	if c.Kind == boxfit.Mother {
		sec.Rows = append(sec.Rows, w.row("Blanket", ruled(c.Wall), "thick, under a rigid mother mold"))
	}
	sec.Rows = append(sec.Rows, w.inside(c)...)
	sec.Rows = append(sec.Rows, w.row("Fill to", ruled(c.FillHeight), ""))
	sec.Rows = append(sec.Rows, Row{Label: "Rubber", Value: rubberName(r)})
	sec.Rows = append(sec.Rows, w.parts(r)...)
	return sec
}

// rubberName is the rubber by name, chemistry and hardness.
func rubberName(r *estimate.Rubber) string {
	name := join(", ", r.Name, r.Family)
	switch {
	case r.ShoreA != nil:
		name = join(", ", name, "Shore"+nbsp+"A"+nbsp+trimmed(*r.ShoreA, 1))
	case r.ShoreOO != nil:
		name = join(", ", name, "Shore"+nbsp+"00"+nbsp+trimmed(*r.ShoreOO, 1))
	}
	return name
}

// inside is a container's inside measure in one row.
func (w *wording) inside(c *boxfit.Fit) []Row {
	name := "Inside of " + string(c.Kind)
	switch {
	case c.Diameter != nil && c.Interior != nil:
		note := ""
		if c.Sides != nil {
			name, note = "Inside, "+strconv.Itoa(*c.Sides)+" sides", "between flats × height"
		}
		return []Row{w.row(name, sizes([]float64{*c.Diameter, c.Interior[2]}, ruled), note)}
	case c.Diameter != nil:
		return []Row{w.row(name, ruled(*c.Diameter), "diameter")}
	case c.Interior != nil:
		return []Row{w.row(name, sizes(c.Interior[:], ruled), "")}
	}
	return nil
}

// parts are the A and B to weigh, or to measure.
func (w *wording) parts(r *estimate.Rubber) []Row {
	var rows []Row
	ratio := ""
	if r.MixRatio != "" {
		ratio = "mix " + r.MixRatio
		if r.MixBy != "" {
			ratio += " by " + r.MixBy
		}
	}
	part := func(label string, g, ml *float64, note string) {
		switch {
		case g != nil:
			if ml != nil {
				note = join("; ", note, "or "+measured(*ml)+nbsp+"ml")
			}
			rows = append(rows, w.scale(label, *g, note))
		case ml != nil:
			rows = append(rows, Row{Label: label, Value: measured(*ml), Unit: "ml", Note: note})
		}
	}
	part("Part A", r.PartA, r.PartAml, ratio)
	part("Part B", r.PartB, r.PartBml, "")
	for _, a := range r.Additives {
		rows = append(rows, w.scale(capital(a.Kind), a.Mass, trimmed(a.Share, 2)+" % of the mix: "+strings.ReplaceAll(a.Name, "-", " ")))
	}
	if len(rows) > 0 && len(r.Pours) > 1 {
		rows[0].Note = join("; ", rows[0].Note, "all pours together: weigh each by itself, as listed below")
	}
	if len(rows) > 0 && len(r.Pours) == 1 && len(r.Pours[0].Batches) > 1 {
		rows[len(rows)-1].Note = join("; ", rows[len(rows)-1].Note, "in "+Count(len(r.Pours[0].Batches), "batch", "batches")+", below")
	}
	return rows
}

// measured is a volume in ml as a measuring cup or syringe shows it.
func measured(ml float64) string { return Stepped(ml, min(1, significant(ml, 3))) }

// scale is a mass to weigh: the grams are exact, so they stay beside the
// ounces in every system.
func (w *wording) scale(label string, g float64, note string) Row {
	q := weighed(g)
	r := w.row(label, q, note)
	if w.System == unit.US {
		r.Other = q.metric()
	}
	return r
}

func join(sep string, parts ...string) string {
	var out []string
	for _, p := range parts {
		if p != "" {
			out = append(out, p)
		}
	}
	return strings.Join(out, sep)
}

func (w *wording) pattern() Section {
	sec := Section{Key: "pattern", Title: "Pattern"}
	p := w.plan.Pattern
	if p == nil {
		return sec
	}
	from := map[string]string{"file": "as the file states", "flag": "as you said", "assumed": "assumed: the file does not say"}[p.UnitsFrom]
	file := Row{Label: "File", Value: p.Format + ", units " + p.Units, Note: from}
	if p.UnitsFrom == "assumed" {
		file.Tone = Care
	}
	sec.Rows = append(sec.Rows, file)
	one := func(l float64) quantity { return length(l, sizeStep(p.Size)) }
	sec.Rows = append(sec.Rows, w.row("Size, x × y × z", sizes(p.Size[:], one), ""))

	if p.DisplacedVolume != nil {
		low, high := *p.DisplacedVolume, *p.DisplacedVolume
		if p.DisplacedLow != nil && p.DisplacedHigh != nil {
			low, high = *p.DisplacedLow, *p.DisplacedHigh
		}
		method := ""
		if p.DisplacedMethod != nil {
			method = *p.DisplacedMethod
		}
		r := w.row("Displaces", volume(low, *p.DisplacedVolume, high), join("; ", w.volumeRange(low, *p.DisplacedVolume, high), method))
		sec.Rows = append(sec.Rows, r)
		if p.MaterialVolume != nil && math.Abs(*p.MaterialVolume-*p.DisplacedVolume) > 1e-3**p.DisplacedVolume {
			sec.Rows = append(sec.Rows, w.row("Of that, material", volume(low, *p.MaterialVolume, high), "the rest is hollow"))
		}
	} else {
		sec.Rows = append(sec.Rows, Row{Label: "Displaces", Value: "unknown", Note: "its faces surround nothing", Tone: Bad})
	}
	sec.Rows = append(sec.Rows, w.row("Surface", area(p.Area), ""))

	mesh := []string{Count(p.Triangles, "triangle", "triangles"), Count(p.Pieces, "piece", "pieces")}
	if p.ThroughHoles != nil && *p.ThroughHoles > 0 {
		mesh = append(mesh, Count(*p.ThroughHoles, "hole right through", "holes right through"))
	}
	state := Row{Label: "Mesh", Value: strings.Join(mesh, ", "), Note: "closed"}
	if !p.Closed {
		state.Note, state.Tone = "open", Care
	}
	sec.Rows = append(sec.Rows, state)
	var flaws []string
	flaw := func(n int, one, many string) {
		if n > 0 {
			flaws = append(flaws, Count(n, one, many))
		}
	}
	flaw(p.BoundaryEdges, "open edge", "open edges")
	flaw(p.NonManifoldEdges, "edge of three or more faces", "edges of three or more faces")
	flaw(p.TurnedEdges, "edge between faces that disagree which side is out", "edges between faces that disagree which side is out")
	flaw(p.DegenerateFaces, "collapsed face", "collapsed faces")
	flaw(p.DuplicateFaces, "doubled face", "doubled faces")
	if p.SelfCrossings != nil {
		flaw(*p.SelfCrossings, "place where the surface crosses itself", "places where the surface crosses itself")
	}
	if len(flaws) > 0 {
		sec.Rows = append(sec.Rows, Row{Label: "Flaws in the file", Value: strings.Join(flaws, ", ")})
	}
	if p.SealedVoids != nil && *p.SealedVoids > 0 {
		r := Row{Label: "Sealed hollows", Value: Count(*p.SealedVoids, "hollow", "hollows")}
		if p.SealedVoidVolume != nil {
			r.Note = w.inline(exactly(*p.SealedVoidVolume)) + " in all; no rubber gets in"
		}
		sec.Rows = append(sec.Rows, r)
	}
	if p.Crumbs > 0 {
		sec.Rows = append(sec.Rows, Row{Label: "Loose crumbs", Value: Count(p.Crumbs, "crumb", "crumbs"), Note: "loose debris of the scan"})
	}
	for i, r := range p.Repairs {
		label := ""
		if i == 0 {
			label = "Mended"
		}
		sec.Rows = append(sec.Rows, Row{Label: label, Value: r})
	}
	return sec
}

// sizeStep is the fineness that suits a pattern's size: 0.1 mm from 10 mm up.
func sizeStep(size [3]float64) float64 {
	if l := max(size[0], size[1], size[2]); l < 10 {
		return 0.01
	}
	return 0.1
}

func (w *wording) pose() Section {
	sec := Section{Key: "pose", Title: "How it stands"}
	p := w.plan.Pose
	if p == nil {
		return sec
	}
	sec.Rows = append(sec.Rows, Row{Label: "Facing up", Value: direction(p.Up), Note: p.Reason})
	step := 0.1
	if p.Height < 10 {
		step = 0.01
	}
	one := func(l float64) quantity { return length(l, step) }
	sec.Rows = append(sec.Rows,
		w.row("Height as it stands", one(p.Height), ""),
		w.row("Rectangle round it", sizes(p.Rect[:], one), ""),
		w.row("Circle round it", one(p.Circle), ""))
	if math.Abs(p.YawDeg) > 0.05 {
		sec.Rows = append(sec.Rows, Row{Label: "Turned", Value: Fixed(p.YawDeg, 1), Unit: "°", Note: "its long side from the file's own axis, seen from above"})
	}
	if p.BaseContact > 0 {
		note := percent(p.BaseContactFraction, 1) + " of its surface stays unmolded"
		sec.Rows = append(sec.Rows, w.row("Rests on the board", area(p.BaseContact), note))
	}
	return sec
}

// A sheet lists this many undercuts, directions or air traps at most, and of
// the undercuts and air traps only those that are a tenth of the worst; the
// JSON has them all.
const (
	linesShown  = 10
	ventsShown  = 3
	worthSaying = 0.1
)

func (w *wording) demold() Section {
	sec := Section{Key: "demold", Title: "How it comes out"}
	d := w.plan.Demold
	if d == nil {
		return sec
	}
	step := lengthStep(d.Uncertainty)
	give := ""
	if d.Uncertainty > 0 {
		give = "give or take " + w.inline(length(d.Uncertainty, significant(d.Uncertainty, 1)))
	}
	where := func(p *[3]float64) string {
		if p == nil {
			return ""
		}
		return "near " + place(*p)
	}
	switch {
	case d.UndercutPath == nil:
		sec.Rows = append(sec.Rows, Row{Label: "Deepest undercut", Value: "locked", Note: join("; ", "there is no way out at its height", where(d.UndercutPathAt)), Tone: Bad})
		sec.Rows = append(sec.Rows, w.row("  straight across", length(d.UndercutDepth, step), join("; ", give, where(d.UndercutDepthAt))))
		if d.LockedVolume > 0 {
			sec.Rows = append(sec.Rows, w.row("Rubber locked in", volume(d.LockedVolume*0.99, d.LockedVolume, d.LockedVolume*1.01), ""))
		}
		sec.Rows = append(sec.Rows, w.row("Else the deepest", length(d.FreePath, step), "once what is locked is filled, slit or plugged"))
	case *d.UndercutPath == 0 && d.UndercutDepth == 0:
		sec.Rows = append(sec.Rows, Row{Label: "Deepest undercut", Value: "none", Note: give, Tone: Good})
	default:
		sec.Rows = append(sec.Rows, w.row("Deepest undercut", length(*d.UndercutPath, step), join("; ", give, where(d.UndercutPathAt))))
		if *d.UndercutPath-d.UndercutDepth > 2*d.Uncertainty {
			sec.Rows[len(sec.Rows)-1].Note = join("; ", "round what is in the way", give, where(d.UndercutPathAt))
			sec.Rows = append(sec.Rows, w.row("  straight across", length(d.UndercutDepth, step), where(d.UndercutDepthAt)))
		}
	}
	if d.UndercutVolume > 0 || d.UndercutArea > 0 {
		sec.Rows = append(sec.Rows,
			w.row("Rubber under it", volume(d.UndercutVolume*0.99, d.UndercutVolume, d.UndercutVolume*1.01), "must bend or stretch to let go"),
			w.row("Surface under it", area(d.UndercutArea), ""))
	}
	switch {
	case d.Stretch == nil:
		sec.Rows = append(sec.Rows, Row{Label: "Stretch", Value: "no limit", Note: join("; ", "the neck is next to nothing", where(d.StretchAt)), Tone: Bad})
	case *d.Stretch < 0.005:
		sec.Rows = append(sec.Rows, Row{Label: "Stretch", Value: "none", Tone: Good})
	default:
		note := ""
		if d.StretchNeck != nil && d.StretchBulge != nil {
			note = "a neck of " + w.inline(length(*d.StretchNeck, 1)) + " round must open to " + w.inline(length(*d.StretchBulge, 1))
		}
		if d.StretchClay {
			note = join("; ", note, "the neck is the clay line: the mouth is too small")
		}
		sec.Rows = append(sec.Rows, Row{Label: "Stretch", Value: Fixed(100**d.Stretch, 0), Unit: "%", Note: join("; ", note, where(d.StretchAt))})
	}
	if d.Squeeze >= 0.005 {
		note := ""
		if d.TongueLength != nil && d.TongueRoot != nil {
			note = "a tongue of rubber " + w.inline(length(*d.TongueLength, step)) + " long, " + w.inline(length(*d.TongueRoot, step)) + " at its root"
		}
		sec.Rows = append(sec.Rows, Row{Label: "Squeeze", Value: Fixed(100*d.Squeeze, 0), Unit: "%", Note: join("; ", note, where(d.SqueezeAt))})
	}
	if d.Mouth.Perimeter > 0 {
		sec.Rows = append(sec.Rows, w.row("Mouth", length(d.Mouth.Perimeter, 1), "round; "+w.inline(area(d.Mouth.Area))+" open"))
	}
	if d.Tunnels != nil {
		r := Row{Label: "Tunnels", Value: strconv.Itoa(*d.Tunnels), Note: "rubber would link through and lock", Tone: Bad}
		if *d.Tunnels == 0 {
			r.Value, r.Note, r.Tone = "none", "", Plain
		}
		sec.Rows = append(sec.Rows, r)
		if x := d.Webs; x != nil {
			v := Row{Label: "  with the webs slit", Value: "locked", Note: "rubber is locked in besides", Tone: Bad}
			if x.Slit.Path != nil {
				v = w.row("  with the webs slit", length(*x.Slit.Path, max(step, significant(*x.Slit.Path, 2))), join("; ", "way out that is left", w.inline(area(x.CutArea))+" of web to cut", "uncut it cannot leave"))
			}
			sec.Rows = append(sec.Rows, v)
		}
	}
	if d.Trapped != nil {
		sec.Rows = append(sec.Rows, w.row("Shut in both ways", volume(*d.Trapped*0.99, *d.Trapped, *d.Trapped*1.01), "caught whichever half comes off first"))
	}
	if s := d.Seam; s != nil {
		note := "along the " + direction(s.Side) + " side, in a zig-zag along the plane square to " + direction(s.Normal)
		note = join("; ", note, "from "+place(s.From)+" to "+place(s.To))
		switch {
		case s.Path == nil:
			note = join("; ", note, "some rubber stays locked")
		case *s.Path < 2*d.Uncertainty:
			note = join("; ", note, "leaves nothing undercut")
		default:
			note = join("; ", note, "leaves undercuts of "+w.inline(length(*s.Path, step)))
		}
		if n := len(s.Opens); n > 0 {
			ids := make([]string, n)
			for k, o := range s.Opens {
				ids[k] = strconv.Itoa(o.Region)
			}
			note = join("; ", note, "opens no. "+strings.Join(ids, ", "))
		}
		sec.Rows = append(sec.Rows, w.row("Cut it open", length(s.Length, 1), note))
	}
	if f := d.Flap; f != nil {
		sec.Rows = append(sec.Rows, w.row("Flap that swings", length(f.Height, step), "high, "+w.inline(length(f.Swing, step))+" aside; near "+place(f.At)))
	}
	if p := d.Parting; p != nil {
		note := "above the pattern's base"
		if p.Length != nil {
			note = join("; ", note, "natural line "+w.inline(length(*p.Length, 1))+" long")
		}
		if p.Flatness != nil && *p.Flatness > 0 {
			note = join("; ", note, "strays "+w.inline(length(*p.Flatness, step))+" from flat")
		}
		if n := len(p.Breaks); n > 0 {
			places := strconv.Itoa(n) + " places"
			if n == 1 {
				places = "one place"
			}
			note = join("; ", note, "steps in "+places+" from one part of the pattern to another that it hides, by up to "+w.inline(length(p.Breaks[0].Height, step)))
		}
		label := "Parting"
		if p.Kind != "" {
			label += ", " + p.Kind
		}
		sec.Rows = append(sec.Rows, w.row(label, length(p.Height, step), note))
		if h := p.Halves; h != nil {
			half := func(label string, vol, own, under float64) {
				note := w.inline(area(own)) + " of its surface looks this way"
				if under > 0.005*(h.Upper+h.Lower) {
					note = join("; ", note, w.inline(area(under))+" on this side holds")
				}
				sec.Rows = append(sec.Rows, w.row(label, volume(vol*0.999, vol, vol*1.001), note))
			}
			half("  pattern above it", h.UpperVolume, h.Upper, h.UpperUndercut)
			half("  pattern below it", h.LowerVolume, h.Lower, h.LowerUndercut)
			if h.Either > 0 || h.Trapped > 0 {
				note := "plumb wall, of either half"
				if h.Trapped > 0.005*(h.Upper+h.Lower) {
					note = join("; ", note, w.inline(area(h.Trapped))+" more is caught wherever it parts")
				}
				sec.Rows = append(sec.Rows, w.row("  surface of either", area(h.Either), note))
			}
		}
	}
	if f := d.Draft; f.Under0+f.To1+f.To3+f.OverThree > 0 {
		r := Row{Label: "Draft of the walls",
			Value: "under 0° " + percent(f.Under0, 0) + ", 0-1° " + percent(f.To1, 0) + ", 1-3° " + percent(f.To3, 0) + ", over 3° " + percent(f.OverThree, 0)}
		if m := d.DraftArea; m.Under0+m.To1+m.To3+m.OverThree > 0 {
			r.Note = w.inline(area(m.Under0)) + ", " + w.inline(area(m.To1)) + ", " + w.inline(area(m.To3)) + ", " + w.inline(area(m.OverThree))
		}
		sec.Rows = append(sec.Rows, r)
	}
	sec.Rows = append(sec.Rows, w.airRows(d, step)...)
	if d.Clay > 0 {
		sec.Rows = append(sec.Rows, w.row("Clay fillet", length(d.Clay, 0.1), "seals the pattern to the board"))
	}
	sec.Tables = append(sec.Tables, w.regions(d, step)...)
	sec.Tables = append(sec.Tables, w.tunnels(d, step)...)
	sec.Tables = append(sec.Tables, w.thin(d)...)
	sec.Tables = append(sec.Tables, w.traps(d)...)
	sec.Tables = append(sec.Tables, w.directions(d, step)...)
	return sec
}

func (w *wording) regions(d *demold.Report, step float64) []Table {
	if len(d.Regions) == 0 {
		return nil
	}
	t := Table{Caption: "Undercuts, deepest first", Columns: []Column{{Title: "no.", Right: true}, {Title: "kind"}, {Title: "way out", Right: true}, {Title: "straight", Right: true}, {Title: "rubber", Right: true}, {Title: "near"}}}
	shown := shownRegions(d)
	for _, r := range shown {
		path := "locked"
		if r.Path != nil {
			path = w.inline(length(*r.Path, step))
		}
		t.Rows = append(t.Rows, []string{strconv.Itoa(r.ID), r.Kind, path, w.inline(length(r.Depth, step)), w.inline(volume(r.Volume*0.99, r.Volume, r.Volume*1.01)), join("; ", place(r.At), w.inline(length(r.Height, step))+" up")})
	}
	if left := len(d.Regions) - len(shown); left > 0 {
		t.Note = "and " + strconv.Itoa(left) + " smaller"
	}
	return []Table{t}
}

// shownRegions are the undercuts that are worth a line of the sheet and a number
// on the picture, deepest first.
func shownRegions(d *demold.Report) []demold.Region {
	var out []demold.Region
	for _, r := range d.Regions {
		small := r.Path != nil && max(*r.Path, r.Depth) < worthSaying*max(d.UndercutDepth, d.FreePath)
		if !small && len(out) < linesShown {
			out = append(out, r)
		}
	}
	return out
}

// tunnels lists where rubber links through, the widest first.
func (w *wording) tunnels(d *demold.Report, step float64) []Table {
	if len(d.TunnelList) == 0 {
		return nil
	}
	t := Table{Caption: "Tunnels: the ball that passes, the web to cut", Columns: []Column{{Title: "no.", Right: true}, {Title: "ball", Right: true}, {Title: "long", Right: true}, {Title: "web", Right: true}, {Title: "near"}}}
	for _, x := range d.TunnelList[:min(len(d.TunnelList), linesShown)] {
		long, web, region := "-", "-", ""
		if x.Length != nil {
			long = w.inline(length(*x.Length, max(step, significant(*x.Length, 2))))
		}
		if x.WebArea != nil {
			web = w.inline(area(*x.WebArea))
		}
		if x.Region != nil {
			region = "undercut " + strconv.Itoa(*x.Region)
		}
		t.Rows = append(t.Rows, []string{strconv.Itoa(x.ID), w.inline(length(x.Opening, max(step, significant(x.Opening, 2)))), long, web, join("; ", place(x.At), region)})
	}
	if d.Tunnels != nil && *d.Tunnels > len(t.Rows) {
		t.Note = "and " + strconv.Itoa(*d.Tunnels-len(t.Rows)) + " more"
	}
	return []Table{t}
}

// airRows say how to tip, feed and vent each pour that catches air.
func (w *wording) airRows(d *demold.Report, step float64) []Row {
	var out []Row
	for _, p := range d.Air {
		if p.SprueAt != nil {
			out = append(out, Row{Label: "Sprue", Value: place(*p.SprueAt), Note: "the highest place as it is cast"})
		}
		if p.Caught <= 0 {
			continue
		}
		label := "Against air, " + p.Pour
		if p.Half != "whole" {
			label += ", " + p.Half + " half"
		}
		r := Row{Label: label, Value: strconv.Itoa(len(p.Vents)) + " vents"}
		if len(p.Vents) == 1 {
			r.Value = "1 vent"
		}
		if p.Tilt != nil {
			r.Value = "tip it " + strconv.Itoa(int(math.Ceil(*p.Tilt-1e-6))) + "°"
			r.Note = "down with the side that looks " + p.Side()
			if p.Over != nil && *p.Over >= 1 {
				r.Note = join("; ", r.Note, "in a box "+w.inline(length(*p.Over, max(1, step)))+" over the pattern")
			}
		}
		if p.Left > 0 {
			var at []string
			for _, v := range p.Vents[:min(len(p.Vents), ventsShown)] {
				at = append(at, place(v))
			}
			if more := len(p.Vents) - len(at); more > 0 {
				at = append(at, strconv.Itoa(more)+" more")
			}
			left := w.inline(volume(p.Left*0.9, p.Left, p.Left*1.1))
			if p.Tilt != nil {
				left += " is left"
			} else {
				left += " is caught"
			}
			r.Note = join("; ", r.Note, left, "vent at "+strings.Join(at, "; "))
		} else {
			r.Note = join("; ", r.Note, "no air is left")
		}
		out = append(out, r)
	}
	return out
}

// thin lists webs of rubber that tear and fins that break, the worst first.
func (w *wording) thin(d *demold.Report) []Table {
	if len(d.Thin) == 0 {
		return nil
	}
	t := Table{Caption: "Thin: webs of rubber, fins of the pattern", Columns: []Column{{Title: "kind"}, {Title: "thick", Right: true}, {Title: "deep", Right: true}, {Title: "area", Right: true}, {Title: "near"}}}
	left := 0
	for _, x := range d.Thin {
		if x.Places > 1 || len(t.Rows) >= linesShown {
			left += x.Places
			continue
		}
		t.Rows = append(t.Rows, []string{x.Kind, w.inline(length(x.Thickness, 0.1)), w.inline(length(x.Depth, significant(x.Depth, 2))), w.inline(area(x.Area)), place(x.At)})
	}
	if left > 0 {
		t.Note = "and " + strconv.Itoa(left) + " smaller"
	}
	return []Table{t}
}

func (w *wording) traps(d *demold.Report) []Table {
	if len(d.AirTraps) == 0 {
		return nil
	}
	t := Table{Caption: "Air is caught", Columns: []Column{{Title: "when pouring"}, {Title: "air", Right: true}, {Title: "near"}}}
	worst := map[string]float64{}
	for _, a := range d.AirTraps {
		worst[a.Pour] = max(worst[a.Pour], a.Volume)
	}
	left := 0
	for _, a := range d.AirTraps {
		if a.Volume < worthSaying*worst[a.Pour] || len(t.Rows) >= linesShown {
			left++
			continue
		}
		t.Rows = append(t.Rows, []string{"the " + a.Pour, w.inline(volume(a.Volume*0.9, a.Volume, a.Volume*1.1)), place(a.At)})
	}
	if left > 0 {
		t.Note = "and " + strconv.Itoa(left) + " smaller"
	}
	return []Table{t}
}

func (w *wording) directions(d *demold.Report, step float64) []Table {
	if len(d.Directions) < 2 {
		return nil
	}
	t := Table{Caption: "Ways up that were tried, best first", Columns: []Column{{Title: "up"}, {Title: "way out", Right: true}, {Title: "rubber under it", Right: true}, {Title: "why", Wrap: true}}}
	// A turned body has the same answer many times over: say it once.
	said := map[string]bool{}
	left := 0
	for _, x := range d.Directions {
		path := "locked"
		if x.Path != nil {
			path = w.inline(length(*x.Path, max(step, significant(*x.Path, 2))))
		}
		key := path + x.Reason
		if said[key] || len(t.Rows) >= linesShown {
			left++
			continue
		}
		said[key] = true
		up := direction([3]float64{math.Round(x.Up[0]*100) / 100, math.Round(x.Up[1]*100) / 100, math.Round(x.Up[2]*100) / 100})
		t.Rows = append(t.Rows, []string{up, path, w.inline(volume(x.Volume*0.99, x.Volume, x.Volume*1.01)), x.Reason})
	}
	if left > 0 {
		t.Note = "and " + strconv.Itoa(left) + " like these"
	}
	if len(t.Rows) < 2 {
		return nil
	}
	return []Table{t}
}

func (w *wording) container() Section {
	sec := Section{Key: "container", Title: "Container"}
	c := w.plan.Container
	if c == nil {
		return sec
	}
	if c.Mold != "" {
		sec.Rows = append(sec.Rows, Row{Label: "Mold", Value: moldWords(c.Mold)})
	}
	switch {
	case c.Own:
		sec.Rows = append(sec.Rows, Row{Label: "Chosen", Value: "your own, as measured"})
	case c.Reason != "":
		sec.Rows = append(sec.Rows, Row{Label: "Chosen", Value: c.Reason})
	}
	sec.Rows = append(sec.Rows, w.inside(c)...)
	if c.Stock != nil {
		sec.Rows = append(sec.Rows, Row{Label: "From stock", Value: *c.Stock})
	}
	if c.Kind == boxfit.Mother {
		sec.Rows = append(sec.Rows, w.row("Blanket", ruled(c.Wall), "thick, all over"))
	} else {
		sec.Rows = append(sec.Rows,
			w.row("Rubber at the sides", ruled(c.Wall), ""),
			w.row("Rubber over it", ruled(c.Over), ""))
	}
	if c.Under > 0 {
		sec.Rows = append(sec.Rows, w.row("Rubber under it", ruled(c.Under), ""))
	}
	thin := w.row("Thinnest rubber", length(c.Thinnest, 0.1), "")
	if c.ThinnestAt != nil {
		thin.Note = "near " + place(*c.ThinnestAt)
	}
	sec.Rows = append(sec.Rows, thin,
		w.row("Fill line", ruled(c.FillHeight), "above the floor of the container"),
		w.row("Holds to that line", exactly(c.Capacity), ""))
	if c.Kind == boxfit.Box || c.Kind == boxfit.Polygon {
		sec.Rows = append(sec.Rows, w.row("Seams to seal", length(c.Seam, 1), ""))
	}
	switch {
	case c.HoldDown == nil:
		sec.Rows = append(sec.Rows, Row{Label: "Hold the pattern down", Value: "unknown", Note: "weigh the pattern: its mass is not known", Tone: Care})
	case *c.HoldDown <= 0:
		sec.Rows = append(sec.Rows, Row{Label: "Hold the pattern down", Value: "it sinks", Note: "no force needed; still fix it to the board"})
	default:
		f, note := *c.HoldDown, ""
		if c.HoldDownMargin != nil {
			f, note = *c.HoldDownMargin, "with margin: it floats up by "+w.inline(force(*c.HoldDown))
		}
		if w.System != unit.US {
			note = join("; ", kilograms(f), note)
		}
		sec.Rows = append(sec.Rows, w.row("Hold the pattern down", force(f), note))
	}
	if c.ShellUplift != nil && *c.ShellUplift > 0 {
		note := "the liquid rubber lifts it: bolt, clamp or weight it"
		if w.System != unit.US {
			note = join("; ", kilograms(*c.ShellUplift), note)
		}
		sec.Rows = append(sec.Rows, w.row("Hold the shell down", force(*c.ShellUplift), note))
	}
	if c.FloorPressure > 0 {
		sec.Rows = append(sec.Rows, w.row("Pressure on the floor", pressure(c.FloorPressure), ""))
	}
	if c.WallForce > 0 {
		sec.Rows = append(sec.Rows, w.row("Push on one wall", force(c.WallForce), "the largest"))
	}
	if c.BoardBow != nil {
		r := w.row("A board bows by", length(*c.BoardBow, max(0.01, significant(*c.BoardBow, 2))), "where it bows most")
		if *c.BoardBow < 0.01 {
			r = Row{Label: r.Label, Value: "next to nothing"}
		}
		sec.Rows = append(sec.Rows, r)
	}
	if c.Brace != nil {
		sec.Rows = append(sec.Rows, Row{Label: "Brace", Value: *c.Brace})
	}
	if c.LiftMass != nil {
		sec.Rows = append(sec.Rows, w.row("To lift, filled", mass(*c.LiftMass*0.95, *c.LiftMass, *c.LiftMass*1.05), "container, rubber and pattern"))
	}
	if len(c.Boards) > 0 {
		t := Table{Caption: "Cut list", Columns: []Column{{Title: "pieces", Right: true}, {Title: "part", Wrap: true}, {Title: "length", Right: true}, {Title: "width", Right: true}, {Title: "thick", Right: true}}}
		cut := func(l float64) string {
			if w.System == unit.Both {
				return trimmed(l, 1) + nbsp + "mm (" + Inches(l, 16) + ")"
			}
			return w.inline(ruled(l))
		}
		for _, b := range c.Boards {
			t.Rows = append(t.Rows, []string{strconv.Itoa(b.Count), b.Name, cut(b.Length), cut(b.Width), w.inline(ruled(b.Thickness))})
		}
		if w.System != unit.Metric {
			t.Note = "inches to the nearest 1/16"
		}
		sec.Tables = append(sec.Tables, t)
	}
	return sec
}

func moldWords(m string) string {
	switch demold.Mold(m) {
	case demold.Block:
		return "block: one piece, poured over the pattern on its board"
	case demold.TwoPart:
		return "two-part: keyed halves"
	case demold.Cut:
		return "cut: one piece all round, cut open"
	case demold.Blanket:
		return "blanket: an even coat under a rigid mother mold"
	}
	return m
}

func (w *wording) options() Section {
	sec := Section{Key: "options", Title: "Other containers"}
	var list []boxfit.Option
	if w.plan.Options != nil {
		list = *w.plan.Options
	}
	if len(list) == 0 && w.plan.Container != nil {
		list = w.plan.Container.Options
	}
	if len(list) < 2 {
		return sec
	}
	t := Table{Caption: "Least rubber first", Columns: []Column{{Title: "mold"}, {Title: "container", Wrap: true}, {Title: "rubber", Right: true}, {Title: "mass", Right: true}, {Title: "cost", Right: true}}}
	currency := ""
	if w.plan.Cost != nil {
		currency = w.plan.Cost.Currency
	}
	for _, o := range list {
		m, cost := "-", "-"
		if o.Mass != nil {
			m = w.fine(mass(*o.Mass, *o.Mass, *o.Mass))
		}
		if o.Cost != nil {
			cost = Money(*o.Cost, currency)
			t.Caption = "Cheapest first"
		}
		t.Rows = append(t.Rows, []string{o.Mold, o.Container, w.inline(exactly(o.Volume)), m, cost})
	}
	sec.Tables = []Table{t}
	return sec
}

func (w *wording) rubber() Section {
	sec := Section{Key: "rubber", Title: "Rubber"}
	r := w.plan.Rubber
	if r == nil {
		return sec
	}
	name := rubberName(r)
	sec.Rows = append(sec.Rows, Row{Label: "Name", Value: name, Note: r.What})
	gravity := w.specificVolume(r.SG)
	if len(r.Additives) > 0 {
		gravity = join("; ", gravity, "with what is stirred in; "+trimmed(r.BareSG, 3)+" without")
	}
	sec.Rows = append(sec.Rows, Row{Label: "Specific gravity", Value: trimmed(r.SG, 3), Note: gravity})
	sec.Rows = append(sec.Rows,
		w.row("Volume", volume(r.VolumeLow, r.Volume, r.VolumeHigh), w.volumeRange(r.VolumeLow, r.Volume, r.VolumeHigh)),
		w.row("Mass", mass(r.VolumeLow*r.SG/1000, r.Mass, r.VolumeHigh*r.SG/1000), "of the cured mold"))
	note := "with " + w.inline(mass(r.ExtraMass*0.99, r.ExtraMass, r.ExtraMass*1.01)) + " extra"
	if r.ExtraMass <= 0 {
		note = ""
	} else if r.ExtraReason != "" {
		note += ": " + r.ExtraReason
	}
	sec.Rows = append(sec.Rows, w.row("Mix at least", mass(r.MassToMix, r.MassToMix, r.MassToMix), note))
	sec.Rows = append(sec.Rows, w.parts(r)...)
	if r.RatioError != nil && math.Abs(*r.RatioError) >= 0.0005 {
		sec.Rows = append(sec.Rows, Row{Label: "Ratio off by", Value: Fixed(100**r.RatioError, 1), Unit: "%", Note: "after rounding to the scale"})
	}
	if r.PotLife != nil {
		sec.Rows = append(sec.Rows, Row{Label: "Pot life", Value: Duration(*r.PotLife), Note: join("; ", w.potRange(r), "pour within it")})
	}
	if r.Demold != nil {
		sec.Rows = append(sec.Rows, Row{Label: "Open it after", Value: Duration(*r.Demold)})
	}
	if v := r.Vacuum; v != nil {
		sec.Rows = append(sec.Rows, w.vacuum(v))
	}
	if r.Elongation != nil {
		sec.Rows = append(sec.Rows, Row{Label: "Stretches to", Value: trimmed(*r.Elongation, 0), Unit: "%", Note: "at break, when new"})
	}
	if r.Needed != nil && *r.Needed > 0.005 {
		sec.Rows = append(sec.Rows, Row{Label: "Stripping asks for", Value: Fixed(100**r.Needed, 0), Unit: "%", Note: "strain at the worst place"})
	}
	if r.HeatLimit != nil {
		sec.Rows = append(sec.Rows, Row{Label: "Stands heat to", Value: temperature(*r.HeatLimit, w.System)})
	}
	if r.Shrinkage != nil {
		sec.Rows = append(sec.Rows, Row{Label: "Shrinks", Value: trimmed(*r.Shrinkage, 2), Unit: "%", Note: "in length, as it cures"})
	}
	currency := ""
	if w.plan.Cost != nil {
		currency = w.plan.Cost.Currency
	}
	if r.Cost != nil {
		sec.Rows = append(sec.Rows, Row{Label: "Costs", Value: Money(*r.Cost, currency)})
	}
	if r.Have != nil {
		row := w.row("On the shelf", mass(*r.Have, *r.Have, *r.Have), "")
		if r.HaveShort != nil && *r.HaveShort > 0 {
			row.Note, row.Tone = w.inline(mass(*r.HaveShort, *r.HaveShort, *r.HaveShort))+" short", Care
		} else if r.HaveShort != nil {
			row.Note = "it does"
		}
		sec.Rows = append(sec.Rows, row)
	}
	sec.Tables = append(sec.Tables, w.batches(r)...)
	sec.Tables = append(sec.Tables, w.ways(r)...)
	if len(r.Kits) > 0 {
		t := Table{Caption: "To buy", Columns: []Column{{Title: "kits", Right: true}, {Title: "of", Right: true}, {Title: "cost", Right: true}}}
		for _, k := range r.Kits {
			t.Rows = append(t.Rows, []string{strconv.Itoa(k.Count), w.fine(mass(k.Size, k.Size, k.Size)), Money(k.Cost, currency)})
		}
		if r.LeftOver != nil && *r.LeftOver > 0 {
			t.Note = w.inline(mass(*r.LeftOver*0.95, *r.LeftOver, *r.LeftOver*1.05)) + " left over"
		}
		sec.Tables = append(sec.Tables, t)
	}
	for _, s := range r.Reasons {
		sec.List = append(sec.List, sentence(s))
	}
	return sec
}

// potRange words how far the pot life may lie from the rule's, where the
// workshop is not at the data sheet's temperature.
func (w *wording) potRange(r *estimate.Rubber) string {
	if r.PotLifeLow == nil || r.PotLifeHigh == nil || *r.PotLifeHigh-*r.PotLifeLow < 0.5 {
		return "at the workshop's temperature"
	}
	return "at the workshop's temperature; " + Duration(*r.PotLifeLow) + " to " + Duration(*r.PotLifeHigh) + ", as rubbers differ"
}

// vacuum words the degassing in one row.
func (w *wording) vacuum(v *estimate.Vacuum) Row {
	r := Row{Label: "Vacuum", Value: Fixed(v.Wanted, 1), Unit: "inHg", Note: "or more on the gauge"}
	if v.Altitude != 0 {
		r.Note = "or more on a gauge at " + Fixed(v.Altitude, 0) + nbsp + "m, where it can show " + Fixed(v.Most, 1) + " at most"
	}
	r.Note += "; " + Duration(v.Minutes) + " a batch, in a cup " + trimmed(v.CupRoom, 1) + " times its size"
	if v.Gauge != nil && v.Bubble != nil {
		r.Note += "; your " + trimmed(*v.Gauge, 1) + " makes a bubble " + Fixed(*v.Bubble, 0) + " times as large"
	}
	if v.Lid != nil {
		r.Note += "; the lid bears " + Fixed(*v.Lid/1000, 1) + nbsp + "kN"
	}
	return r
}

// ways lists what would make the rubber on the shelf do.
func (w *wording) ways(r *estimate.Rubber) []Table {
	if len(r.HaveWays) == 0 {
		return nil
	}
	t := Table{Caption: "What would make it do", Columns: []Column{{Title: "way", Wrap: true}, {Title: "saves", Right: true}, {Title: "enough"}, {Title: "how", Wrap: true}}}
	for _, x := range r.HaveWays {
		saves, does := "-", "no"
		if x.Saves != nil {
			saves = w.inline(mass(*x.Saves*0.98, *x.Saves, *x.Saves*1.02))
		} else {
			does = "see"
		}
		if x.Does {
			does = "yes"
		}
		t.Rows = append(t.Rows, []string{x.What, saves, does, sentence(x.How)})
	}
	return []Table{t}
}

// mixing is how it is done.
func (w *wording) mixing() Section {
	sec := Section{Key: "mixing", Title: "How to mix it, and when it has cured"}
	if r := w.plan.Rubber; r != nil {
		for _, s := range r.Practice {
			sec.List = append(sec.List, sentence(s))
		}
	}
	return sec
}

// original is what each step could do to a pattern that cannot be replaced.
func (w *wording) original() Section {
	sec := Section{Key: "original", Title: "Before anything else: the original", Tone: Care}
	if w.plan.Rubber == nil {
		return sec
	}
	for _, x := range w.plan.Rubber.Risks {
		sec.Rows = append(sec.Rows, Row{Label: capital(x.Step), Value: sentence(x.Risk), Note: sentence(x.Guard)})
	}
	return sec
}

// specificVolume is what data sheets in inches and pounds print instead of a
// specific gravity.
func (w *wording) specificVolume(sg float64) string {
	if w.System == unit.Metric || sg <= 0 {
		return ""
	}
	const in3PerLbAtOne = 453.59237 / 16.387064 // exact by definition of pound and inch
	return Fixed(in3PerLbAtOne/sg, 1) + nbsp + "in³/lb"
}

func temperature(c float64, s unit.System) string {
	f := Fixed(c*1.8+32, 0) + nbsp + "°F"
	m := trimmed(c, 0) + nbsp + "°C"
	switch s {
	case unit.Metric:
		return m
	case unit.US:
		return f
	}
	return m + " (" + f + ")"
}

// batches lists the cups, where there is more than one.
func (w *wording) batches(r *estimate.Rubber) []Table {
	cups := 0
	for _, p := range r.Pours {
		cups += len(p.Batches)
	}
	if cups < 2 && len(r.Pours) < 2 {
		if cups == 1 {
			b := r.Pours[0].Batches[0]
			if b.Cup > 0 {
				return []Table{{Columns: []Column{{}}, Rows: [][]string{{"Stir it in a cup of at least " + w.cup(b.Cup) + "."}}}}
			}
		}
		return nil
	}
	t := Table{Caption: "Cups to mix, in order", Columns: []Column{{Title: "pour"}, {Title: "cup", Right: true}, {Title: "part A", Right: true}, {Title: "part B", Right: true}, {Title: "cup holds at least", Right: true}}}
	both := func(g *float64) string {
		if g == nil {
			return "-"
		}
		q := weighed(*g)
		if w.System == unit.Metric {
			return q.metric()
		}
		return q.metric() + " (" + q.us() + ")"
	}
	for i, a := range r.Additives {
		c := t.Columns
		t.Columns = append(append(append([]Column{}, c[:4+i]...), Column{Title: a.Kind, Right: true}), c[4+i:]...)
	}
	for _, p := range r.Pours {
		for i, b := range p.Batches {
			half := p.Half
			if half != "whole" {
				half += " half"
			}
			row := []string{half, strconv.Itoa(i + 1), both(b.PartA), both(b.PartB)}
			for i := range r.Additives {
				var g *float64
				if i < len(b.Additives) {
					g = &b.Additives[i]
				}
				row = append(row, both(g))
			}
			t.Rows = append(t.Rows, append(row, w.cup(b.Cup)))
		}
	}
	return []Table{t}
}

// cup words the size of a mixing cup, rounded up so that it holds.
func (w *wording) cup(ml float64) string {
	step := significant(ml, 2)
	up := Stepped(math.Ceil(ml/step-1e-9)*step, step) + nbsp + "ml"
	const mlPerFloz = 29.5735295625 // US fluid ounce, exact
	oz := ml / mlPerFloz
	step = significant(oz, 2)
	us := Stepped(math.Ceil(oz/step-1e-9)*step, step) + nbsp + "fl" + nbsp + "oz"
	switch w.System {
	case unit.Metric:
		return up
	case unit.US:
		return us
	}
	return up + " (" + us + ")"
}

func (w *wording) hardness() Section {
	sec := Section{Key: "hardness", Title: "Soft or firm"}
	if w.plan.Rubber == nil || w.plan.Rubber.Hardness == nil {
		return sec
	}
	h := w.plan.Rubber.Hardness
	r := Row{Label: "Would do"}
	low, high := "", ""
	if h.Low != nil {
		low = trimmed(*h.Low, 0)
	}
	if h.High != nil {
		high = trimmed(*h.High, 0)
	}
	switch {
	case low != "" && high != "" && *h.Low > *h.High:
		r.Value, r.Note, r.Tone = "no hardness", "it must be at least Shore A "+low+" and at most "+high, Bad
	case low != "" && high != "":
		r.Value = "Shore" + nbsp + "A" + nbsp + low + " to " + high
	case low != "":
		r.Value = "Shore" + nbsp + "A" + nbsp + low + " or firmer"
	case high != "":
		r.Value = "Shore" + nbsp + "A" + nbsp + high + " or softer"
	default:
		r.Value = "any"
	}
	if h.Preferred > 0 && r.Tone != Bad {
		r.Note = "look first at " + trimmed(h.Preferred, 0)
	}
	sec.Rows = append(sec.Rows, r)
	if h.HighReason != "" {
		sec.Rows = append(sec.Rows, Row{Label: "No firmer, because", Value: h.HighReason, Note: from(h.HighSource)})
	}
	if h.LowReason != "" {
		sec.Rows = append(sec.Rows, Row{Label: "No softer, because", Value: h.LowReason, Note: from(h.LowSource)})
	}
	if h.Life != "" {
		sec.Rows = append(sec.Rows, Row{Label: "Planned for", Value: map[string]string{"long": "a long life", "normal": "some dozen castings", "few": "a few castings"}[h.Life],
			Note: "up to " + trimmed(100*h.Share, 0) + nbsp + "% of its elongation at break, or by the limits below where that is not known"})
	}
	times := ""
	if h.ForceFactor != nil {
		times = ", good to ×/÷" + nbsp + trimmed(*h.ForceFactor, 1)
	}
	if h.OpenForce != nil {
		row := w.row("Hands pull", force(*h.OpenForce), h.OpenHow+", a finger's width"+times)
		if *h.OpenForce > handForce {
			row.Tone = Care
		}
		sec.Rows = append(sec.Rows, row)
	}
	switch {
	case h.PullForce != nil:
		sec.Rows = append(sec.Rows, w.row("Pulled straight off", force(*h.PullForce), h.PullHow+times))
	case h.PullHow != "":
		sec.Rows = append(sec.Rows, Row{Label: "Pulled straight off", Value: "never", Note: h.PullHow, Tone: Care})
	}
	switch {
	case h.Alone != nil:
		sec.Rows = append(sec.Rows, Row{Label: "To stand by itself", Value: "Shore" + nbsp + "A" + nbsp + trimmed(*h.Alone, 0) + " or firmer", Note: h.AloneReason})
	case h.AloneReason != "":
		sec.Rows = append(sec.Rows, Row{Label: "To stand by itself", Value: "keep it in its container", Note: h.AloneReason})
	}
	sec.Chart = w.strainChart()
	if len(h.Opens) > 0 {
		t := Table{Caption: "What brings soft and firm together", Columns: []Column{{Title: "with", Wrap: true}, {Title: "at least", Right: true}, {Title: "at most", Right: true}, {Title: ""}}}
		for _, x := range h.Opens {
			does := "does not"
			if x.Opens {
				does = "does"
			}
			t.Rows = append(t.Rows, []string{x.What, "A" + nbsp + trimmed(x.Low, 0), "A" + nbsp + trimmed(x.High, 0), does})
		}
		sec.Tables = append(sec.Tables, t)
	}
	if len(h.Wants) > 0 {
		t := Table{Caption: "What asks for soft or firm", Columns: []Column{{Title: "asks for"}, {Title: "why", Wrap: true}, {Title: ""}}}
		for _, x := range h.Wants {
			won := "overruled"
			if x.Won {
				won = "counts"
			}
			ask := x.Toward
			if x.ShoreA > 0 {
				ask += ", A" + nbsp + trimmed(x.ShoreA, 0)
			}
			t.Rows = append(t.Rows, []string{ask, x.Why, won})
		}
		t.Note = sources(h.Wants)
		sec.Tables = append(sec.Tables, t)
	}
	return sec
}

// handForce is what a hand pulls, N; from memory: 100 to 200 N.
const handForce = 150.0

func from(source string) string {
	if source == "" {
		return ""
	}
	return "source: " + source
}

// sources lists where bounds come from, each once.
func sources(list []estimate.Want) string {
	var out []string
	for _, x := range list {
		if x.Source != "" && !slices.Contains(out, x.Source) {
			out = append(out, x.Source)
		}
	}
	if len(out) == 0 {
		return ""
	}
	return "sources: " + strings.Join(out, "; ")
}

func (w *wording) casting() Section {
	sec := Section{Key: "casting", Title: "Casting"}
	c := w.plan.Casting
	if c == nil {
		return sec
	}
	up := ""
	if c.PourUp != nil {
		up = "poured with " + direction(*c.PourUp) + " up"
	}
	sec.Rows = append(sec.Rows, Row{Label: "Material", Value: c.Material, Note: join("; ", up, c.Note)})
	sec.Rows = append(sec.Rows, w.row("Volume of one", exactly(c.Volume), ""))
	if c.Mass != nil {
		sec.Rows = append(sec.Rows, w.row("Mass of one", mass(*c.Mass, *c.Mass, *c.Mass), ""))
	}
	if c.MassToMix != nil {
		note := ""
		if c.Sprue > 0 {
			note = "with " + w.inline(exactly(c.Sprue)) + " for sprue and vents, and what stays in the cup"
		}
		sec.Rows = append(sec.Rows, w.row("Mix for one", mass(*c.MassToMix, *c.MassToMix, *c.MassToMix), note))
	}
	for _, x := range []struct {
		label string
		g     *float64
	}{{"Part A", c.PartA}, {"Part B", c.PartB}, {"Powder", c.Powder}, {"Water", c.Water}} {
		if x.g != nil {
			sec.Rows = append(sec.Rows, w.scale(x.label, *x.g, ""))
		}
	}
	if f := c.Face; f != nil {
		g := func(v float64) string { return w.inline(mass(v*0.97, v, v*1.03)) }
		sec.Rows = append(sec.Rows,
			Row{Label: "First, dry powder", Value: g(f.Dust), Note: "dusted on thinly with a soft brush; " + g(f.DustLow) + " to " + g(f.DustHigh) + " by the face"},
			Row{Label: "Then a face coat", Value: g(f.Resin) + " of resin, " + g(f.Powder) + " of powder", Note: trimmed(f.Thickness, 1) + nbsp + "mm over " + w.inline(area(f.Area)) + "; powder is " + trimmed(100*f.Share, 0) + nbsp + "% of its volume"})
		if f.Backing > 0.5 {
			sec.Rows = append(sec.Rows, Row{Label: "Then back it with", Value: g(f.Backing) + " of plain resin", Note: "before the face is hard"})
		}
	}
	if f := c.Foam; f != nil {
		sec.Rows = append(sec.Rows, Row{Label: "Presses with", Value: trimmed(f.Low, 0) + " to " + trimmed(f.High, 0) + nbsp + "kPa", Note: "packed " + trimmed(100*f.Pack, 0) + nbsp + "% over its free rise"})
		if f.LidHigh != nil {
			sec.Rows = append(sec.Rows, w.row("Clamp its lid for", force(2**f.LidHigh), "twice the most that lifts it"))
		}
	}
	if c.DemoldAfter != nil {
		r := Row{Label: "Take it out after", Value: Duration(*c.DemoldAfter)}
		if c.DemoldLow != nil && c.DemoldHigh != nil && *c.DemoldLow < *c.DemoldHigh {
			r.Note = "usually " + Duration(*c.DemoldLow) + " to " + Duration(*c.DemoldHigh) + ", from memory; its data sheet wins"
		}
		sec.Rows = append(sec.Rows, r)
	}
	if c.HottestC != nil {
		sec.Rows = append(sec.Rows, Row{Label: "Gets as hot as", Value: temperature(*c.HottestC, w.System)})
	}
	if c.Shrinkage != nil {
		sec.Rows = append(sec.Rows, Row{Label: "Shrinks", Value: trimmed(*c.Shrinkage, 2), Unit: "%", Note: "in length, rubber and casting together"})
	}
	if c.ResizeTo != nil && math.Abs(*c.ResizeTo-1) > 5e-5 {
		sec.Rows = append(sec.Rows, Row{Label: "For a true size", Value: trimmed(*c.ResizeTo, 4), Note: "times as big a pattern"})
	}
	switch {
	case c.PullsLow != nil && c.PullsHigh != nil:
		sec.Rows = append(sec.Rows, Row{Label: "Castings per mold", Value: strconv.Itoa(*c.PullsLow) + " to " + strconv.Itoa(*c.PullsHigh), Note: "typical; depends on release, heat and care"})
	case c.PullsPerMold != nil:
		sec.Rows = append(sec.Rows, Row{Label: "Castings per mold", Value: "about " + strconv.Itoa(*c.PullsPerMold), Note: "typical; depends on release, heat and care"})
	}
	if c.MoldsNeeded != nil {
		sec.Rows = append(sec.Rows, Row{Label: "Molds needed", Value: strconv.Itoa(*c.MoldsNeeded)})
	}
	return sec
}

func (w *wording) cost() Section {
	sec := Section{Key: "cost", Title: "Cost"}
	c := w.plan.Cost
	if c == nil {
		return sec
	}
	t := Table{Columns: []Column{{Title: "what", Wrap: true}, {Title: "quantity", Right: true}, {Title: "unit"}, {Title: "each", Right: true}, {Title: "amount", Right: true}}}
	for _, l := range c.Lines {
		t.Rows = append(t.Rows, []string{l.What, trimmed(l.Quantity, 3), l.Unit, unitPrice(l.UnitPrice), Fixed(l.Amount, 2)})
	}
	if c.Overhead != 0 || c.Margin != 0 {
		t.Rows = append(t.Rows, []string{"Subtotal", "", "", "", Fixed(c.Subtotal, 2)})
		if c.Overhead != 0 {
			t.Rows = append(t.Rows, []string{"Overhead", "", "", "", Fixed(c.Overhead, 2)})
		}
		if c.Margin != 0 {
			t.Rows = append(t.Rows, []string{"Margin", "", "", "", Fixed(c.Margin, 2)})
		}
	}
	t.Foot = []string{"Total", "", "", c.Currency, Fixed(c.Total, 2)}
	t.Note = c.Rounding
	sec.Tables = []Table{t}
	if c.PerCasting != nil {
		sec.Rows = append(sec.Rows, Row{Label: "Per casting", Value: Money(*c.PerCasting, c.Currency)})
	}
	if c.Draft {
		sec.Rows = append(sec.Rows, Row{Label: "Draft", Value: "not to be sent out yet", Note: "a stop is open, or the units are assumed", Tone: Care})
	}
	return sec
}

func (w *wording) schedule() Section {
	sec := Section{Key: "schedule", Title: "Time"}
	s := w.plan.Schedule
	if s == nil || len(s.Steps) == 0 {
		return sec
	}
	halves := false
	for _, x := range s.Steps {
		if x.Half != "" && x.Half != "whole" {
			halves = true
		}
	}
	t := Table{Caption: "From the first stir", Columns: []Column{{Title: "from", Right: true}, {Title: "to", Right: true}, {Title: "what", Wrap: true}}}
	if s.Temperature != 0 {
		t.Caption += ", at " + temperature(s.Temperature, w.System)
	}
	for _, x := range s.Steps {
		what := capital(x.What)
		if halves && x.Half != "" && x.Half != "whole" {
			what = capital(x.Half) + " half: " + x.What
		}
		to := Duration(x.End)
		if to == Duration(x.Start) && x.End > x.Start {
			to = Duration(x.End-x.Start) + " more"
		}
		t.Rows = append(t.Rows, []string{Duration(x.Start), to, what})
	}
	sec.Tables = []Table{t}
	return sec
}

func (w *wording) notChecked() Section {
	sec := Section{Key: "not_checked", Title: "Not looked at", Tone: Care}
	for _, s := range w.plan.NotChecked {
		sec.List = append(sec.List, sentence(s))
	}
	return sec
}

func (w *wording) cautions() Section {
	sec := Section{Key: "cautions", Title: "Safety", Tone: Care}
	for _, s := range w.plan.Cautions {
		sec.List = append(sec.List, sentence(s))
	}
	return sec
}
