package render

import (
	"strconv"
	"strings"

	"moldtally/render/figure"
)

func (w *wording) demold() Section {
	sec := Section{Key: "demold", Title: "How it comes out"}
	d := w.plan.Demold
	if d == nil {
		return sec
	}
	step := figure.LengthStep(d.Uncertainty)
	give := ""
	if d.Uncertainty > 0 {
		give = "give or take " + w.Inline(figure.Length(d.Uncertainty, figure.Significant(d.Uncertainty, 1)))
	}
	where := func(p *[3]float64) string {
		if p == nil {
			return ""
		}
		return "near " + figure.Place(*p)
	}
	switch {
	case d.UndercutPath == nil:
		sec.Rows = append(sec.Rows, Row{Label: "Deepest undercut", Value: "locked", Note: figure.Join("; ", "there is no way out at its height", where(d.UndercutPathAt)), Tone: Bad})
		sec.Rows = append(sec.Rows, w.row("  straight across", figure.Length(d.UndercutDepth, step), figure.Join("; ", give, where(d.UndercutDepthAt))))
		if d.LockedVolume > 0 {
			sec.Rows = append(sec.Rows, w.row("Rubber locked in", figure.Volume(d.LockedVolume*0.99, d.LockedVolume, d.LockedVolume*1.01), ""))
		}
		sec.Rows = append(sec.Rows, w.row("Else the deepest", figure.Length(d.FreePath, step), "once what is locked is filled, slit or plugged"))
	case *d.UndercutPath == 0 && d.UndercutDepth == 0:
		sec.Rows = append(sec.Rows, Row{Label: "Deepest undercut", Value: "none", Note: give, Tone: Good})
	default:
		sec.Rows = append(sec.Rows, w.row("Deepest undercut", figure.Length(*d.UndercutPath, step), figure.Join("; ", give, where(d.UndercutPathAt))))
		if *d.UndercutPath-d.UndercutDepth > 2*d.Uncertainty {
			sec.Rows[len(sec.Rows)-1].Note = figure.Join("; ", "round what is in the way", give, where(d.UndercutPathAt))
			sec.Rows = append(sec.Rows, w.row("  straight across", figure.Length(d.UndercutDepth, step), where(d.UndercutDepthAt)))
		}
	}
	if d.UndercutVolume > 0 || d.UndercutArea > 0 {
		sec.Rows = append(sec.Rows,
			w.row("Rubber under it", figure.Volume(d.UndercutVolume*0.99, d.UndercutVolume, d.UndercutVolume*1.01), "must bend or stretch to let go"),
			w.row("Surface under it", figure.Area(d.UndercutArea), ""))
	}
	switch {
	case d.Stretch == nil:
		sec.Rows = append(sec.Rows, Row{Label: "Stretch", Value: "no limit", Note: figure.Join("; ", "the neck is next to nothing", where(d.StretchAt)), Tone: Bad})
	case *d.Stretch < 0.005:
		sec.Rows = append(sec.Rows, Row{Label: "Stretch", Value: "none", Tone: Good})
	default:
		note := ""
		if d.StretchNeck != nil && d.StretchBulge != nil {
			note = "a neck of " + w.Inline(figure.Length(*d.StretchNeck, 1)) + " round must open to " + w.Inline(figure.Length(*d.StretchBulge, 1))
		}
		if d.StretchClay {
			note = figure.Join("; ", note, "the neck is the clay line: the mouth is too small")
		}
		sec.Rows = append(sec.Rows, Row{Label: "Stretch", Value: figure.Fixed(100**d.Stretch, 0), Unit: "%", Note: figure.Join("; ", note, where(d.StretchAt))})
	}
	if d.Squeeze >= 0.005 {
		note := ""
		if d.TongueLength != nil && d.TongueRoot != nil {
			note = "a tongue of rubber " + w.Inline(figure.Length(*d.TongueLength, step)) + " long, " + w.Inline(figure.Length(*d.TongueRoot, step)) + " at its root"
		}
		sec.Rows = append(sec.Rows, Row{Label: "Squeeze", Value: figure.Fixed(100*d.Squeeze, 0), Unit: "%", Note: figure.Join("; ", note, where(d.SqueezeAt))})
	}
	if d.Mouth.Perimeter > 0 {
		sec.Rows = append(sec.Rows, w.row("Mouth", figure.Length(d.Mouth.Perimeter, 1), "round; "+w.Inline(figure.Area(d.Mouth.Area))+" open"))
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
				v = w.row("  with the webs slit", figure.Length(*x.Slit.Path, max(step, figure.Significant(*x.Slit.Path, 2))), figure.Join("; ", "way out that is left", w.Inline(figure.Area(x.CutArea))+" of web to cut", "uncut it cannot leave"))
			}
			sec.Rows = append(sec.Rows, v)
		}
	}
	if d.Trapped != nil {
		sec.Rows = append(sec.Rows, w.row("Shut in both ways", figure.Volume(*d.Trapped*0.99, *d.Trapped, *d.Trapped*1.01), "caught whichever half comes off first"))
	}
	if s := d.Seam; s != nil {
		note := "along the " + figure.Direction(s.Side) + " side, in a zig-zag along the plane square to " + figure.Direction(s.Normal)
		note = figure.Join("; ", note, "from "+figure.Place(s.From)+" to "+figure.Place(s.To))
		switch {
		case s.Path == nil:
			note = figure.Join("; ", note, "some rubber stays locked")
		case *s.Path < 2*d.Uncertainty:
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
		sec.Rows = append(sec.Rows, w.row("Cut it open", figure.Length(s.Length, 1), note))
	}
	if f := d.Flap; f != nil {
		sec.Rows = append(sec.Rows, w.row("Flap that swings", figure.Length(f.Height, step), "high, "+w.Inline(figure.Length(f.Swing, step))+" aside; near "+figure.Place(f.At)))
	}
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
		sec.Rows = append(sec.Rows, w.row(label, figure.Length(p.Height, step), note))
		if h := p.Halves; h != nil {
			half := func(label string, vol, own, under float64) {
				note := w.Inline(figure.Area(own)) + " of its surface looks this way"
				if under > 0.005*(h.Upper+h.Lower) {
					note = figure.Join("; ", note, w.Inline(figure.Area(under))+" on this side holds")
				}
				sec.Rows = append(sec.Rows, w.row(label, figure.Volume(vol*0.999, vol, vol*1.001), note))
			}
			half("  pattern above it", h.UpperVolume, h.Upper, h.UpperUndercut)
			half("  pattern below it", h.LowerVolume, h.Lower, h.LowerUndercut)
			if h.Either > 0 || h.Trapped > 0 {
				note := "plumb wall, of either half"
				if h.Trapped > 0.005*(h.Upper+h.Lower) {
					note = figure.Join("; ", note, w.Inline(figure.Area(h.Trapped))+" more is caught wherever it parts")
				}
				sec.Rows = append(sec.Rows, w.row("  surface of either", figure.Area(h.Either), note))
			}
		}
	}
	if f := d.Draft; f.Under0+f.To1+f.To3+f.OverThree > 0 {
		r := Row{Label: "Draft of the walls",
			Value: "under 0° " + figure.Percent(f.Under0, 0) + ", 0-1° " + figure.Percent(f.To1, 0) + ", 1-3° " + figure.Percent(f.To3, 0) + ", over 3° " + figure.Percent(f.OverThree, 0)}
		if m := d.DraftArea; m.Under0+m.To1+m.To3+m.OverThree > 0 {
			r.Note = w.Inline(figure.Area(m.Under0)) + ", " + w.Inline(figure.Area(m.To1)) + ", " + w.Inline(figure.Area(m.To3)) + ", " + w.Inline(figure.Area(m.OverThree))
		}
		sec.Rows = append(sec.Rows, r)
	}
	sec.Rows = append(sec.Rows, w.airRows(d, step)...)
	if d.Clay > 0 {
		sec.Rows = append(sec.Rows, w.row("Clay fillet", figure.Length(d.Clay, 0.1), "seals the pattern to the board"))
	}
	sec.Tables = append(sec.Tables, w.regions(d, step)...)
	sec.Tables = append(sec.Tables, w.tunnels(d, step)...)
	sec.Tables = append(sec.Tables, w.thin(d)...)
	sec.Tables = append(sec.Tables, w.traps(d)...)
	sec.Tables = append(sec.Tables, w.directions(d, step)...)
	return sec
}
