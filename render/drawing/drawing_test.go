package drawing

import (
	"bytes"
	"context"
	"encoding/xml"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/shape"
	"moldtally/mesh/solid/solidtest"
	"moldtally/mesh/unit"
)

var upZ = mesh.V(0, 0, 1)

// planned is a pattern in its container, without what a drawing has no use for.
func planned(t *testing.T, m *mesh.Mesh, r boxfit.Request) *estimate.Session {
	t.Helper()
	ctx := context.Background()
	s := solidtest.Of(t, m)
	var rep *demold.Report
	if r.Mold == demold.TwoPart {
		var err error
		if rep, err = demold.Analyze(ctx, s, upZ, demold.Options{Mold: r.Mold, Resolution: 1}); err != nil {
			t.Fatal(err)
		}
	}
	f, _, err := boxfit.Search(ctx, s, upZ, rep, r)
	if err != nil {
		t.Fatal(err)
	}
	f.Nest(boxfit.Saw{})
	if rep != nil {
		f.PlaceKeys(0, 80)
	}
	return &estimate.Session{Mesh: m, Solid: s, Report: rep, Fit: f, Plan: &estimate.Plan{Version: "test", Pattern: &estimate.Pattern{File: "it.stl"}}}
}

func drawn(t *testing.T, s *estimate.Session, sys unit.System) *Drawing {
	t.Helper()
	d, err := New(context.Background(), s, Options{System: sys})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// titles are what the pages are called.
func titles(d *Drawing) (list []string) {
	for _, p := range d.Pages {
		list = append(list, p.Texts[0].Words)
	}
	return list
}

func TestDrawings(t *testing.T) {
	for name, c := range map[string]struct {
		m    *mesh.Mesh
		r    boxfit.Request
		want string
	}{
		"box":      {shape.Box(120, 80, 60), boxfit.Request{Container: boxfit.Box}, "Boards to cut|Sheets to cut the boards from|Section, and heights to mark|From above: where the pattern stands"},
		"polygon":  {shape.Mushroom(90, 45, 30, 80, 24), boxfit.Request{Container: boxfit.Polygon}, "Template: the container's ends"},
		"tube":     {shape.Box(30, 30, 40), boxfit.Request{Container: boxfit.Sleeve}, "Template: the container's ends"},
		"sheet":    {shape.Box(30, 30, 40), boxfit.Request{Container: boxfit.Sleeve, Tube: "exact"}, "Template: the container's ends"},
		"halves":   {shape.Mushroom(30, 15, 10, 40, 24), boxfit.Request{Mold: demold.TwoPart}, "Template: the parting, to lay on the clay"},
		"trough":   {shape.Box(1200, 60, 50), boxfit.Request{}, "Sheets to cut the boards from"},
		"own":      {shape.Box(30, 30, 40), boxfit.Request{Inside: &[3]float64{80, 80, 80}}, "Section, and heights to mark"},
		"blanket":  {shape.Box(120, 80, 60), boxfit.Request{Mold: demold.Blanket}, "Section, and heights to mark"},
		"too wide": {shape.Box(2600, 1500, 60), boxfit.Request{Container: boxfit.Polygon, Sides: 8}, "Template: the container's ends"},
	} {
		d := drawn(t, planned(t, c.m, c.r), unit.Both)
		if got := strings.Join(titles(d), "|"); !strings.Contains(got, c.want) {
			t.Errorf("%s: pages %s, want %s", name, got, c.want)
		}
		for i := range d.Pages {
			p := &d.Pages[i]
			inPage(t, name, d, p)
			measured(t, name, p)
		}
	}
}

// TestStands: several patterns have a template with the number of each where it stands.
func TestStands(t *testing.T) {
	m := shape.Merge(shape.Box(40, 30, 20), shape.Translate(shape.Box(40, 30, 20), mesh.V(50, 0, 0)))
	s := planned(t, m, boxfit.Request{Container: boxfit.Box, Wall: new(10.0)})
	s.Fit.Layout = []boxfit.Placed{{File: "a.stl", At: [3]float64{30, 25, 0}}, {File: "a.stl", At: [3]float64{80, 25, 0}}}
	d := drawn(t, s, unit.Metric)
	p := &d.Pages[len(d.Pages)-1]
	if !strings.Contains(p.Texts[0].Words, "where the patterns stand") {
		t.Fatalf("pages %q", titles(d))
	}
	var at []Point
	for _, x := range p.Texts {
		if x.Words == " 1" || x.Words == " 2" {
			at = append(at, x.At)
		}
	}
	if len(at) != 2 || math.Abs(at[1].Sub(at[0]).Len()-50) > 1e-6 {
		t.Errorf("numbers stand at %v, want two 50 mm apart", at)
	}
	inPage(t, "stands", d, p)
}

// inPage complains of lines that leave the page.
func inPage(t *testing.T, name string, d *Drawing, p *Page) {
	t.Helper()
	f := p.Flat()
	if lo, hi := f.box(); lo.X < margin-1 || lo.Y < margin-1 || hi.X > d.Width-margin+1 || hi.Y > d.Height-margin+1 {
		t.Errorf("%s: %s reaches from %v to %v", name, p.Texts[0].Words, lo, hi)
	}
}

// measured takes every dimension at its word: what it says is how long it is, at the
// page's scale.
func measured(t *testing.T, name string, p *Page) {
	t.Helper()
	for _, d := range p.Dims {
		word, _, _ := strings.Cut(strings.TrimPrefix(d.Words, "ø "), " ")
		says, err := strconv.ParseFloat(word, 64)
		// What is built must not come out short, what is marked goes to a rule's line.
		low, high := -0.051, 0.051
		switch {
		case p.Texts[0].Words == "Boards to cut" || strings.HasSuffix(d.Words, " inside") || strings.HasSuffix(d.Words, " base"):
			high = 1
		case p.Texts[0].Words == "Section, and heights to mark":
			low, high = -0.501, 0.501
		}
		if is := d.To.Sub(d.From).Len() / p.Scale; err != nil || says-is < low || says-is > high {
			t.Errorf("%s, %s: %q is %.3f mm (%v)", name, p.Texts[0].Words, d.Words, is, err)
		}
	}
}

// Where nothing stands in the container's middle, the section is beside it.
func TestSectionBeside(t *testing.T) {
	two := shape.Merge(shape.Box(60, 20, 30), shape.Translate(shape.Box(60, 20, 30), mesh.V(0, 30, 0)))
	for name, c := range map[string]struct {
		m     *mesh.Mesh
		aside bool
	}{"two": {two, true}, "one": {shape.Box(60, 20, 30), false}} {
		s := planned(t, c.m, boxfit.Request{Container: boxfit.Box})
		k, err := newContainer(context.Background(), s)
		if err != nil {
			t.Fatal(err)
		}
		if len(k.across) != 1 || k.aside != c.aside {
			t.Errorf("%s: %d outlines, beside %t", name, len(k.across), k.aside)
			continue
		}
		lo, hi := (&Figure{Lines: []Line{{Points: k.across[0]}}}).box()
		if math.Abs(hi.X-lo.X-60) > 1e-6 || math.Abs(lo.Y) > 1e-6 || math.Abs(hi.Y-30) > 1e-6 {
			t.Errorf("%s: cut from %v to %v", name, lo, hi)
		}
	}
}

// The template of an eight-sided ring measures what the boards make.
func TestTemplateIsTrue(t *testing.T) {
	s := planned(t, shape.Mushroom(60, 30, 20, 40, 24), boxfit.Request{Container: boxfit.Polygon, Sides: 8})
	d := drawn(t, s, unit.Metric)
	p := d.Pages[len(d.Pages)-1]
	if p.Scale != 1 || !strings.Contains(p.Texts[1].Words, "true scale") {
		t.Fatalf("scale %g, %s", p.Scale, p.Texts[1].Words)
	}
	var across float64
	for _, l := range p.Lines {
		if lo, hi := (&Figure{Lines: []Line{l}}).box(); len(l.Points) >= 8 && l.Pen == Outline {
			across = max(across, hi.X-lo.X)
		}
	}
	if want := *s.Fit.Diameter + 2*s.Fit.Boards[0].Thickness; math.Abs(across-want) > 1e-6 {
		t.Errorf("outside, across the flats %g, want %g", across, want)
	}
}

// Keys stand on the template of the parting where the plan has them, in the land
// between the pattern and the wall.
func TestKeysOnTemplate(t *testing.T) {
	s := planned(t, shape.Mushroom(30, 15, 10, 40, 24), boxfit.Request{Mold: demold.TwoPart, Container: boxfit.Box})
	keys := s.Fit.Keys
	if len(keys) < 4 {
		t.Fatalf("%d keys", len(keys))
	}
	d := drawn(t, s, unit.Metric)
	if got := titles(d); got[len(got)-1] != "Keys to press into the clay" {
		t.Fatalf("pages %v", got)
	}
	w := &writer{s: s}
	c, err := newContainer(context.Background(), s)
	if err != nil {
		t.Fatal(err)
	}
	w.c = c
	g := w.land()
	if len(g.Circles) != len(keys)-1 {
		t.Errorf("%d round keys of %d", len(g.Circles), len(keys))
	}
	for i, k := range g.Circles {
		if want := vec(keys[i+1].At).Sub(vec(s.Fit.Center)); math.Abs(k.Center.Len()-math.Hypot(want.X, want.Y)) > 1e-9 || k.Radius != keys[i+1].Diameter/2 {
			t.Errorf("key %d at %v, %v", i+2, k, want)
		}
		if math.Abs(k.Center.X)+k.Radius > s.Fit.Interior[0]/2 || math.Abs(k.Center.Y)+k.Radius > s.Fit.Interior[1]/2 {
			t.Errorf("key %d is in the wall", i+2)
		}
	}
}

// Laid over each other by their crosses, the parts of a template make up the whole: each
// point of a large ring is on some part, and where it is on two they agree.
func TestTiles(t *testing.T) {
	f := Figure{Circles: []Circle{{Center: Point{X: 7, Y: -3}, Radius: 190, Pen: Outline}}}
	flat := f.lined()
	tl := tiled(&flat, 190, 248)
	if tl.nx != 3 || tl.ny != 2 {
		t.Fatalf("%d × %d pages", tl.nx, tl.ny)
	}
	type key struct{ x, y int }
	crosses := map[key]int{}
	total := 0.0
	for i := range tl.nx {
		for j := range tl.ny {
			g := tl.tile(&flat, i, j)
			lo := tl.lo.Add(Point{X: float64(i) * (tl.w - tileLap), Y: float64(j) * (tl.h - tileLap)})
			for _, l := range g.Lines {
				if l.Pen != Outline {
					continue
				}
				for k, p := range l.Points {
					if p.X < -1e-9 || p.Y < -1e-9 || p.X > tl.w+1e-9 || p.Y > tl.h+1e-9 {
						t.Fatalf("%v lies beside its page", p)
					}
					if r := p.Add(lo).Sub(Point{X: 7, Y: 3}).Len(); math.Abs(r-190) > fineArc+1e-9 {
						t.Fatalf("%v is %g from the middle", p.Add(lo), r)
					}
					if k > 0 {
						total += p.Sub(l.Points[k-1]).Len()
					}
				}
			}
			for _, c := range g.Circles {
				at := c.Center.Add(lo)
				crosses[key{int(math.Round(at.X * 1000)), int(math.Round(at.Y * 1000))}]++
			}
		}
	}
	if round := 2 * math.Pi * 190; total < round-0.1 {
		t.Errorf("%g mm of ring on the parts, of %g", total, round)
	}
	for at, n := range crosses {
		if n != 2 {
			t.Errorf("the cross at %v is on %d parts", at, n)
		}
	}
	if len(crosses) != 2*(2*2+3*1) {
		t.Errorf("%d crosses", len(crosses))
	}
}

func TestClip(t *testing.T) {
	lo, hi := Point{}, Point{X: 10, Y: 10}
	for _, c := range []struct {
		a, b Point
		in   float64 // length that is left
	}{
		{Point{X: -5, Y: 5}, Point{X: 15, Y: 5}, 10},
		{Point{X: 2, Y: 2}, Point{X: 5, Y: 6}, 5},
		{Point{X: -5, Y: -5}, Point{X: 15, Y: 15}, 10 * math.Sqrt2},
		{Point{X: 11, Y: 0}, Point{X: 11, Y: 10}, -1},
		{Point{X: -5, Y: 9}, Point{X: 1, Y: 15}, -1},
	} {
		a, b, ok := clip(c.a, c.b, lo, hi)
		if ok != (c.in >= 0) || ok && math.Abs(b.Sub(a).Len()-c.in) > 1e-12 {
			t.Errorf("%v to %v: %v, %v, %t", c.a, c.b, a, b, ok)
		}
	}
}

// The file says how large it is in millimetres, one unit of the drawing is one, and each
// page has its line of a hundred.
func TestSVG(t *testing.T) {
	s := planned(t, shape.Box(120, 80, 60), boxfit.Request{Container: boxfit.Box})
	s.Plan.Pattern.File = `a<b>&"c.stl`
	for _, c := range []struct {
		sys        unit.System
		wide, high float64
		line       float64
	}{{unit.Both, 210, 297, 100}, {unit.US, 215.9, 279.4, 101.6}} {
		d := drawn(t, s, c.sys)
		var b, again bytes.Buffer
		if err := WriteSVG(&b, d); err != nil {
			t.Fatal(err)
		}
		WriteSVG(&again, drawn(t, s, c.sys))
		if !bytes.Equal(b.Bytes(), again.Bytes()) {
			t.Error("not the same bytes again")
		}
		root, lines := "", 0
		for x := xml.NewDecoder(&b); ; {
			tok, err := x.Token()
			if err == io.EOF {
				break
			}
			if err != nil {
				t.Fatal(err)
			}
			e, ok := tok.(xml.StartElement)
			if !ok {
				continue
			}
			at := map[string]string{}
			for _, a := range e.Attr {
				at[a.Name.Local] = a.Value
			}
			switch {
			case e.Name.Local == "svg":
				root = at["width"] + " " + at["height"] + " " + at["viewBox"]
			case at["d"] == "M10 "+num(c.high-margin-2)+"L"+num(10+c.line)+" "+num(c.high-margin-2):
				lines++
			}
		}
		high := num(c.high * float64(len(d.Pages)))
		if want := num(c.wide) + "mm " + high + "mm 0 0 " + num(c.wide) + " " + high; root != want {
			t.Errorf("root %s, want %s", root, want)
		}
		if lines != len(d.Pages) {
			t.Errorf("%d lines to measure on %d pages", lines, len(d.Pages))
		}
	}
}

// US drawings show no metric measure.
func TestUSDrawing(t *testing.T) {
	for _, r := range []boxfit.Request{{Container: boxfit.Polygon}, {Container: boxfit.Box}} {
		d := drawn(t, planned(t, shape.Mushroom(90, 45, 30, 80, 24), r), unit.US)
		for _, p := range d.Pages {
			for _, x := range p.Flat().Texts {
				if strings.Contains(x.Words, "mm") {
					t.Errorf("%q", x.Words)
				}
			}
		}
	}
}
