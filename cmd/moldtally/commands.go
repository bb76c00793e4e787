package main

import (
	"github.com/spf13/cobra"

	"moldtally/estimate"
)

// Kinds that the flags take, in the order of help.
var (
	moldKinds      = []string{"auto", "block", "two-part", "cut", "blanket"}
	containerKinds = []string{"auto", "box", "polygon", "sleeve"}
)

func (a *app) planCommand() *cobra.Command {
	s := &settings{}
	c := &cobra.Command{
		Use:   "plan PATTERN…",
		Short: "Plan the mold: does it come out, container, rubber, A and B",
		Long: `plan reads a pattern's mesh and works out the whole mold: whether the pattern
comes out, the container round it, how much rubber, A and B on the scale, and
how soft or firm. The answer stands first on the sheet. A pattern named - is
read from stdin. With several patterns each gets a sheet, and a table adds them
up.`,
		Example: `moldtally plan finial.stl
moldtally plan finial.stl --height 180mm --mold block --container sleeve
moldtally plan heron.ply --up +z --clay 2mm --sg 1.07 --mix 10:1
moldtally plan relief.stl --inside 200,150,60 --price-per-kg 24.90 --currency EUR
moldtally plan *.stl --png pictures/ --json > plans.json`,
		Args:              args(1, -1, "a PATTERN, the name of a mesh file"),
		ValidArgsFunction: completePatterns,
		RunE: func(c *cobra.Command, args []string) error {
			return a.meshCommand(c, args, s, estimate.All)
		},
	}
	g := groups{}
	s.patternFlags(&g)
	s.poseFlags(&g)
	s.containerFlags(&g)
	s.stockFlags(&g)
	s.rubberFlags(&g)
	s.materialFlags(&g)
	s.castFlags(&g)
	s.pictureFlags(&g)
	s.systemFlag(&g)
	s.commonFlags(&g, true)
	a.install(c, g)
	return c
}

func (a *app) checkCommand() *cobra.Command {
	s := &settings{}
	c := &cobra.Command{
		Use:   "check PATTERN",
		Short: "Is the file sound, how big is it, what does it displace",
		Long: `check looks at the file alone: is its surface closed, how big is it in which
unit, how much does it displace and how sure is that, what was mended.`,
		Example: `moldtally check scan.ply
moldtally check part.stl --units in
moldtally check bust.stl --longest 300mm --json
moldtally check scan.ply --repaired mended.stl`,
		Args:              args(1, 1, "a PATTERN, the name of a mesh file"),
		ValidArgsFunction: completePatterns,
		RunE: func(c *cobra.Command, args []string) error {
			return a.meshCommand(c, args, s, estimate.ThroughPattern)
		},
	}
	g := groups{}
	s.patternFlags(&g)
	s.upFlag(&g)
	g.add("Other forms of the result")
	s.repairedFlag(&g)
	s.systemFlag(&g)
	s.commonFlags(&g, true)
	a.install(c, g)
	return c
}

func (a *app) demoldCommand() *cobra.Command {
	s := &settings{}
	c := &cobra.Command{
		Use:   "demold PATTERN",
		Short: "Does it come out: undercuts, stretch, tunnels",
		Long: `demold looks at how the pattern leaves the rubber: how deep the rubber reaches
under it, how far the opening must stretch, what the rubber would link through.`,
		Example: `moldtally demold heron.ply
moldtally demold heron.ply --up +y --ignore 0.5mm
moldtally demold finial.stl --up -z --clay 0 --json
moldtally demold scan.ply --search --png scan.png --glb scan.glb`,
		Args:              args(1, 1, "a PATTERN, the name of a mesh file"),
		ValidArgsFunction: completePatterns,
		RunE: func(c *cobra.Command, args []string) error {
			return a.meshCommand(c, args, s, estimate.ThroughDemold)
		},
	}
	g := groups{}
	s.patternFlags(&g)
	s.poseFlags(&g)
	s.pictureFlags(&g)
	s.systemFlag(&g)
	s.commonFlags(&g, true)
	a.install(c, g)
	return c
}

func (a *app) containersCommand() *cobra.Command {
	s := &settings{}
	c := &cobra.Command{
		Use:   "containers PATTERN",
		Short: "Containers side by side, with a cut list",
		Long: `containers compares what could hold the pour: boxes and sleeves, what each takes
in rubber, and the boards to cut for the one chosen.`,
		Example: `moldtally containers finial.stl
moldtally containers finial.stl --wall 15mm --over 20mm
moldtally containers relief.stl --inside 8in,6in,2in`,
		Args:              args(1, 1, "a PATTERN, the name of a mesh file"),
		ValidArgsFunction: completePatterns,
		RunE: func(c *cobra.Command, args []string) error {
			return a.meshCommand(c, args, s, estimate.ThroughContainer)
		},
	}
	g := groups{}
	s.patternFlags(&g)
	s.poseFlags(&g)
	s.containerFlags(&g)
	s.stockFlags(&g)
	s.pictureFlags(&g)
	s.systemFlag(&g)
	s.commonFlags(&g, true)
	a.install(c, g)
	return c
}

func (a *app) previewCommand() *cobra.Command {
	s := &settings{}
	c := &cobra.Command{
		Use:   "preview PATTERN -o FILE.png",
		Short: "Draw the pattern in its container",
		Long: `preview writes a picture: the pattern shaded by how far the rubber must bend to
let go, its container as glass with inside measures and fill line, an arrow
where the mold lifts, from above, two sides and three-quarter.`,
		Example: `moldtally preview finial.stl -o finial.png
moldtally preview heron.ply --up +z --container box -o heron.png`,
		Args:              args(1, 1, "a PATTERN, the name of a mesh file"),
		ValidArgsFunction: completePatterns,
		RunE: func(c *cobra.Command, args []string) error {
			if s.png == "" {
				return usagef("write: moldtally preview "+args[0]+" -o FILE.png", "preview needs -o, the picture to write")
			}
			s.noSheet = true
			return a.meshCommand(c, args, s, estimate.ThroughContainer)
		},
	}
	g := groups{}
	g.add("Picture")
	g[0].flags.VarP(fileValue(&s.png), "output", "o", "the picture to write, a PNG file")
	s.patternFlags(&g)
	s.poseFlags(&g)
	s.containerFlags(&g)
	s.stockFlags(&g)
	s.systemFlag(&g)
	s.commonFlags(&g, true)
	a.install(c, g)
	return c
}
