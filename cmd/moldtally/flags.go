package main

import (
	"strings"

	"github.com/spf13/pflag"

	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/mesh/unit"
)

// settings is what the flags of a command fill.
type settings struct {
	job estimate.Job

	units        string
	resize       *float64
	maxTriangles int
	shop         string

	json, quiet, strict bool
	noSheet             bool // pictures only
	quote               bool // the sheet is a client's quote
	together            bool // all patterns in one container
	count               int  // of the one pattern in one container; 0 = not said
	brief               bool // the report is the first screen, unless full
	full                bool // the whole sheet
	system              unit.System
	png, pdf, html, glb string
	repaired, drawing   string
	csv                 string
	printContainer      string
	printer             *[3]float64
}

// group is a titled part of a command's flags, for help and manual pages.
type group struct {
	title string
	flags *pflag.FlagSet
}

// groups collects the flags of a command in the order of need.
type groups []*group

// add starts a group; the returned function adds a flag to it.
func (g *groups) add(title string) func(v pflag.Value, name, usage string) {
	fs := pflag.NewFlagSet(title, pflag.ContinueOnError)
	fs.SortFlags = false
	*g = append(*g, &group{title, fs})
	return func(v pflag.Value, name, usage string) { fs.Var(v, name, usage) }
}

// last is the group that was started last.
func (g groups) last() *pflag.FlagSet { return g[len(g)-1].flags }

// switches adds flags without a value to the last group.
func (g groups) switches(dst *bool, name, usage string) {
	g.last().BoolVar(dst, name, false, usage)
}

// help adds the flags that every command has to the last group.
func (g groups) help() {
	fs := g.last()
	fs.BoolP("help", "h", false, "print this help")
	fs.Bool("version", false, "print the version")
}

// The groups, each added by the commands that use it.

func (s *settings) patternFlags(g *groups) {
	add := g.add("Pattern")
	add(choiceValue("UNIT", &s.units, "mm", "cm", "m", "in", "ft"), "units", "unit of the file's numbers: mm, cm, m, in or ft (as a 3MF or glTF file states; else mm, assumed)")
	add(numberValue(&s.resize, 0, 1e6, "2 0.5 1.015"), "resize", "make the pattern F times as big")
	add(lengthValue(&s.job.Height, false), "height", "or give its finished height where it stands in the world (along --upright)")
	add(lengthValue(&s.job.Longest, false), "longest", "or its finished longest size")
	add(directionValue(&s.job.Upright), "upright", "the side of the object that is its top when it stands in the world: +x or X,Y,Z (as a 3MF or glTF file states; else +z, assumed)")
	add(choiceValue("WHICH", &s.job.Opening, "closed", "open"), "opening", "a sheet open at the top: closed (with a lid) or open (a vessel that rubber fills)")
	g.switches(&s.job.KeepCrumbs, "keep-crumbs", "count loose debris as pattern")
	add(volumeValue(&s.job.Displaced, false), "displaced", "the pattern's volume as measured by dunking; wins over the mesh's")
	add(countValue(&s.maxTriangles), "max-triangles", "refuse files with more triangles (50 000 000)")
}

// togetherFlags are for the command that plans several patterns in one container.
func (s *settings) togetherFlags(g *groups) {
	g.switches(&s.together, "together", "pour all patterns in one container: one block, one rubber")
	g.last().Var(countValue(&s.count), "count", "or pour so many of the one PATTERN in one container")
}

// upFlag is for commands that need no more of the pose.
func (s *settings) upFlag(g *groups) {
	add := g.add("How it stands")
	add(upValue(&s.job.Up), "up", upUsage)
}

const upUsage = "side that faces up in the container: auto, +x, -x, +y, -y, +z, -z or X,Y,Z (auto)"

func (s *settings) poseFlags(g *groups) {
	add := g.add("How it stands and opens")
	add(upValue(&s.job.Up), "up", upUsage)
	add(choiceValue("KIND", &s.job.Mold, moldKinds...), "mold", "kind of mold: "+oneOf(moldKinds)+" (auto)")
	add(lengthValue(&s.job.Clay, true), "clay", "height of the clay fillet that seals pattern to baseboard (1 % of the pattern's height, 0.5 to 3 mm)")
	add(lengthValue(&s.job.Ignore, true), "ignore", "undercuts shallower than this are surface noise (0.3 mm)")
	add(lengthValue(&s.job.Web, true), "web", "gaps thinner than this leave a web of rubber that tears (2 mm; 0: none)")
	add(lengthValue(&s.job.Fin, true), "fin", "parts of the pattern thinner than this break (1 mm; 0: none)")
	add(quantity("LENGTH", "a length", unit.AcceptLength, unit.ParseLength, false, func(mm float64) { s.job.Resolution = mm }),
		"resolution", "cell of the column field (auto)")
	g.switches(&s.job.Search, "search", "try directions over the whole sphere")
	add(directionValue(&s.job.Show), "show", "the face no parting may cross, by the way it looks: +x or X,Y,Z")
}

func (s *settings) containerFlags(g *groups) {
	add := g.add("Container")
	add(choiceValue("KIND", &s.job.Container, containerKinds...), "container", "what holds the pour: "+oneOf(containerKinds)+" (auto)")
	add(sizesValue("L,W,H", &s.job.Inside), "inside", "your own box, clear inside: does it fit, how thin, how much rubber")
	add(pairValue(&s.job.InsideTube), "inside-tube", "your own tube: bore and height")
	add(lengthValue(&s.job.Coat, false), "coat", "thickness of a blanket's rubber, poured or brushed (5 to 15 mm by the pattern's size)")
	add(lengthValue(&s.job.Wall, true), "wall", "least rubber at the sides")
	add(lengthValue(&s.job.Over, true), "over", "least rubber above the pattern")
	add(lengthValue(&s.job.Under, true), "under", "least rubber below it, where it does not stand on the baseboard")
}

func (s *settings) stockFlags(g *groups) {
	add := g.add("Stock")
	add(nameValue(&s.job.Board, boardNames), "board", "board for the box, by name (see: moldtally materials)")
	add(choiceValue("WHICH", &s.job.Tube, "stock", "exact"), "tube", "tubes from stock sizes, or a sheet wrapped round, exactly as wide as needed (stock)")
	s.shopFlag(g)
}

func (s *settings) rubberFlags(g *groups) {
	r := &s.job.Rubber
	add := g.add("Rubber")
	add(nameValue(&r.Name, func() []string { return append(rubber.Names(nil), "auto") }), "rubber", "a rubber by name (see: moldtally materials); auto picks one (auto)")
	add(numberValue(&r.SG, 0, 25, "1.07 1.18"), "sg", "or its data sheet's specific gravity")
	add(numberValue(&r.In3PerLb, 1, 1000, "25 23.5"), "in3-per-lb", "or its specific volume in cubic inches to the pound")
	add(ratioValue(&r.Mix), "mix", "mix ratio A:B, such as 1:1 or 100:10")
	add(choiceValue("HOW", &r.MixBy, "weight", "volume"), "mix-by", "the ratio is by weight or by volume (weight)")
	add(numberValue(&r.SGA, 0, 25, "1.07 1.18"), "sg-a", "specific gravity of part A, needed to mix by volume")
	add(numberValue(&r.SGB, 0, 25, "1.07 1.18"), "sg-b", "specific gravity of part B")
	add(percentValue(&r.Extra, 200), "extra", "mixing loss in percent, never less than the film in the cups (8)")
	add(massValue(&r.WeighTo, false), "weigh-to", "step of the scale (5 g)")
	add(percentValue(&r.Pigment, 40), "pigment", "pigment stirred in, in percent of the finished mix by weight")
	add(percentValue(&r.Thinner, 40), "thinner", "thinner, likewise; it softens the rubber")
	add(percentValue(&r.Thickener, 40), "thickener", "thickener, likewise, for brushing")
	add(temperatureValue(&s.job.Temp), "temp", "workshop temperature (23 °C)")
	add(massValue(&r.Have, true), "have", "rubber left on the shelf; name it with --rubber, unless the shop file has one alone")
	add(dateValue(&s.job.Date), "date", "today, for shelf dates: 2026-03-09; without it they are printed and not judged")
	add(priceValue(&r.PricePerKg), "price-per-kg", "rubber price where no shop file gives one")
	add(currencyValue(&r.Currency), "currency", "name of the currency")
}

func (s *settings) materialFlags(g *groups) {
	add := g.add("What the pattern is made of")
	add(nameValue(&s.job.PatternMaterial, patternNames), "pattern-material", "for chemistry and float (see: moldtally materials)")
	add(massValue(&s.job.PatternMass, false), "pattern-mass", "what the pattern weighs, for float")
	add(percentValue(&s.job.Infill, 100), "infill", "how full a printed pattern is, in percent, for float")
	g.switches(&s.job.Fixed, "fixed", "the pattern will be screwed, glued or weighted down: float is settled")
	add(nameValue(&s.job.Release, releaseNames), "release", "release or sealer you mean to put on it: does it suit (see: moldtally materials)")
	g.switches(&s.job.Irreplaceable, "pattern-irreplaceable", "guard the original: what each step could do to it")
	add(priceValue(&s.job.PatternValue), "pattern-value", "what the pattern is worth, for weighing what a method risks of it (the shop file's, else the cost of its cheapest mold)")
}

func (s *settings) pictureFlags(g *groups) {
	add := g.add("Other forms of the result (with several patterns, name a folder)")
	add(fileValue(&s.png), "png", "write a picture")
	add(fileValue(&s.glb), "glb", "write a model to turn: pattern coloured by its undercuts, container, fill and parting line")
	s.pageFlags(g)
	s.repairedFlag(g)
}

// drawingFlag joins the last group.
func (s *settings) drawingFlag(g *groups) {
	g.last().Var(fileValue(&s.drawing), "drawing", "write boards, sheets and a section with their measures, and templates at true scale, as SVG or PDF by its name")
}

// printFlags join the last group.
func (s *settings) printFlags(g *groups) {
	g.last().Var(fileValue(&s.printContainer), "print-container", "write the container, or the pieces of a mother mold, as bodies to print, with flanges and bolt holes, as STL or 3MF by its name")
	g.last().Var(sizesValue("L,W,H", &s.printer), "printer", "how large a part the printer makes; the container comes in parts that fit it (any)")
}

// quoteFlags are for the other forms of a quote.
func (s *settings) quoteFlags(g *groups) {
	add := g.add("Other forms of the result")
	add(fileValue(&s.pdf), "pdf", "write the quote to print, one file for all patterns: A4, or letter with --system us")
	add(fileValue(&s.html), "html", "write it as one page for a browser")
	add(fileValue(&s.csv), "csv", "write every line of it for a spreadsheet, with rates, overhead and margin")
	s.job.Letter = &estimate.Addressee{}
	add(linesValue(&s.job.Letter.Client), "client", "whom it is for: name and address, lines parted by semicolons")
	add(textValue("TEXT", &s.job.Letter.Number), "number", "the quote's number; its date is --date")
	g.switches(&s.full, "full", "print as well how the price is reckoned, for the shop; never on the papers")
	add(fileValue(&s.png), "png", "write a picture (with several patterns, name a folder)")
	add(fileValue(&s.glb), "glb", "write a model to turn (likewise)")
	s.repairedFlag(g)
}

// pictureFlag is for the command that makes a picture alone.
func (s *settings) pictureFlag(g *groups) {
	g.add("Picture")
	g.last().VarP(fileValue(&s.png), "output", "o", "the picture to write, a PNG file")
}

// pageFlags join the last group.
func (s *settings) pageFlags(g *groups) {
	fs := g.last()
	fs.Var(fileValue(&s.pdf), "pdf", "write a sheet to print (of plan a bench sheet): A4, or letter with --system us")
	fs.Var(fileValue(&s.html), "html", "write the same as one page for a browser")
}

// mendedFlags are for the command that looks at the file alone.
func (s *settings) mendedFlags(g *groups) {
	g.add("Other forms of the result")
	s.repairedFlag(g)
}

// repairedFlag joins the last group.
func (s *settings) repairedFlag(g *groups) {
	g.last().Var(fileValue(&s.repaired), "repaired", "write the mended solid that the figures are of, as STL, OBJ, PLY, OFF, 3MF or GLB by its name")
}

func (s *settings) castFlags(g *groups) {
	add := g.add("What is cast")
	add(nameValue(&s.job.Cast, castingNames), "cast", "the casting material, by name (see: moldtally materials)")
	add(lengthValue(&s.job.CastWall, false), "cast-wall", "cast hollow, with this wall")
	usage := "how many castings are wanted (1)"
	if s.quote {
		usage = "how many castings are wanted, or several numbers to price beside each other; the last is quoted in full (1)"
	}
	add(copiesValue(&s.job.Copies, &s.job.Breaks, s.quote), "copies", usage)
}

// systemFlag joins the last group, or starts one.
func (s *settings) systemFlag(g *groups) {
	if len(*g) == 0 || (*g)[len(*g)-1].title != "Sheet" {
		g.add("Sheet")
	}
	g.last().Var(choiceValue("WHICH", &s.system, "metric", "us", "both"), "system", "units on the sheet: metric, us or both (both)")
	if s.brief {
		g.switches(&s.full, "full", "the whole sheet instead of the first screen: every undercut with its place, cut list, other ways, order of work, safety")
	}
}

// shopFlag names the shop file.
func (s *settings) shopFlag(g *groups) {
	g.last().Var(fileValue(&s.shop), "shop", "shop file: own stock, prices, habits (in your settings folder)")
}

// commonFlags are on every command that makes a report.
func (s *settings) commonFlags(g *groups) {
	g.add("Common")
	g.switches(&s.json, "json", "print one JSON object instead of the sheet")
	g.switches(&s.quiet, "quiet", "no warnings and no progress on stderr")
	g.switches(&s.strict, "strict", "exit with status 3 while a stop is open")
	g.help()
}

// Names out of the tables, for completion and suggestions.

// namesOf lists the names in a table.
func namesOf[T any](table []T, name func(T) string) []string {
	out := make([]string, 0, len(table))
	for _, x := range table {
		out = append(out, name(x))
	}
	return out
}

func boardNames() []string {
	return namesOf(boxfit.Boards(), func(b boxfit.BoardStock) string { return b.Name })
}

func patternNames() []string {
	return namesOf(material.Patterns(), func(p material.Pattern) string { return p.Name })
}

func releaseNames() []string {
	return namesOf(material.Releases(), func(r material.Release) string { return r.Name })
}

func castingNames() []string {
	return namesOf(material.Castings(), func(c material.Casting) string { return c.Name })
}

// oneOf lists choices in a sentence.
func oneOf(s []string) string {
	return strings.Join(s[:len(s)-1], ", ") + " or " + s[len(s)-1]
}
