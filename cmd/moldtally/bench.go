package main

import (
	"bytes"
	"context"
	"io"

	"moldtally/estimate"
	"moldtally/mesh/unit"
	"moldtally/render"
	"moldtally/render/picture"
)

// benchPage writes a plan as a bench sheet, on paper or as a page, with the whole
// picture as a PNG. Where a pattern is told by its sheet alone it is that.
func (s *settings) benchPage(ctx context.Context, form string, sess *estimate.Session, drawn []byte) (func(io.Writer) error, error) {
	p := sess.Plan
	if !s.screened(p) && !(s.brief && s.full && p.Rubber != nil) || form != "pdf" {
		return s.paper(form, render.NewSheet(p, render.SheetOptions{System: s.system}), drawn), nil
	}
	o := render.BenchOptions{SheetOptions: render.SheetOptions{System: s.system}, Picture: drawn, Full: s.full}
	if s.system == unit.US {
		o.Paper = "letter"
	}
	look := picture.Options{System: s.system}
	var err error
	if o.View, err = picture.Viewpoint(ctx, sess, look); err != nil {
		return nil, err
	}
	var places []*[3]float64
	for _, n := range render.NewScreen(p, o.View, o.SheetOptions).Findings {
		places = append(places, n.At)
	}
	im, err := picture.Bench(ctx, sess, look, places)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := picture.WritePNG(&b, im); err != nil {
		return nil, err
	}
	o.Places = b.Bytes()
	return func(w io.Writer) error { return render.WriteBench(w, p, o) }, nil
}
