package estimate

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"moldtally/estimate/labor"
	"moldtally/estimate/material"
	"moldtally/estimate/money"
	"moldtally/mesh/finding"
	"moldtally/mesh/shape"
)

// handShop is the shop of the quotes that are reckoned by hand below.
const handShop = `
[prices]
currency = "EUR"
labor_per_hour = 42.50
sundries = 6.40
shell_per_kg = 3.15
board_per_m2 = 14.80
overhead_pct = 12.5
markup_pct = 35
tax_pct = 19
deposit_pct = 40
valid_days = 30
[[rubber]]
name = "ours"
family = "platinum"
sg = 1.1
mix = "1:1"
kits = [ { size_g = 1000, price = "31.90" }, { size_g = 5000, price = "129.00" } ]
[[casting]]
name = "resin"
price_per_kg = 11.75
`

func cents(t *testing.T, s string) money.Amount {
	t.Helper()
	a, err := money.Parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// amountsOf is what a test compares of a cost: the kinds of its lines and all amounts.
func amountsOf(c *Cost) (lines []string) {
	say := func(a *money.Amount) string {
		if a == nil {
			return "none"
		}
		return a.String()
	}
	for _, l := range c.Lines {
		lines = append(lines, fmt.Sprintf("%d %s", l.What.Kind, say(l.Amount)))
	}
	lines = append(lines, "subtotal "+say(c.Subtotal), "overhead "+say(c.Overhead), "markup "+say(c.Markup), "margin "+say(c.Margin), "total "+say(c.Total),
		"tax "+say(c.Tax), "with tax "+say(c.TotalWithTax), "deposit "+say(c.Deposit), "each "+say(c.PerCasting))
	return lines
}

// A block of 120 mm with 1, 10 and 50 castings, each line to the cent. Rubber is
// weighed 850 g a mold, a casting 60 g; a mold gives 20 at the least and is ready after
// 2 days, a casting cures in 30 min.
func TestHandQuoteBlock(t *testing.T) {
	shop := shopOf(t, handShop)
	pr := shop.Prices
	r := &run{prices: pr, work: &labor.Work{Method: labor.Block, Longest: 120}, pours: 1,
		rubber: RubberNeed{Name: "ours", Mass: 850, Kits: shop.Rubbers[0].Kits},
		once:   []Need{{Bought{Kind: BoughtBoard, Name: "mdf-12"}, 0.12, "m²", pr.BoardPerM2}},
		each:   []Need{{Bought{Kind: Sundries}, 1, "molds", pr.Sundries}},
		cast:   &castRun{material: "resin", mass: 60, perKg: shop.Castings[0].PricePerKg, cure: 30, life: 20}}
	j := &resolved{Job: Job{Copies: 10, Breaks: []int{1, 50, 10}}, shop: *shop, cast: &material.Casting{}}
	c, bought, _, err := j.cost(r)
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		fmt.Sprintf("%d 31.90", BoughtKit),      // 850 g: one kit of 1 kg
		fmt.Sprintf("%d 1.78", BoughtBoard),     // 0.12 × 14.80 = 1.776
		fmt.Sprintf("%d 6.40", Sundries),        //
		fmt.Sprintf("%d 28.33", LaborPreparing), // 15 + 15 + 10 min at 42.50 = 28.333
		fmt.Sprintf("%d 10.63", LaborHolding),   // 15 min = 10.625
		fmt.Sprintf("%d 8.50", LaborFilling),    // 12 min
		fmt.Sprintf("%d 21.25", LaborOpening),   // 10 + 20 min
		fmt.Sprintf("%d 7.76", CastMaterial),    // 11 made for 10: 0.66 kg × 11.75 = 7.755
		fmt.Sprintf("%d 171.42", LaborCasting),  // 11 × (12 + 10) min = 171.417
		"subtotal 287.97",
		"overhead 36.00", // 12.5 % = 35.996
		"markup 113.39",  // 35 % of 323.97 = 113.3895
		"margin 0.00",
		"total 437.36",
		"tax 83.10", // 19 % = 83.098
		"with tax 520.46",
		"deposit 208.18", // 40 % of that = 208.184
		"each 43.74",     // 43.736
	}
	if got := amountsOf(c); !slices.Equal(got, want) {
		t.Errorf("ten castings:\ngot  %v\nwant %v", got, want)
	}
	if *bought.cost != cents(t, "31.90") || *bought.left != 150 || len(bought.kits) != 1 {
		t.Errorf("bought %+v", bought)
	}
	// Castings bear 179.18 of 287.97: 437.36 × 179.18 / 287.97 = 272.133, a tenth of it
	// is 27.21; the mold bears the rest.
	if o := c.Offer; *o.Each != cents(t, "27.21") || o.Mold != cents(t, "165.26") || o.Net != cents(t, "437.36") || o.Pay != cents(t, "520.46") || *o.Deposit != cents(t, "208.18") {
		t.Errorf("offer %+v", o)
	}
	for i, b := range []struct {
		copies, molds, days int
		total, each         string
	}{
		// 2 are made: 0.12 kg = 1.41, 44 min = 31.17; with the mold's 108.79 that is
		// 141.37, + 17.67 + 55.66. Two castings on the day after the mold is ready.
		{1, 1, 3, "214.70", "214.70"},
		// 53 are made, in 3 molds: 2550 g in three kits 95.70, board 1.78, sundries
		// 19.20, labor 42.50 + 10.63 + 25.50 + 63.75, 3.18 kg = 37.365 → 37.37, 1166 min
		// = 825.92; 1122.35 + 140.29 + 441.92. Nine castings a day and mold, which are
		// ready on days 2, 3 and 4: after four days of casting 20 + 20 + 18.
		{50, 3, 6, "1704.56", "34.09"},
		{10, 1, 4, "437.36", "43.74"},
	} {
		got := c.Breaks[i]
		if got.Copies != b.copies || got.Molds != b.molds || *got.Days != b.days || *got.Total != cents(t, b.total) || *got.PerCasting != cents(t, b.each) {
			t.Errorf("%d castings: %+v, %v, %v, %v days; want %+v", b.copies, got, got.Total, got.PerCasting, *got.Days, b)
		}
	}
	if len(c.Without) != 0 || c.unpriced != (missing{}) || *c.Days != 4 {
		t.Errorf("without %v, %+v, %d days", c.Without, c.unpriced, *c.Days)
	}
}

// Two halves of a pattern of 250 mm, rubber by the kilogram and 1.5 kg of it on the
// shelf, boards without a price, nothing cast.
func TestHandQuoteHalves(t *testing.T) {
	shop := shopOf(t, handShop)
	pr := shop.Prices
	perKg, left := cents(t, "24.90"), 1500.0
	r := &run{prices: pr, work: &labor.Work{Method: labor.TwoPart, Longest: 250}, pours: 2,
		rubber: RubberNeed{Name: "ours", Mass: 4310, Left: &left, PerKg: &perKg},
		once:   []Need{{Bought{Kind: BoughtBoard, Name: "mdf-12"}, 0.31, "m²", nil}},
		each:   []Need{{Bought{Kind: Sundries}, 1, "molds", pr.Sundries}}}
	c, bought, _, err := (&resolved{shop: *shop}).cost(r)
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		fmt.Sprintf("%d 37.35", ShelfRubber),  // 1.5 kg × 24.90: what is on the shelf is no gift
		fmt.Sprintf("%d 69.97", BoughtRubber), // 2.81 kg = 69.969
		fmt.Sprintf("%d none", BoughtBoard),
		fmt.Sprintf("%d 6.40", Sundries),
		fmt.Sprintf("%d 42.50", LaborPreparing), // 20 + 25 + 15 min
		fmt.Sprintf("%d 26.56", LaborHolding),   // 37.5 min = 26.5625
		fmt.Sprintf("%d 95.63", LaborFilling),   // 2 × 15 + 90 + 15 min = 95.625
		fmt.Sprintf("%d 31.88", LaborOpening),   // 15 + 30 min = 31.875
		"subtotal 310.29",
		"overhead 38.79", // 38.786
		"markup 122.18",  // 35 % of 349.08 = 122.178
		"margin 0.00",
		"total 471.26",
		"tax 89.54",
		"with tax 560.80",
		"deposit 224.32",
		"each none",
	}
	if got := amountsOf(c); !slices.Equal(got, want) {
		t.Errorf("two halves:\ngot  %v\nwant %v", got, want)
	}
	if *bought.cost != cents(t, "107.32") || len(c.Without) != 1 || c.Without[0].What.Kind != BoughtBoard || *c.Days != 3 || len(c.Breaks) != 0 || c.Offer.Mold != *c.Total {
		t.Errorf("bought %v, without %v, %d days, breaks %v", *bought.cost, c.Without, *c.Days, c.Breaks)
	}
}

// A brushed coat of 500 mm under a shell of two pieces, a margin of the price, only the
// rubber used charged; and a minimum that is more.
func TestHandQuoteBrushed(t *testing.T) {
	shop := shopOf(t, handShop)
	pr := shop.Prices
	pr.MarkupPct, pr.MarginPct, pr.ChargeUsed = nil, p(40), true
	r := &run{prices: pr, work: &labor.Work{Method: labor.Brushed, Longest: 500, Pieces: 2}, pours: 1,
		rubber: RubberNeed{Name: "ours", Mass: 5200, Kits: shop.Rubbers[0].Kits},
		once:   []Need{{Bought{Kind: BoughtBoard, Name: "mdf-12"}, 0.5, "m²", pr.BoardPerM2}},
		each: []Need{{Bought{Kind: BoughtThickener, Name: "thickener"}, 0.104, "kg", eur(40)},
			{Bought{Kind: BoughtShell, Name: "plaster"}, 11.2, "kg", pr.ShellPerKg}, {Bought{Kind: Sundries}, 1, "molds", pr.Sundries}}}
	c, _, _, err := (&resolved{shop: *shop}).cost(r)
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		fmt.Sprintf("%d 139.45", UsedOfKits), // 5 + 1 kg for 160.90: 26.816667 × 5.2 = 139.447
		fmt.Sprintf("%d 7.40", BoughtBoard),
		fmt.Sprintf("%d 4.16", BoughtThickener),
		fmt.Sprintf("%d 35.28", BoughtShell), // 11.2 × 3.15
		fmt.Sprintf("%d 6.40", Sundries),
		fmt.Sprintf("%d 70.83", LaborPreparing), // 30 + 45 + 25 min
		fmt.Sprintf("%d 106.25", LaborHolding),  // 2 × 75 min
		fmt.Sprintf("%d 141.67", LaborFilling),  // 5 coats × 40 min
		fmt.Sprintf("%d 67.29", LaborOpening),   // 20 + 30 + 45 min
		"subtotal 578.73",
		"overhead 72.34", // 72.341
		"markup 0.00",
		"margin 434.05", // 651.07 / 0.6 = 1085.117
		"total 1085.12",
		"tax 206.17", // 206.173
		"with tax 1291.29",
		"deposit 516.52", // 516.516
		"each none",
	}
	if got := amountsOf(c); !slices.Equal(got, want) {
		t.Errorf("brushed:\ngot  %v\nwant %v", got, want)
	}
	r.prices.Minimum = eur(1200)
	c, _, _, err = (&resolved{shop: *shop}).cost(r)
	if err != nil || *c.Total != *eur(1200) || *c.Margin != cents(t, "434.05") || *c.TotalWithTax != *eur(1428) || *c.Minimum != *eur(1200) {
		t.Errorf("at a minimum of 1200: %v, %v", amountsOf(c), err)
	}
}

// Up to five castings the cheapest chemistry is taken, and a box of 60 mm in it gives so
// many castings that one more mold is needed where those that are made for them pass
// the fewest that it gives.
func TestPays(t *testing.T) {
	if testing.Short() {
		t.Skip("plans a whole body; TestHandQuoteBlock prices one in the short run")
	}
	plan := planOf(t, shape.Box(60, 40, 30), Job{Cast: "resin", Copies: 3, Mold: "block", Shop: shopOf(t, ExampleShop("EUR"))})
	from := map[PaysBy]int{}
	for _, x := range plan.Cost.Pays {
		from[x.What] = x.From
	}
	next := from[SecondMold]
	if life := *plan.Casting.PullsLow; from[OtherRubber] != 6 || labor.Made(next, labor.Scrap) <= life || labor.Made(next-1, labor.Scrap) > life {
		t.Errorf("%+v, a mold gives %d", plan.Cost.Pays, life)
	}
	if c := plan.Cost; !c.Draft || len(c.Without) > 0 || c.Days == nil {
		t.Errorf("a draft %v, without %v, %v days", c.DraftBecause, c.Without, c.Days)
	}
}

// Two patterns of 600 and 300 g are one order: one kit of 1 kg, the minimum once.
func TestOrder(t *testing.T) {
	shop := shopOf(t, handShop)
	pr := Prices{Currency: "EUR", Minimum: eur(60), Sundries: eur(5)}
	of := func(file string, g float64) *Plan {
		r := &run{file: file, prices: pr, rubber: RubberNeed{Name: "ours", Mass: g, Kits: shop.Rubbers[0].Kits}, each: []Need{{Bought{Kind: Sundries}, 1, "molds", pr.Sundries}}}
		j := &resolved{Job: Job{Source: Source{File: file}}, shop: Shop{Prices: pr}}
		c, _, priced, err := j.cost(r)
		if err != nil {
			t.Fatal(err)
		}
		return &Plan{Pattern: &Pattern{File: file}, Cost: c, priced: priced}
	}
	a, b := of("a.stl", 600), of("b.stl", 300)
	if *a.Cost.Total != *eur(60) || *b.Cost.Total != *eur(60) {
		t.Errorf("each by itself: %v, %v", *a.Cost.Total, *b.Cost.Total)
	}
	s := Sum([]*Plan{a, nil, b})
	// 31.90 + 5 + 5 = 41.90, raised to 60.00. Of the kit two thirds are a's: 21.27 and
	// 10.63; 26.27 and 15.63 of 41.90 make 37.62 and 22.38 of 60.
	if *s.Cost != *eur(60) || s.Failed != 1 || s.Order == nil || *s.Order.Subtotal != cents(t, "41.90") || s.Order.Lines[0].For != "" || s.Order.Lines[0].Quantity != 1 {
		t.Fatalf("together: %+v", s)
	}
	o := OrderOf([]*Plan{a, nil, b})
	if o.Offers[0].Net != cents(t, "37.62") || o.Offers[1].Net != cents(t, "22.38") {
		t.Errorf("offers: %v and %v", o.Offers[0].Net, o.Offers[1].Net)
	}
}

// Ten thousand shops made up at random: lines add up to the cent, nothing that is
// wanted is lost, what has no price is named, and a quote is a draft just as the rules
// have it.
func TestRandomShops(t *testing.T) {
	rnd := rand.New(rand.NewPCG(13, 8))
	drafts := map[DraftWhy]int{}
	sent := 0
	for n := range 10_000 {
		j, r := randomJob(rnd)
		c, _, priced, err := j.cost(r)
		if err != nil {
			t.Fatalf("shop %d: %v", n, err)
		}
		needs := r.needs(j.Copies)
		if c == nil {
			if needs.priced() {
				t.Fatalf("shop %d: no cost, but prices", n)
			}
			continue
		}
		addsUp(t, n, c, r.prices)
		nothingLost(t, n, c, needs)
		plan := &Plan{Pattern: &Pattern{}, Rubber: &Rubber{Owned: rnd.IntN(4) > 0}, Cost: c, priced: priced}
		src := Source{UnitsFrom: []UnitsFrom{UnitsSaid, UnitsInFile, UnitsAssumed}[rnd.IntN(3)]}
		stop := rnd.IntN(6) == 0
		if stop {
			plan.Warnings.Add(finding.Finding{Code: CodeFood, Severity: finding.Stop})
		}
		finished(plan, "", src, nil, plan.Warnings)
		if plan.Refused() {
			if len(c.Lines) > 0 || c.Total != nil || c.Offer != nil {
				t.Fatalf("shop %d: a price for what is refused", n)
			}
			continue
		}
		castings := j.cast != nil && (r.cast == nil || r.cast.perKg == nil || r.prices.LaborPerHour == nil && handled(r))
		for _, rule := range []struct {
			why DraftWhy
			so  bool
		}{{DraftUnits, src.UnitsFrom == UnitsAssumed}, {DraftWithout, len(c.Without) > 0}, {DraftStock, !plan.Rubber.Owned},
			{DraftExamples, r.prices.Example}, {DraftLabor, r.prices.LaborPerHour == nil}, {DraftCastings, castings}} {
			if has := slices.ContainsFunc(c.DraftBecause, func(u Unsettled) bool { return u.Why == rule.why }); has != rule.so {
				t.Fatalf("shop %d: reason %d for a draft is %v, want %v", n, rule.why, has, rule.so)
			}
			if rule.so {
				drafts[rule.why]++
			}
		}
		if c.Draft != (len(c.DraftBecause) > 0) {
			t.Fatalf("shop %d: a draft %v for %v", n, c.Draft, c.DraftBecause)
		}
		if !c.Draft {
			sent++
		}
	}
	if len(drafts) != 6 || sent < 20 {
		t.Errorf("too few of a kind to tell: %v, %d sent", drafts, sent)
	}
}

// handled reports whether castings take hours.
func handled(r *run) bool {
	h, f := r.prices.HoursPerCasting, r.prices.HoursFinishing
	return h == nil && r.work != nil || h != nil && *h > 0 || f != nil && *f > 0
}

// randomJob is a job with prices of which any may be missing.
func randomJob(rnd *rand.Rand) (*resolved, *run) {
	known := 2 + rnd.IntN(12) // of so many prices one is missing
	maybe := func(most float64) *money.Amount {
		if rnd.IntN(known) == 0 {
			return nil
		}
		a, _ := money.FromFloat(float64(rnd.IntN(int(most*1000))) / 1000)
		return &a
	}
	share := func(most float64) *float64 {
		if rnd.IntN(2) == 0 {
			return nil
		}
		return p(float64(rnd.IntN(int(most*10))) / 10)
	}
	pr := Prices{LaborPerHour: maybe(90), Sundries: maybe(20), ShellPerKg: maybe(9), OverheadPct: share(60), TaxPct: share(25), DepositPct: share(100), Finishing: maybe(5),
		ChargeUsed: rnd.IntN(2) == 0, Example: rnd.IntN(8) == 0, HoursPrepare: share(3), HoursPerCasting: share(1), HoursFinishing: share(1)}
	if rnd.IntN(2) == 0 {
		pr.MarkupPct = share(150)
	} else {
		pr.MarginPct = share(90)
	}
	if rnd.IntN(3) == 0 {
		pr.Minimum = maybe(2000)
	}
	j := &resolved{Job: Job{Copies: rnd.IntN(300)}, shop: Shop{Prices: pr}}
	r := &run{prices: pr, pours: 1 + rnd.IntN(2), rubber: RubberNeed{Name: "ours", Mass: rnd.Float64() * 20000}}
	if rnd.IntN(3) == 0 {
		r.rubber.Left = p(rnd.Float64() * 9000)
	}
	if r.rubber.PerKg = maybe(60); rnd.IntN(2) == 0 {
		r.rubber.PerKg = nil
		for range rnd.IntN(3) {
			if price := maybe(300); price != nil {
				r.rubber.Kits = append(r.rubber.Kits, money.Kit{SizeG: float64(500 * (1 + rnd.IntN(20))), Price: *price})
			}
		}
	}
	if rnd.IntN(8) > 0 {
		r.work = &labor.Work{Method: labor.Method(rnd.IntN(10)), Longest: 20 + 900*rnd.Float64()}
	}
	r.once = append(r.once, Need{Bought{Kind: BoughtBoard, Name: "mdf-12"}, rnd.Float64(), "m²", maybe(30)})
	r.each = append(r.each, Need{Bought{Kind: BoughtShell, Name: "plaster"}, rnd.Float64() * 9, "kg", pr.ShellPerKg}, Need{Bought{Kind: Sundries}, 1, "molds", pr.Sundries})
	if rnd.IntN(3) > 0 {
		j.cast = &material.Casting{}
		if rnd.IntN(9) > 0 {
			r.cast = &castRun{material: "resin", mass: 1 + rnd.Float64()*900, perKg: maybe(40), cure: rnd.Float64() * 1200, life: rnd.IntN(60)}
		}
	}
	return j, r
}

// addsUp checks that lines, steps and offer of a cost are its total, in whole cents.
func addsUp(t *testing.T, n int, c *Cost, pr Prices) {
	t.Helper()
	var sum money.Amount
	for _, l := range c.Lines {
		if l.Amount != nil {
			sum += *l.Amount
			if *l.Amount%money.Cent != 0 {
				t.Fatalf("shop %d: %+v is not whole cents", n, l)
			}
		}
	}
	total := sum + *c.Overhead + *c.Markup + *c.Margin
	if pr.Minimum != nil {
		total = max(total, *c.Minimum)
	}
	if sum != *c.Subtotal || total != *c.Total || total%money.Cent != 0 {
		t.Fatalf("shop %d: lines come to %v of %v, total %v of %v", n, sum, *c.Subtotal, total, *c.Total)
	}
	if (c.Tax == nil) != (pr.TaxPct == nil) || c.Tax != nil && *c.Total+*c.Tax != *c.TotalWithTax {
		t.Fatalf("shop %d: tax %v", n, c.Tax)
	}
	o := c.Offer
	offered := o.Mold
	if o.Each != nil {
		offered += *o.Each * money.Amount(o.Copies)
	}
	if offered != *c.Total || o.Net != *c.Total || o.Mold < 0 {
		t.Fatalf("shop %d: %+v offered of %v", n, o, *c.Total)
	}
	if k := len(c.Breaks); k > 0 && *c.Breaks[k-1].Total != *c.Total {
		t.Fatalf("shop %d: the last break is %v of %v", n, *c.Breaks[k-1].Total, *c.Total)
	}
}

// nothingLost checks that all that is wanted is a line, and that what has no price
// stands apart.
func nothingLost(t *testing.T, n int, c *Cost, needs Needs) {
	t.Helper()
	var of []Bought
	for _, x := range needs.Other {
		if x.Quantity > 0 {
			of = append(of, x.What)
		}
	}
	rubber, without := 0.0, 0
	for _, l := range c.Lines {
		switch l.What.Kind {
		case BoughtRubber, ShelfRubber, UsedOfKits:
			rubber += l.Quantity * 1000
		case BoughtKit:
			rubber += l.Quantity * float64(l.What.Size)
		default:
			if i := slices.Index(of, l.What); i >= 0 {
				of = slices.Delete(of, i, i+1)
			}
		}
		if (l.Amount == nil) != (l.UnitPrice == nil) {
			t.Fatalf("shop %d: half a price: %+v", n, l)
		}
		if l.Amount == nil {
			if without >= len(c.Without) || c.Without[without].What != l.What {
				t.Fatalf("shop %d: %+v is not in %v", n, l.What, c.Without)
			}
			without++
		}
	}
	if len(of) > 0 || rubber < needs.Rubber.Mass-1e-6 || without != len(c.Without) {
		t.Fatalf("shop %d: lost %v, rubber %g of %g g, without %v", n, of, rubber, needs.Rubber.Mass, c.Without)
	}
}
