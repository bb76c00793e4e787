package main

import (
	"github.com/spf13/cobra"

	"moldtally/estimate"
)

func (a *app) quoteCommand() *cobra.Command {
	s := &settings{quote: true}
	c := &cobra.Command{
		Use:   "quote PATTERN…",
		Short: "A client's quote for one or many patterns",
		Long: `quote writes what a client is sent: what is offered for each pattern, the price
of the mold and of each casting, tax and deposit as the shop file states them,
how long it takes, and what it rests on. Rates, overhead and margin stay inside.
Prices come from the shop file (moldtally shop init) or from --price-per-kg. It
is a draft, and says so, while a unit is assumed or something stands in the way.`,
		Example: `moldtally quote finial.stl --units mm --cast resin --copies 20
moldtally quote client/*.stl --units mm --shop shop.toml
moldtally quote finial.stl --height 180mm --price-per-kg 24.90 --pdf quote.pdf`,
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
