package render

import (
	"math"
	"strconv"

	"moldtally/mesh/demold"
	"moldtally/mesh/demold/undercut"
	"moldtally/render/figure"
)

// A sheet lists this many undercuts, directions or air traps at most, and of
// the undercuts and air traps only those that are a tenth of the worst; the
// JSON has them all.
const (
	linesShown  = 10
	ventsShown  = 3
	worthSaying = 0.1
)

// ShownRegions are the undercuts that are worth a line of the sheet and a number
// on the picture, deepest first.
func ShownRegions(d *demold.Report) []undercut.Region {
	var out []undercut.Region
	for _, r := range d.Regions {
		small := r.Path != nil && max(*r.Path, r.Depth) < worthSaying*max(d.UndercutDepth, d.FreePath)
		if !small && len(out) < linesShown {
			out = append(out, r)
		}
	}
	return out
}

func (w *wording) regions(d *demold.Report, step float64) []Table {
	if len(d.Regions) == 0 {
		return nil
	}
	t := Table{Caption: "Undercuts, deepest first", Columns: []Column{{Title: "no.", Right: true}, {Title: "kind"}, {Title: "way out", Right: true}, {Title: "straight", Right: true}, {Title: "rubber", Right: true}, {Title: "near"}}}
	shown := ShownRegions(d)
	for _, r := range shown {
		path := "locked"
		if r.Path != nil {
			path = w.Inline(figure.Length(*r.Path, step))
		}
		t.Rows = append(t.Rows, []string{strconv.Itoa(r.ID), string(r.Kind), path, w.Inline(figure.Length(r.Depth, step)), w.Inline(figure.About(figure.Volume, r.Volume, withinColumns)), figure.Join("; ", figure.Place(r.At), w.Inline(figure.Length(r.Height, step))+" up")})
	}
	if left := len(d.Regions) - len(shown); left > 0 {
		t.Note = "and " + strconv.Itoa(left) + " smaller"
	}
	return []Table{t}
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
			long = w.Inline(figure.Length(*x.Length, max(step, figure.Significant(*x.Length, 2))))
		}
		if x.WebArea != nil {
			web = w.Inline(figure.Area(*x.WebArea))
		}
		if x.Region != nil {
			region = "undercut " + strconv.Itoa(*x.Region)
		}
		t.Rows = append(t.Rows, []string{strconv.Itoa(x.ID), w.Inline(figure.Length(x.Opening, max(step, figure.Significant(x.Opening, 2)))), long, web, figure.Join("; ", figure.Place(x.At), region)})
	}
	if d.Tunnels != nil && *d.Tunnels > len(t.Rows) {
		t.Note = "and " + strconv.Itoa(*d.Tunnels-len(t.Rows)) + " more"
	}
	return []Table{t}
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
		t.Rows = append(t.Rows, []string{string(x.Kind), w.Inline(figure.Length(x.Thickness, 0.1)), w.Inline(figure.Length(x.Depth, figure.Significant(x.Depth, 2))), w.Inline(figure.Area(x.Area)), figure.Place(x.At)})
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
			path = w.Inline(figure.Length(*x.Path, max(step, figure.Significant(*x.Path, 2))))
		}
		why := w.say(x.Reason)
		key := path + why
		if said[key] || len(t.Rows) >= linesShown {
			left++
			continue
		}
		said[key] = true
		up := figure.Direction([3]float64{math.Round(x.Up[0]*100) / 100, math.Round(x.Up[1]*100) / 100, math.Round(x.Up[2]*100) / 100})
		t.Rows = append(t.Rows, []string{up, path, w.Inline(figure.About(figure.Volume, x.Volume, withinColumns)), why})
	}
	if left > 0 {
		t.Note = "and " + strconv.Itoa(left) + " like these"
	}
	if len(t.Rows) < 2 {
		return nil
	}
	return []Table{t}
}
