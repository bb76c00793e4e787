package main

import (
	"fmt"
	"slices"
	"strconv"
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

// sift leaves in the catalogue what bears a name that keep takes, and returns
// every name there was.
func (c *catalogue) sift(keep func(name string) bool) []string {
	return slices.Concat(
		sift(&c.Rubbers, keep, func(x rubber.Rubber) string { return x.Name }),
		sift(&c.Castings, keep, func(x material.Casting) string { return x.Name }),
		sift(&c.Patterns, keep, func(x material.Pattern) string { return x.Name }),
		sift(&c.Releases, keep, func(x material.Release) string { return x.Name }),
		sift(&c.Additives, keep, func(x material.Additive) string { return x.Name }),
		sift(&c.Boards, keep, func(x board) string { return x.Name }),
		sift(&c.Tubes, keep, func(x tube) string { return x.Name }))
}

func sift[T any](table *[]T, keep func(name string) bool, name func(T) string) []string {
	all := namesOf(*table, name)
	*table = slices.DeleteFunc(slices.Clone(*table), func(x T) bool { return !keep(name(x)) })
	return all
}

func everyName(string) bool { return true }

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
			return newCatalogue(nil).sift(everyName), cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(_ *cobra.Command, args []string) error {
			if err := s.useShop(); err != nil {
				return err
			}
			c := newCatalogue(s.job.Shop)
			title := "Materials"
			if len(args) == 1 {
				// The same word may name a pattern material and a casting.
				all := c.sift(func(name string) bool { return strings.EqualFold(name, args[0]) })
				if len(c.sift(everyName)) == 0 {
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
	s := digits4(f.Value)
	if low, high := f.Range(); low != high {
		s += " (" + digits4(low) + "-" + digits4(high) + ")"
	}
	return s
}

func value1(f *material.Figure) string {
	if f == nil {
		return "-"
	}
	return digits4(f.Value)
}

// digits4 writes a figure to four digits, never with an exponent.
func digits4(v float64) string {
	r, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 4, 64), 64) // what was just written
	return strconv.FormatFloat(r, 'f', -1, 64)
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
		return fmt.Sprintf("00-%s", digits4(r.ShoreOO.Value))
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
		a.Rows = append(a.Rows, []string{x.Name, string(x.Kind), x.What, digits4(lo) + "-" + digits4(hi), value1(&x.Most), value1(&x.SG)})
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
type details []render.Section

func (c *catalogue) details() []render.Section {
	var d details
	for _, x := range c.Rubbers {
		d.rubber(x)
	}
	for _, x := range c.Castings {
		d.casting(x)
	}
	for _, x := range c.Patterns {
		d.pattern(x)
	}
	for _, x := range c.Releases {
		d.release(x)
	}
	for _, x := range c.Additives {
		d.additive(x)
	}
	for _, x := range c.Boards {
		d.board(x)
	}
	for _, x := range c.Tubes {
		d.tube(x)
	}
	return d
}

func (d *details) begin(key, title, what string) {
	*d = append(*d, render.Section{Key: key, Title: title})
	d.text("What", what, "")
}

// figure is a row for a figure where it is known.
func (d *details) figure(label string, f *material.Figure, unit string) {
	if f != nil {
		d.row(render.Row{Label: label, Value: fig(f), Unit: unit, Note: f.Source})
	}
}

// text is a row for words where there are any.
func (d *details) text(label, value, note string) {
	if value != "" {
		d.row(render.Row{Label: label, Value: value, Note: note})
	}
}

func (d *details) row(r render.Row) {
	s := &(*d)[len(*d)-1]
	s.Rows = append(s.Rows, r)
}

func (d *details) rubber(x rubber.Rubber) {
	d.begin("rubber", "Rubber", x.What)
	d.text("Chemistry", x.Family.Words(), "")
	d.figure("Shore A", x.ShoreA, "")
	d.figure("Shore 00", x.ShoreOO, "")
	d.figure("Specific gravity", &x.SG, "")
	d.text("Mix", strings.TrimSpace(x.MixRatio+" by "+string(x.MixBy)), x.MixSource)
	d.figure("Gravity of part A", x.SGA, "")
	d.figure("Gravity of part B", x.SGB, "")
	d.figure("Pot life", x.PotLife, "min")
	d.figure("Demold", x.Demold, "min")
	d.text("Times are at", fmt.Sprintf("%g °C", x.TempC), "")
	d.figure("Viscosity", x.Viscosity, "Pa·s")
	d.figure("Elongation", x.Elongation, "%")
	d.figure("Tear", x.Tear, "N/mm")
	d.figure("Heat limit", x.HeatLimit, "°C")
	d.figure("Shrinkage", x.Shrinkage, "%")
	d.figure("Life on the shelf", x.LibraryLife, "years")
	if x.Food {
		d.text("Food", "stands for a make that is declared for it", "judgement of this program")
	}
	if x.BrushOnly {
		d.text("Use", "brushed, never poured", "")
	}
}

func (d *details) casting(x material.Casting) {
	d.begin("casting", "As a casting", x.What)
	d.figure("Specific gravity", &x.SG, "")
	d.figure("Hottest", &x.HottestC, "°C")
	d.text("Mix", x.Mix, x.MixSource)
	d.figure("Shrinkage", &x.Shrinkage, "%")
	d.figure("Take out after", &x.Demold, "min")
	d.figure("Presses with", x.Pressure, "kPa")
	d.figure("Wants Shore A", &x.ShoreA, "")
	d.text("Wants", string(x.Wants), "")
	d.figure("Rubber round it", x.LeastWall, "mm or more")
	d.figure("In one casting", x.SlowFrom, "g at most")
	if c := x.Copies; c != nil {
		var most []string
		for _, f := range material.Families {
			if n := x.MostCopies(f); n > 0 {
				most = append(most, fmt.Sprintf("%s %d", f, n))
			}
		}
		d.text("Castings at most", strings.Join(most, ", "), c.Source)
	}
	d.figure("Pulls, platinum", &x.PullsPlatinum, "")
	d.figure("Pulls, tin", &x.PullsTin, "")
	d.figure("Pulls, urethane", &x.PullsPolyurethane, "")
	d.figure("Powder to resin", x.PowderRatio, "by weight")
	d.figure("Powder density", x.PowderDensity, "g/cm³")
	d.text("Note", x.Note, "")
}

func (d *details) pattern(x material.Pattern) {
	d.begin("pattern", "As a pattern", x.What)
	d.figure("Density", &x.Density, "g/cm³")
	d.figure("Softens", x.SoftensC, "°C")
	d.text("Under platinum", x.Cure.Platinum, x.CureSource)
	d.text("Under tin", x.Cure.Tin, "")
	d.text("Under urethane", x.Cure.Polyurethane, "")
	d.text("Remark", x.Remark, "")
	switch {
	case x.Untouchable:
		d.text("Never", "whatever wets it or pulls at it", x.NeverSource)
	case len(x.Never) > 0:
		var names []string
		for _, f := range x.Never {
			names = append(names, f.Words())
		}
		d.text("Never", strings.Join(names, ", "), x.NeverSource)
	}
	d.text("An original", x.Instead, "")
}

func (d *details) release(x material.Release) {
	d.begin("release", "Release or sealer", x.What)
	d.text("Kind", string(x.Kind), x.Source)
	d.text("For", strings.Join(x.For, ", "), "")
	d.text("Never on", strings.Join(x.Never, ", "), "")
}

func (d *details) additive(x material.Additive) {
	d.begin("additive", "Stirred into rubber", x.What)
	d.text("Kind", string(x.Kind), x.Source)
	d.figure("Usual share", &x.Share, "%")
	d.figure("At most", &x.Most, "%")
	d.text("Beyond that", x.Beyond, "")
	d.figure("Specific gravity", &x.SG, "")
	d.figure("Takes of hardness", &x.Hardness, "per share")
	d.text("Mind", x.Mind, "")
}

func (d *details) board(x board) {
	d.begin("board", "Board", x.What)
	d.text("Sold as", x.Sold, "")
	d.figure("Thickness", &x.Thickness, "mm")
	d.figure("Bending modulus", &x.E, "GPa")
	d.figure("Specific gravity", &x.SG, "")
	d.figure("Creep overnight", &x.Creep, "times")
}

func (d *details) tube(x tube) {
	d.begin("tube", "Tube", x.What)
	d.figure("Bore", &x.Bore, "mm")
	d.figure("Outside", &x.Outside, "mm")
	d.figure("Wall", &x.Wall, "mm")
	d.figure("Specific gravity", &x.SG, "")
}
