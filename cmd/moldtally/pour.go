package main

import (
	"io"

	"github.com/spf13/cobra"

	"moldtally/estimate"
	"moldtally/render"
)

func (a *app) pourCommand() *cobra.Command {
	s := &settings{}
	j := &estimate.PourJob{Version: version}
	c := &cobra.Command{
		Use:   "pour",
		Short: "Rubber from inside measurements, without a mesh",
		Long: `pour works out the rubber for a box, sleeve or bucket from its inside measurements
up to the fill line, less what the pattern displaces: A and B on the scale, kits,
batches and cost. Measure the pattern's volume by dunking it.`,
		Example: `moldtally pour --box "6in,4in,1 1/2in" --in3-per-lb 25 --mix 1:1
moldtally pour --sleeve 110mm,200mm --displaced 405cm3 --rubber platinum-20
moldtally pour --frustum 240mm,280mm,90mm --displaced "1 1/2 l" --sg 1.18 --mix 100:10
moldtally pour --box 150,100,60 --price-per-kg 24.90 --currency EUR --json`,
		Args: args(0, 0, ""),
		RunE: func(c *cobra.Command, _ []string) error { return a.pour(c, s, j) },
	}
	g := groups{}
	add := g.add("Inside, up to the fill line")
	add(sizesValue("L,W,H", &j.Box), "box", "a box: length, width, height")
	add(pairValue(&j.Sleeve), "sleeve", "a tube: bore, height")
	add(sizesValue("D1,D2,H", &j.Frustum), "frustum", "a bucket: diameter at the bottom, at the top, height")
	add(volumeValue(&s.job.Displaced, true), "displaced", "the pattern's volume, measured by dunking")
	s.rubberFlags(&g)
	s.materialFlags(&g)
	s.castFlags(&g)
	g.add("Other forms of the result")
	s.pageFlags(&g)
	g.add("Sheet")
	s.shopFlag(&g)
	s.systemFlag(&g)
	s.commonFlags(&g)
	a.install(c, g)
	return c
}

// pour works the job out and prints it.
func (a *app) pour(c *cobra.Command, s *settings, j *estimate.PourJob) error {
	if err := together(c, "give one inside", "box", "sleeve", "frustum"); err != nil {
		return err
	}
	if j.Box == nil && j.Sleeve == nil && j.Frustum == nil {
		return usagef("give one of --box L,W,H, --sleeve D,H or --frustum D1,D2,H, measured inside up to the fill line", "moldtally pour needs the inside measurements")
	}
	if err := a.begin(c, s); err != nil {
		return err
	}
	if d := s.job.Displaced; d != nil {
		j.Displaced = *d
	}
	j.Job = s.job
	files, _, err := s.outputFiles([]string{"pour"})
	if err != nil {
		return err
	}
	p, err := estimate.TallyPour(c.Context(), *j)
	if err != nil {
		return err
	}
	var b batch
	defer b.discard()
	for _, f := range files[0] {
		if err := b.add(f.target, s.paper(f.flag, render.NewSheet(p, render.SheetOptions{System: s.system}), nil)); err != nil {
			return err
		}
	}
	if err := b.commit(); err != nil {
		return err
	}
	a.warn("", s, p)
	if s.json {
		err = a.print(func(w io.Writer) error { return render.WriteJSON(w, p) })
	} else {
		err = a.printSheet(render.NewSheet(p, render.SheetOptions{System: s.system}))
	}
	if err == nil && s.strict && stopOpen(p) {
		a.status = exitStop
	}
	return err
}
