package rubber

import (
	"testing"

	"moldtally/estimate/material"
	"moldtally/mesh/finding"
)

func owned(name string, f material.Family, shore float64) Rubber {
	return Rubber{Name: name, Family: f, ShoreA: &material.Figure{Value: shore}, SG: material.Figure{Value: 1.1}, MixRatio: "1:1", MixBy: ByWeight, Own: true}
}

// What serves in stock comes before any rubber of the catalogue; what is named
// from there is marked, with what speaks against the stock.
func TestStockFirst(t *testing.T) {
	between := func(lo, hi float64) Range { return Range{Low: &lo, High: &hi, Preferred: hi} }
	tin, pu := owned("our-tin", material.Tin, 25), owned("our-pu", material.Polyurethane, 40)
	for _, c := range []struct {
		name          string
		own           []Rubber
		pattern, cast string
		r             Range
		want          string
		against       []Against
	}{
		{"the stock's tin, though platinum is better", []Rubber{tin}, "pla", "resin", between(10, 30), "our-tin", nil},
		{"two makes differ by so much", []Rubber{tin}, "", "", between(28, 40), "our-tin", nil},
		{"the nearer of two", []Rubber{owned("our-40", material.Tin, 40), tin}, "", "", between(10, 40), "our-40", nil},
		{"too soft", []Rubber{tin}, "", "", between(45, 60), "", []Against{OtherHardness}},
		{"another chemistry is cast in", []Rubber{pu}, "", "polyester", between(10, 60), "", []Against{NotForCasting}},
		{"it does not cure", []Rubber{owned("our-pt", material.Platinum, 25), pu}, "tin-silicone", "plaster", between(10, 30), "", []Against{DoesNotCure, OtherHardness}},
		{"nobody declared it for food", []Rubber{owned("our-pt", material.Platinum, 25)}, "", "chocolate", between(10, 30), "", []Against{NotForFood}},
		{"nobody knows what it is", []Rubber{{Name: "pail", SG: material.Figure{Value: 1.1}, MixRatio: "1:1", Own: true}}, "", "", between(10, 30), "", []Against{HardnessNotKnown}},
	} {
		n := Needs{Own: c.own, Range: c.r, Cast: casting(t, c.cast)}
		if c.pattern != "" {
			n.Pattern = pattern(t, c.pattern)
		}
		got, err := Choose(Request{}, n)
		if err != nil {
			t.Fatal(err)
		}
		if c.want != "" && (got.Name != c.want || got.Findings.Has(CodeNotOwned)) || c.want == "" && got.Own {
			t.Errorf("%s: got %s, %v; want %q", c.name, got.Name, got.Findings, c.want)
		}
		for _, f := range got.Findings {
			if f.Code != CodeNotOwned {
				continue
			}
			list := f.Facts.(NotOwned).Closer
			if len(list) != len(c.against) {
				t.Fatalf("%s: %v, want %v", c.name, list, c.against)
			}
			for i := range list {
				if list[i].By != c.against[i] {
					t.Errorf("%s: %v, want %v", c.name, list, c.against)
				}
			}
		}
	}
	if got, _ := Choose(Request{}, Needs{Range: between(10, 30)}); got.Own || got.Findings.Has(CodeNotOwned) {
		t.Errorf("without a stock: %s, %v", got.Name, got.Findings)
	}
}

// Of two that serve the one of which there is enough is taken, then what was
// opened first.
func TestStockByDate(t *testing.T) {
	lo, hi := 10.0, 30.0
	n := Needs{Range: Range{Low: &lo, High: &hi, Preferred: 25}, Volume: 1e6}
	a, b := owned("a", material.Tin, 25), owned("b", material.Tin, 25)
	a.Stock.Opened, b.Stock.Opened = Date{2026, 3, 1}, Date{2026, 1, 1}
	n.Own = []Rubber{a, b}
	if got, _ := Choose(Request{}, n); got.Name != "b" {
		t.Errorf("opened first: got %s", got.Name)
	}
	n.Own[1].Stock.Left = ptr(1100) // 1188 g with loss
	if got, _ := Choose(Request{}, n); got.Name != "a" {
		t.Errorf("not enough of it: got %s", got.Name)
	}
}

// A rest of rubber has to be named; one of unknown chemistry is refused.
func TestLeftover(t *testing.T) {
	one := []Rubber{owned("our-tin", material.Tin, 25)}
	two := append([]Rubber{owned("our-pt", material.Platinum, 25)}, one...)
	pail := append([]Rubber{{Name: "pail", SG: material.Figure{Value: 1.1}, MixRatio: "1:1", Own: true}}, one...)
	for _, c := range []struct {
		name string
		own  []Rubber
		want string
		code finding.Code
	}{
		{"", nil, "", CodeWhich}, {"", two, "", CodeWhich}, {"", one, "our-tin", CodeTestCup}, {"our-pt", two, "our-pt", CodeTestCup},
		{"pail", pail, "pail", CodeUnknown}, {"never heard of", two, "never heard of", CodeUnknown}, {"tin-25", two, "tin-25", CodeTestCup},
	} {
		got, err := Choose(Request{Name: c.name, Have: ptr(1000)}, Needs{Own: c.own})
		if err != nil || c.want != "" && got.Name != c.want || !got.Findings.Has(c.code) {
			t.Errorf("%q of %d: got %s, %v, %v; want %s with %s", c.name, len(c.own), got.Name, got.Findings, err, c.want, c.code)
		}
		worst, _ := got.Findings.Worst()
		if stop := c.code == CodeWhich || c.code == CodeUnknown; stop != (worst == finding.Stop) {
			t.Errorf("%q of %d: worst is %v", c.name, len(c.own), worst)
		}
	}
	if _, err := Choose(Request{Name: "never heard of"}, Needs{Own: two}); err == nil {
		t.Error("a name that nobody knows is taken, though no rest is to be used")
	}
}

// Shelf dates are judged for a given day alone; an opened polyurethane is stale
// after three months.
func TestAge(t *testing.T) {
	r := owned("our-pu", material.Polyurethane, 40)
	if Age(r, Date{2026, 5, 1}, false) != nil {
		t.Error("something is said of a rubber without a date")
	}
	r.Stock = Stock{Opened: Date{2026, 1, 31}, UseBy: Date{2026, 5, 31}}
	for _, c := range []struct {
		day         string
		past, stale bool
	}{{"", false, false}, {"2026-04-30", false, false}, {"2026-05-01", false, true}, {"2026-05-31", false, true}, {"2026-06-01", true, true}} {
		d, _ := ParseDate(c.day)
		f := Age(r, d, false)[0].Facts.(OldStock)
		if f.Past != c.past || f.Stale != c.stale {
			t.Errorf("%s: past %v, stale %v", c.day, f.Past, f.Stale)
		}
	}
	for _, s := range []string{"2026-02-29", "2026-13-01", "26-01-01", "2026-1-1", "2026-00-10", "2026-04-31", "+026-01-01"} {
		if d, ok := ParseDate(s); ok {
			t.Errorf("%s is taken for %v", s, d)
		}
	}
	if d, ok := ParseDate("2028-02-29"); !ok || d.String() != "2028-02-29" {
		t.Errorf("a leap day: %v", d)
	}
}

// No rubber is lighter than 0.9 or heavier than 1.6.
func TestGravityBounds(t *testing.T) {
	for v, ok := range map[float64]bool{0.89: false, 0.9: true, 1.6: true, 1.61: false, 7: false} {
		for _, q := range []Request{{SG: &v}, {SGA: &v}, {SGB: &v}, {In3PerLb: ptr(27.68 / v)}} {
			if err := q.Check(); (err == nil) != ok && !(q.In3PerLb != nil && (v == 0.9 || v == 1.6)) {
				t.Errorf("gravity %g: %v", v, err)
			}
		}
	}
}

// An original never gets a rubber that bonds to it, whatever is cast and whatever
// is in stock: a head of limestone was planned in 42 kg of hard polyurethane.
func TestOriginals(t *testing.T) {
	own := []Rubber{owned("our-pu", material.Polyurethane, 40)}
	for _, p := range material.Patterns() {
		for _, c := range material.Castings() {
			for _, original := range []bool{true, false} {
				got, err := Choose(Request{}, Needs{Own: own, Range: Suggest(Shape{Stretch: ptr(0.1), Path: ptr(5), Mouth: 300, Longest: 320, Original: original}, &c), Pattern: &p, Cast: &c, Original: original})
				if err != nil {
					t.Fatal(err)
				}
				if (original || p.Harms(got.Family)) && bonds(got.Family) {
					t.Errorf("%s cast in %s, original %v: %s", p.Name, c.Name, original, got.Name)
				}
				if _, hot := c.HottestC.Range(); original && c.Wants == "" && hot < 200 && got.ShoreA != nil && got.ShoreA.Value > OriginalAtMost+Near {
					t.Errorf("%s cast in %s: %g A is peeled off an original", p.Name, c.Name, got.ShoreA.Value)
				}
			}
		}
	}
	lime := pattern(t, "limestone")
	for _, c := range []struct {
		p        *material.Pattern
		f        material.Family
		original bool
		want     finding.Severity
	}{{lime, material.Polyurethane, true, finding.Stop}, {nil, material.Latex, true, finding.Stop}, {lime, material.Polyurethane, false, finding.Caution}} {
		if list := Grips(c.p, c.f, c.original); len(list) != 1 || list[0].Severity != c.want {
			t.Errorf("%s: %v", c.f, list)
		}
	}
	if Grips(lime, material.Platinum, true) != nil || Grips(nil, material.Polyurethane, false) != nil {
		t.Error("a rubber that does not grip is told of")
	}
}

// By what is cast and how many: few cheaply, many in what lasts; tin to 20 castings
// of resin, silicone to 40 of cement.
func TestByCopies(t *testing.T) {
	for _, c := range []struct {
		cast   string
		copies int
		want   material.Family
	}{
		{"resin", 0, material.Platinum}, {"resin", 3, material.Tin}, {"resin", 20, material.Platinum}, {"resin", 200, material.Platinum},
		{"concrete", 10, material.Polyurethane}, {"concrete", 100, material.Polyurethane}, {"plaster", 100, material.Polyurethane}, {"plaster", 10, material.Platinum},
		{"soap", 3, material.Platinum}, {"chocolate", 3, material.Platinum},
	} {
		m := casting(t, c.cast)
		got, err := Choose(Request{}, Needs{Range: Suggest(Shape{Stretch: ptr(0), Path: ptr(0), Mouth: 300, Longest: 120}, m), Cast: m, Copies: c.copies})
		if err != nil || got.Family != c.want {
			t.Errorf("%d of %s: %s, %v; want %s", c.copies, c.cast, got.Name, err, c.want)
		}
	}
	m, tin := casting(t, "resin"), owned("our-tin", material.Tin, 30)
	for copies, own := range map[int]bool{20: true, 21: false} {
		got, _ := Choose(Request{}, Needs{Own: []Rubber{tin}, Range: Suggest(Shape{Stretch: ptr(0), Path: ptr(0), Longest: 120}, m), Cast: m, Copies: copies})
		if got.Own != own {
			t.Errorf("%d castings of resin: %s", copies, got.Name)
		}
	}
}
