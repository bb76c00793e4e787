package rubber

import (
	"math"
	"testing"

	"moldtally/estimate/material"
	"moldtally/estimate/money"
	"moldtally/mesh/finding"
)

func ptr(v float64) *float64 { return &v }

func pattern(t *testing.T, name string) *material.Pattern {
	p, ok := material.FindPattern(name)
	if !ok {
		t.Fatalf("no pattern material %s", name)
	}
	return &p
}

func casting(t *testing.T, name string) *material.Casting {
	if name == "" {
		return nil
	}
	c, ok := material.FindCasting(name)
	if !ok {
		t.Fatalf("no casting %s", name)
	}
	return &c
}

func TestAutoChoiceRespectsChemistryAndHeat(t *testing.T) {
	rng := Suggest(Shape{Stretch: ptr(0.3), Path: ptr(6), Mouth: 150}, nil)
	for _, c := range []struct {
		pattern, cast string
		want          material.Family
	}{
		{"", "", material.Platinum}, {"pla", "", material.Platinum}, {"sulfur-clay", "", material.Tin}, {"tin-silicone", "", material.Tin},
		{"photopolymer", "resin", material.Tin}, {"plaster", "", material.Platinum}, {"", "concrete", material.Polyurethane}, {"", "tin-alloy", material.Tin}, {"", "chocolate", material.Platinum},
		{"water-clay", "concrete", material.Platinum},
	} {
		n := Needs{Range: rng, Cast: casting(t, c.cast)}
		if c.pattern != "" {
			n.Pattern = pattern(t, c.pattern)
		}
		got, err := Choose(Request{}, n)
		if err != nil {
			t.Fatal(err)
		}
		if got.Family != c.want && !(c.pattern == "water-clay" && got.Family != material.Polyurethane) {
			t.Errorf("%q cast in %q: got %s, want %s", c.pattern, c.cast, got.Name, c.want)
		}
		if n.Pattern != nil {
			if w, _ := Cures(n.Pattern, got.Family).Worst(); w == finding.Stop {
				t.Errorf("%q: auto chose %s, which does not cure", c.pattern, got.Name)
			}
		}
		if n.Cast != nil && got.HeatLimit.Value < n.Cast.HottestC.Value {
			t.Errorf("%q: auto chose %s, which does not stand the heat", c.cast, got.Name)
		}
	}
}

func TestDataSheetWins(t *testing.T) {
	c, err := Choose(Request{In3PerLb: ptr(25), Mix: &[2]float64{1, 1}}, Needs{})
	if err != nil || !near(c.Density, 1.107196, 1e-6) || c.Ratio != (Ratio{1, 1}) || !c.Sheet || c.PotLife != nil || len(c.Findings) != 0 {
		t.Errorf("got %+v, %v", c, err)
	}
	c, _ = Choose(Request{Name: "tin-20", SG: ptr(1.15)}, Needs{})
	if c.Density != 1.15 || c.Ratio != (Ratio{100, 10}) || c.Name != "tin-20" {
		t.Errorf("got %+v", c)
	}
	c, _ = Choose(Request{SGA: ptr(1.10), SGB: ptr(1.02), Mix: &[2]float64{1, 1}, MixBy: "volume"}, Needs{})
	if !near(c.Density, 1.06, 1e-9) || !c.ByVolume {
		t.Errorf("1:1 by volume: got %g", c.Density)
	}
	c, _ = Choose(Request{SG: ptr(1.2)}, Needs{})
	if !c.Findings.Has(CodeAssumed) {
		t.Error("an assumed ratio goes unsaid")
	}
	negative := money.Amount(-1)
	for _, q := range []Request{{SG: ptr(0)}, {SG: ptr(-1)}, {In3PerLb: ptr(0)}, {Mix: &[2]float64{0, 1}}, {MixBy: "cups"}, {Extra: ptr(-1)}, {WeighTo: ptr(0)}, {PricePerKg: &negative}, {Name: "no such"}, {SG: ptr(1.1), In3PerLb: ptr(20)}} {
		if _, err := Choose(q, Needs{}); err == nil {
			t.Errorf("%+v: want an error", q)
		}
	}
	c, _ = Choose(Request{Name: "latex-brush"}, Needs{})
	if !c.Findings.Has(CodeBrush) {
		t.Error("poured latex goes unsaid")
	}
}

func TestPatchTestAlways(t *testing.T) {
	for _, p := range material.Patterns() {
		for _, f := range append(material.Families, material.Latex) {
			list := Cures(&p, f)
			if len(list) != 1 {
				t.Fatalf("%s, %s: %d findings", p.Name, f, len(list))
			}
			if p.Untouchable {
				if list[0].Code != CodeUntouched || list[0].Severity != finding.Stop {
					t.Errorf("%s, %s: %+v", p.Name, f, list[0])
				}
				continue
			}
			if x := list[0]; x.Facts.(Meets).Pattern != p.What {
				t.Errorf("%s, %s: %+v", p.Name, f, x)
			}
			c, _ := p.Against(f)
			if (list[0].Severity == finding.Stop) != c.No {
				t.Errorf("%s, %s: severity %v for %+v", p.Name, f, list[0].Severity, c)
			}
		}
	}
	if Cures(nil, material.Tin) != nil {
		t.Error("something is said of an unknown pattern")
	}
}

func TestSuggest(t *testing.T) {
	slab := Shape{Stretch: ptr(0), Path: ptr(0), Mouth: 2000, Longest: 650}
	tile := Shape{Stretch: ptr(0), Path: ptr(0), Mouth: 500, Longest: 150}
	deep := Shape{Stretch: ptr(0.67), Path: ptr(12), Gap: 15, Mouth: 113, Wall: 12, Longest: 150}
	box := Shape{Stretch: ptr(0), Path: ptr(0), Mouth: 400, Longest: 120, Pieces: 2, Angular: true}
	for _, c := range []struct {
		name      string
		s         Shape
		cast      string
		low, high float64
		conflict  bool
	}{
		{"tile for resin: any", tile, "resin", 10, 60, false},
		{"the same with dusted powder: soft", tile, "cold-cast-bronze", 10, 30, false},
		{"deep figure: soft", deep, "resin", 10, 20, false},
		{"keyed box for foam: firm", box, "foam-rigid", 30, 60, false},
		{"large slab: firmer", slab, "", 30, 60, false},
		{"large slab with powder: powder wins", slab, "cold-cast-bronze", 20, 30, true},
		{"deep figure for foam: nothing does both, and foam presses soft rubber out", deep, "foam-rigid", 30, 30, true},
		{"mushroom", Shape{Stretch: ptr(2.01), Path: ptr(20), Mouth: 63, Longest: 60}, "", 10, 15, false},
		{"locked: no softness helps", Shape{Stretch: ptr(0.1), Longest: 150}, "", 10, 60, false},
		{"far beyond any rubber: likewise", Shape{Stretch: ptr(3), Path: ptr(0), Longest: 150}, "", 10, 60, false},
		{"a large block is no jelly", Shape{Stretch: ptr(0.9), Path: ptr(20), Gap: 60, Mouth: 300, Wall: 25, Longest: 420}, "", 15, 20, true},
	} {
		r := Suggest(c.s, casting(t, c.cast))
		if *r.Low != c.low || *r.High > c.high || *r.High < c.high-6 || (r.Conflict != nil) != c.conflict {
			t.Errorf("%s: got %.1f to %.1f A, conflict %v; want %g to about %g, %v\n  low: %v\n  high: %v", c.name, *r.Low, *r.High, r.Conflict, c.low, c.high, c.conflict, r.LowReason, r.HighReason)
		}
		if r.Preferred < *r.Low || r.Preferred > *r.High {
			t.Errorf("%s: prefers %g outside %g to %g", c.name, r.Preferred, *r.Low, *r.High)
		}
	}
}

// What lets go of a large block would be jelly: no hardness serves, and that is
// shown; small it is no trouble. Flat faces in halves are kept in register.
func TestNoJellyBlock(t *testing.T) {
	ball := Shape{Stretch: ptr(0.67), Path: ptr(0), Wall: 22, Longest: 320, Profiles: []Profile{ballOnStem(16, 26, 26)}}
	r := Suggest(ball, nil)
	if !r.Unmet || r.Conflict == nil || r.Conflict.Wins != SizeWins || *r.Low != softestLarge || r.Conflict.HighShore >= softestLarge {
		t.Errorf("a large block: %g to %g A, %+v", *r.Low, *r.High, r.Conflict)
	}
	if c, _ := Choose(Request{}, Needs{Range: r}); c.ShoreA == nil || c.ShoreA.Value < softestLarge {
		t.Errorf("chosen is %s", c.Name)
	}
	box := Suggest(Shape{Stretch: ptr(0), Path: ptr(0), Mouth: 300, Longest: 80, Pieces: 2, Angular: true}, casting(t, "resin"))
	if c, _ := Choose(Request{}, Needs{Range: box, Cast: casting(t, "resin")}); box.Preferred != 40 || c.ShoreA.Value != 40 {
		t.Errorf("a housing in halves: prefers %g A, %s", box.Preferred, c.Name)
	}
}

func TestStands(t *testing.T) {
	for _, c := range []struct {
		s, comfortable, limit float64
		f                     material.Family
	}{{8.5, 1, 2, material.Tin}, {18.5, .75, 1.5, material.Tin}, {28.5, .5, 1, material.Platinum}, {43, .3, .75, material.Platinum}, {55, .15, .4, material.Platinum}, {56, .3, 1, material.Polyurethane}} {
		a, b := Stands(c.s, c.f, 0)
		if !near(a, c.comfortable, 1e-9) || !near(b, c.limit, 1e-9) {
			t.Errorf("%g A %s: got %g, %g, want %g, %g", c.s, c.f, a, b, c.comfortable, c.limit)
		}
	}
	last := 2.0
	for s := 5.0; s <= 95; s++ {
		a, b := Stands(s, material.Platinum, 0)
		if a > last || b < a {
			t.Errorf("%g A: comfortable %g, limit %g, the softer one %g", s, a, b, last)
		}
		last = a
	}
	if a, b := Stands(20, material.Platinum, 200); a != 0.5 || b != 1 {
		t.Errorf("a data sheet's 200 %%: got %g, %g", a, b)
	}
}

func TestStripByBodies(t *testing.T) {
	// Leaning post: no growth, all bending; blind hole: a pocket too deep; vase: squeeze.
	lean := Shape{Stretch: ptr(0), Path: ptr(40), Gap: 24, Mouth: 63, Wall: 12}
	if v := lean.Strip(); v.Value == nil || *v.Value > 0.3 || lean.TooDeep() {
		t.Errorf("leaning post: %+v", v)
	}
	hole := Shape{Stretch: ptr(0), Path: ptr(98), Gap: 20, Mouth: 400, Wall: 12, Pocket: true}
	if !hole.TooDeep() {
		t.Error("a hole 98 mm deep in a cube of 100 should be opened")
	}
	vase := Shape{Stretch: ptr(0.1), Path: ptr(5), Squeeze: 0.2, Mouth: 200}
	if v := vase.Strip(); !near(*v.Value, 0.5625, 1e-9) {
		t.Errorf("a fifth squeezed: got %g, want 0.5625", *v.Value)
	}
}

// What the copies wanted allow: a quarter, a third, half of the elongation.
func TestLife(t *testing.T) {
	for _, c := range []struct {
		copies int
		name   Life
		share  float64
	}{{0, "long", 0.25}, {1, "few", 0.5}, {5, "few", 0.5}, {6, "normal", 0.33}, {30, "normal", 0.33}, {31, "long", 0.25}, {500, "long", 0.25}} {
		if n, s := LifeFor(c.copies); n != c.name || s != c.share {
			t.Errorf("%d copies: got %s, %g", c.copies, n, s)
		}
	}
	// With an elongation at break of 200 % the shares are of that.
	for _, share := range []float64{0.25, 0.33, 0.5} {
		if got := Allowed(20, material.Platinum, 200, share); !near(got, 2*share, 1e-9) {
			t.Errorf("share %g of 200 %%: got %g", share, got)
		}
	}
	s := Shape{Stretch: ptr(0.4), Path: ptr(0), Mouth: 60, Wall: 6}
	last := 0.0
	for _, n := range []int{100, 20, 3} {
		s.Copies = n
		r := Suggest(s, nil)
		if r.AskedHigh <= last {
			t.Errorf("%d copies allow %g A, more copies %g", n, r.AskedHigh, last)
		}
		last = r.AskedHigh
	}
}

// Every bound has its number and its source.
func TestBoundsHaveSources(t *testing.T) {
	for _, cast := range append(material.Castings(), material.Casting{}) {
		for _, s := range []Shape{
			{Stretch: ptr(0.8), Path: ptr(17), Gap: 20, Mouth: 270, Profiles: []Profile{ballOnStem(20, 38, 50)}, Wall: 9, Head: 165, Longest: 165},
			{Stretch: ptr(0), Path: ptr(0), Mouth: 2000, Longest: 650, Head: 25, Wall: 25, Angular: true},
			{Stretch: ptr(0.05), Path: ptr(30), Squeeze: 0.2, Root: 40, Mouth: 200, Pieces: 2, Head: 100},
			{Stretch: ptr(3), Path: ptr(8), Mouth: 200}, {Path: ptr(8), Mouth: 200}, {Stretch: ptr(0.1), Mouth: 200},
		} {
			c := &cast
			if cast.Name == "" {
				c = nil
			}
			r := Suggest(s, c)
			if r.HighSource.Facts == nil || r.LowSource.Facts == nil && r.Conflict == nil {
				t.Errorf("%s: %+v: a bound without a source: %v, %v", cast.Name, s, r.LowSource, r.HighSource)
			}
			for _, w := range r.Wants {
				if w.Source.Facts == nil || w.Why.Facts == nil || w.ShoreA < Softest || w.ShoreA > Hardest+20 {
					t.Errorf("%s: %+v", cast.Name, w)
				}
			}
		}
	}
}

// Hands: the straight pull and the opening of a ring, whichever is more, bound the
// hardness; a rim that can be turned back is peeled; a slit leaves the lip.
func TestHands(t *testing.T) {
	ball := Shape{Stretch: ptr(0.67), Path: ptr(0), Wall: 10, Profiles: []Profile{ballOnStem(12, 20, 20)}}
	held := ball.Held()
	if h := held.Hands(); held.Peel != nil || h.How.By != DrawingStraight || h != held.Pull || held.Open.OverG >= h.OverG {
		t.Errorf("a thick ball: %+v", held)
	}
	r := Suggest(ball, nil)
	h := held.Hands()
	if at := r.AskedHigh; h.In(at) > HandN || h.In(at+1) <= HandN {
		t.Errorf("hands stop at %g A: %g N there, %g N one firmer", at, h.In(at), h.In(at+1))
	}
	// Twice as large it takes four times as much, which no rubber is soft enough for.
	big := Shape{Stretch: ptr(0.67), Path: ptr(0), Wall: 20, Profiles: []Profile{ballOnStem(24, 40, 40)}}
	b := big.Held().Hands()
	if !near(b.OverG, 4*h.OverG, 1e-9) {
		t.Errorf("twice as large it takes %g, want four times %g", b.OverG, h.OverG)
	}
	if _, ok := b.Most(); ok {
		t.Errorf("%g N in the softest rubber is no more than a hand pulls", b.In(Softest))
	}
	if ball.Released().OverG >= held.Pull.OverG || ball.InContainer() < 1.4*held.Pull.OverG {
		t.Errorf("release %g, pull %g, in the container %g", ball.Released().OverG, held.Pull.OverG, ball.InContainer())
	}
	ball.Slit = true
	if got := ball.Held().Hands(); got.OverG != 0 {
		t.Errorf("slit: got %g", got.OverG)
	}
	// A vase in a thin coat is peeled, and never drawn out of its mother mold.
	coat := Shape{Stretch: ptr(0.2), Path: ptr(0), Wall: 3, Even: true, Profiles: []Profile{vase(27.5, 2.5, 80)}}
	if got := coat.Held(); got.Peel == nil || got.Hands().How.By != TurningBack || got.Peel.OverG >= got.Pull.OverG || !math.IsInf(coat.InContainer(), 1) {
		t.Errorf("a coat: %+v, in its mother mold %g", got, coat.InContainer())
	}
	// A lip and a tongue, in any unit of length: a tongue of 20 mm drawn to 1.5625
	// times its length.
	tongue := Shape{Stretch: ptr(0), Path: ptr(0), Squeeze: 0.2, Root: 20, Mouth: 100}
	e, _ := Young(20)
	if got, want := tongue.Held().Hands().In(20), RingStress(1.5625)*e*314.159265; !near(got, want, 1e-6) {
		t.Errorf("tongue: got %g N, want %g", got, want)
	}
	lip := func(k float64) float64 {
		return Shape{Path: ptr(9 * k), Gap: 30 * k, Wall: 12 * k}.Held().Hands().OverG
	}
	if got := lip(2) / lip(1); !near(got, 4, 1e-12) {
		t.Errorf("a lip twice as large takes %g times as much, want 4", got)
	}
}

// What opens an empty range, with numbers that hold when they are tried.
func TestWays(t *testing.T) {
	deep := Shape{Stretch: ptr(0.67), Path: ptr(12), Gap: 15, Mouth: 113, Wall: 12, Longest: 150, Head: 150}
	foam := casting(t, "foam-rigid")
	if r := Suggest(deep, foam); !r.Empty() {
		t.Fatalf("a deep figure for foam: got %g to %g A, want none", r.AskedLow, r.AskedHigh)
	}
	ways := Ways(deep, foam)
	slit := -1
	for i, w := range ways {
		if w.What.By == BySlit {
			slit = i
		}
		if w.Opens != (w.Low <= w.High) {
			t.Errorf("%+v", w)
		}
	}
	if slit < 0 || !ways[slit].Opens {
		t.Errorf("a slit should open it: %+v", ways)
	}
	s := deep
	s.Slit = true
	if r := Suggest(s, foam); slit >= 0 && (r.AskedLow != ways[slit].Low || r.AskedHigh != ways[slit].High) {
		t.Errorf("slit: told %+v, is %g to %g", ways[slit], r.AskedLow, r.AskedHigh)
	}
	pocket := Shape{Stretch: ptr(0), Path: ptr(14), Gap: 10, Pocket: true, Next: ptr(0), Mouth: 150, Wall: 10, Longest: 100, Head: 60}
	found := false
	for _, w := range Ways(pocket, casting(t, "concrete")) {
		found = found || w.What.By == ByPlug && w.Opens
	}
	if !found {
		t.Errorf("a plug should open it: %+v", Ways(pocket, casting(t, "concrete")))
	}
}

// A mold by itself: 150 wide, 100 high, 15 thick in 30 A bows by 4.857 mm; a wall
// that folds under itself does not stand at all.
func TestStand(t *testing.T) {
	m := Stand{Width: 150, Height: 100, Wall: 15, Head: 100, CastSG: 1.1, SG: 1.1}
	if w, ok := m.Gives(30); !near(w, 4.8570, 2e-4) || !ok {
		t.Errorf("got %g mm, %v", w, ok)
	}
	if _, ok := (Stand{Width: 100, Height: 240, Wall: 12, Head: 1, CastSG: 1e-6, SG: 1.1}).Gives(30); ok {
		t.Error("a wall of 12 mm, 240 mm high, stands in 30 A; it folds at 237")
	}
	small := Stand{Width: 60, Height: 30, Wall: 12, Head: 25, CastSG: 1.1, SG: 1.1}
	at, ok := small.Softest()
	w, _ := small.Gives(at)
	if !ok || w > Tolerance {
		t.Errorf("small box: %g A, %v, gives %g mm", at, ok, w)
	}
	if at > Softest {
		if w, _ := small.Gives(at - 1); w <= Tolerance {
			t.Errorf("%g A does too: %g mm", at-1, w)
		}
	}
}
