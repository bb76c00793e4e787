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

// benched reports whether a plan's pages are bench sheets: of a command whose report
// is the first screen, where there is a mold.
func (s *settings) benched(p *estimate.Plan) bool { return s.brief && p.Rubber != nil }

// bench is what a bench sheet of a session is set from, its pictures drawn.
func (s *settings) bench(ctx context.Context, sess *estimate.Session, progress func(string, int, int)) (*render.BenchOptions, error) {
	o := &render.BenchOptions{SheetOptions: render.SheetOptions{System: s.system}, Full: s.full}
	if s.system == unit.US {
		o.Paper = "letter"
	}
	look := picture.Options{System: s.system, Progress: progress, Bare: true}
	var err error
	if o.View, err = picture.Viewpoint(ctx, sess, look); err != nil {
		return nil, err
	}
	var places []*[3]float64
	for _, n := range render.NewScreen(sess.Plan, o.View, o.SheetOptions).Findings {
		places = append(places, n.At)
	}
	var b bytes.Buffer
	im, err := picture.Bench(ctx, sess, look, places)
	if err == nil {
		err = picture.WritePNG(&b, im)
	}
	if err != nil {
		return nil, err
	}
	o.Places = bytes.Clone(b.Bytes())
	b.Reset()
	look.Paper = true
	if im, err = picture.Preview(ctx, sess, look); err == nil {
		err = picture.WritePNG(&b, im)
	}
	o.Picture = b.Bytes()
	return o, err
}

// benchPage writes a plan as a bench sheet, on paper or as a page.
func benchPage(form string, p *estimate.Plan, o *render.BenchOptions) func(io.Writer) error {
	if form == "html" {
		return func(w io.Writer) error { return render.WriteBenchPage(w, p, *o) }
	}
	return func(w io.Writer) error { return render.WriteBench(w, p, *o) }
}
