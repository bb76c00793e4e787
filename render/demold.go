package render

import (
	"strconv"
	"strings"

	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/parting"
	"moldtally/render/figure"
	"moldtally/render/words"
)

func (w *wording) demold() Section {
	sec := Section{Key: "demold", Title: "How it comes out"}
	d := w.plan.Demold
	if d == nil {
		return sec
	}
	step := figure.LengthStep(d.Uncertainty)
	for _, rows := range [][]Row{
		w.wayOutRows(d, step), w.stretchRows(d, step), w.tunnelRows(d, step), w.trappedRows(d),
		w.seamRows(d, step), w.flapRows(d, step), w.partingRows(d, step), w.draftRows(d), w.airRows(d, step), w.clayRows(d),
	} {
		sec.add(rows...)
	}
	sec.Tables = append(sec.Tables, w.regions(d, step)...)
	sec.Tables = append(sec.Tables, w.tunnels(d, step)...)
	sec.Tables = append(sec.Tables, w.thin(d)...)
	sec.Tables = append(sec.Tables, w.traps(d)...)
	sec.Tables = append(sec.Tables, w.directions(d, step)...)
	return sec
}

// near words a place, if there is one.
func near(p *[3]float64) string {
	if p == nil {
		return ""
	}
	return "near " + figure.Place(*p)
}

// wayOutRows tell the deepest undercut and how much is under it.
func (w *wording) wayOutRows(d *demold.Report, step float64) (out []Row) {
	give := ""
	if d.Uncertainty > 0 {
		give = "give or take " + w.Inline(figure.Length(d.Uncertainty, figure.Significant(d.Uncertainty, 1)))
	}
	switch {
	case d.UndercutPath == nil:
		out = append(out, Row{Label: "Deepest undercut", Value: "locked", Note: figure.Join("; ", "there is no way out at its height", near(d.UndercutPathAt)), Tone: Bad})
		out = append(out, w.row("  straight across", figure.Length(d.UndercutDepth, step), figure.Join("; ", give, near(d.UndercutDepthAt))))
		if d.LockedVolume > 0 {
			out = append(out, w.row("Rubber locked in", figure.About(figure.Volume, d.LockedVolume, withinColumns), ""))
		}
		if d.Loose.Serve() {
			out[0].Tone = Plain
			for _, p := range d.Loose.Pieces {
				out = append(out, w.row("  loose piece", figure.Length(p.Size, step), figure.Join("; ", "is what its hollow measures; drawn toward "+words.Side(mesh.V(p.Draw[0], p.Draw[1], p.Draw[2])), near(&p.At))))
			}
		}
		if d.Loose.Serve() && len(d.Loose.Pores) > 0 {
			for n, p := range d.Loose.Pores {
				label := ""
				if n == 0 {
					label = "  filled first"
				}
				out = append(out, w.row(label, figure.Length(p.Size, step), figure.Join("; ", "is what the hole measures", near(&p.At))))
			}
		}
		out = append(out, w.row("Else the deepest", figure.Length(d.FreePath, step), "once what is locked is filled, slit or plugged"))
	case *d.UndercutPath == 0 && d.UndercutDepth == 0:
		out = append(out, Row{Label: "Deepest undercut", Value: "none", Note: give, Tone: Good})
	default:
		out = append(out, w.row("Deepest undercut", figure.Length(*d.UndercutPath, step), figure.Join("; ", give, near(d.UndercutPathAt))))
		if *d.UndercutPath-d.UndercutDepth > 2*d.Uncertainty {
			out[len(out)-1].Note = figure.Join("; ", "round what is in the way", give, near(d.UndercutPathAt))
			out = append(out, w.row("  straight across", figure.Length(d.UndercutDepth, step), near(d.UndercutDepthAt)))
		}
	}
	if d.UndercutVolume > 0 || d.UndercutArea > 0 {
		out = append(out,
			w.row("Rubber under it", figure.About(figure.Volume, d.UndercutVolume, withinColumns), "must bend or stretch to let go"),
			w.row("Surface under it", figure.Area(d.UndercutArea), ""))
	}
	return out
}

// stretchRows tell what the rubber must stand, and the mouth it passes.
func (w *wording) stretchRows(d *demold.Report, step float64) (out []Row) {
	switch {
	case d.Stretch == nil:
		out = append(out, Row{Label: "Stretch", Value: "no limit", Note: figure.Join("; ", "the neck is next to nothing", near(d.StretchAt)), Tone: Bad})
	case *d.Stretch < leastNeed:
		out = append(out, Row{Label: "Stretch", Value: "none", Tone: Good})
	default:
		note := ""
		if d.StretchNeck != nil && d.StretchBulge != nil {
			note = "a neck of " + w.Inline(figure.Length(*d.StretchNeck, 1)) + " round must open to " + w.Inline(figure.Length(*d.StretchBulge, 1))
		}
		if d.StretchClay {
			note = figure.Join("; ", note, "the neck is the clay line: the mouth is too small")
		}
		out = append(out, Row{Label: "Stretch", Value: figure.Fixed(100**d.Stretch, 0), Unit: "%", Note: figure.Join("; ", note, near(d.StretchAt))})
	}
	if d.Squeeze >= leastNeed {
		note := ""
		if d.TongueLength != nil && d.TongueRoot != nil {
			note = "a tongue of rubber " + w.Inline(figure.Length(*d.TongueLength, step)) + " long, " + w.Inline(figure.Length(*d.TongueRoot, step)) + " at its root"
		}
		out = append(out, Row{Label: "Squeeze", Value: figure.Fixed(100*d.Squeeze, 0), Unit: "%", Note: figure.Join("; ", note, near(d.SqueezeAt))})
	}
	if d.Mouth.Perimeter > 0 {
		out = append(out, w.row("Mouth", figure.Length(d.Mouth.Perimeter, 1), "round; "+w.Inline(figure.Area(d.Mouth.Area))+" open"))
	}
	return out
}

// tunnelRows tell where rubber links through, and what is left when it is cut.
func (w *wording) tunnelRows(d *demold.Report, step float64) (out []Row) {
	if d.Tunnels != nil {
		r := Row{Label: "Tunnels", Value: strconv.Itoa(*d.Tunnels), Note: "rubber would link through and lock", Tone: Bad}
		if *d.Tunnels == 0 {
			r.Value, r.Note, r.Tone = "none", "", Plain
		}
		out = append(out, r)
		if x := d.Webs; x != nil {
			v := Row{Label: "  with the webs slit", Value: "locked", Note: "rubber is locked in besides", Tone: Bad}
			if x.Slit.Path != nil {
				v = w.row("  with the webs slit", figure.Length(*x.Slit.Path, max(step, figure.Significant(*x.Slit.Path, 2))), figure.Join("; ", "way out that is left", w.Inline(figure.Area(x.CutArea))+" of web to cut", "uncut it cannot leave"))
			}
			out = append(out, v)
		}
	}
	return out
}

// trappedRows tell what neither half lets go of.
func (w *wording) trappedRows(d *demold.Report) (out []Row) {
	if d.Trapped != nil {
		out = append(out, w.row("Shut in both ways", figure.About(figure.Volume, *d.Trapped, withinColumns), "caught whichever half comes off first"))
	}
	return out
}

// seamRows tell where to cut a mold open.
func (w *wording) seamRows(d *demold.Report, step float64) (out []Row) {
	if s := d.Seam; s != nil {
		note := "along the " + figure.Direction(s.Side) + " side, in a zig-zag along the plane square to " + figure.Direction(s.Normal)
		note = figure.Join("; ", note, "from "+figure.Place(s.From)+" to "+figure.Place(s.To))
		switch {
		case s.Path == nil:
			note = figure.Join("; ", note, "some rubber stays locked")
		case *s.Path < 2*d.Resolved:
			note = figure.Join("; ", note, "leaves nothing undercut")
		default:
			note = figure.Join("; ", note, "leaves undercuts of "+w.Inline(figure.Length(*s.Path, step)))
		}
		if n := len(s.Opens); n > 0 {
			ids := make([]string, n)
			for k, o := range s.Opens {
				ids[k] = strconv.Itoa(o.Region)
			}
			note = figure.Join("; ", note, "opens no. "+strings.Join(ids, ", "))
		}
		out = append(out, w.row("Cut it open", figure.Length(s.Length, 1), note))
	}
	return out
}

// flapRows tell how a flap of a cut mold swings.
func (w *wording) flapRows(d *demold.Report, step float64) (out []Row) {
	if f := d.Flap; f != nil {
		out = append(out, w.row("Flap that swings", figure.Length(f.Height, step), "high, "+w.Inline(figure.Length(f.Swing, step))+" aside; near "+figure.Place(f.At)))
	}
	return out
}

// partingRows tell where two halves part, and what lies on either side.
func (w *wording) partingRows(d *demold.Report, step float64) (out []Row) {
	if p := d.Parting; p != nil {
		note := "above the pattern's base"
		if p.Length != nil {
			note = figure.Join("; ", note, "natural line "+w.Inline(figure.Length(*p.Length, 1))+" long")
		}
		if p.Flatness != nil && *p.Flatness > 0 {
			note = figure.Join("; ", note, "strays "+w.Inline(figure.Length(*p.Flatness, step))+" from flat")
		}
		if n := len(p.Breaks); n > 0 {
			places := strconv.Itoa(n) + " places"
			if n == 1 {
				places = "one place"
			}
			note = figure.Join("; ", note, "steps in "+places+" from one part of the pattern to another that it hides, by up to "+w.Inline(figure.Length(p.Breaks[0].Height, step)))
		}
		label := "Parting"
		if p.Kind != "" {
			label += ", " + p.Kind
		}
		out = append(out, w.row(label, figure.Length(p.Height, step), note))
		if p.Halves != nil {
			out = append(out, w.halfRows(p.Halves)...)
		}
	}
	return out
}

// halfRows tell which half lets go of which surface.
func (w *wording) halfRows(h *parting.Halves) (out []Row) {
	half := func(label string, vol, own, under float64) {
		note := w.Inline(figure.Area(own)) + " of its surface looks this way"
		if under > leastShare*(h.Upper+h.Lower) {
			note = figure.Join("; ", note, w.Inline(figure.Area(under))+" on this side holds")
		}
		out = append(out, w.row(label, figure.About(figure.Volume, vol, withinHalf), note))
	}
	half("  pattern above it", h.UpperVolume, h.Upper, h.UpperUndercut)
	half("  pattern below it", h.LowerVolume, h.Lower, h.LowerUndercut)
	if h.Either > 0 || h.Trapped > 0 {
		note := "plumb wall, of either half"
		if h.Trapped > leastShare*(h.Upper+h.Lower) {
			note = figure.Join("; ", note, w.Inline(figure.Area(h.Trapped))+" more is caught wherever it parts")
		}
		out = append(out, w.row("  surface of either", figure.Area(h.Either), note))
	}
	return out
}

// draftRows tell how far from plumb the walls stand.
func (w *wording) draftRows(d *demold.Report) (out []Row) {
	if f := d.Draft; f.Under0+f.To1+f.To3+f.OverThree > 0 {
		r := Row{Label: "Draft of the walls",
			Value: "under 0° " + figure.Percent(f.Under0, 0) + ", 0-1° " + figure.Percent(f.To1, 0) + ", 1-3° " + figure.Percent(f.To3, 0) + ", over 3° " + figure.Percent(f.OverThree, 0)}
		if m := d.DraftArea; m.Under0+m.To1+m.To3+m.OverThree > 0 {
			r.Note = w.Inline(figure.Area(m.Under0)) + ", " + w.Inline(figure.Area(m.To1)) + ", " + w.Inline(figure.Area(m.To3)) + ", " + w.Inline(figure.Area(m.OverThree))
		}
		out = append(out, r)
	}
	return out
}

// clayRows tell the fillet at the foot, or the bed under it.
func (w *wording) clayRows(d *demold.Report) (out []Row) {
	switch {
	case d.Bed > 0:
		out = append(out, w.row("Clay bed", figure.Length(d.Bed, 0.1), "high, trimmed flush with the outline: the underside is uneven"))
	case d.Clay > 0:
		out = append(out, w.row("Clay fillet", figure.Length(d.Clay, 0.1), "seals the pattern to the board"))
	}
	return out
}
