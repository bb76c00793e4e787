package estimate

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"moldtally/boxfit"
	"moldtally/estimate/labor"
	"moldtally/estimate/rubber"
	"moldtally/estimate/schedule"
	"moldtally/mesh"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/loose"
	"moldtally/mesh/demold/pose"
	"moldtally/mesh/finding"
)

// making300 is a plausible job by chance, without its pattern: a kind of mold, of a
// size, in a rubber, in a workshop.
type making300 struct {
	k   *known
	m   *method
	mix *mixing
	s   *Schedule
}

func randomMaking(t *testing.T, rnd *rand.Rand) making300 {
	t.Helper()
	job := Job{Irreplaceable: rnd.IntN(4) == 0, Shop: &Shop{}, Cast: []string{"", "resin", "plaster"}[rnd.IntN(3)], PatternMaterial: []string{"", "plaster-print", "oak"}[rnd.IntN(3)]}
	w := &job.Shop.Workshop
	if rnd.IntN(3) == 0 {
		w.Stir, w.PourRate, w.Cup = new(1+5*rnd.Float64()), new(200+600*rnd.Float64()), new(500+9000*rnd.Float64())
	}
	temp := 16 + 14*rnd.Float64()
	job.Temp = &temp
	j, err := job.resolve()
	if err != nil {
		t.Fatal(err)
	}
	mold := []demold.Mold{demold.Block, demold.TwoPart, demold.Cut, demold.Blanket, demold.Brushed, demold.Brushed, demold.Brushed}[rnd.IntN(7)]
	name := []string{"platinum-20", "tin-25", "polyurethane-40"}[rnd.IntN(3)]
	if mold == demold.Brushed {
		name = "platinum-brush-25"
	}
	longest := 30 * math.Pow(40, rnd.Float64())
	k := &known{job: j, survey: &mesh.Survey{Size: mesh.V(longest, longest/2, longest/2)}}
	coat := boxfit.CoatRule(mold, longest)
	f := &boxfit.Fit{Mold: mold, Kind: boxfit.Box, Wall: coat, Rubber: (0.2 + rnd.Float64()) * longest * longest * coat}
	f.RubberLow, f.RubberHigh = f.Rubber, f.Rubber*1.01
	if mold.Coated() {
		f.Kind, f.Shell = boxfit.Mother, &boxfit.Shell{Pieces: make([]boxfit.ShellPiece, 1+rnd.IntN(3)), Flange: 30}
	}
	if mold == demold.TwoPart {
		f.RubberBelow = new(f.Rubber * (0.3 + 0.4*rnd.Float64()))
	}
	if !mold.OnBoard() {
		f.Sprue, f.Vents = &boxfit.Channel{Diameter: 8}, make([]boxfit.Channel, rnd.IntN(3))
	}
	m := &method{trial: &trial{way: Way{Mold: mold}, look: &look{pose: &pose.Pose{Rect: [2]float64{longest, longest}}, report: &demold.Report{}}}, fit: f}
	m.verdict.Answer = ComesOut
	if mold == demold.Cut || mold.Coated() && rnd.IntN(2) == 0 {
		m.verdict.Answer = SlitIt
	}
	if mold.Coated() && rnd.IntN(4) == 0 {
		m.verdict.Answer = MakeTwoParts
	}
	m.judged = judged{Way: m.way, Report: &demold.Report{}, Two: &demold.Report{UndercutPath: p(0), Stretch: p(0)}}
	if rnd.IntN(4) == 0 {
		m.judged.Report.Loose = &loose.Result{Pieces: make([]loose.Piece, 1+rnd.IntN(2))}
	}
	m.two = m.judged.Two
	if mold == demold.Block && rnd.IntN(2) == 0 {
		m.way.Slit, m.verdict.Answer = true, SlitIt
	}
	if m.chosen, err = rubber.Choose(rubber.Request{Name: name}, rubber.Needs{Brushed: mold == demold.Brushed}); err != nil {
		t.Fatal(err)
	}
	m.mix = j.mixFor(m.chosen, k.room(m))
	m.work = k.laborOf(m)
	var c *Casting
	if j.cast != nil {
		c = &Casting{DemoldAfter: new(30 + 300*rnd.Float64())}
	}
	return making300{k, m, m.mix, m.mix.schedule(j.temp, c, &m.work, k.chores(m, nil))}
}

// Of three hundred jobs the order of work, the cups and the labor say the same: no cup
// outlives its pot life, no coat goes on before the one under it is tacky, what is
// stirred is what the pours list, and the hands at work are those that labor counts.
func TestOrderAgrees(t *testing.T) {
	rnd := rand.New(rand.NewPCG(12, 300))
	brushed, several := 0, 0
	for range 300 {
		x := randomMaking(t, rnd)
		if slices.ContainsFunc(x.mix.findings, func(f finding.Finding) bool { return f.Severity == finding.Stop }) {
			continue
		}
		x.cups(t)
		x.hands(t)
		if x.m.fit.Mold == demold.Brushed {
			brushed++
			if x.mix.mix.Findings.Has(rubber.CodeBatches) {
				several++
			}
		}
		at := func(d schedule.Doing) int {
			return slices.IndexFunc(x.s.Steps, func(s Step) bool { return s.What.Do == d })
		}
		chain := map[demold.Mold][]schedule.Doing{
			demold.Blanket: {schedule.FixDown, schedule.LayClay, schedule.BuildCase, schedule.ClearClay, schedule.RefitShell, schedule.Mix, schedule.PourThrough, schedule.Cure, schedule.TakeShellOff, schedule.PeelOff},
			demold.Brushed: {schedule.Mix, schedule.Brush, schedule.Cure, schedule.BuildShell, schedule.TakeShellOff, schedule.PeelOff},
			demold.TwoPart: {schedule.LayClayBed, schedule.PressKeys, schedule.BuildBox, schedule.Mix, schedule.TurnOver, schedule.BrushRelease, schedule.CloseBox, schedule.Open},
		}[x.m.fit.Mold]
		if x.m.coatHalves() {
			chain[0] = map[demold.Mold]schedule.Doing{demold.Blanket: schedule.LayClayBed, demold.Brushed: schedule.Mix}[x.m.fit.Mold]
		}
		for i := 1; i < len(chain); i++ {
			if at(chain[i]) <= at(chain[i-1]) {
				t.Fatalf("%s: step %d stands at %d, the one before at %d", x.m.fit.Mold, chain[i], at(chain[i]), at(chain[i-1]))
			}
		}
	}
	if brushed < 50 || several < 20 {
		t.Errorf("%d brushed, %d of them in several cups: too few to tell", brushed, several)
	}
}

// cups holds the steps of stirring and filling against pot life and pours.
func (x making300) cups(t *testing.T) {
	t.Helper()
	pot, tacky := *x.mix.pot, rubber.Tacky(*x.mix.demold, *x.mix.pot)
	type place struct {
		half rubber.Half
		coat int
		cup  int
	}
	var stirred []rubber.MixBatch
	for _, p := range x.mix.mix.Pours {
		stirred = append(stirred, p.Batches...)
	}
	begun, onto := map[place]float64{}, map[place]float64{} // stirred from, brushed until
	n := 0
	for _, s := range x.s.Steps {
		coat, cup := s.What.Coat, s.What.Nth
		if s.What.Coats > 0 && s.What.Batches == 0 {
			coat, cup = s.What.Nth, 1
		}
		at := place{s.Half, coat, cup}
		switch s.What.Do {
		case schedule.Mix:
			b := stirred[n]
			if float64(s.What.A) != *b.PartA || float64(s.What.B) != *b.PartB || b.Coat != coat {
				t.Fatalf("cup %d: the order of work stirs %g g and %g g for coat %d, the pours list %+v", n+1, s.What.A, s.What.B, coat, b)
			}
			n++
			begun[at] = s.Start
		case schedule.Brush, schedule.PourIn, schedule.PourThrough:
			if from := begun[at]; s.End > from+pot+1e-9 {
				t.Fatalf("%s: %v is stirred from %g, and on at %g: pot life %g", x.m.fit.Mold, at, from, s.End, pot)
			}
			under := at
			under.coat--
			if before, ok := onto[under]; ok && s.Start < before+tacky-1e-9 {
				t.Fatalf("%v is brushed on at %g, the coat under it was done at %g and is tacky %g later", at, s.Start, before, tacky)
			}
			onto[at] = s.End
		}
	}
	if n != len(stirred) {
		t.Fatalf("the order of work stirs %d cups, the pours list %d", n, len(stirred))
	}
}

// hands holds the hands of all steps against labor's minutes, but for planning, and
// for a trial or a sealer where there is none.
func (x making300) hands(t *testing.T) {
	t.Helper()
	var steps, counted float64
	has := map[schedule.Doing]bool{}
	for _, s := range x.s.Steps {
		steps += s.Hands
		has[s.What.Do] = true
		if s.Hands > s.End-s.Start+1e-9 || s.Hands < 0 {
			t.Fatalf("%+v has %g min of hands", s, s.Hands)
		}
	}
	w := x.m.work
	for task := labor.Planning; task < labor.OwnTime; task++ {
		takes := w.Takes(task)
		switch {
		case task == labor.Planning, task == labor.Sealing && !has[schedule.SealPattern], task == labor.Trying && !has[schedule.FirstCasting]:
			continue
		case task == labor.Pouring && takes > 0:
			if takes < x.mix.hands() {
				t.Fatalf("pouring takes %g min by labor, %g by its cups", takes, x.mix.hands())
			}
			takes = x.mix.hands()
		}
		counted += takes
	}
	if math.Abs(steps-counted) > 1e-6 {
		t.Fatalf("%s, %s: hands are at work for %g min by the order of work, for %g by labor", x.m.fit.Mold, x.m.verdict.Answer, steps, counted)
	}
}
