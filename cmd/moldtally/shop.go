package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"moldtally/estimate"
	"moldtally/estimate/rubber"
	"moldtally/mesh/unit"
	"moldtally/render"
	"moldtally/render/words"
)

// shopPath is where the shop file lies when --shop does not say: in the
// platform's folder for settings.
func shopPath() (string, error) {
	dir, err := os.UserConfigDir()
	if err != nil {
		return "", &failure{"there is no folder for settings on this machine", "no shop file is used", "name one with --shop FILE"}
	}
	return filepath.Join(dir, "moldtally", "shop.toml"), nil
}

// readShop reads a shop file. A file with mistakes is refused whole: half a
// price list gives a wrong price.
func readShop(path string) (*estimate.Shop, []estimate.ShopError, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, nil, &failure{fmt.Sprintf("the shop file %s cannot be opened: %v", path, cause(err)), "your own rubbers and prices are not known", "check the name, or write one with moldtally shop init"}
	}
	defer f.Close()
	if st, err := f.Stat(); err == nil && st.IsDir() {
		return nil, nil, &failure{path + " is a folder, not a shop file", "your own rubbers and prices are not known", "name the file in it"}
	}
	s, bad := estimate.ParseShop(f)
	return s, bad, nil
}

// useShop finds and reads the shop file for a job: the one named, or the one
// in the settings folder if there is one.
func (s *settings) useShop() error {
	if err := s.useLog(); err != nil {
		return err
	}
	path := s.shop
	if path == "" {
		p, err := shopPath()
		if err != nil {
			return nil // nowhere to look is as good as none there
		}
		if _, err := os.Stat(p); errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		path = p
	}
	shop, bad, err := readShop(path)
	if err != nil {
		return err
	}
	if len(bad) > 0 {
		more := ""
		if len(bad) > 1 {
			more = fmt.Sprintf(" (and %d more)", len(bad)-1)
		}
		return &failure{fmt.Sprintf("the shop file %s has a mistake in %s%s", filepath.Base(path), worded(bad[0]), more),
			"nothing was worked out, because rubbers and prices could be wrong", "see them all with: moldtally shop check " + path}
	}
	s.job.Shop = shop
	if s.system == "" {
		s.system = unit.System(shop.Defaults.System)
	}
	return nil
}

func (a *app) shopCommand() *cobra.Command {
	s := &settings{}
	c := &cobra.Command{
		Use:   "shop",
		Short: "Show, check or write the shop file: own stock, prices, habits",
		Long: `The shop file holds your own rubbers, kits, prices and habits. It is looked for in
your settings folder; every command that plans uses it, and --shop names another.
shop shows where it is and what it holds; shop check lists every mistake by line;
shop init writes one to start from; shop record logs what a pour really
took, and shop lists that beside what was planned.`,
		Example: `moldtally shop
moldtally shop check
moldtally shop check ./winter.toml
moldtally shop init --currency EUR`,
		Args: args(0, 0, ""),
		RunE: func(c *cobra.Command, _ []string) error {
			p, err := shopPath()
			if err != nil {
				return err
			}
			if _, err := os.Stat(p); s.shop == "" && !s.json && errors.Is(err, fs.ErrNotExist) {
				return a.noShop(p)
			}
			return a.shopShow(s, "")
		},
	}
	a.shopFlags(c, s)
	c.AddCommand(a.shopCheckCommand(), a.shopInitCommand(), a.shopRecordCommand())
	return c
}

// noShop tells that there is no shop file where one is looked for, and what is on
// record all the same.
func (a *app) noShop(path string) error {
	pours, err := readLog(logBeside(path))
	if err != nil {
		return err
	}
	s := &render.Sheet{Title: "No shop file", Maker: "moldtally " + version, Sections: []render.Section{{
		Key: "shop", Title: "Shop file", Rows: []render.Row{{Label: "Looked for at", Value: path}},
		List: []string{"moldtally's own tables are used, without prices.", "Write one to start from with: moldtally shop init --currency EUR"},
	}}}
	if len(pours) > 0 {
		s.Sections = append(s.Sections, render.PoursSection(logBeside(path), pours))
	}
	return a.printSheet(s)
}

func (a *app) shopFlags(c *cobra.Command, s *settings) {
	g := groups{}
	g.add("Shop")(fileValue(&s.shop), "shop", "the shop file (in your settings folder)")
	g.add("Common")
	g.switches(&s.json, "json", "print one JSON object")
	g.help()
	a.install(c, g)
}

func (a *app) shopCheckCommand() *cobra.Command {
	s := &settings{}
	c := &cobra.Command{
		Use: "check [FILE]", Short: "List every mistake of the shop file, by line",
		Long:    "check reads the shop file, or the one that is named, and lists every mistake by line and key.",
		Example: "moldtally shop check\nmoldtally shop check ./winter.toml",
		Args:    args(0, 1, "a FILE"),
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 1 {
				if s.shop != "" {
					return usagef("give one", "a FILE and --shop name two shop files")
				}
				return a.shopShow(s, args[0])
			}
			return a.shopShow(s, "")
		},
	}
	a.shopFlags(c, s)
	return c
}

func (a *app) shopInitCommand() *cobra.Command {
	s := &settings{}
	var currency string
	c := &cobra.Command{
		Use: "init", Short: "Write a shop file to start from",
		Long: `init writes a shop file, to your settings folder or where --shop says. It never
overwrites one. With --currency it is in force at once: usual times, and prices that
are marked as examples, so that a first quote has a price; such quotes are drafts
until the prices are yours. Without, every line is a comment.`,
		Example: "moldtally shop init --currency EUR\nmoldtally shop init --currency EUR --shop ./shop.toml\nmoldtally shop init",
		Args:    args(0, 0, ""),
		RunE:    func(*cobra.Command, []string) error { return a.shopInit(s, currency) },
	}
	g := groups{}
	add := g.add("Shop")
	add(currencyValue(&currency), "currency", "write example prices in it, in force at once")
	add(fileValue(&s.shop), "shop", "where to write it (in your settings folder)")
	g.add("Common")
	g.help()
	a.install(c, g)
	return c
}

// shopReport is a shop file as JSON tells it.
type shopReport struct {
	Schema  int    `json:"schema"`
	Tool    string `json:"tool"`
	Version string `json:"version"`
	Shop    struct {
		File     string   `json:"file"`
		Currency *string  `json:"currency"`
		Rubbers  []string `json:"rubbers"`
		Castings []string `json:"castings"`
		Boards   []string `json:"boards"`
		Tubes    []string `json:"tubes"`
	} `json:"shop"`
	Mistakes []shopMistake `json:"mistakes"`
	Pours    poursTold     `json:"pours"`
}

type shopMistake struct {
	Line int    `json:"line"`
	Key  string `json:"key"`
	What string `json:"what"`
}

func newShopReport(path string, shop *estimate.Shop, bad []estimate.ShopError) *shopReport {
	r := &shopReport{Schema: estimate.Schema, Tool: "moldtally", Version: version, Mistakes: []shopMistake{}}
	h := &r.Shop
	h.File = filepath.Base(path)
	if c := shop.Prices.Currency; c != "" {
		h.Currency = &c
	}
	h.Rubbers = namesOf(shop.Rubbers, func(r rubber.Rubber) string { return r.Name })
	h.Castings = namesOf(shop.Castings, func(c estimate.ShopCasting) string { return c.Name })
	h.Boards = namesOf(shop.Boards, func(b estimate.ShopBoard) string { return b.Name })
	h.Tubes = namesOf(shop.Tubes, func(t estimate.ShopTube) string { return t.Name })
	for _, m := range bad {
		r.Mistakes = append(r.Mistakes, shopMistake{m.Line, m.Key, words.Say(m.What, unit.Metric)})
	}
	return r
}

func (r *shopReport) sheet(path string) *render.Sheet {
	row := func(label string, names []string) render.Row {
		if len(names) == 0 {
			return render.Row{Label: label, Value: "none"}
		}
		return render.Row{Label: label, Value: strings.Join(names, ", ")}
	}
	h := &r.Shop
	rows := []render.Row{row("Rubbers", h.Rubbers), row("Castings", h.Castings), row("Boards", h.Boards), row("Tubes", h.Tubes)}
	if h.Currency != nil {
		rows = append(rows, render.Row{Label: "Currency", Value: *h.Currency})
	}
	sheet := &render.Sheet{Title: path, Maker: "moldtally " + version,
		Sections: []render.Section{{Key: "shop", Title: "Shop file", Rows: rows}}}
	if len(r.Mistakes) == 0 {
		sheet.Sections = append(sheet.Sections, render.Section{Key: "mistakes", Title: "Mistakes", Tone: render.Good, List: []string{"None found."}})
	}
	return sheet
}

// shopShow reports what the shop file holds and its mistakes; with mistakes
// the status is 1.
func (a *app) shopShow(s *settings, named string) error {
	path := named
	if path == "" {
		path = s.shop
	}
	if path == "" {
		p, err := shopPath()
		if err != nil {
			return err
		}
		if _, err := os.Stat(p); errors.Is(err, fs.ErrNotExist) {
			return &failure{"there is no shop file at " + p, "moldtally's own tables are used, without prices", "write one to start from with: moldtally shop init"}
		}
		path = p
	}
	shop, bad, err := readShop(path)
	if err != nil {
		return err
	}
	pours, err := readLog(logBeside(path))
	if err != nil {
		return err
	}
	if r := newShopReport(path, shop, bad); s.json {
		r.Pours = tellPours(logBeside(path), pours)
		err = a.printJSON(r)
	} else {
		sheet := r.sheet(path)
		sheet.Sections = append(sheet.Sections, render.PoursSection(logBeside(path), pours))
		err = a.printSheet(sheet)
	}
	if err != nil {
		return err
	}
	for _, m := range bad {
		a.say("error", fmt.Sprintf("%s, %s", filepath.Base(path), worded(m)))
	}
	if len(bad) > 0 {
		a.say("effect", "the file is not used until every mistake is mended")
		a.say("hint", "mend them and run moldtally shop check again")
		a.status = exitFailed
	}
	return nil
}

// worded is a mistake with its line and key; it is the same in all units.
func worded(m estimate.ShopError) string {
	f, _ := words.Explain(m, unit.Metric)
	return f.Summary
}

// shopInit writes a shop file to start from: with a currency one that is in force.
func (a *app) shopInit(s *settings, currency string) error {
	path := s.shop
	if path == "" {
		p, err := shopPath()
		if err != nil {
			return err
		}
		if err := os.MkdirAll(filepath.Dir(filepath.Dir(p)), 0o777); err != nil {
			return cannotWrite(p, err)
		}
		path = p
	}
	if _, err := os.Lstat(path); err == nil {
		return &failure{path + " is there already", "it was left as it is", "edit it, or name another with --shop"}
	}
	text := estimate.ShopTemplate
	if currency != "" {
		text = estimate.ExampleShop(currency)
	}
	var b batch
	defer b.discard()
	if err := b.add(path, func(w io.Writer) error { _, err := io.WriteString(w, text); return err }); err != nil {
		return err
	}
	if err := b.commit(); err != nil {
		return err
	}
	_, err := fmt.Fprintln(a.out, path)
	return err
}

// printJSON prints a report that is not a plan.
func (a *app) printJSON(v any) error {
	return a.print(func(w io.Writer) error {
		var b bytes.Buffer
		e := json.NewEncoder(&b)
		e.SetEscapeHTML(false)
		e.SetIndent("", "  ")
		if err := e.Encode(v); err != nil {
			return err
		}
		_, err := b.WriteTo(w)
		return err
	})
}
