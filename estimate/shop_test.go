package estimate

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"moldtally/estimate/material"
	"moldtally/estimate/money"
)

func TestShopTemplate(t *testing.T) {
	s, bad := ParseShop(strings.NewReader(ShopTemplate))
	if len(bad) > 0 || len(s.Rubbers) != 0 || s.Prices.LaborPerHour != nil {
		t.Errorf("as it stands: got %v, %+v; want nothing", bad, s)
	}
	// With every example line in force, but for what excludes another.
	live := regexp.MustCompile(`(?m)^# (\[\[?\w+\]\]?|\w+ = .*)$`).ReplaceAllString(ShopTemplate, "$1")
	s, bad = ParseShop(strings.NewReader(live))
	if len(bad) > 0 {
		t.Fatalf("with its examples: %v", bad)
	}
	if len(s.Rubbers) != 1 || len(s.Castings) != 1 || len(s.Boards) != 1 || len(s.Tubes) != 1 || s.Defaults.Temp == nil || *s.Prices.MarginPct != 40 || *s.Workshop.Cup != 10000 {
		t.Errorf("with its examples: got %+v", s)
	}
	if w := s.saw(); *w.Kerf != 3 || w.Sizes["mdf-12"] != [2]float64{2440, 1220} {
		t.Errorf("the saw: %+v", w)
	}
	r := s.Rubbers[0]
	if len(r.Kits) != 2 || r.Kits[1].Price.String() != "120.00" || r.SG.Value < 1.107 || r.SG.Value > 1.108 || !r.Own {
		t.Errorf("rubber: got %+v", r)
	}
}

func TestShopSheets(t *testing.T) {
	for _, text := range []string{"[2440]", "[2440, 1220, 18]", "2440", `["a", "b"]`, "[2440, 0]"} {
		if _, bad := ParseShop(strings.NewReader("[[board]]\nname = \"mdf-12\"\nsheet_mm = " + text + "\n")); len(bad) != 1 || bad[0].Line != 3 {
			t.Errorf("sheet_mm = %s: %v", text, bad)
		}
	}
	if w := (&Shop{}).saw(); w.Kerf != nil || len(w.Sizes) != 0 {
		t.Errorf("nothing said: %+v", w)
	}
}

// The example shop is in force in its currency, marked, and has a price for all that
// can be wanted but a rubber of its own.
func TestExampleShop(t *testing.T) {
	s := shopOf(t, ExampleShop("CHF"))
	p := s.Prices
	if !p.Example || p.Currency != "CHF" || len(s.Rubbers) != 0 || p.MarkupPct == nil || p.MarginPct != nil {
		t.Errorf("got %+v", p)
	}
	for _, price := range []*money.Amount{p.LaborPerHour, p.RubberPerKg, p.BoardPerM2, p.TubePerM, p.ShellPerKg, p.Sundries, p.Minimum} {
		if price == nil || *price <= 0 {
			t.Errorf("a price is missing: %+v", p)
		}
	}
	for _, m := range material.Castings() {
		if !slices.ContainsFunc(s.Castings, func(c ShopCasting) bool { return c.Name == m.Name && c.PricePerKg != nil }) {
			t.Errorf("%s has no price", m.Name)
		}
	}
	if _, bad := ParseShop(strings.NewReader("[prices]\nmarkup_pct = 30\nmargin_pct = 20\n")); len(bad) != 1 || bad[0].Line != 2 {
		t.Errorf("markup and margin: %v", bad)
	}
}

// What a pattern is worth stands in the shop file, and is overruled by the job.
func TestPatternValue(t *testing.T) {
	shop := shopOf(t, "[prices]\npattern_value = 150\n")
	said, usual := money.Amount(0), *shop.Prices.PatternValue
	for _, c := range []struct {
		job  Job
		want *money.Amount
	}{{Job{}, nil}, {Job{Shop: shop}, &usual}, {Job{Shop: shop, PatternValue: &said}, &said}} {
		r, err := c.job.resolve()
		if err != nil {
			t.Fatal(err)
		}
		if got := r.PatternValue; (got == nil) != (c.want == nil) || got != nil && *got != *c.want {
			t.Errorf("worth %v, want %v", got, c.want)
		}
	}
	if usual.String() != "150.00" {
		t.Errorf("the shop file's is %s", usual)
	}
}

func TestShopTenMistakes(t *testing.T) {
	text := `[defaults]
temperature_C = "warm"
wiegh_to_g = 5
[prices]
margin_pct = 120
labor_per_hour = -3
[[rubber]]
name = "one"
family = "rubbery"
sg = 1.1
mix = "1 to 1"
[[rubber]]
name = "one"
family = "tin"
mix = "100:10"
mix_by = "volume"
in3_per_lb = 25
kits = [ { size = 1000 } ]
[wrokshop]
[[casting]]
name = "unobtainium"
`
	_, bad := ParseShop(strings.NewReader(text))
	want := []struct {
		line int
		key  string
	}{
		{2, "defaults.temperature_C"}, {3, "defaults.wiegh_to_g"}, {5, "prices.margin_pct"}, {6, "prices.labor_per_hour"}, {9, "rubber.family"}, {11, "rubber.mix"},
		{13, "rubber.name"}, {16, "rubber.mix_by"}, {18, "rubber.kits"}, {19, "wrokshop"}, {21, "casting.name"},
	}
	if len(bad) != len(want) {
		t.Fatalf("got %d mistakes, want %d:\n%v", len(bad), len(want), bad)
	}
	for i, w := range want {
		if bad[i].Line != w.line || bad[i].Key != w.key || bad[i].What.Facts == nil {
			t.Errorf("mistake %d: got %v, want line %d, %s", i, bad[i], w.line, w.key)
		}
	}
	known := func(i int) []string { return bad[i].What.Facts.(ShopFault).Known }
	if !slices.Contains(known(1), "weigh_to_g") || !slices.Contains(known(9), "workshop") {
		t.Errorf("what is known is not told: %v, %v", bad[1], bad[9])
	}
}

func TestShopRubberNeeds(t *testing.T) {
	for _, c := range []struct{ text, key string }{
		{"[[rubber]]\nfamily = \"tin\"\nsg = 1\nmix = \"1:1\"", "rubber.name"},
		{"[[rubber]]\nname = \"a\"\nfamily = \"rubber\"\nsg = 1\nmix = \"1:1\"", "rubber.family"},
		{"[[rubber]]\nname = \"a\"\nfamily = \"tin\"\nmix = \"1:1\"", "rubber.sg"},
		{"[[rubber]]\nname = \"a\"\nfamily = \"tin\"\nsg = 1", "rubber.mix"},
		{"[[rubber]]\nname = \"a\"\nfamily = \"tin\"\nsg = 1\ncm3_per_kg = 900\nmix = \"1:1\"", "rubber.cm3_per_kg"},
		{"[[tube]]\nname = \"a\"", "tube.bore_mm"},
		{"sg = 1", "sg"},
		{"[defaults]\nboard = \"gold-3\"", "defaults.board"},
		{"[defaults]\nrubber = \"gone\"", "defaults.rubber"},
		{"[[board]]\nname = \"gold-3\"", "board.name"},
	} {
		_, bad := ParseShop(strings.NewReader(c.text))
		if len(bad) != 1 || bad[0].Key != c.key {
			t.Errorf("%q: got %v, want one mistake at %s", c.text, bad, c.key)
		}
	}
	s, bad := ParseShop(strings.NewReader("[[rubber]]\nname = \"a\"\nfamily = \"tin\"\ncm3_per_kg = 800\nmix = \"10%\"\n"))
	if len(bad) != 0 || s.Rubbers[0].SG.Value != 1.25 || s.Rubbers[0].MixRatio != "100:10" {
		t.Errorf("got %+v, %v", s.Rubbers, bad)
	}
}

func FuzzParseShop(f *testing.F) {
	f.Add(ShopTemplate)
	f.Add("[[rubber]]\nname = \"a\"\nkits = [ { size_g = 1, price = 1e400 } ]")
	f.Fuzz(func(t *testing.T, s string) {
		if len(s) > 4000 {
			return
		}
		shop, bad := ParseShop(strings.NewReader(s))
		for _, r := range shop.Rubbers {
			if !(r.SG.Value > 0) || r.Name == "" {
				t.Errorf("a rubber without gravity or name: %+v (%v)", r, bad)
			}
		}
	})
}

// A gravity that no rubber has is a mistake of its line; a rest of unknown
// chemistry is not, nor is anything that files of before had.
func TestShopStock(t *testing.T) {
	for _, key := range []string{"sg = 1.7", "sg = 0.8", "in3_per_lb = 16", "in3_per_lb = 31", "cm3_per_kg = 600", "sg = 1.1\nsg_a = 2"} {
		_, bad := ParseShop(strings.NewReader("[[rubber]]\nname = \"a\"\nfamily = \"tin\"\nmix = \"1:1\"\n" + key))
		if len(bad) != 1 || bad[0].Line < 5 {
			t.Errorf("%s: got %v, want one mistake", key, bad)
		}
	}
	s, bad := ParseShop(strings.NewReader("[[rubber]]\nname = \"a\"\nsg = 1.1\nmix = \"1:1\"\nleft_g = 1800\nopened = 2026-01-31\nuse_by = \"2026-12-31\"\nlot = \"A7\"\n"))
	if len(bad) > 0 {
		t.Fatal(bad)
	}
	if st := s.Rubbers[0].Stock; *st.Left != 1800 || st.Opened.String() != "2026-01-31" || st.UseBy.String() != "2026-12-31" || st.Lot != "A7" || s.Rubbers[0].Family != "" {
		t.Errorf("got %+v", s.Rubbers[0])
	}
	if _, bad := ParseShop(strings.NewReader("[[rubber]]\nname = \"a\"\nsg = 1.1\nmix = \"1:1\"\nopened = \"last spring\"")); len(bad) != 1 || bad[0].Line != 5 {
		t.Errorf("got %v", bad)
	}
}
