package render

import (
	"math"
	"strconv"
	"strings"

	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/air"
	"moldtally/render/figure"
	"moldtally/render/words"
)

// airRows say how to tip, feed and vent each pour that catches air.
func (w *wording) airRows(d *demold.Report, step float64) []Row {
	var out []Row
	for _, p := range d.Air {
		if p.SprueAt != nil {
			out = append(out, Row{Label: "Sprue", Value: figure.Place(*p.SprueAt), Note: "the highest place as it is cast"})
		}
		if p.Caught <= 0 {
			continue
		}
		label := "Against air, " + string(p.Pour)
		if p.Half != air.Whole {
			label += ", " + string(p.Half) + " half"
		}
		r := Row{Label: label, Value: strconv.Itoa(len(p.Vents)) + " vents"}
		if len(p.Vents) == 1 {
			r.Value = "1 vent"
		}
		if p.Tilt != nil {
			r.Value = "tip it " + strconv.Itoa(int(math.Ceil(*p.Tilt-1e-6))) + "°"
			r.Note = "down with the side that looks " + words.Side(mesh.V(p.Toward[0], p.Toward[1], p.Toward[2]))
			if p.Over != nil && *p.Over >= 1 {
				r.Note = figure.Join("; ", r.Note, "in a box "+w.Inline(figure.Length(*p.Over, max(1, step)))+" over the pattern")
			}
		}
		if p.Left > 0 {
			var at []string
			for _, v := range p.Vents[:min(len(p.Vents), ventsShown)] {
				at = append(at, figure.Place(v))
			}
			if more := len(p.Vents) - len(at); more > 0 {
				at = append(at, strconv.Itoa(more)+" more")
			}
			left := w.Inline(figure.About(figure.Volume, p.Left, withinAir))
			if p.Tilt != nil {
				left += " is left"
			} else {
				left += " is caught"
			}
			r.Note = figure.Join("; ", r.Note, left, "vent at "+strings.Join(at, "; "))
		} else {
			r.Note = figure.Join("; ", r.Note, "no air is left")
		}
		out = append(out, r)
	}
	return out
}

func (w *wording) traps(d *demold.Report) []Table {
	if len(d.AirTraps) == 0 {
		return nil
	}
	t := Table{Caption: "Air is caught", Columns: []Column{{Title: "when pouring"}, {Title: "air", Right: true}, {Title: "near"}}}
	worst := map[air.Liquid]float64{}
	for _, a := range d.AirTraps {
		worst[a.Pour] = max(worst[a.Pour], a.Volume)
	}
	left := 0
	for _, a := range d.AirTraps {
		if a.Volume < worthSaying*worst[a.Pour] || len(t.Rows) >= linesShown {
			left++
			continue
		}
		t.Rows = append(t.Rows, []string{"the " + string(a.Pour), w.Inline(figure.About(figure.Volume, a.Volume, withinAir)), figure.Place(a.At)})
	}
	if left > 0 {
		t.Note = "and " + strconv.Itoa(left) + " smaller"
	}
	return []Table{t}
}
