package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/render"
	"moldtally/render/figure"
	"moldtally/render/words"
)

// board and tube are a board and a tube of stock as they stand in JSON, every
// figure with its source.
type board struct {
	Name      string          `json:"name"`
	What      string          `json:"what"`
	Sold      string          `json:"sold_as"`
	Thickness material.Figure `json:"thickness_mm"`
	E         material.Figure `json:"bending_modulus_GPa"`
	SG        material.Figure `json:"sg"`
	Creep     material.Figure `json:"creep_factor"`
}

type tube struct {
	Name    string          `json:"name"`
	What    string          `json:"what"`
	Outside material.Figure `json:"outside_mm"`
	Bore    material.Figure `json:"bore_mm"`
	Wall    material.Figure `json:"wall_mm"`
	SG      material.Figure `json:"sg"`
}

// catalogue is what moldtally knows of materials, with the user's own.
type catalogue struct {
	Schema   int                `json:"schema"`
	Tool     string             `json:"tool"`
	Version  string             `json:"version"`
	Rubbers  []rubber.Rubber    `json:"rubbers"`
	Castings []material.Casting `json:"castings"`
	Patterns []material.Pattern `json:"pattern_materials"`
	Releases []material.Release `json:"releases"`

	Additives []material.Additive `json:"additives"`

	Boards []board `json:"boards"`
	Tubes  []tube  `json:"tubes"`
}

func newCatalogue(shop *estimate.Shop) *catalogue {
	c := &catalogue{Schema: estimate.Schema, Tool: "moldtally", Version: version,
		Rubbers: []rubber.Rubber{}, Castings: material.Castings(), Patterns: material.Patterns(), Releases: material.Releases(), Additives: material.Additives()}
	if shop != nil {
		c.Rubbers = append(c.Rubbers, shop.Rubbers...)
	}
	c.Rubbers = append(c.Rubbers, rubber.Catalogue()...)
	for _, b := range boxfit.Boards() {
		low, high := b.ELow, b.EHigh
		c.Boards = append(c.Boards, board{b.Name, b.Material, b.Nominal,
			material.Figure{Value: b.Thickness, Source: b.ThicknessSource},
			material.Figure{Value: b.ELow, Low: &low, High: &high, Source: b.ESource},
			material.Figure{Value: b.SG, Source: b.SGSource}, material.Figure{Value: b.Creep, Source: b.CreepSource}})
	}
	for _, t := range boxfit.Tubes() {
		c.Tubes = append(c.Tubes, tube{t.Name, t.Family,
			material.Figure{Value: t.OD, Source: t.Source}, material.Figure{Value: t.Bore, Source: t.Source},
			material.Figure{Value: t.Wall, Source: t.Source}, material.Figure{Value: t.SG, Source: t.SGSource}})
	}
	return c
}

func (c *catalogue) names() []string {
	var out []string
	for _, x := range c.Rubbers {
		out = append(out, x.Name)
	}
	for _, x := range c.Castings {
		out = append(out, x.Name)
	}
	for _, x := range c.Patterns {
		out = append(out, x.Name)
	}
	for _, x := range c.Releases {
		out = append(out, x.Name)
	}
	for _, x := range c.Additives {
		out = append(out, x.Name)
	}
	for _, x := range c.Boards {
		out = append(out, x.Name)
	}
	for _, x := range c.Tubes {
		out = append(out, x.Name)
	}
	return out
}

// only keeps what bears the name; the same word may name a pattern material
// and a casting.
func (c *catalogue) only(name string) bool {
	c.Rubbers = filter(c.Rubbers, func(x rubber.Rubber) bool { return strings.EqualFold(x.Name, name) })
	c.Castings = filter(c.Castings, func(x material.Casting) bool { return strings.EqualFold(x.Name, name) })
	c.Patterns = filter(c.Patterns, func(x material.Pattern) bool { return strings.EqualFold(x.Name, name) })
	c.Releases = filter(c.Releases, func(x material.Release) bool { return strings.EqualFold(x.Name, name) })
	c.Additives = filter(c.Additives, func(x material.Additive) bool { return strings.EqualFold(x.Name, name) })
	c.Boards = filter(c.Boards, func(x board) bool { return strings.EqualFold(x.Name, name) })
	c.Tubes = filter(c.Tubes, func(x tube) bool { return strings.EqualFold(x.Name, name) })
	return len(c.names()) > 0
}

func filter[T any](list []T, keep func(T) bool) []T {
	out := []T{}
	for _, x := range list {
		if keep(x) {
			out = append(out, x)
		}
	}
	return out
}

func (a *app) materialsCommand() *cobra.Command {
	s := &settings{}
	c := &cobra.Command{
		Use:   "materials [NAME]",
		Short: "Rubbers, casting and pattern materials, boards and tubes",
		Long: `materials lists what moldtally knows: rubbers, what is cast, what patterns are
made of, releases and sealers, additives, boards and tubes. With a NAME it gives
every figure with its source. All are generic; the data sheet of what you have in
hand wins.`,
		Example: `moldtally materials
moldtally materials platinum-20
moldtally materials --json > materials.json`,
		Args: args(0, 1, "a NAME"),
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return newCatalogue(nil).names(), cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(_ *cobra.Command, args []string) error {
			if err := s.useShop(); err != nil {
				return err
			}
			c := newCatalogue(s.job.Shop)
			title := "Materials"
			if len(args) == 1 {
				all := c.names()
				if !c.only(args[0]) {
					hint := "moldtally materials lists them"
					if near := words.Nearest(args[0], all); near != "" {
						hint = "did you mean " + near + "? " + hint
					}
					return usagef(hint, "no material is called %q", args[0])
				}
				title = args[0]
			}
			if s.json {
				return a.printJSON(c)
			}
			sheet := &render.Sheet{Title: title, Maker: "moldtally " + version}
			if len(args) == 1 {
				sheet.Sections = c.details()
			} else {
				sheet.Sections = c.tables()
			}
			return a.printSheet(sheet)
		},
	}
	g := groups{}
	g.add("Shop")(fileValue(&s.shop), "shop", "a shop file with your own rubbers (in your settings folder)")
	g.add("Common")
	g.switches(&s.json, "json", "print one JSON object instead of the tables")
	g.help()
	a.install(c, g)
	return c
}

// fig writes a figure with its range: 20, or 20 (18-22).
func fig(f *material.Figure) string {
	if f == nil {
		return "-"
	}
	s := fmt.Sprintf("%.4g", f.Value)
	if low, high := f.Range(); low != high {
		s += fmt.Sprintf(" (%.4g-%.4g)", low, high)
	}
	return s
}

func value1(f *material.Figure) string {
	if f == nil {
		return "-"
	}
	return fmt.Sprintf("%.4g", f.Value)
}

func minutes(f *material.Figure) string {
	if f == nil {
		return "-"
	}
	return figure.Duration(f.Value)
}

func dash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}

func shore(r rubber.Rubber) string {
	if r.ShoreA == nil && r.ShoreOO != nil {
		return fmt.Sprintf("00-%.4g", r.ShoreOO.Value)
	}
	return value1(r.ShoreA)
}

// tables is the overview.
func (c *catalogue) tables() []render.Section {
	col := func(titles ...string) []render.Column {
		var out []render.Column
		for _, t := range titles {
			out = append(out, render.Column{Title: strings.TrimLeft(t, ">~"), Right: strings.HasPrefix(t, ">"), Wrap: strings.HasPrefix(t, "~")})
		}
		return out
	}
	r := render.Table{Columns: col("name", "~chemistry", ">Shore A", ">SG", ">mix", ">pot life", ">demold")}
	for _, x := range c.Rubbers {
		name := x.Name
		if x.Own {
			name += " *"
			r.Note = "* your own, from the shop file"
		}
		mix := x.MixRatio
		if x.MixBy == rubber.ByVolume {
			mix += " vol"
		}
		r.Rows = append(r.Rows, []string{name, x.Family.Words(), shore(x), value1(&x.SG), dash(mix), minutes(x.PotLife), minutes(x.Demold)})
	}
	k := render.Table{Columns: col("name", "~what", ">SG", ">mix", "wants")}
	for _, x := range c.Castings {
		k.Rows = append(k.Rows, []string{x.Name, x.What, value1(&x.SG), dash(x.Mix), dash(string(x.Wants))})
	}
	p := render.Table{Columns: col("name", "~what", ">g/cm³", "platinum", "tin", "urethane"), Note: "how each chemistry cures against it; a patch test is advised in every case"}
	for _, x := range c.Patterns {
		p.Rows = append(p.Rows, []string{x.Name, x.What, value1(&x.Density), dash(x.Cure.Platinum), dash(x.Cure.Tin), dash(x.Cure.Polyurethane)})
	}
	l := render.Table{Columns: col("name", "kind", "~what")}
	for _, x := range c.Releases {
		l.Rows = append(l.Rows, []string{x.Name, string(x.Kind), x.What})
	}
	a := render.Table{Columns: col("name", "kind", "~what", ">usual %", ">most %", ">SG"), Note: "per cent of the finished mix by weight"}
	for _, x := range c.Additives {
		lo, hi := x.Share.Range()
		a.Rows = append(a.Rows, []string{x.Name, string(x.Kind), x.What, fmt.Sprintf("%.3g-%.3g", lo, hi), value1(&x.Most), value1(&x.SG)})
	}
	b := render.Table{Columns: col("name", "~what", "sold as", ">thickness", ">SG"), Note: "measure your board with a caliper"}
	for _, x := range c.Boards {
		b.Rows = append(b.Rows, []string{x.Name, x.What, x.Sold, figure.Fixed(x.Thickness.Value, 2) + " mm", value1(&x.SG)})
	}
	t := render.Table{Columns: col("name", "~what", ">bore", ">outside"), Note: "average bore; measure your tube with a caliper"}
	for _, x := range c.Tubes {
		t.Rows = append(t.Rows, []string{x.Name, x.What, figure.Fixed(x.Bore.Value, 1) + " mm", figure.Fixed(x.Outside.Value, 1) + " mm"})
	}
	return []render.Section{
		{Key: "rubbers", Title: "Rubbers", Tables: []render.Table{r}},
		{Key: "castings", Title: "What is cast", Tables: []render.Table{k}},
		{Key: "patterns", Title: "What patterns are made of", Tables: []render.Table{p}},
		{Key: "releases", Title: "Releases and sealers", Tables: []render.Table{l}},
		{Key: "additives", Title: "Stirred into rubber", Tables: []render.Table{a}},
		{Key: "boards", Title: "Boards", Tables: []render.Table{b}},
		{Key: "tubes", Title: "Tubes", Tables: []render.Table{t}},
	}
}

// details is everything about what is left, with sources.
func (c *catalogue) details() []render.Section {
	var out []render.Section
	var s *render.Section
	begin := func(key, title, what string) {
		out = append(out, render.Section{Key: key, Title: title})
		s = &out[len(out)-1]
		if what != "" {
			s.Rows = append(s.Rows, render.Row{Label: "What", Value: what})
		}
	}
	row := func(label string, f *material.Figure, unit string) {
		if f != nil {
			s.Rows = append(s.Rows, render.Row{Label: label, Value: fig(f), Unit: unit, Note: f.Source})
		}
	}
	text := func(label, value, note string) {
		if value != "" {
			s.Rows = append(s.Rows, render.Row{Label: label, Value: value, Note: note})
		}
	}
	for _, x := range c.Rubbers {
		begin("rubber", "Rubber", x.What)
		text("Chemistry", x.Family.Words(), "")
		row("Shore A", x.ShoreA, "")
		row("Shore 00", x.ShoreOO, "")
		row("Specific gravity", &x.SG, "")
		text("Mix", strings.TrimSpace(x.MixRatio+" by "+string(x.MixBy)), x.MixSource)
		row("Gravity of part A", x.SGA, "")
		row("Gravity of part B", x.SGB, "")
		row("Pot life", x.PotLife, "min")
		row("Demold", x.Demold, "min")
		text("Times are at", fmt.Sprintf("%g °C", x.TempC), "")
		row("Viscosity", x.Viscosity, "Pa·s")
		row("Elongation", x.Elongation, "%")
		row("Tear", x.Tear, "N/mm")
		row("Heat limit", x.HeatLimit, "°C")
		row("Shrinkage", x.Shrinkage, "%")
		row("Life on the shelf", x.LibraryLife, "years")
		if x.BrushOnly {
			text("Use", "brushed, never poured", "")
		}
	}
	for _, x := range c.Castings {
		begin("casting", "As a casting", x.What)
		row("Specific gravity", &x.SG, "")
		row("Hottest", &x.HottestC, "°C")
		text("Mix", x.Mix, x.MixSource)
		row("Shrinkage", &x.Shrinkage, "%")
		row("Take out after", &x.Demold, "min")
		row("Presses with", x.Pressure, "kPa")
		row("Wants Shore A", &x.ShoreA, "")
		text("Wants", string(x.Wants), "")
		row("Pulls, platinum", &x.PullsPlatinum, "")
		row("Pulls, tin", &x.PullsTin, "")
		row("Pulls, urethane", &x.PullsPolyurethane, "")
		row("Powder to resin", x.PowderRatio, "by weight")
		row("Powder density", x.PowderDensity, "g/cm³")
		text("Note", x.Note, "")
	}
	for _, x := range c.Patterns {
		begin("pattern", "As a pattern", x.What)
		row("Density", &x.Density, "g/cm³")
		row("Softens", x.SoftensC, "°C")
		text("Under platinum", x.Cure.Platinum, x.CureSource)
		text("Under tin", x.Cure.Tin, "")
		text("Under urethane", x.Cure.Polyurethane, "")
		text("Remark", x.Remark, "")
	}
	for _, x := range c.Releases {
		begin("release", "Release or sealer", x.What)
		text("Kind", string(x.Kind), x.Source)
		text("For", strings.Join(x.For, ", "), "")
		text("Never on", strings.Join(x.Never, ", "), "")
	}
	for _, x := range c.Additives {
		begin("additive", "Stirred into rubber", x.What)
		text("Kind", string(x.Kind), x.Source)
		row("Usual share", &x.Share, "%")
		row("At most", &x.Most, "%")
		text("Beyond that", x.Beyond, "")
		row("Specific gravity", &x.SG, "")
		row("Takes of hardness", &x.Hardness, "per share")
		text("Mind", x.Mind, "")
	}
	for _, x := range c.Boards {
		begin("board", "Board", x.What)
		text("Sold as", x.Sold, "")
		row("Thickness", &x.Thickness, "mm")
		row("Bending modulus", &x.E, "GPa")
		row("Specific gravity", &x.SG, "")
		row("Creep overnight", &x.Creep, "times")
	}
	for _, x := range c.Tubes {
		begin("tube", "Tube", x.What)
		row("Bore", &x.Bore, "mm")
		row("Outside", &x.Outside, "mm")
		row("Wall", &x.Wall, "mm")
		row("Specific gravity", &x.SG, "")
	}
	return out
}
