package money

import (
	"math"
	"math/rand/v2"
	"testing"
)

func must(t *testing.T, s string) Amount {
	t.Helper()
	a, err := Parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func TestParseAndPrint(t *testing.T) {
	for s, want := range map[string]string{"12": "12.00", "0.0385": "0.0385", "-3.5": "-3.50", ".5": "0.50", "1.": "1.00", "0.000001": "0.000001", "99999999.99": "99999999.99"} {
		if got := must(t, s).String(); got != want {
			t.Errorf("%s: got %s, want %s", s, got, want)
		}
	}
	for _, s := range []string{"", ".", "1,5", "1e3", "0.0000001", "12 EUR", "99999999999999999999", "--1"} {
		if a, err := Parse(s); err == nil {
			t.Errorf("%q: got %v, want an error", s, a)
		}
	}
	for _, f := range []float64{math.NaN(), math.Inf(1), 1e19} {
		if _, err := FromFloat(f); err == nil {
			t.Errorf("%g: want an error", f)
		}
	}
}

func TestExact(t *testing.T) {
	// 0.1 ten times is 1; three times 0.1 is 0.3.
	a, _ := FromFloat(0.1)
	var sum Amount
	for range 10 {
		sum += a
	}
	if sum != Unit || 3*a != must(t, "0.3") || a.Float() != 0.1 {
		t.Errorf("0.1 is not exact: %v", sum)
	}
	p := must(t, "0.0385")
	if got, _ := p.Times(1234.5); got != must(t, "47.52825") || CurrencyOf("EUR").Round(got) != must(t, "47.53") {
		t.Errorf("got %v", got)
	}
	if got := CurrencyOf("EUR").Round(must(t, "2.345")); got != must(t, "2.35") {
		t.Errorf("half cent: got %v, want 2.35", got)
	}
	if got := CurrencyOf("EUR").Round(must(t, "-2.345")); got != must(t, "-2.35") {
		t.Errorf("half cent: got %v, want -2.35", got)
	}
	if _, err := must(t, "1000000000").Times(1e6); err == nil {
		t.Error("an overflow goes unnoticed")
	}
}

func TestMargin(t *testing.T) {
	c := must(t, "200")
	for g, want := range map[float64]string{20: "250", 25: "266.67", 30: "285.71", 40: "333.33", 50: "400", 60: "500"} {
		if got, err := c.WithMargin(g); err != nil || CurrencyOf("EUR").Round(got) != must(t, want) {
			t.Errorf("200 at a margin of %g %%: got %v, want %s", g, got, want)
		}
	}
	// materials 90 + 12 + 3, labor 2.5 h at 40, overhead 20 %, margin 40 %, 40 pulls.
	labor, _ := must(t, "40").Times(2.5)
	sum := must(t, "105") + labor
	over, _ := sum.Percent(20)
	price, _ := (sum + over).WithMargin(40)
	if sum != must(t, "205") || over != must(t, "41") || price != must(t, "410") || price/2 != must(t, "205") {
		t.Errorf("got %v + %v, price %v", sum, over, price)
	}
	if wear := (sum + over) / 40; wear != must(t, "6.15") {
		t.Errorf("wear: got %v, want 6.15", wear)
	}
	if _, err := c.WithMargin(100); err == nil {
		t.Error("a margin of all the price has no price")
	}
}

func TestKitsWorkedExample(t *testing.T) {
	kits := []Kit{{1000, 30 * Unit}, {5000, 120 * Unit}}
	for need, want := range map[float64]Amount{2400: 90 * Unit, 6200: 180 * Unit, 5000: 120 * Unit, 1: 30 * Unit} {
		if _, got := Cheapest(kits, need); got != want {
			t.Errorf("%g g: got %v, want %v", need, got, want)
		}
	}
	if b, c := Cheapest(nil, 5); b != nil || c != 0 {
		t.Errorf("no kits: got %v", b)
	}
	if b, _ := Cheapest(kits, 0); b != nil {
		t.Errorf("no need: got %v", b)
	}
}

// The search against trying every combination.
func TestKitsBruteForce(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	for range 400 {
		kits := make([]Kit, 1+rnd.IntN(3))
		for i := range kits {
			kits[i] = Kit{float64(5 + rnd.IntN(40)), Amount(1+rnd.IntN(200)) * Cent}
		}
		need := 1 + rnd.Float64()*90
		type result struct {
			cost  Amount
			total float64
			kits  int
		}
		best := result{math.MaxInt64, 0, 0}
		var try func(i int, r result)
		try = func(i int, r result) {
			if r.total >= need {
				if r.cost < best.cost || r.cost == best.cost && (r.total < best.total || r.total == best.total && r.kits < best.kits) {
					best = r
				}
				return
			}
			for k := i; k < len(kits); k++ {
				try(k, result{r.cost + kits[k].Price, r.total + kits[k].SizeG, r.kits + 1})
			}
		}
		try(0, result{})
		buys, cost := Cheapest(kits, need)
		got := result{cost: cost}
		for _, b := range buys {
			got.total += b.Kit.SizeG * float64(b.Count)
			got.kits += b.Count
		}
		if got != best {
			t.Fatalf("seed 3,4: %v for %g g: got %+v, want %+v", kits, need, got, best)
		}
	}
}

// Tonnes of rubber are still covered, and at no more than the bulk price.
func TestKitsBulk(t *testing.T) {
	kits := []Kit{{453, 11 * Unit}, {3629, 80 * Unit}}
	need := 2.5e7
	buys, cost := Cheapest(kits, need)
	total := 0.0
	for _, b := range buys {
		total += float64(b.Count) * b.Kit.SizeG
	}
	bulk := Amount(math.Ceil(need/3629)) * 80 * Unit
	if total < need || cost > bulk {
		t.Errorf("25 t: %g g for %v, all in the large kit is %v", total, cost, bulk)
	}
}

// Amounts are whole coins of their currency: yen, cents, fils; of a currency that is
// in no list, cents. Halves go away from zero.
func TestCoins(t *testing.T) {
	for _, c := range []struct{ name, in, want, down string }{
		{"EUR", "12.345", "12.35", "12.34"}, {"EUR", "-12.345", "-12.35", "-12.34"}, {"JPY", "1234.5", "1235.00", "1234.00"}, {"KWD", "1.23450", "1.235", "1.234"},
		{"", "0.005", "0.01", "0.00"}, {"taler", "2.344999", "2.34", "2.34"}, {"eur", "2.345", "2.35", "2.34"},
	} {
		cur := CurrencyOf(c.name)
		if got, down := cur.Round(must(t, c.in)), cur.Down(must(t, c.in)); got != must(t, c.want) || down != must(t, c.down) {
			t.Errorf("%s %s: got %v and %v, want %s and %s", c.name, c.in, got, down, c.want, c.down)
		}
	}
	if CurrencyOf("JPY").Decimals() != 0 || CurrencyOf("CHF").Decimals() != 2 {
		t.Error("decimals of a currency")
	}
}
