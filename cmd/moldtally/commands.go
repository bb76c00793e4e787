package main

import (
	"github.com/spf13/cobra"

	"moldtally/estimate"
)

// Kinds that the flags take, in the order of help.
var (
	moldKinds      = []string{"auto", "block", "two-part", "cut", "blanket", "brushed"}
	containerKinds = []string{"auto", "box", "polygon", "sleeve"}
)

// patternCommand makes c a command that takes patterns, one or as many as most
// says, as far as a stage of the plan. Flags stand in the order of help.
func (a *app) patternCommand(c *cobra.Command, s *settings, most int, stage estimate.Stage, flags ...func(*groups)) *cobra.Command {
	c.Args = args(1, most, "a PATTERN, the name of a mesh file")
	c.ValidArgsFunction = completePatterns
	c.RunE = func(c *cobra.Command, args []string) error { return a.meshCommand(c, args, s, stage) }
	g := groups{}
	for _, add := range append(flags, s.systemFlag, s.commonFlags) {
		add(&g)
	}
	a.install(c, g)
	return c
}

// planCommand fills s, whose report is the first screen.
func (a *app) planCommand(s *settings) *cobra.Command {
	s.brief = true
	return a.patternCommand(&cobra.Command{
		Use:   "plan PATTERN…",
		Short: "Plan the mold: does it come out, container, rubber, A and B",
		Long: `plan reads a pattern's mesh and works out the whole mold: whether the pattern
comes out, the container round it, how much rubber, A and B on the scale, and
how soft or firm. What the bench needs fits one screen, the answer first; --full
prints the whole sheet. A pattern named - is read from stdin. With several
patterns each gets a screen, and a table adds them up.`,
		Example: `moldtally plan finial.stl
moldtally plan finial.stl --full
moldtally plan finial.stl --height 180mm --mold block --container sleeve
moldtally plan heron.ply --up +z --clay 2mm --sg 1.07 --mix 10:1
moldtally plan relief.stl --inside 200,150,60 --price-per-kg 24.90 --currency EUR
moldtally plan finial.stl --count 6 --cast resin --copies 120
moldtally plan *.stl --png pictures/ --json > plans.json`,
	}, s, -1, estimate.All, s.jobFlags()...)
}

// jobFlags are the groups of flags of a command that does the whole job.
func (s *settings) jobFlags() []func(*groups) {
	return []func(*groups){s.patternFlags, s.togetherFlags, s.poseFlags, s.containerFlags, s.stockFlags, s.rubberFlags, s.materialFlags, s.castFlags, s.pictureFlags, s.drawingFlag, s.printFlags}
}

func (a *app) checkCommand() *cobra.Command {
	s := &settings{}
	return a.patternCommand(&cobra.Command{
		Use:   "check PATTERN",
		Short: "Is the file sound, how big is it, what does it displace",
		Long: `check looks at the file alone: is its surface closed, how big is it in which
unit, how much does it displace and how sure is that, what was mended.`,
		Example: `moldtally check scan.ply
moldtally check part.stl --units in
moldtally check bust.stl --longest 300mm --json
moldtally check scan.ply --repaired mended.stl`,
	}, s, 1, estimate.ThroughPattern, s.patternFlags, s.upFlag, s.mendedFlags)
}

func (a *app) demoldCommand() *cobra.Command {
	s := &settings{}
	return a.patternCommand(&cobra.Command{
		Use:   "demold PATTERN",
		Short: "Does it come out: undercuts, stretch, tunnels",
		Long: `demold looks at how the pattern leaves the rubber: how deep the rubber reaches
under it, how far the opening must stretch, what the rubber would link through.`,
		Example: `moldtally demold heron.ply
moldtally demold heron.ply --up +y --ignore 0.5mm
moldtally demold finial.stl --up -z --clay 0 --json
moldtally demold scan.ply --search --png scan.png --glb scan.glb`,
	}, s, 1, estimate.ThroughDemold, s.patternFlags, s.poseFlags, s.pictureFlags)
}

func (a *app) containersCommand() *cobra.Command {
	s := &settings{}
	return a.patternCommand(&cobra.Command{
		Use:   "containers PATTERN",
		Short: "Containers side by side, with a cut list",
		Long: `containers sets every way to mold the pattern side by side (a block, whole or slit,
cut open, in two halves, under a coat that is poured or brushed), with what each
takes in rubber, hours and days and what it fails by; then what could hold the
pour of the first, and the boards to cut for it. --mold puts a way first, whatever
it fails by.`,
		Example: `moldtally containers finial.stl
moldtally containers finial.stl --mold two-part --drawing finial.pdf
moldtally containers finial.stl --wall 15mm --over 20mm
moldtally containers relief.stl --inside 8in,6in,2in`,
	}, s, 1, estimate.ThroughContainer, s.patternFlags, s.poseFlags, s.containerFlags, s.stockFlags, s.pictureFlags, s.drawingFlag, s.printFlags)
}

func (a *app) quoteCommand() *cobra.Command {
	s := &settings{quote: true}
	return a.patternCommand(&cobra.Command{
		Use:   "quote PATTERN…",
		Short: "A client's quote for one or many patterns",
		Long: `quote writes the letter that a client is sent: what is made of each pattern and
from what, the price of the mold and of each casting, tax and deposit as the shop
file states them, what is not in it, when it is done and how long the offer holds.
Rates, overhead and margin stay inside. Several patterns are one order: kits are
bought for all of them, the least that you charge is asked once. With several
numbers of --copies their prices stand side by side, and where something else would
pay. Prices come from the shop file (moldtally shop init) or from --price-per-kg.
What has no price is named. A draft says so, and why: a unit is assumed, something
stands in the way, the rubber is not in stock, a price is missing or an example.`,
		Example: `moldtally quote finial.stl --units mm --cast resin --copies 20
moldtally quote finial.stl --units mm --cast resin --copies 1,10,50 --pdf quote.pdf
moldtally quote client/*.stl --units mm --shop shop.toml --csv order.csv
moldtally quote finial.stl --height 180mm --price-per-kg 24.90`,
	}, s, -1, estimate.All, s.patternFlags, s.togetherFlags, s.poseFlags, s.containerFlags, s.stockFlags, s.rubberFlags, s.materialFlags, s.castFlags, s.quoteFlags)
}

func (a *app) previewCommand() *cobra.Command {
	s := &settings{noSheet: true}
	return a.patternCommand(&cobra.Command{
		Use:   "preview PATTERN -o FILE.png",
		Short: "Draw the pattern in its container",
		Long: `preview writes a picture: the pattern shaded by how far the rubber must bend to
let go, its container as glass with inside measures and fill line, an arrow
where the mold lifts, from above, two sides and three-quarter.`,
		Example: `moldtally preview finial.stl -o finial.png
moldtally preview heron.ply --up +z --container box -o heron.png`,
		PreRunE: func(_ *cobra.Command, args []string) error {
			if s.png == "" {
				return usagef("write: moldtally preview "+args[0]+" -o FILE.png", "preview needs -o, the picture to write")
			}
			return nil
		},
	}, s, 1, estimate.ThroughContainer, s.pictureFlag, s.patternFlags, s.poseFlags, s.containerFlags, s.stockFlags)
}
