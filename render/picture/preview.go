package picture

import (
	"context"
	"errors"
	"fmt"
	"image"
	"image/draw"

	"moldtally/estimate"
	"moldtally/mesh"
	"moldtally/mesh/par"
	"moldtally/mesh/unit"
	"moldtally/render"
	"moldtally/render/figure"
)

// Options says how to draw. The zero value is the default.
type Options struct {
	Width, Height int         // pixels; 0 = 1600 × 1200; at least 400 × 300, at most 8000 a side
	System        unit.System // of the labels; "" = unit.Both
	Progress      func(stage string, done, total int)
	Bare          bool // without name, verdict and sizes over it: for a page that says them
	Paper         bool // with larger words, to be read on half a page

	bench bool // the three-quarter view alone, at the scale of a bench sheet
}

// legendUnit is the unit in whose round numbers the legend counts, mm.
func (o Options) legendUnit() float64 {
	if o.System == unit.US {
		return float64(unit.Inch)
	}
	return 1
}

// Picture sizes, pixels.
const (
	baseWidth, baseHeight = 1600, 1200
	leastWidth            = 400
	leastHeight           = 300
	mostSide              = 8000
)

// paperWords is by how much larger words are for paper, where the picture is half as
// large as on a screen: 15 units are 5.5 points there (judgement of this program).
const paperWords = 1.2

// Grounds of the views, inks of their own.
var (
	panelHigh = nrgba(0xFFFFFF, 255)
	panelLow  = nrgba(0xF0EEE9, 255)
	// partingInk is a hue that the color scale does not have.
	partingInk = nrgba(0x9C1F5C, 235)
)

// Preview draws a session on one sheet: the pattern from above, from two sides
// and at three quarters, colored by how far rubber there must bend to get out,
// inside its container as glass, with the container's inside measurements, the
// fill line and the way the mold lifts. Undercuts bear the numbers that the sheet
// gives them, and a section to scale goes through the worst one, its depth
// measured; on a tall sheet it stands in the place of the view on the end. A
// parting line that runs up and down a plumb wall is drawn by its mean course.
// Surface that was invented to close the mesh is hatched. A session without
// container or report is drawn without them.
//
// It draws opaque triangles with fauxgl, one view per goroutine, and the glass
// itself, so the same session gives the same bytes on any number of cores. It
// takes about a second for a million triangles and some 20 bytes per sample
// (four samples to a pixel). Cancelling ctx ends it with ctx's error.
func Preview(ctx context.Context, s *estimate.Session, o Options) (*image.NRGBA, error) {
	p, err := newPicture(ctx, s, o)
	if err != nil {
		return nil, err
	}
	// All is opaque, where the two layouts of color agree.
	return &image.NRGBA{Pix: p.Pix, Stride: p.Stride, Rect: p.Rect}, nil
}

// picture is the sheet being drawn.
type picture struct {
	*canvas
	figure.Units
	head     float64 // room over the views, before scaling
	s        *estimate.Session
	sc       *scene
	panels   []*panel
	key      rect     // where the legend stands
	sec      *section // nil = nothing to cut
	taken    []box    // where words stand
	marks    []mark   // numbers of undercuts that were drawn
	lines    [][]mesh.Vec
	linesAre string
}

func newPicture(ctx context.Context, s *estimate.Session, o Options) (*picture, error) {
	if o.Progress == nil {
		o.Progress = func(string, int, int) {}
	}
	p, err := prepare(ctx, s, o)
	if err != nil {
		return nil, err
	}
	if err := p.views(ctx, o.Progress); err != nil {
		return nil, err
	}
	if !o.Bare {
		p.header()
	}
	for _, x := range p.panels {
		p.annotate(x)
	}
	p.legend()
	p.footer()
	return p, nil
}

// prepare sets up a picture whose views are not drawn yet.
func prepare(ctx context.Context, s *estimate.Session, o Options) (*picture, error) {
	if s == nil || s.Mesh == nil && s.Solid == nil {
		return nil, errors.New("picture: nothing to draw")
	}
	if o.Width == 0 && o.Height == 0 {
		o.Width, o.Height = baseWidth, baseHeight
	}
	if o.Width == 0 {
		o.Width = o.Height * baseWidth / baseHeight
	}
	if o.Height == 0 {
		o.Height = o.Width * baseHeight / baseWidth
	}
	if o.Width < leastWidth || o.Height < leastHeight || o.Width > mostSide || o.Height > mostSide {
		return nil, fmt.Errorf("picture: %d by %d pixels were asked for: at least %d by %d, at most %d a side", o.Width, o.Height, leastWidth, leastHeight, mostSide)
	}
	if o.System != unit.Metric && o.System != unit.US {
		o.System = unit.Both
	}
	if err := ctx.Err(); err != nil {
		return nil, fmt.Errorf("picture: %w", err)
	}
	k := min(float64(o.Width)/baseWidth, float64(o.Height)/baseHeight)
	switch {
	case o.bench:
		k = benchScale
	case o.Paper:
		k *= paperWords
	}
	sc, err := newScene(ctx, s, o.legendUnit())
	if err != nil {
		return nil, err
	}
	var sec *section
	if !o.bench {
		if sec, err = newSection(ctx, s, sc); err != nil {
			return nil, err
		}
	}
	head := sheetHead
	if o.Bare {
		head = sheetMargin
	}
	p := &picture{canvas: newCanvas(o.Width, o.Height, k), head: head, s: s, Units: figure.Units{System: o.System}, sc: sc, sec: sec}
	p.lines, p.linesAre = openingLines(s.Report, sc)
	draw.Draw(p.RGBA, p.Rect, image.NewUniform(render.Paper), image.Point{}, draw.Src)
	if o.bench {
		p.layoutBench()
	} else {
		p.layout()
	}
	return p, nil
}

// views draws the panels, each on one core; they share nothing, so their order
// does not matter.
func (p *picture) views(ctx context.Context, progress func(string, int, int)) error {
	type job struct {
		panel int
		im    *image.RGBA
		err   error
	}
	images := make([]*image.RGBA, len(p.panels))
	next := 0
	err := par.InOrder(ctx, func(j *job) (bool, error) {
		j.panel = next
		next++
		return j.panel < len(p.panels), nil
	}, func(j *job) { j.im, j.err = p.view(ctx, p.panels[j.panel]) }, func(j *job) error {
		images[j.panel] = j.im
		progress("picture", j.panel+1, len(p.panels))
		return j.err
	})
	if err != nil {
		return err
	}
	for i, x := range p.panels {
		draw.Draw(p.RGBA, image.Rect(x.x, x.y, x.x+x.w, x.y+x.h), images[i], image.Point{}, draw.Src)
	}
	return nil
}

func (p *picture) view(ctx context.Context, x *panel) (*image.RGBA, error) {
	v := newView(p.sc, x.cam, x.w, x.h)
	v.ground()
	if x.kind == across { // the rest is flat
		return v.pixels(), nil
	}
	x.v = v
	v.board()
	if err := v.pattern(ctx); err != nil {
		return nil, err
	}
	v.contours()
	v.hollows(int(30 * p.k))
	if err := v.coat(ctx); err != nil {
		return nil, err
	}
	v.glass()
	v.partingLine(p.lines)
	im := v.pixels()
	v.dc, v.path = nil, nil // only the depth is needed for the labels
	return im, nil
}

// ground fills a view with the panel's own ground, a little darker below.
func (v *view) ground() {
	for y := range v.h {
		t := float64(y) / float64(v.h)
		c := [4]uint8{over(panelHigh.R, panelLow.R, t), over(panelHigh.G, panelLow.G, t), over(panelHigh.B, panelLow.B, t), 255}
		row := v.dc.ColorBuffer.Pix[4*y*v.w : 4*(y+1)*v.w]
		for i := 0; i < len(row); i += 4 {
			copy(row[i:], c[:])
		}
	}
}

// partingLine draws where a two-part or cut mold opens.
func (v *view) partingLine(lines [][]mesh.Vec) {
	for _, line := range lines {
		for i := 1; i < len(line); i++ {
			v.edge(line[i-1], line[i], 1.9, partingInk, 0.006*v.reach)
		}
	}
}
