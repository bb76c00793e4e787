package estimate

import (
	"flag"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"moldtally/estimate/material"
	"moldtally/estimate/rubber"
	"moldtally/mesh/demold"
	"moldtally/mesh/demold/loose"
	"moldtally/mesh/demold/strip"
	"moldtally/mesh/demold/undercut"
)

var update = flag.Bool("update", false, "rewrite the golden files")

func p(v float64) *float64 { return &v }
func n(v int) *int         { return &v }

// cases are what a demold report says of ten usual jobs, sizes from real work.
func cases() []struct {
	name, cast       string
	mold             demold.Mold
	chosen, angular  bool
	longest          float64
	report, twoParts *demold.Report
} {
	// A round knob: mouth and neck straight up to a bulge as long as itself.
	knob := func(neck, bulge, high float64) []strip.Profile {
		p := strip.Profile{Step: high / 128, Perimeter: make([]float64, 128)}
		for k := range p.Perimeter {
			p.Perimeter[k] = neck + (bulge-neck)*max(0, math.Sin(math.Pi*(float64(k)/64-1)))
		}
		return []strip.Profile{p}
	}
	mouth := func(per float64) strip.Mouth { return strip.Mouth{Perimeter: per} }
	reg := func(kind undercut.Kind, path, vol, area float64) []undercut.Region {
		return []undercut.Region{{ID: 1, Kind: kind, Depth: path, Path: p(path), Volume: vol, Area: area}}
	}
	type c = struct {
		name, cast       string
		mold             demold.Mold
		chosen, angular  bool
		longest          float64
		report, twoParts *demold.Report
	}
	clean := func(per float64) *demold.Report {
		return &demold.Report{UndercutPath: p(0), Stretch: p(0), Tunnels: n(0), Mouth: mouth(per)}
	}
	return []c{
		{"tile", "resin", demold.Block, false, false, 150, clean(600), nil},
		{"tile, dusted bronze", "cold-cast-bronze", demold.Block, false, false, 150, clean(600), nil},
		{"lettered plaque", "", demold.Block, false, true, 200, &demold.Report{UndercutPath: p(0.6), UndercutDepth: 0.6, Stretch: p(0.002), Tunnels: n(0), Mouth: mouth(640), Regions: reg("overhang", 0.6, 30, 60)}, nil},
		{"coin", "", demold.Block, false, false, 38, clean(120), nil},
		{"bust", "plaster", demold.Block, false, false, 220, &demold.Report{UndercutPath: p(14), UndercutDepth: 14, Stretch: p(0.22), StretchNeck: p(360), Profiles: knob(360, 440, 220), Tunnels: n(0), Mouth: mouth(420), Regions: reg("neck", 14, 90000, 9000)}, nil},
		{"curved horn", "resin", demold.Block, false, false, 160, &demold.Report{UndercutPath: p(45), UndercutDepth: 45, Stretch: p(0), Tunnels: n(0), Mouth: mouth(120), Regions: reg("overhang", 45, 60000, 5000)}, nil},
		{"mug", "resin", demold.Block, false, false, 110, &demold.Report{UndercutPath: p(30), UndercutDepth: 30, Stretch: p(0.3), Squeeze: 0.03, Tunnels: n(1), Mouth: mouth(250), Regions: reg("tunnel", 30, 20000, 3000)},
			&demold.Report{UndercutPath: p(3), Stretch: p(0.05), Squeeze: 0.02, Tunnels: n(1), Mouth: mouth(300)}},
		{"arch", "", demold.Block, false, false, 120, &demold.Report{UndercutPath: p(20), UndercutDepth: 40, Stretch: p(0.1), Tunnels: n(1), Mouth: mouth(160), Regions: reg("tunnel", 20, 50000, 6000)}, nil},
		{"finial", "resin", demold.Block, false, false, 180, &demold.Report{UndercutPath: p(11), UndercutDepth: 11, Stretch: p(0.58), StretchNeck: p(119), Profiles: knob(119, 188, 180), Tunnels: n(0), Mouth: mouth(119), Regions: reg("neck", 11, 30000, 5000)}, nil},
		{"large slab", "concrete", demold.Block, false, false, 700, clean(2200), nil},
		{"keyed box for foam", "foam-rigid", demold.TwoPart, true, true, 140, clean(440), nil},
		{"mushroom", "resin", demold.Block, false, false, 60, &demold.Report{UndercutPath: p(20), UndercutDepth: 20, Stretch: p(2.0), StretchNeck: p(63), Profiles: knob(63, 189, 60), Tunnels: n(0), Mouth: mouth(63), Regions: reg("neck", 20, 50000, 5000)}, nil},
		{"ball on a point", "resin", demold.Block, false, false, 50, &demold.Report{UndercutPath: p(24), UndercutDepth: 24, Stretch: nil, StretchClay: true, Tunnels: n(0), Mouth: mouth(4), Regions: reg("neck", 24, 16000, 3900)}, clean(157)},
		{"leaning post", "", demold.Block, false, false, 100, &demold.Report{UndercutPath: p(40), UndercutDepth: 40, Stretch: p(0), Tunnels: n(0), Mouth: mouth(63), Regions: reg("overhang", 40, 40000, 3400)}, nil},
		{"blind cross hole", "", demold.Block, false, true, 100, &demold.Report{UndercutPath: p(98), UndercutDepth: 50, Stretch: p(0), Tunnels: n(0), Mouth: mouth(400), Regions: reg("pocket", 98, 30000, 3000)}, nil},
		{"cavity with no way out", "", demold.Block, false, false, 100, &demold.Report{UndercutPath: nil, UndercutDepth: 12, UndercutDepthAt: &[3]float64{10, 20, 30}, Stretch: p(0.1), Tunnels: n(0), Mouth: mouth(300)}, nil},
		{"narrow-necked vase, inside too", "", demold.Block, false, false, 200, &demold.Report{UndercutPath: p(18), UndercutDepth: 18, Stretch: p(0.2), StretchNeck: p(250), Profiles: knob(250, 300, 200), Squeeze: 0.45, Tunnels: n(0), Mouth: mouth(250), Regions: reg("pocket", 18, 90000, 9000)}, nil},
	}
}

// The table is read by eye for sense; a change of a rule shows here.
func TestVerdictTable(t *testing.T) {
	var b strings.Builder
	for _, c := range cases() {
		var cast *material.Casting
		if m, ok := material.FindCasting(c.cast); ok {
			cast = &m
		}
		s := shapeOf(c.report, c.mold, 12, c.longest, c.angular)
		v := decide(judged{Way: Way{Mold: c.mold}, Report: c.report, Shape: s, Two: c.twoParts})
		s.Slit = s.Slit || v.Answer == SlitIt
		r := rubber.Suggest(s, cast)
		fmt.Fprintf(&b, "%s, for %s in %s: %s, %.0f to %.0f A, look for %.0f\n", c.name, orNothing(c.cast), c.mold, v.Answer, *r.Low, *r.High, r.Preferred)
		for _, w := range v.Because {
			fmt.Fprintf(&b, "    because %s\n", said(w))
		}
		fmt.Fprintf(&b, "    low:  %s\n    high: %s\n", said(r.LowReason), said(r.HighReason))
		if r.Conflict != nil {
			fmt.Fprintf(&b, "    %s\n", said(*r.Conflict))
		}
	}
	golden(t, "testdata/verdicts.txt", b.String())
}

func orNothing(s string) string {
	if s == "" {
		return "anything"
	}
	return s
}

func golden(t *testing.T, file, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs (go test -run %s -update rewrites it; read it before you commit it); got:\n%s", file, t.Name(), got)
	}
}

// A mold in halves frees an opening only where the parting runs through it.
func TestWebsInHalves(t *testing.T) {
	two := &demold.Report{UndercutPath: p(2), Stretch: p(0.02), Tunnels: n(1), Trapped: p(5000), Mouth: strip.Mouth{Perimeter: 300}}
	rep := &demold.Report{UndercutPath: p(20), Stretch: p(0.1), Tunnels: n(1), Mouth: strip.Mouth{Perimeter: 300}}
	s := shapeOf(rep, demold.Block, 12, 100, false)
	j := judged{Way: Way{Mold: demold.Block}, Report: rep, Shape: s, Two: two, Volume: 100000}
	if v := decide(j); v.Answer != SlitIt {
		t.Errorf("a web inside a half: got %q", v.Answer)
	}
	two.Trapped = p(100)
	if v := decide(j); v.Answer != MakeTwoParts {
		t.Errorf("parted through the opening: got %q", v.Answer)
	}
	j.Two, rep.Tunnels = nil, n(400)
	if v := decide(j); v.Answer != Locked {
		t.Errorf("400 webs: got %q", v.Answer)
	}
}

// Loose pieces take what locks, as far as there are few of them; what is large is a
// part of two halves.
func TestLoosePieces(t *testing.T) {
	of := func(mold demold.Mold, held int, sizes ...float64) judged {
		l := &loose.Result{Held: held, Rest: 2}
		for _, s := range sizes {
			l.Pieces = append(l.Pieces, loose.Piece{Draw: [3]float64{0, 0, 1}, Places: 1, Size: s})
		}
		rep := &demold.Report{Stretch: p(0.1), Tunnels: n(0), Mouth: strip.Mouth{Perimeter: 300}, Loose: l, Regions: []undercut.Region{{Kind: undercut.Pocket}, {Kind: undercut.Pocket}}}
		return judged{Way: Way{Mold: mold}, Report: rep, Shape: shapeOf(rep, mold, 12, 100, false), Volume: 1e5}
	}
	for _, c := range []struct {
		name         string
		j            judged
		want         Answer
		parts, small int
	}{
		{"one in a block", of(demold.Block, 0, 12), ComesOut, 0, 1},
		{"two in halves", of(demold.TwoPart, 0, 12, 9), MakeTwoParts, 0, 2},
		{"a large and a small one in halves", of(demold.TwoPart, 0, 40, 9), MakeTwoParts, 1, 1},
		{"three", of(demold.TwoPart, 0, 12, 9, 8), Locked, 0, 0},
		{"three in a block", of(demold.Block, 0, 12, 9, 8), Locked, 0, 0},
		{"one that cannot be drawn", of(demold.TwoPart, 1, 12), Locked, 0, 0},
	} {
		v := decide(c.j)
		parts, small := c.j.made(v.Answer)
		if v.Answer != c.want || parts != c.parts || small != c.small {
			t.Errorf("%s: %q with %d parts and %d pieces, want %q, %d, %d", c.name, v.Answer, parts, small, c.want, c.parts, c.small)
		}
		if _, told := v.Because[0].Facts.(LoosePieces); told != (c.want != Locked) {
			t.Errorf("%s: %+v", c.name, v.Because)
		}
	}
	j := of(demold.TwoPart, 0, 12)
	j.Report.Tunnels, j.Report.Trapped = n(300), p(5e4)
	if v := decide(j); v.Answer != SlitIt || j.plugs() != 301 {
		t.Errorf("300 openings: %q with %d plugs", v.Answer, j.plugs())
	}
	if parts, _ := j.made(SlitIt); parts > mostPlugs {
		t.Errorf("%d parts are reckoned", parts)
	}
}

// What must hold whatever the table looks like.
func TestVerdictSense(t *testing.T) {
	want := map[string]Answer{
		"tile": ComesOut, "coin": ComesOut, "lettered plaque": ComesOut, "bust": ComesOutSoft, "curved horn": ComesOutSoft, "mug": MakeTwoParts, "arch": SlitIt,
		"finial": SlitIt, "large slab": ComesOut, "keyed box for foam": MakeTwoParts, "mushroom": SlitIt, "ball on a point": MakeTwoParts,
		"leaning post": ComesOutSoft, "blind cross hole": SlitIt, "cavity with no way out": Locked, "narrow-necked vase, inside too": MakeTwoParts,
	}
	for _, c := range cases() {
		s := shapeOf(c.report, c.mold, 12, c.longest, c.angular)
		v := decide(judged{Way: Way{Mold: c.mold}, Report: c.report, Shape: s, Two: c.twoParts})
		if w, ok := want[c.name]; ok && v.Answer != w {
			t.Errorf("%s: got %q, want %q", c.name, v.Answer, w)
		}
		if len(v.Because) == 0 {
			t.Errorf("%s: no reason", c.name)
		}
	}
}

func TestPatternMass(t *testing.T) {
	v, area := 125000.0, 15000.0
	b := Body{Material: &v, Displaced: &v, Area: area}
	for _, c := range []struct {
		job   Job
		want  float64 // 0 = unknown
		close float64
	}{
		{Job{PatternMass: p(186)}, 186, 0}, {Job{}, 0, 0}, {Job{PatternMaterial: "wax"}, 112.5, 1e-9}, {Job{PatternMaterial: "no such"}, 0, 0},
		{Job{PatternMaterial: "pla"}, 0, 0}, {Job{PatternMaterial: "tooling-board"}, 0, 0},
		{Job{PatternMaterial: "pla", Infill: p(100)}, 155, 1e-9},
		// 50 mm cube, 1.2 mm of shell, 15 %: 41.3259 g.
		{Job{PatternMaterial: "pla", Infill: p(15)}, 41.3259, 1e-5},
	} {
		got, how := PatternMass(c.job, b)
		switch {
		case c.want == 0 && got != nil, c.want != 0 && got == nil, (got == nil) != (how.How >= NothingGiven):
			t.Errorf("%+v: got %v, %+v", c.job, got, how)
		case c.want != 0 && (*got < c.want*(1-c.close)-1e-9 || *got > c.want*(1+c.close)+1e-9):
			t.Errorf("%+v: got %g g, want %g", c.job, *got, c.want)
		}
	}
	if got, _ := PatternMass(Job{PatternMaterial: "wax"}, Body{}); got != nil {
		t.Errorf("without a volume: got %g g", *got)
	}
	if len(massDoubt(Job{PatternMass: p(1000), PatternMaterial: "wax"}, b)) != 1 || len(massDoubt(Job{PatternMass: p(100), PatternMaterial: "wax"}, b)) != 0 {
		t.Error("a kilogram in 125 cm³ of wax goes unnoticed, or 100 g is doubted")
	}
}
