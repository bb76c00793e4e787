package main

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"moldtally/boxfit"
	"moldtally/estimate"
	"moldtally/estimate/material"
	"moldtally/estimate/money"
	"moldtally/estimate/rubber"
	"moldtally/mesh"
	"moldtally/mesh/unit"
	"moldtally/render/words"
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
	system              string
	png, pdf, html, glb string
	repaired            string
}

// value is a pflag.Value over a parser: the text as typed, and a setter that
// reads it. Errors are usage errors with what would be accepted as the hint.
type value struct {
	typ     string // what stands for it in help: LENGTH, FILE …
	text    string // as typed
	set     func(s string) error
	choices []string        // the only words taken; offered by completion
	offer   func() []string // words that completion offers, where others are taken too
}

func (v *value) String() string { return v.text }
func (v *value) Type() string   { return v.typ }

func (v *value) Set(s string) error {
	if err := v.set(s); err != nil {
		return err
	}
	v.text = s
	return nil
}

// badValue is a flag's value that cannot be read.
type badValue struct{ what, reason, accept string }

func (e *badValue) Error() string { return e.what + ": " + e.reason }

func parseFailure(err error) error {
	var pe *unit.ParseError
	if errors.As(err, &pe) {
		return &badValue{"is not " + pe.What, pe.Reason, pe.Accept}
	}
	return err
}

// positive refuses zero.
func positive(v float64, what, accept string) error {
	if v <= 0 {
		return &badValue{"is not " + what, "it must be more than zero", accept}
	}
	return nil
}

func lengthValue(dst **float64, zero bool) *value {
	return &value{typ: "LENGTH", set: func(s string) error {
		l, err := unit.ParseLength(s)
		if err != nil {
			return parseFailure(err)
		}
		if !zero {
			if err := positive(float64(l), "a length", unit.AcceptLength); err != nil {
				return err
			}
		}
		f := float64(l)
		*dst = &f
		return nil
	}}
}

func sizesValue(typ string, dst **[3]float64) *value {
	return &value{typ: typ, set: func(s string) error {
		t, err := unit.ParseTriple(s)
		if err != nil {
			return parseFailure(err)
		}
		var out [3]float64
		for i, l := range t {
			if err := positive(float64(l), "three lengths", unit.AcceptTriple); err != nil {
				return err
			}
			out[i] = float64(l)
		}
		*dst = &out
		return nil
	}}
}

func pairValue(dst **[2]float64) *value {
	return &value{typ: "D,H", set: func(s string) error {
		t, err := unit.ParsePair(s)
		if err != nil {
			return parseFailure(err)
		}
		var out [2]float64
		for i, l := range t {
			if err := positive(float64(l), "two lengths", unit.AcceptPair); err != nil {
				return err
			}
			out[i] = float64(l)
		}
		*dst = &out
		return nil
	}}
}

func massValue(dst **float64, zero bool) *value {
	return &value{typ: "MASS", set: func(s string) error {
		m, err := unit.ParseMass(s)
		if err != nil {
			return parseFailure(err)
		}
		if !zero {
			if err := positive(float64(m), "a mass", unit.AcceptMass); err != nil {
				return err
			}
		}
		f := float64(m)
		*dst = &f
		return nil
	}}
}

func volumeValue(dst **float64, zero bool) *value {
	return &value{typ: "VOLUME", set: func(s string) error {
		v, err := unit.ParseVolume(s)
		if err != nil {
			return parseFailure(err)
		}
		if !zero {
			if err := positive(float64(v), "a volume", unit.AcceptVolume); err != nil {
				return err
			}
		}
		f := float64(v)
		*dst = &f
		return nil
	}}
}

// Workshop temperatures that can be meant. Outside them one of the two scales
// was mistaken for the other; own choice, no source.
const coldest, hottest = -20, 80

func temperatureValue(dst **float64) *value {
	return &value{typ: "TEMP", set: func(s string) error {
		t, err := unit.ParseTemperature(s)
		if err != nil {
			return parseFailure(err)
		}
		if t < coldest || t > hottest {
			return &badValue{"is not a temperature to work rubber at", fmt.Sprintf("it is %.0f °C; %d to %d °C are taken", float64(t), coldest, hottest), unit.AcceptTemperature}
		}
		f := float64(t)
		*dst = &f
		return nil
	}}
}

func percentValue(dst **float64, most float64) *value {
	return &value{typ: "PCT", set: func(s string) error {
		p, err := unit.ParsePercent(s)
		if err != nil {
			return parseFailure(err)
		}
		if p > most {
			return &badValue{"is not a percentage to be meant", fmt.Sprintf("it is above %g %%", most), unit.AcceptPercent}
		}
		*dst = &p
		return nil
	}}
}

// numberValue is a number within limits; lo itself is excluded, hi is not.
func numberValue(typ string, dst **float64, lo, hi float64, accept string) *value {
	return &value{typ: typ, set: func(s string) error {
		n, err := unit.ParseNumber(s)
		if err != nil {
			return parseFailure(err)
		}
		if n <= lo || n > hi {
			reason := fmt.Sprintf("it must be more than %g", lo)
			if !math.IsInf(hi, 1) {
				reason += fmt.Sprintf(" and at most %g", hi)
			}
			return &badValue{"is out of range", reason, accept}
		}
		*dst = &n
		return nil
	}}
}

// priceValue is an amount of money, zero or more, without a currency.
func priceValue(dst **money.Amount) *value {
	const accept = "24.90 (the currency is named by --currency)"
	return &value{typ: "PRICE", set: func(s string) error {
		n, err := unit.ParseNumber(s)
		if err != nil {
			return &badValue{"is not a price", parseFailure(err).(*badValue).reason, accept}
		}
		a, err := money.FromFloat(n)
		if err != nil || a < 0 {
			return &badValue{"is not a price", "it must be zero or more, and not too large", accept}
		}
		*dst = &a
		return nil
	}}
}

func ratioValue(dst **[2]float64) *value {
	return &value{typ: "A:B", set: func(s string) error {
		r, err := unit.ParseRatio(s)
		if err != nil {
			return parseFailure(err)
		}
		*dst = &r
		return nil
	}}
}

func upValue(dst *estimate.Up) *value {
	return &value{typ: "SIDE", set: func(s string) error {
		if strings.EqualFold(strings.TrimSpace(s), "auto") {
			*dst = estimate.Up{Auto: true}
			return nil
		}
		d, err := unit.ParseDirection(s)
		if err != nil {
			b := parseFailure(err).(*badValue)
			b.accept = "auto " + b.accept
			return b
		}
		*dst = estimate.Up{Dir: mesh.Vec{X: d[0], Y: d[1], Z: d[2]}}
		return nil
	}}
}

func directionValue(dst **mesh.Vec) *value {
	return &value{typ: "X,Y,Z", set: func(s string) error {
		d, err := unit.ParseDirection(s)
		if err != nil {
			return parseFailure(err)
		}
		*dst = &mesh.Vec{X: d[0], Y: d[1], Z: d[2]}
		return nil
	}}
}

// choiceValue is one word of a list; auto leaves the choice open.
func choiceValue[T ~string](typ string, dst *T, choices ...string) *value {
	return &value{typ: typ, choices: choices, set: func(s string) error {
		w := strings.ToLower(strings.TrimSpace(s))
		if !slices.Contains(choices, w) {
			e := &badValue{"is not one of the choices", "", strings.Join(choices, " ")}
			if near := words.Nearest(w, choices); near != "" {
				e.reason = "did you mean " + near + "?"
			}
			return e
		}
		if w == "auto" {
			w = ""
		}
		*dst = T(w)
		return nil
	}}
}

func countValue(dst *int) *value {
	return &value{typ: "N", set: func(s string) error {
		n, err := strconv.Atoi(strings.NewReplacer("_", "", " ", "").Replace(s))
		if err != nil || n < 1 {
			return &badValue{"is not a count", "it must be a whole number from 1", "1 25 1000000"}
		}
		*dst = n
		return nil
	}}
}

func textValue(typ string, dst *string) *value {
	return &value{typ: typ, set: func(s string) error {
		if strings.TrimSpace(s) == "" {
			return &badValue{"is empty", "a name is wanted", strings.ToLower(typ)}
		}
		*dst = s
		return nil
	}}
}

// nameValue is a name out of a table, which completion offers.
func nameValue(dst *string, offer func() []string) *value {
	v := textValue("NAME", dst)
	v.offer = offer
	return v
}

func fileValue(dst *string) *value {
	return &value{typ: "FILE", set: func(s string) error {
		switch s {
		case "":
			return &badValue{"is empty", "a file name is wanted", "a file name"}
		case "-":
			return &badValue{"is no file name", "only the report goes to stdout", "a file name"}
		}
		*dst = s
		return nil
	}}
}

// currencyValue is a short name or sign of money.
func currencyValue(dst *string) *value {
	return &value{typ: "NAME", set: func(s string) error {
		t := strings.TrimSpace(s)
		if n := len([]rune(t)); n < 1 || n > 8 || strings.ContainsAny(t, "\n\r\t\x1b") {
			return &badValue{"is not a currency", "one to eight letters are wanted", "EUR USD kr"}
		}
		*dst = t
		return nil
	}}
}

// group is a titled part of a command's flags, for help and manual pages.
type group struct {
	title string
	flags *pflag.FlagSet
}

// help adds the flags that cobra itself acts on to the last group.
func (g groups) help() {
	fs := g[len(g)-1].flags
	fs.BoolP("help", "h", false, "print this help")
	fs.Bool("version", false, "print the version")
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

// switches adds flags without a value to the last group.
func (g groups) switches(dst *bool, name, usage string) {
	g[len(g)-1].flags.BoolVar(dst, name, false, usage)
}

// The groups, each added by the commands that use it.

func (s *settings) patternFlags(g *groups) {
	add := g.add("Pattern")
	add(choiceValue("UNIT", &s.units, "mm", "cm", "m", "in", "ft"), "units", "unit of the file's numbers: mm, cm, m, in or ft (as a 3MF or glTF file states; else mm, assumed)")
	add(numberValue("F", &s.resize, 0, 1e6, "2 0.5 1.015"), "resize", "make the pattern F times as big")
	add(lengthValue(&s.job.Height, false), "height", "or give its finished height, along up")
	add(lengthValue(&s.job.Longest, false), "longest", "or its finished longest size")
	add(choiceValue("WHICH", &s.job.Opening, "closed", "open"), "opening", "a sheet open at the top: closed (with a lid) or open (a vessel that rubber fills)")
	g.switches(&s.job.KeepCrumbs, "keep-crumbs", "count loose debris as pattern")
	add(volumeValue(&s.job.Displaced, false), "displaced", "the pattern's volume as measured by dunking; wins over the mesh's")
	add(countValue(&s.maxTriangles), "max-triangles", "refuse files with more triangles (50 000 000)")
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
	var resolution *float64
	v := lengthValue(&resolution, false)
	set := v.set
	v.set = func(t string) error {
		if err := set(t); err != nil {
			return err
		}
		s.job.Resolution = *resolution
		return nil
	}
	add(v, "resolution", "cell of the column field (auto)")
	g.switches(&s.job.Search, "search", "try directions over the whole sphere")
	add(directionValue(&s.job.Show), "show", "the face no parting may cross, by the way it looks: +x or X,Y,Z")
}

func (s *settings) containerFlags(g *groups) {
	add := g.add("Container")
	add(choiceValue("KIND", &s.job.Container, containerKinds...), "container", "what holds the pour: "+oneOf(containerKinds)+" (auto)")
	add(sizesValue("L,W,H", &s.job.Inside), "inside", "your own box, clear inside: does it fit, how thin, how much rubber")
	add(pairValue(&s.job.InsideTube), "inside-tube", "your own tube: bore and height")
	add(lengthValue(&s.job.Wall, true), "wall", "least rubber at the sides")
	add(lengthValue(&s.job.Over, true), "over", "least rubber above the pattern")
	add(lengthValue(&s.job.Under, true), "under", "least rubber below it, where it does not stand on the baseboard")
}

func (s *settings) stockFlags(g *groups) {
	add := g.add("Stock")
	add(nameValue(&s.job.Board, boardNames), "board", "board for the box, by name (see: moldtally materials)")
	add(choiceValue("WHICH", &s.job.Tube, "stock", "exact"), "tube", "tubes from stock sizes, or made to measure (stock)")
	s.shopFlag(g)
}

func (s *settings) rubberFlags(g *groups) {
	r := &s.job.Rubber
	add := g.add("Rubber")
	add(nameValue(&r.Name, func() []string { return append(rubber.Names(nil), "auto") }), "rubber", "a rubber by name (see: moldtally materials); auto picks one (auto)")
	add(numberValue("F", &r.SG, 0, 25, "1.07 1.18"), "sg", "or its data sheet's specific gravity")
	add(numberValue("F", &r.In3PerLb, 1, 1000, "25 23.5"), "in3-per-lb", "or its specific volume in cubic inches to the pound")
	add(ratioValue(&r.Mix), "mix", "mix ratio A:B, such as 1:1 or 100:10")
	add(choiceValue("HOW", &r.MixBy, "weight", "volume"), "mix-by", "the ratio is by weight or by volume (weight)")
	add(numberValue("F", &r.SGA, 0, 25, "1.07 1.18"), "sg-a", "specific gravity of part A, needed to mix by volume")
	add(numberValue("F", &r.SGB, 0, 25, "1.07 1.18"), "sg-b", "specific gravity of part B")
	add(percentValue(&r.Extra, 200), "extra", "mixing loss in percent, never less than the film in the cups (8)")
	add(massValue(&r.WeighTo, false), "weigh-to", "step of the scale (5 g)")
	add(percentValue(&r.Pigment, 40), "pigment", "pigment stirred in, in percent of the finished mix by weight")
	add(percentValue(&r.Thinner, 40), "thinner", "thinner, likewise; it softens the rubber")
	add(percentValue(&r.Thickener, 40), "thickener", "thickener, likewise, for brushing")
	add(temperatureValue(&s.job.Temp), "temp", "workshop temperature (23 °C)")
	add(massValue(&r.Have, true), "have", "rubber left on the shelf")
	add(priceValue(&r.PricePerKg), "price-per-kg", "rubber price where no shop file gives one")
	add(currencyValue(&r.Currency), "currency", "name of the currency")
}

func (s *settings) materialFlags(g *groups) {
	add := g.add("What the pattern is made of")
	add(nameValue(&s.job.PatternMaterial, patternNames), "pattern-material", "for chemistry and float (see: moldtally materials)")
	add(massValue(&s.job.PatternMass, false), "pattern-mass", "what the pattern weighs, for float")
	add(percentValue(&s.job.Infill, 100), "infill", "how full a printed pattern is, in percent, for float")
	add(nameValue(&s.job.Release, releaseNames), "release", "release or sealer you mean to put on it: does it suit (see: moldtally materials)")
	g.switches(&s.job.Irreplaceable, "pattern-irreplaceable", "guard the original: what each step could do to it")
}

func (s *settings) pictureFlags(g *groups) {
	add := g.add("Other forms of the result (with several patterns, name a folder)")
	add(fileValue(&s.png), "png", "write a picture")
	add(fileValue(&s.glb), "glb", "write a model to turn: pattern coloured by its undercuts, container, fill and parting line")
	s.pageFlags(g)
	s.repairedFlag(g)
}

// pageFlags join the last group.
func (s *settings) pageFlags(g *groups) {
	fs := (*g)[len(*g)-1].flags
	fs.Var(fileValue(&s.pdf), "pdf", "write the sheet to print: A4, or letter with --system us")
	fs.Var(fileValue(&s.html), "html", "write the sheet as one page for a browser")
}

// repairedFlag joins the last group.
func (s *settings) repairedFlag(g *groups) {
	(*g)[len(*g)-1].flags.Var(fileValue(&s.repaired), "repaired", "write the mended solid that the figures are of, as STL, OBJ, PLY, OFF, 3MF or GLB by its name")
}

func (s *settings) castFlags(g *groups) {
	add := g.add("What is cast")
	add(nameValue(&s.job.Cast, castingNames), "cast", "the casting material, by name (see: moldtally materials)")
	add(lengthValue(&s.job.CastWall, false), "cast-wall", "cast hollow, with this wall")
	add(countValue(&s.job.Copies), "copies", "how many castings are wanted")
}

// systemFlag joins the last group, or starts one.
func (s *settings) systemFlag(g *groups) {
	if len(*g) == 0 || (*g)[len(*g)-1].title != "Sheet" {
		g.add("Sheet")
	}
	(*g)[len(*g)-1].flags.Var(choiceValue("WHICH", &s.system, "metric", "us", "both"), "system", "units on the sheet: metric, us or both (both)")
}

// shopFlag names the shop file.
func (s *settings) shopFlag(g *groups) {
	(*g)[len(*g)-1].flags.Var(fileValue(&s.shop), "shop", "shop file: own stock, prices, habits (in your settings folder)")
}

// commonFlags are on every command that makes a report.
func (s *settings) commonFlags(g *groups, strict bool) {
	g.add("Common")
	g.switches(&s.json, "json", "print one JSON object instead of the sheet")
	g.switches(&s.quiet, "quiet", "no warnings and no progress on stderr")
	if strict {
		g.switches(&s.strict, "strict", "exit with status 3 while a stop is open")
	}
	g.help()
}

// Names out of the tables, for completion and suggestions.

func boardNames() []string {
	var out []string
	for _, b := range boxfit.Boards() {
		out = append(out, b.Name)
	}
	return out
}

func patternNames() []string {
	var out []string
	for _, p := range material.Patterns() {
		out = append(out, p.Name)
	}
	return out
}

func releaseNames() []string {
	var out []string
	for _, r := range material.Releases() {
		out = append(out, r.Name)
	}
	return out
}

func castingNames() []string {
	var out []string
	for _, c := range material.Castings() {
		out = append(out, c.Name)
	}
	return out
}

// oneOf lists choices in a sentence.
func oneOf(s []string) string {
	return strings.Join(s[:len(s)-1], ", ") + " or " + s[len(s)-1]
}

// flagError words what pflag found wrong: exit 2.
func flagError(c *cobra.Command, err error) error {
	var missing *pflag.NotExistError
	var needs *pflag.ValueRequiredError
	var invalid *pflag.InvalidValueError
	var syntax *pflag.InvalidSyntaxError
	var bad *badValue
	see := "see moldtally " + strings.TrimPrefix(c.CommandPath(), "moldtally ") + " --help"
	if c.CommandPath() == "moldtally" {
		see = "see moldtally --help"
	}
	switch {
	case errors.As(err, &bad) && errors.As(err, &invalid):
		s := fmt.Sprintf("--%s: %q %s", invalid.GetFlag().Name, invalid.GetValue(), bad.what)
		if bad.reason != "" {
			s += ": " + bad.reason
		}
		if v, ok := invalid.GetFlag().Value.(*value); ok && len(v.choices) > 0 {
			return usagef("choose one of: "+bad.accept, "%s", s)
		}
		return usagef("write it like "+bad.accept, "%s", s)
	case errors.As(err, &missing):
		name := missing.GetSpecifiedName()
		if missing.GetSpecifiedShortnames() != "" {
			return usagef(see, "%s has no flag -%s", c.CommandPath(), name)
		}
		var names []string
		c.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
		hint := see
		if near := words.Nearest(name, names); near != "" {
			hint = "did you mean --" + near + "? " + see
		} else if other := commandWith(c.Root(), name); other != "" {
			hint = "moldtally " + other + " has it; " + see
		}
		return usagef(hint, "%s has no flag --%s", c.CommandPath(), name)
	case errors.As(err, &needs):
		return usagef(see, "--%s needs a value", strings.TrimLeft(needs.GetSpecifiedName(), "-"))
	case errors.As(err, &invalid):
		return usagef(see, "--%s: %q cannot be read", invalid.GetFlag().Name, invalid.GetValue())
	case errors.As(err, &syntax):
		return usagef(see, "%s is not written like a flag", syntax.GetSpecifiedFlag())
	}
	return usagef(see, "%s", err)
}

// commandWith names a command that has the flag.
func commandWith(root *cobra.Command, flag string) string {
	for _, c := range root.Commands() {
		if c.Flags().Lookup(flag) != nil {
			return c.Name()
		}
	}
	return ""
}

// together refuses flags that say the same thing twice.
func together(c *cobra.Command, hint string, names ...string) error {
	var given []string
	for _, n := range names {
		if c.Flags().Changed(n) {
			given = append(given, "--"+n)
		}
	}
	if len(given) > 1 {
		return usagef(hint, "%s cannot be given together", strings.Join(given, " and "))
	}
	return nil
}

// checkFlags refuses combinations that contradict each other.
func (s *settings) checkFlags(c *cobra.Command) error {
	for _, x := range []struct {
		hint  string
		names []string
	}{
		{"give one: a factor, a height or a longest size", []string{"resize", "height", "longest"}},
		{"give one: a box or a tube", []string{"inside", "inside-tube"}},
		{"give one: they say the same thing", []string{"sg", "in3-per-lb"}},
	} {
		if err := together(c, x.hint, x.names...); err != nil {
			return err
		}
	}
	if n := s.job.Board; n != "" {
		if _, err := boxfit.BoardNamed(n); err != nil {
			hint := "moldtally materials lists them"
			if near := words.Nearest(n, boardNames()); near != "" {
				hint = "did you mean " + near + "? " + hint
			}
			return usagef(hint, "--board: no board is called %q", n)
		}
	}
	changed := c.Flags().Changed
	switch kind := s.job.Container; {
	case changed("inside") && kind != "" && kind != boxfit.Box:
		return usagef("leave --container out", "--inside is a box of your own, --container asks for a %s", kind)
	case changed("inside-tube") && kind != "" && kind != boxfit.Sleeve:
		return usagef("leave --container out", "--inside-tube is a tube of your own, --container asks for a %s", kind)
	case s.job.Rubber.MixBy == rubber.ByVolume && changed("mix") && changed("sg-a") != changed("sg-b"):
		return usagef("give both --sg-a and --sg-b; without them no millilitres are printed", "one part's specific gravity alone does not say how to mix by volume")
	}
	return nil
}
